//! `heatbook completions SHELL` and `heatbook man`: what a shell and a manual reader want.

use std::any::TypeId;

use clap::builder::PossibleValuesParser;
use clap::{Arg, Args, Command, ValueHint};
use clap_complete::Shell;

use super::disk::Named;
use super::exit::Exit;
use super::output::{Done, print};
use crate::manual::{self, Topic};
use crate::source::quoted;

/// Prints a script that completes commands, options, words of the language and recipes in a shell.
#[derive(Args, Debug)]
pub struct Completions {
    /// The shell
    shell: Shell,
}

impl Completions {
    /// Runs the command; `whole` is the program as its user sees it.
    pub fn run(&self, whole: Command) -> Done {
        let mut script = Vec::new();
        clap_complete::generate(self.shell, &mut offering(whole), "heatbook", &mut script);
        let script = String::from_utf8_lossy(&script);
        print(&match self.shell {
            Shell::Bash => script.replace("complete -F _heatbook ", "complete -F _heatbook_recipes ") + BASH,
            Shell::Zsh => script.replace(":_files'", ":_files -g \"*.heat\"'"),
            Shell::Fish => script.into_owned() + &fish(),
            // What stands behind a command is left to the shell itself.
            _ => script.into_owned(),
        });
        Ok(Exit::Met)
    }
}

/// The commands that take words of the language, with the topics whose names they take; nothing: any.
const WORDS: [(&str, Option<Topic>); 3] =
    [("steels", Some(Topic::Steel)), ("law", Some(Topic::Law)), ("explain", None)];

/// Names that no shell reads otherwise.
fn names(topic: Option<Topic>) -> Vec<&'static str> {
    let plain = |name: &&str| name.chars().all(|c| c.is_ascii_alphanumeric() || "-_.".contains(c));
    let pages = manual::pages().iter().filter(|page| topic.is_none_or(|topic| topic == page.topic));
    let topics = Topic::ALL.into_iter().map(Topic::word).filter(|_| topic.is_none());
    let mut names: Vec<&str> = pages.map(|page| page.name.as_str()).filter(plain).chain(topics).collect();
    names.sort_unstable();
    names.dedup();
    names
}

/// The program as completion is to see it: with the names that may stand behind a command, and where recipes stand.
fn offering(mut whole: Command) -> Command {
    for (command, topic) in WORDS {
        whole = whole.mut_subcommand(command, |command| {
            command.mut_args(|arg| {
                if arg.is_positional() && arg.get_id() != "figures" {
                    arg.value_parser(PossibleValuesParser::new(names(topic)))
                } else {
                    arg
                }
            })
        });
    }
    let recipes = |arg: Arg| {
        let named = arg.is_positional() && arg.get_value_parser().type_id() == TypeId::of::<Named>();
        if named { arg.value_hint(ValueHint::FilePath) } else { arg }
    };
    whole.mut_subcommands(|command| command.mut_args(recipes))
}

/// Recipes and folders go before other files, where nothing else is offered.
const BASH: &str = r#"
_heatbook_recipes() {
    _heatbook "$@"
    if [[ ${#COMPREPLY[@]} -eq 0 ]] ; then
        local cur="${COMP_WORDS[COMP_CWORD]}" IFS=$'\n'
        COMPREPLY=( $(compgen -f -X '!*.heat' -- "${cur}") $(compgen -d -- "${cur}") )
        compopt -o filenames 2> /dev/null
    fi
}
"#;

fn fish() -> String {
    let words = WORDS.map(|(command, topic)| {
        let names = names(topic).join(" ");
        format!("complete -c heatbook -n \"__fish_heatbook_using_subcommand {command}\" -f -a \"{names}\"\n")
    });
    let recipes = "complete -c heatbook -n \"not __fish_heatbook_needs_command\" -k -a \"(__fish_complete_suffix .heat)\"\n";
    words.concat() + recipes
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
