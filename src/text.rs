//! Where something stands in the texts that a case is read from.

/// A stretch of text in one of the [`Sources`](crate::case::Sources): bytes `start..end` of file number
/// `file`.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Place {
    /// Number of the file.
    pub file: usize,
    /// First byte.
    pub start: usize,
    /// One past the last byte.
    pub end: usize,
}
