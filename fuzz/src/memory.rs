//! How much memory a run takes.

use std::alloc::{GlobalAlloc, Layout, System};
use std::sync::atomic::{AtomicUsize, Ordering::Relaxed};

static NOW: AtomicUsize = AtomicUsize::new(0);
static PEAK: AtomicUsize = AtomicUsize::new(0);

/// The system's allocator, counted.
pub struct Counting;

fn taken(bytes: usize) {
    let now = NOW.fetch_add(bytes, Relaxed) + bytes;
    PEAK.fetch_max(now, Relaxed);
}

// SAFETY: every call goes to the system's allocator as it came.
unsafe impl GlobalAlloc for Counting {
    unsafe fn alloc(&self, layout: Layout) -> *mut u8 {
        taken(layout.size());
        unsafe { System.alloc(layout) }
    }

    unsafe fn alloc_zeroed(&self, layout: Layout) -> *mut u8 {
        taken(layout.size());
        unsafe { System.alloc_zeroed(layout) }
    }

    unsafe fn dealloc(&self, at: *mut u8, layout: Layout) {
        NOW.fetch_sub(layout.size(), Relaxed);
        unsafe { System.dealloc(at, layout) }
    }

    unsafe fn realloc(&self, at: *mut u8, layout: Layout, size: usize) -> *mut u8 {
        taken(size);
        NOW.fetch_sub(layout.size(), Relaxed);
        unsafe { System.realloc(at, layout, size) }
    }
}

/// Reads something within the memory that a reader may take: 20 times its bytes and 100 MB.
pub fn bounded<T>(bytes: usize, read: impl FnOnce() -> T) -> T {
    let before = NOW.load(Relaxed);
    PEAK.store(before, Relaxed);
    let value = read();
    let (most, took) = (20 * bytes + 100_000_000, PEAK.load(Relaxed).saturating_sub(before));
    assert!(took <= most, "{took} bytes of memory for {bytes} read, more than {most}");
    value
}
