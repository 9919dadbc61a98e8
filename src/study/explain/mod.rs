//! Why a build came out as it did: where a size went, which step a miss is owed to, what a verdict hangs on.

pub(in crate::study) mod allowed;
pub(in crate::study) mod blame;
pub(in crate::study) mod days;
pub(in crate::study) mod doubt;
mod ends;
pub(in crate::study) mod place;
pub(in crate::study) mod spare;
pub(in crate::study) mod story;
pub(in crate::study) mod verdict;
pub(in crate::study) mod why;
