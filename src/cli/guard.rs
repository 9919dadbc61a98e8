//! Whatever breaks off is told in a plain message, and nothing is lost.

use std::panic::{AssertUnwindSafe, catch_unwind};
use std::process::ExitCode;

use super::exit::Exit;
use super::output::{arrived, warn_line};
use crate::bug::{Bug, caught};

/// What is said of a bug: what should not have been, where that was seen, what is left as it was, and what to report.
pub fn told(bug: &Bug, left: &str) -> String {
    format!("{bug}. {left}\nPlease report it, with the recipe and what you typed.")
}

const NO_FILE: &str = "No file of yours was changed.";

/// Runs a command, and turns a bug that it comes upon into a message for `warn`.
pub fn guarded(run: impl FnOnce() -> Exit, warn: impl FnOnce(&str)) -> Exit {
    caught(run).unwrap_or_else(|bug| {
        warn(&told(&bug, NO_FILE));
        Exit::Bug
    })
}

/// Runs the program. What else may panic is caught too, and told in a plain message: nobody at a forge should read a
/// backtrace.
pub fn program(run: impl FnOnce() -> Exit) -> ExitCode {
    std::panic::set_hook(Box::new(|info| {
        let place = info.location().map_or_else(|| "somewhere".to_owned(), ToString::to_string);
        warn_line(&told(&Bug { what: "the work broke off".to_owned(), place }, NO_FILE));
    }));
    let exit = catch_unwind(AssertUnwindSafe(|| guarded(run, warn_line))).unwrap_or(Exit::Bug);
    if arrived() { exit.into() } else { exit.max(Exit::Usage).into() }
}

#[cfg(test)]
mod tests {
    use super::{Exit, guarded};

    #[test]
    fn a_command_that_comes_upon_a_bug_says_what_and_where_and_ends_with_3() {
        let mut said = String::new();
        let exit = guarded(|| bug!("a bar has {} ends", 3), |text| said = text.to_owned());
        assert_eq!(exit, Exit::Bug);
        for part in ["a bar has 3 ends", "src/cli/guard.rs:", "No file of yours was changed", "Please report"]
        {
            assert!(said.contains(part), "{part}: {said}");
        }
        let mut said = String::new();
        assert_eq!(guarded(|| Exit::Met, |text| said = text.to_owned()), Exit::Met);
        assert_eq!(said, "");
    }
}
