//! How the program ends.

use std::panic::{AssertUnwindSafe, catch_unwind};
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

/// Runs the program, and turns a panic into a plain message: nobody at a forge should read a backtrace.
pub fn guarded(run: impl FnOnce() -> Exit) -> ExitCode {
    std::panic::set_hook(Box::new(|info| {
        let place = info.location().map_or(String::new(), |l| format!(" ({}:{})", l.file(), l.line()));
        let version = env!("CARGO_PKG_VERSION");
        super::output::warn_line(&format!(
            "heatbook {version} has come upon a mistake of its own{place}. No file of yours was changed.\n\
             Please report it, with the recipe and the command that you typed."
        ));
    }));
    match catch_unwind(AssertUnwindSafe(run)) {
        Ok(exit) => exit.into(),
        Err(_) => Exit::Bug.into(),
    }
}
