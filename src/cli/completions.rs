//! `heatbook completions SHELL` and `heatbook man`: what a shell and a manual reader want.

use clap::{Args, Command};
use clap_complete::Shell;

use super::exit::Exit;
use super::output::{Done, print};
use crate::source::quoted;

/// Prints a script that completes commands and options in a shell.
#[derive(Args, Debug)]
pub struct Completions {
    /// The shell
    shell: Shell,
}

impl Completions {
    /// Runs the command; `whole` is the program as its user sees it.
    pub fn run(&self, mut whole: Command) -> Done {
        let mut script = Vec::new();
        clap_complete::generate(self.shell, &mut whole, "heatbook", &mut script);
        print(&String::from_utf8_lossy(&script));
        Ok(Exit::Met)
    }
}

/// Prints a manual page: of the whole, or of one command.
#[derive(Args, Debug)]
pub struct Man {
    /// The command
    command: Option<String>,
}

impl Man {
    /// Runs the command; `whole` is the program as its user sees it.
    pub fn run(&self, mut whole: Command) -> Done {
        whole.build();
        let wanted = match &self.command {
            None => whole,
            Some(name) => match whole.find_subcommand(name) {
                Some(found) => found.clone().display_name(format!("heatbook-{name}")),
                None => {
                    let all = quoted(whole.get_subcommands().map(Command::get_name));
                    return Err(format!("there is no command `{name}`: the commands are {all}").into());
                }
            },
        };
        let mut page = Vec::new();
        if let Err(error) = clap_mangen::Man::new(wanted).render(&mut page) {
            bug!("a page of the manual cannot be made: {error}");
        }
        print(&String::from_utf8_lossy(&page));
        Ok(Exit::Met)
    }
}
