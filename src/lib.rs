//! Heatbook: a small language, and its interpreter, for forging pattern-welded (layered) blades.
//!
//! The way of a recipe is one way only, floor by floor:
//!
//! ```text
//! words ──► plan ──► build ──► verdict ──► page
//! language  replay   replay    study       report
//! ```
//!
//! Each room imports only from the floors under it; `tests/suite/house.rs` reads the imports to say so.

// No panic on any input: tests alone may unwrap. The core is pure: no clock, environment, file or stream, and no order that
// hangs on hashes (see `clippy.toml`).
#![deny(
    clippy::disallowed_methods,
    clippy::disallowed_types,
    clippy::iter_over_hash_type,
    clippy::print_stdout,
    clippy::print_stderr,
    clippy::dbg_macro,
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    clippy::string_slice,
    clippy::unreachable,
    clippy::todo,
    clippy::unimplemented
)]

#[macro_use]
pub mod bug;

pub mod vocabulary;

pub mod quantity;
pub mod source;
pub mod steel;

pub mod piece;

pub mod spec;

pub mod forge;

pub mod replay;

pub mod language;

pub mod workshop;

pub mod study;

pub mod manual;

pub mod report;

pub mod editor;

#[allow(
    clippy::disallowed_methods,
    clippy::disallowed_types,
    clippy::print_stdout,
    clippy::print_stderr,
    reason = "files, streams, clocks and the environment are its business"
)]
pub mod cli;
