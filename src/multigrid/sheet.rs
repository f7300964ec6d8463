//! One array, handed to several threads.
//!
//! Relaxation changes every second column and reads the columns between, and every thread has columns of its own. All lie in one array,
//! so the borrow checker cannot see that no thread reads what another writes; this is the one place of the program where that is
//! promised by hand.

use std::marker::PhantomData;

/// A mutable array that threads share under the rule: an element written by one thread during a sweep is neither read nor
/// written by any other during that sweep.
#[derive(Clone, Copy)]
pub struct Sheet<'a, R> {
    start: *mut R,
    length: usize,
    array: PhantomData<&'a mut [R]>,
}

// SAFETY: the rule above is the only access pattern, kept by every caller in `lines` and `relaxation`.
unsafe impl<R: Send> Send for Sheet<'_, R> {}
// SAFETY: as above.
unsafe impl<R: Sync> Sync for Sheet<'_, R> {}

impl<'a, R: Copy> Sheet<'a, R> {
    /// Takes the array for the duration of a sweep.
    pub fn new(array: &'a mut [R]) -> Self {
        Self { start: array.as_mut_ptr(), length: array.len(), array: PhantomData }
    }

    /// Number of elements.
    pub fn len(self) -> usize {
        self.length
    }

    /// Elements from `from`, `count` of them, for reading.
    ///
    /// # Safety
    /// They lie within the array, and no thread writes any of them while the slice lives.
    #[inline(always)]
    pub unsafe fn read(self, from: usize, count: usize) -> &'a [R] {
        debug_assert!(from + count <= self.length);
        // SAFETY: as the caller promises.
        unsafe { std::slice::from_raw_parts(self.start.add(from), count) }
    }

    /// Elements from `from`, `count` of them, for writing.
    ///
    /// # Safety
    /// They lie within the array, and nobody else reads or writes any of them while the slice lives.
    #[inline(always)]
    pub unsafe fn write(self, from: usize, count: usize) -> &'a mut [R] {
        debug_assert!(from + count <= self.length);
        // SAFETY: as the caller promises.
        unsafe { std::slice::from_raw_parts_mut(self.start.add(from), count) }
    }
}
