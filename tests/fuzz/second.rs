//! The generator of recipes that the second interpreter brings; nothing else of it is wanted here.
#![allow(dead_code, unused_imports, reason = "see above")]

#[path = "../suite/second/generate.rs"]
pub mod generate;
#[path = "../suite/second/metal.rs"]
mod metal;
#[path = "../suite/second/run.rs"]
mod run;
#[path = "../suite/second/slips.rs"]
mod slips;
#[path = "../suite/second/tree.rs"]
pub mod tree;
