//! What verbs share: fire, skin, press, grip, load, pace, effort, and the bars that they leave.

pub(in crate::forge) mod austenite;
pub(in crate::forge) mod bars;
pub(in crate::forge) mod beyond;
pub(in crate::forge) mod can;
pub(in crate::forge) mod effort;
pub(in crate::forge) mod ends;
pub(in crate::forge) mod fire;
pub(in crate::forge) mod grip;
pub(in crate::forge) mod hollow;
pub(in crate::forge) mod layered;
pub(in crate::forge) mod load;
pub(in crate::forge) mod pace;
pub(in crate::forge) mod packing;
pub(in crate::forge) mod press;
pub(in crate::forge) mod pressing;
pub(in crate::forge) mod rig;
pub(in crate::forge) mod shaping;
pub(in crate::forge) mod skin;
pub(in crate::forge) mod slices;
pub(in crate::forge) mod solid;
pub(in crate::forge) mod trim;
