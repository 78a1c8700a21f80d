//! The `landplaster` command.

mod cli;

/// The system's own gives the memory of each large array back at once and asks for it again, which
/// on a farm is a quarter of the time.
#[global_allocator]
static ALLOCATOR: mimalloc::MiMalloc = mimalloc::MiMalloc;

fn main() -> std::process::ExitCode {
    cli::run()
}
