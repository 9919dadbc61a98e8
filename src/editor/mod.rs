//! The language server: what an editor asks about a recipe, and what it is told. A message goes in, messages come out; streams,
//! files and the clock are the command's.
//!
//! ```text
//! message ──► server ──► documents ──► analysis ──► hover, complete, names … ──► message
//! ```

mod actions;
mod analysis;
mod complete;
mod context;
mod documents;
mod figures;
mod folder;
mod format;
mod hover;
mod inlay;
mod lens;
mod logged;
mod marks;
mod names;
mod pattern;
mod publish;
mod reading;
mod rename;
mod select;
mod server;
mod signature;
mod symbols;
mod text;
mod tokens;
mod uri;
mod wire;

pub use server::{Server, State};
pub use wire::{Broken, Come, receive, refuse, send};
