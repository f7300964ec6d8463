//! The solver's arrays: one value for each place of a [layout](super::Layout).

use std::ops::{Deref, DerefMut};

use bytemuck::{Pod, cast_slice, cast_slice_mut};

use super::pages::Pages;

/// Bytes by which each array of a set starts later within a memory page than the one before.
const STAGGER: usize = 576;

/// An array of zeros at first.
///
/// Large allocations start at the same place of a memory page. Kernels read ten arrays at equal places, which
/// would then all compete for the same few lines of the processor's cache. So the arrays of a set are
/// numbered and start at different places.
#[derive(Debug)]
pub struct Array<T> {
    store: Store<T>,
    /// Elements, or bytes of pages, before the first place.
    start: usize,
    size: usize,
}

#[derive(Debug)]
enum Store<T> {
    Heap(Vec<T>),
    Pages(Pages),
}

impl<T: Pod> Array<T> {
    /// `size` zeros; `number` tells the arrays of a set apart.
    pub fn zeros(size: usize, number: usize) -> Self {
        if size == 0 {
            return Self { store: Store::Heap(Vec::new()), start: 0, size };
        }
        let stagger = number * STAGGER;
        if let Some(pages) = Pages::of(size * size_of::<T>() + stagger) {
            return Self { store: Store::Pages(pages), start: stagger, size };
        }
        let start = stagger / size_of::<T>();
        Self { store: Store::Heap(vec![T::zeroed(); start + size]), start, size }
    }
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
            Store::Pages(pages) => {
                cast_slice(&pages.bytes()[self.start..self.start + self.size * size_of::<T>()])
            }
        }
    }
}

impl<T: Pod> DerefMut for Array<T> {
    #[inline(always)]
    fn deref_mut(&mut self) -> &mut [T] {
        match &mut self.store {
            Store::Heap(values) => &mut values[self.start..self.start + self.size],
            Store::Pages(pages) => {
                cast_slice_mut(&mut pages.bytes_mut()[self.start..self.start + self.size * size_of::<T>()])
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
