//! Results for readers and for other programs: terminal text, JSON, CSV, and how findings about the input
//! look.

pub mod compare_text;
pub mod condensate_text;
pub mod condensation_text;
pub mod diagnostics;
pub mod document;
pub mod dwelling_text;
pub mod element_text;
pub mod factor_text;
pub mod files;
pub mod html;
pub mod keys_text;
pub mod level_surfaces;
pub mod matrix_market;
pub mod number_text;
pub mod point_text;
pub mod profile_csv;
pub mod read_back;
pub mod review_text;
pub mod summary;
pub mod target_text;
pub mod what_helps_text;
