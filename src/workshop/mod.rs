//! The facade: files to a recipe, a recipe to a plan, a plan to a build. Everything that works on recipes begins here, wherever
//! the files come from; the verdict on a build is `study`'s.
//!
//! ```text
//! Document ──► Workshop::plan ──► Job ──► Job::build ──► Build
//!                  ▲
//!               Sources (the disk, an editor's open documents, memory)
//! ```
//!
//! Invariants: no file is read but by [`Sources`]; no file has two addresses in one [`Job`]; what is wrong with a `use` is a
//! fault of the recipe, with a span.

mod figure;
mod job;
mod loader;
mod set;
mod sources;

pub use figure::figure;
pub use job::{Document, Job, Workshop, in_units, recounted};
pub use set::{no_address, wanted};
pub use sources::{Missing, Over, Recipes, Sources, Texts, is_recipe};
