//! What things of a run go by: each kind of them has numbers of its own.

use crate::quantity::id;

/// A steel of the plan's table: at most 64 of them.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct SteelId(pub u8);
id!(SteelId, u8);

/// The name under which a part went into a stack.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct PartName(pub u32);
id!(PartName, u32);

/// One binding of a name in a plan: each step that works a bar gives it a fresh one.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct LotId(pub u32);
id!(LotId, u32);

/// A node of a makeup.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct NodeId(u32);
id!(NodeId, u32);

/// A past that a makeup remembers.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct PastId(u32);
id!(PastId, u32);

impl PastId {
    /// No past: fresh stock.
    pub const NONE: PastId = PastId(u32::MAX);
}

/// A blade in the arena of a run.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct BladeId(u32);
id!(BladeId, u32);
