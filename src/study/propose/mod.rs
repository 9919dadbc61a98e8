//! What could be done instead: mends, rescues, leftovers as stock, a recipe to start from.

pub(in crate::study) mod fresh;
pub(in crate::study) mod grade;
pub(in crate::study) mod instead;
pub(in crate::study) mod mend;
pub(in crate::study) mod rack;
pub(in crate::study) mod rescue;
pub(in crate::study) mod shelf;
