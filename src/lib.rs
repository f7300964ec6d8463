//! coldseam computes what a building junction loses and how cold its inside corners get.
//!
//! The modules are the stages of the pipeline, and imports run one way only:
//!
//! ```text
//! case ─▶ plan ─▶ grid ─▶ conduction ─▶ bounds ─▶ result ─▶ review, draw, report ─▶ command
//!   ▲       ▲                 ▲                     ▲
//! element  polygons       multigrid           triangulation
//!   ▲
//! material, climate ◀─ geometry, standard, text, ranges, finding
//! ```
//!
//! A program needs no file. The corner of two walls of lightweight block with boards outside, lengths in m:
//!
//! ```
//! use coldseam::geometry::{Axis, Rectangle, Span};
//! use coldseam::model::{Builder, Convention, Cut, Role};
//!
//! let mut corner = Builder::new(Cut::Horizontal, Rectangle::new([-1.2, 0.6], [-1.2, 0.6]));
//! let (block, board) = (corner.material("block", 0.18), corner.material("board", 0.031));
//! let room = corner.environment("room", Role::Internal, 20.0);
//! let outside = corner.environment("outside", Role::External, 0.0);
//! corner.space(outside, Rectangle::new([-1.2, 0.6], [-1.2, 0.6]));
//! corner.fill(board, Rectangle::new([-1.2, 0.365], [-1.2, 0.365]));
//! corner.fill(block, Rectangle::new([-1.2, 0.215], [-1.2, 0.215]));
//! corner.space(room, Rectangle::new([-1.2, 0.0], [-1.2, 0.0]));
//! let inside = Span { from: -1.2, to: 0.0 };
//! corner.flanking("front wall", (Axis::X, -1.2), Convention::Internal, inside);
//! corner.flanking("side wall", (Axis::Y, -1.2), Convention::Internal, inside);
//! let outcome = coldseam::result::compute(corner.build()?)?;
//! let psi = &outcome.psi[0];
//! assert!(psi.bracket.lower() <= psi.value && psi.value <= psi.bracket.upper() && (psi.value - 0.06).abs() < 0.01);
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```

// Results are the same bits everywhere, and the system's elementary functions are not.
#![cfg_attr(not(test), warn(clippy::disallowed_methods))]

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
pub mod polygons;
pub mod ranges;
pub mod report;
pub mod result;
pub mod review;
pub mod shipped;
pub mod standard;
pub mod text;
pub mod triangulation;
pub mod validation;
