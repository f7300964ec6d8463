//! The solver's arrays: one value for each place of a [layout](super::Layout).

use std::hint::black_box;
use std::ops::{Deref, DerefMut};
use std::sync::Once;

use bytemuck::{Pod, cast_slice, cast_slice_mut};
use memmap2::MmapMut;

/// Bytes by which each array of a set starts later within a memory page than the one before.
const STAGGER: usize = 576;
/// Bytes from which on an array gets pages of its own, and the size of a large page.
const WORTH_LARGE_PAGES: usize = 1 << 21;
const LARGE_PAGE: usize = 1 << 21;
/// Bytes from which on an array's memory is worth keeping.
const WORTH_KEEPING: usize = 1 << 16;

/// An array of zeros at first.
///
/// Large allocations start at the same place of a memory page. Kernels read ten arrays at equal places, which
/// would then all compete for the same few lines of the processor's cache. So the arrays of a set are
/// numbered and start at different places.
///
/// Large arrays ask the system for large pages: handing over a grid of a million vertices in pages of 4 KiB
/// takes a fifth of a solution's time.
#[derive(Debug)]
pub struct Array<T> {
    store: Store<T>,
    /// Elements, or bytes of a map, before the first place.
    start: usize,
    size: usize,
}

#[derive(Debug)]
enum Store<T> {
    Heap(Vec<T>),
    Pages(MmapMut),
}

impl<T: Pod> Array<T> {
    /// `size` zeros; `number` tells the arrays of a set apart.
    pub fn zeros(size: usize, number: usize) -> Self {
        if size == 0 {
            return Self { store: Store::Heap(Vec::new()), start: 0, size };
        }
        let stagger = number * STAGGER;
        let bytes = size * size_of::<T>();
        if bytes >= WORTH_LARGE_PAGES
            && let Ok(map) = MmapMut::map_anon(bytes + stagger + LARGE_PAGE)
        {
            // A hint only; without it the pages are small.
            #[cfg(target_os = "linux")]
            let _ = map.advise(memmap2::Advice::HugePage);
            let start = map.as_ptr().align_offset(LARGE_PAGE) + stagger;
            return Self { store: Store::Pages(map), start, size };
        }
        if bytes >= WORTH_KEEPING {
            keep_freed_memory();
        }
        let start = stagger / size_of::<T>();
        Self { store: Store::Heap(vec![T::zeroed(); start + size]), start, size }
    }
}

/// Has the allocator keep memory that is freed, for the next solution.
///
/// The C library's allocator hands large blocks back to the system at once and gets them anew from it page by
/// page, which took a quarter of a solution's time at 10⁵ unknowns. What counts as large it learns from the
/// largest block freed so far, up to 32 MiB; so it is shown one. Nothing is written to it, and other
/// allocators do not mind.
fn keep_freed_memory() {
    const LARGEST_LEARNT_FROM: usize = (32 << 20) - (64 << 10);
    static ONCE: Once = Once::new();
    ONCE.call_once(|| drop(black_box(Vec::<u8>::with_capacity(LARGEST_LEARNT_FROM))));
}

impl<T: Pod> Clone for Array<T> {
    fn clone(&self) -> Self {
        let mut copy = Self::zeros(self.size, 0);
        copy.copy_from_slice(self);
        copy
    }
}

impl<T: Pod> Deref for Array<T> {
    type Target = [T];

    #[inline(always)]
    fn deref(&self) -> &[T] {
        match &self.store {
            Store::Heap(values) => &values[self.start..self.start + self.size],
            Store::Pages(map) => cast_slice(&map[self.start..self.start + self.size * size_of::<T>()]),
        }
    }
}

impl<T: Pod> DerefMut for Array<T> {
    #[inline(always)]
    fn deref_mut(&mut self) -> &mut [T] {
        match &mut self.store {
            Store::Heap(values) => &mut values[self.start..self.start + self.size],
            Store::Pages(map) => {
                cast_slice_mut(&mut map[self.start..self.start + self.size * size_of::<T>()])
            }
        }
    }
}

/// Some arrays of one size in one allocation, staggered.
#[derive(Clone, Debug)]
pub struct Set<T: Pod> {
    store: Array<T>,
    pitch: usize,
    size: usize,
}

impl<T: Pod> Set<T> {
    /// `count` arrays of `size` zeros.
    pub fn zeros(count: usize, size: usize) -> Self {
        const PAGE: usize = 4096;
        let pitch = size.next_multiple_of(PAGE / size_of::<T>()) + STAGGER / size_of::<T>();
        Self { store: Array::zeros(count * pitch, 0), pitch, size }
    }

    /// The arrays in their order.
    pub fn iter(&self) -> impl Iterator<Item = &[T]> {
        self.store.chunks_exact(self.pitch).map(|array| &array[..self.size])
    }

    /// The arrays in their order, to be changed.
    pub fn iter_mut(&mut self) -> impl Iterator<Item = &mut [T]> {
        self.store.chunks_exact_mut(self.pitch).map(|array| &mut array[..self.size])
    }

    /// The first arrays, to be changed; those beyond the last are empty.
    pub fn split<const N: usize>(&mut self) -> [&mut [T]; N] {
        let mut arrays = self.iter_mut();
        [(); N].map(|()| arrays.next().unwrap_or_default())
    }
}
