//! `heatbook completions SHELL` and `heatbook man`: what a shell and a manual reader want.

use clap::{Args, CommandFactory as _};
use clap_complete::Shell;

use super::output::{Done, print};
use super::{Cli, Exit};

/// Prints a script that completes commands and options in a shell.
#[derive(Args, Debug)]
pub struct Completions {
    /// The shell
    shell: Shell,
}

impl Completions {
    /// Runs the command.
    pub fn run(&self) -> Done {
        let mut script = Vec::new();
        clap_complete::generate(self.shell, &mut Cli::command(), "heatbook", &mut script);
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
    /// Runs the command.
    pub fn run(&self) -> Done {
        let mut whole = Cli::command();
        whole.build();
        let wanted = match &self.command {
            None => whole,
            Some(name) => match whole.find_subcommand(name) {
                Some(found) => found.clone().display_name(format!("heatbook-{name}")),
                None => {
                    let names = whole.get_subcommands().map(clap::Command::get_name);
                    let all: Vec<String> = names.map(|n| format!("`{n}`")).collect();
                    let all = all.join(", ");
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
