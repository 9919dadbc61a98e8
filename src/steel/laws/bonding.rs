//! How far a press must thin two surfaces that are to weld.
//!
//! N. Bay, "Mechanisms Producing Metallic Bonds in Cold Welding", Welding Journal (first page read): pressing a stack or
//! rolling sheets lays bare as much metal as the reduction.
//!
//! Published about hot steel: a threshold exists (Li, Nagai, Yin, Sci. Technol. Adv. Mater. 9 (2008) 023001, abstract)
//! and is said to fall with temperature (for aluminium); 316L on carbon-manganese steel reached the strength of the base
//! above 900 C with enough reduction (T. Fukuda, Tetsu-to-Hagane 76 (1990) 254-261, abstract); 50 % a pass is used at
//! 500 C (Int. J. Mod. Phys. B 2008, abstract). **No least reduction for welding hot steel was found**: ours is a project
//! figure, and a bond cannot be judged by it; etch and test.

/// Least reduction of a weld before a warning, as a share. Project parameter, no source; 0.10 to 0.30 may be set.
pub const LEAST_REDUCTION: f64 = 0.10;
