//! How the program ends.

use std::process::ExitCode;

/// The exit codes. A finding is not a failure of ours.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Exit {
    /// All met.
    Met,
    /// The recipe is at fault, or a target is missed.
    Fault,
    /// Wrong usage, or a file that cannot be read.
    Usage,
    /// A bug of ours.
    Bug,
}

impl From<Exit> for ExitCode {
    fn from(exit: Exit) -> ExitCode {
        ExitCode::from(match exit {
            Exit::Met => 0,
            Exit::Fault => 1,
            Exit::Usage => 2,
            Exit::Bug => 3,
        })
    }
}
