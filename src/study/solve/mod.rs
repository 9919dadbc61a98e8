//! Questions that take many runs: what `?` stands for, what moves a target, the odds, the shop's own figures.

pub(in crate::study) mod calibrate;
pub(in crate::study) mod fill;
pub(in crate::study) mod miss;
pub(in crate::study) mod nudge;
pub(in crate::study) mod odds;
pub(in crate::study) mod quote;
pub(in crate::study) mod runs;
pub(in crate::study) mod sweep;
