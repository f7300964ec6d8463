//! One array, handed to several threads.
//!
//! Zebra relaxation changes every second line and reads the lines between. Both kinds lie in one array, so the borrow checker
//! cannot see that no thread reads what another writes; this is the one place of the program where that is promised by hand.

use std::marker::PhantomData;

/// A mutable array that threads share under the rule: an element written by one thread during a sweep is neither read nor
/// written by any other during that sweep.
#[derive(Clone, Copy)]
pub struct Sheet<'a, R> {
    start: *mut R,
    length: usize,
    array: PhantomData<&'a mut [R]>,
}

// SAFETY: the rule above is the only access pattern, kept by every caller in `relaxation`.
unsafe impl<R: Send> Send for Sheet<'_, R> {}
// SAFETY: as above.
unsafe impl<R: Sync> Sync for Sheet<'_, R> {}

impl<'a, R: Copy> Sheet<'a, R> {
    /// Takes the array for the duration of a sweep.
    pub fn new(array: &'a mut [R]) -> Self {
        Self { start: array.as_mut_ptr(), length: array.len(), array: PhantomData }
    }

    /// Elements from `from`, `count` of them, for reading.
    ///
    /// # Safety
    /// No thread may write any of them while the slice lives.
    #[inline(always)]
    pub unsafe fn read(self, from: usize, count: usize) -> &'a [R] {
        assert!(from + count <= self.length);
        // SAFETY: within the array, and not written by the caller's promise.
        unsafe { std::slice::from_raw_parts(self.start.add(from), count) }
    }

    /// Elements from `from`, `count` of them, for writing.
    ///
    /// # Safety
    /// Nobody else may read or write any of them while the slice lives.
    #[inline(always)]
    pub unsafe fn write(self, from: usize, count: usize) -> &'a mut [R] {
        assert!(from + count <= self.length);
        // SAFETY: within the array, and not accessed by others by the caller's promise.
        unsafe { std::slice::from_raw_parts_mut(self.start.add(from), count) }
    }

    /// The element at `place`.
    ///
    /// # Safety
    /// Within the array, and no other thread may write it during the sweep.
    #[inline(always)]
    pub unsafe fn get(self, place: usize) -> R {
        debug_assert!(place < self.length);
        // SAFETY: as the caller promises.
        unsafe { *self.start.add(place) }
    }

    /// Replaces the element at `place`.
    ///
    /// # Safety
    /// Within the array, and no other thread may read or write it during the sweep.
    #[inline(always)]
    pub unsafe fn set(self, place: usize, value: R) {
        debug_assert!(place < self.length);
        // SAFETY: as the caller promises.
        unsafe { *self.start.add(place) = value }
    }
}
