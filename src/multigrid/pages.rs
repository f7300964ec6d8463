//! Memory of the process: large pages for large arrays, and keeping what is freed.
//!
//! Both change what the process holds beyond one solution, so that a program which uses the crate can leave
//! them out: feature `large-pages`, on by default. Results do not depend on it.

/// Bytes from which on an array gets pages of its own, and the size of a large page.
#[cfg(feature = "large-pages")]
const LARGE_PAGE: usize = 1 << 21;
/// Bytes from which on an array's memory is worth keeping.
#[cfg(feature = "large-pages")]
const WORTH_KEEPING: usize = 1 << 16;

/// Zeros on pages of their own.
#[cfg(feature = "large-pages")]
#[derive(Debug)]
pub struct Pages {
    map: memmap2::MmapMut,
    /// Bytes before the first whole page.
    start: usize,
}

/// There are none without the feature.
#[cfg(not(feature = "large-pages"))]
#[derive(Debug)]
pub enum Pages {}

#[cfg(feature = "large-pages")]
impl Pages {
    /// At least so many bytes, if that is worth it and the system has them.
    ///
    /// Handing over a grid of a million vertices in pages of 4 KiB takes a fifth of a solution's time. For
    /// less, the allocator is told to keep what is freed.
    pub fn of(bytes: usize) -> Option<Self> {
        if bytes >= LARGE_PAGE
            && let Ok(map) = memmap2::MmapMut::map_anon(bytes + LARGE_PAGE)
        {
            // A hint only; without it the pages are small.
            #[cfg(target_os = "linux")]
            let _ = map.advise(memmap2::Advice::HugePage);
            let start = map.as_ptr().align_offset(LARGE_PAGE);
            return Some(Self { map, start });
        }
        if bytes >= WORTH_KEEPING {
            keep_freed_memory();
        }
        None
    }

    /// From the first whole page on.
    #[inline(always)]
    pub fn bytes(&self) -> &[u8] {
        &self.map[self.start..]
    }

    /// The same to write to.
    #[inline(always)]
    pub fn bytes_mut(&mut self) -> &mut [u8] {
        &mut self.map[self.start..]
    }
}

#[cfg(not(feature = "large-pages"))]
impl Pages {
    /// None.
    pub fn of(_bytes: usize) -> Option<Self> {
        None
    }

    /// Never called.
    pub fn bytes(&self) -> &[u8] {
        match *self {}
    }

    /// Never called.
    pub fn bytes_mut(&mut self) -> &mut [u8] {
        match *self {}
    }
}

/// Has the allocator keep memory that is freed, for the next solution.
///
/// The C library's allocator hands large blocks back to the system at once and gets them anew from it page by
/// page, which took a quarter of a solution's time at 10⁵ unknowns. What counts as large it learns from the
/// largest block freed so far, up to 32 MiB; so it is shown one. Nothing is written to it, and other
/// allocators do not mind.
#[cfg(feature = "large-pages")]
fn keep_freed_memory() {
    const LARGEST_LEARNT_FROM: usize = (32 << 20) - (64 << 10);
    static ONCE: std::sync::Once = std::sync::Once::new();
    ONCE.call_once(|| drop(std::hint::black_box(Vec::<u8>::with_capacity(LARGEST_LEARNT_FROM))));
}
