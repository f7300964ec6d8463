//! coldseam computes what a building junction loses and how cold its inside corners get.
//!
//! The modules are the stages of the pipeline, and imports run one way only:
//!
//! ```text
//! case ─▶ plan ─▶ grid ─▶ conduction ─▶ bounds ─▶ result ─▶ review, draw, report ─▶ command
//!   ▲                         ▲
//! element                 multigrid
//!   ▲
//! material, climate ◀─ geometry, standard, text
//! ```

pub mod bounds;
pub mod case;
pub mod climate;
pub mod command;
pub mod conduction;
pub mod draw;
pub mod element;
pub mod finding;
pub mod geometry;
pub mod grid;
pub mod material;
pub mod model;
pub mod multigrid;
pub mod plan;
pub mod ranges;
pub mod report;
pub mod result;
pub mod review;
pub mod shipped;
pub mod standard;
pub mod text;
pub mod validation;
