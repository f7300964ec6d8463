//! Rows of one array, handed to several threads.
//!
//! Zebra relaxation changes every second line and reads the lines between. Both kinds lie in one array, so the borrow checker
//! cannot see that no thread reads what another writes; this is the one place of the program where that is promised by hand.

use std::marker::PhantomData;

/// A mutable array of doubles that threads share under the rule: an element written by one thread during a sweep is neither
/// read nor written by any other during that sweep.
#[derive(Clone, Copy)]
pub struct Sheet<'a> {
    start: *mut f64,
    length: usize,
    array: PhantomData<&'a mut [f64]>,
}

// SAFETY: the rule above is the only access pattern, kept by every caller in `relaxation`.
unsafe impl Send for Sheet<'_> {}
// SAFETY: as above.
unsafe impl Sync for Sheet<'_> {}

impl<'a> Sheet<'a> {
    /// Takes the array for the duration of a sweep.
    pub fn new(array: &'a mut [f64]) -> Self {
        Self { start: array.as_mut_ptr(), length: array.len(), array: PhantomData }
    }

    /// The element at `index`.
    ///
    /// # Safety
    /// No other thread may write it during the sweep.
    #[inline(always)]
    pub unsafe fn get(self, index: usize) -> f64 {
        debug_assert!(index < self.length);
        // SAFETY: within the array, and not written by others by the caller's promise.
        unsafe { *self.start.add(index) }
    }

    /// Replaces the element at `index`.
    ///
    /// # Safety
    /// No other thread may read or write it during the sweep.
    #[inline(always)]
    pub unsafe fn set(self, index: usize, value: f64) {
        debug_assert!(index < self.length);
        // SAFETY: within the array, and not accessed by others by the caller's promise.
        unsafe { *self.start.add(index) = value }
    }
}
