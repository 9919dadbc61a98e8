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
    /// Ctrl-C, before all was done that was asked for.
    Stopped,
}

impl From<Exit> for ExitCode {
    fn from(exit: Exit) -> ExitCode {
        ExitCode::from(match exit {
            Exit::Met => 0,
            Exit::Fault => 1,
            Exit::Usage => 2,
            Exit::Bug => 3,
            // As shells tell of a program that this signal ended: 128 and its number.
            Exit::Stopped => 130,
        })
    }
}
