//! The equations in Matrix Market format (R. F. Boisvert, R. Pozo, K. Remington: The Matrix Market exchange
//! formats, NISTIR 5935, 1996), so that anyone can solve them with another program.

use std::fmt::Write;
use std::fs::{self, File};
use std::io::Read;
use std::path::Path;

use sprs::CsMat;

/// The lower triangle of a symmetric matrix in coordinate format, indices from 1, values to the last bit.
pub fn symmetric(matrix: &CsMat<f64>, comment: &str) -> String {
    let lower: Vec<(usize, usize, f64)> = matrix
        .iter()
        .filter(|(_, (row, column))| column <= row)
        .map(|(value, (row, column))| (row + 1, column + 1, *value))
        .collect();
    let mut text = header("matrix coordinate real symmetric", comment);
    // Writing to a String cannot fail.
    let _ = writeln!(text, "{} {} {}", matrix.rows(), matrix.cols(), lower.len());
    for (row, column, value) in lower {
        let _ = writeln!(text, "{row} {column} {value:e}");
    }
    text
}

/// A vector in array format.
pub fn vector(values: &[f64], comment: &str) -> String {
    let mut text = header("matrix array real general", comment);
    let _ = writeln!(text, "{} 1", values.len());
    for value in values {
        let _ = writeln!(text, "{value:e}");
    }
    text
}

const SIGN: &str = "%%MatrixMarket";
/// How the second line of our files begins.
const OURS: &str = "% coldseam ";

/// True for a file that must not be written over: it is there, and does not hold equations of an earlier run.
pub fn is_something_else(path: &Path) -> bool {
    /// Bytes that hold the first two lines of ours.
    const START: u64 = 200;
    match fs::metadata(path) {
        Err(_) => false,
        Ok(metadata) if !metadata.is_file() => true,
        Ok(_) => {
            let mut start = Vec::new();
            let read = File::open(path).and_then(|file| file.take(START).read_to_end(&mut start));
            let start = String::from_utf8_lossy(&start);
            let mut lines = start.lines();
            let is_ours = lines.next().is_some_and(|line| line.starts_with(SIGN))
                && lines.next().is_some_and(|line| line.starts_with(OURS));
            read.is_err() || !is_ours
        }
    }
}

/// The lines before the numbers; `comment` is one line.
fn header(kind: &str, comment: &str) -> String {
    let comment: String =
        comment.chars().map(|letter| if letter.is_control() { ' ' } else { letter }).collect();
    format!("{SIGN} {kind}\n{OURS}{comment}\n")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn writes_the_lower_triangle_and_keeps_every_bit() {
        let matrix = CsMat::new((2, 2), vec![0, 2, 4], vec![0, 1, 0, 1], vec![0.1 + 0.2, -1.0, -1.0, 1e-7]);
        let text = symmetric(&matrix, "two\nlines");
        assert_eq!(
            text,
            "%%MatrixMarket matrix coordinate real symmetric\n% coldseam two lines\n2 2 3\n1 1 3.0000000000000004e-1\n2 1 -1e0\n2 2 1e-7\n"
        );
        assert_eq!(
            vector(&[2.5], "b"),
            "%%MatrixMarket matrix array real general\n% coldseam b\n1 1\n2.5e0\n"
        );
    }
}
