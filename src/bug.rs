//! What cannot happen. Where it does all the same, the one macro that may panic stops the work at hand, and whoever gave the
//! order catches it: a command (nothing written), a line at the prompt (state as before), a request of the editor.

use std::panic::{AssertUnwindSafe, Location, catch_unwind, resume_unwind};

/// A bug of ours: what should not have been, and where in the sources that was seen.
#[derive(Debug)]
pub struct Bug {
    /// What should not have been.
    pub what: String,
    /// File and line of the sources.
    pub place: String,
}

/// Stops the work at hand with a [`Bug`]: call it by `bug!`.
#[track_caller]
pub fn raise(what: String) -> ! {
    Bug { what, place: Location::caller().to_string() }.again()
}

impl std::fmt::Display for Bug {
    fn fmt(&self, to: &mut std::fmt::Formatter) -> std::fmt::Result {
        let Bug { what, place } = self;
        write!(
            to,
            "heatbook {} has come upon a mistake of its own ({place}): {what}",
            env!("CARGO_PKG_VERSION")
        )
    }
}

impl Bug {
    /// Stops the work once more, such as that of a thread that waited for another.
    pub fn again(self) -> ! {
        resume_unwind(Box::new(self))
    }
}

/// Does some work, and catches the bug that stops it. Whatever the work was about to change must not be used after one.
///
/// # Errors
/// The bug.
pub fn caught<T>(work: impl FnOnce() -> T) -> Result<T, Bug> {
    catch_unwind(AssertUnwindSafe(work)).map_err(|payload| match payload.downcast::<Bug>() {
        Ok(bug) => *bug,
        Err(other) => resume_unwind(other),
    })
}

/// Says that something cannot happen: loud where it does, and nothing is lost.
macro_rules! bug {
    ($($what:tt)*) => { $crate::bug::raise(format!($($what)*)) };
}

#[cfg(test)]
mod tests {
    #[test]
    fn a_bug_is_caught_with_its_place() {
        let bug = super::caught(|| -> u8 { bug!("two and two are {}", 5) }).unwrap_err();
        assert_eq!(bug.what, "two and two are 5");
        assert!(bug.place.starts_with("src/bug.rs:"), "{}", bug.place);
        assert_eq!(super::caught(|| 4).unwrap(), 4);
    }
}
