//! Pictures of a piece: what steel lies at each point of a face, an edge, an end or a cut.

mod ridge;
pub mod sampled;
pub mod sight;
