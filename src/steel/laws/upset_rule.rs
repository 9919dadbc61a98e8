//! How much free length may be upset before it buckles.
//!
//! Forging Industry Association, design rules for upset forgings
//! (<https://www.forging.org/forging/design/3542-design-rules-parts-made-upset-forgings.html>), read; Groover ch. 18.4
//! gives the same figure.

/// Free length in one blow over diameter, plain number: rule 1. For a rectangular bar or stack take the smaller side as the
/// diameter (from memory).
pub(crate) const FREE_LENGTH: f64 = 3.0;
