//! Files, the spans in them, and diagnostics as plain data. Nothing here draws or prints.

mod code;
mod diagnostic;
mod files;

pub use code::{Code, Severity};
pub use diagnostic::{Diagnostic, Fix, Label, quoted};
pub use files::{Files, IN_PATHS, Place, Span, line_ends};
