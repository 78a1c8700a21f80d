//! The rule that readers keep: at most 20 times the input and 100 MB of memory at a time.

use std::alloc::{GlobalAlloc, Layout, System};
use std::sync::atomic::{AtomicUsize, Ordering::Relaxed};

const TIMES: usize = 20;
const FREE: usize = 100 << 20;

static USED: AtomicUsize = AtomicUsize::new(0);
static MOST: AtomicUsize = AtomicUsize::new(0);

struct Counting;

#[global_allocator]
static COUNTING: Counting = Counting;

fn more(bytes: usize) {
    let used = USED.fetch_add(bytes, Relaxed) + bytes;
    MOST.fetch_max(used, Relaxed);
}

// SAFETY: everything is the system's own; only sizes are counted.
unsafe impl GlobalAlloc for Counting {
    unsafe fn alloc(&self, layout: Layout) -> *mut u8 {
        more(layout.size());
        unsafe { System.alloc(layout) }
    }

    unsafe fn alloc_zeroed(&self, layout: Layout) -> *mut u8 {
        more(layout.size());
        unsafe { System.alloc_zeroed(layout) }
    }

    unsafe fn realloc(&self, old: *mut u8, layout: Layout, size: usize) -> *mut u8 {
        more(size);
        USED.fetch_sub(layout.size(), Relaxed);
        unsafe { System.realloc(old, layout, size) }
    }

    unsafe fn dealloc(&self, old: *mut u8, layout: Layout) {
        USED.fetch_sub(layout.size(), Relaxed);
        unsafe { System.dealloc(old, layout) }
    }
}

/// Does some work on an input of so many bytes, within the rule.
pub fn within_rule<T>(input: usize, work: impl FnOnce() -> T) -> T {
    let before = USED.load(Relaxed);
    MOST.store(before, Relaxed);
    let done = work();
    let took = MOST.load(Relaxed).saturating_sub(before);
    assert!(took <= TIMES * input + FREE, "{took} bytes of memory for an input of {input}");
    done
}
