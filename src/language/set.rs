//! Figures that are set from outside.

use crate::quantity::Kind;

/// A figure that is set from outside.
#[derive(Clone, Debug)]
pub struct Set {
    /// Where.
    pub address: String,
    /// To what, base unit.
    pub value: f64,
    /// Of what kind.
    pub kind: Kind,
    /// The kind of the figure there, once it is found.
    pub found: Option<Kind>,
}
