//! All tests of the program in one binary: they link once.
#![allow(
    clippy::disallowed_methods,
    clippy::disallowed_types,
    reason = "tests stand outside of the core: they read files and call the program"
)]

mod allow;
mod answers;
mod at_hand;
mod balance;
mod blade_curves;
mod blade_slips;
mod builds;
mod by_hand;
mod carbon;
mod cli;
mod client;
mod colours;
mod columns;
mod commissions;
mod common;
mod cooling;
mod editor;
mod editor_answers;
mod editor_folder;
mod editor_words;
mod explain;
mod explain_codes;
mod faults;
mod format;
mod gallery;
mod geometry;
mod guide;
mod handbook;
mod heating;
mod house;
mod laws;
mod limits;
mod live;
mod mends;
mod oracle;
mod orders;
mod outside;
mod pages;
mod pattern_targets;
mod patterns;
mod physics;
mod pictures;
mod prompt;
mod quench;
mod questions;
mod quote;
mod rack;
mod readme;
mod recipes;
mod rescues;
mod reuse;
mod scripts;
mod second;
mod sheet;
mod shop_file;
mod skin;
mod slips;
mod sources;
mod told;
mod units;
mod watched;
mod wide_input;
