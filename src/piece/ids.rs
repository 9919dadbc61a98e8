//! What things of a run go by: each kind of them has numbers of its own.

use crate::quantity::ids;

ids! {
    /// A steel of the plan's table: at most 64 of them.
    pub struct SteelId(pub u8);

    /// The name under which a part went into a stack.
    pub struct PartName(pub u32);

    /// One binding of a name in a plan: each step that works a bar gives it a fresh one.
    pub struct LotId(pub u32);

    /// A node of a makeup.
    pub struct NodeId(u32);

    /// A past that a makeup remembers.
    pub struct PastId(u32);

    /// A blade in the arena of a run.
    pub struct BladeId(u32);

    /// How a step moved the points of a bar.
    pub struct WarpId(u32);

    /// Hollows in a bar, in the arena of a run.
    pub struct ReliefId(u32);
}

impl PastId {
    /// No past: fresh stock.
    pub const NONE: PastId = PastId(u32::MAX);
}
