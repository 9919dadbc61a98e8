//! The command line: one file a command, all of them thin.

mod calibrate;
mod check;
mod compare;
mod completions;
mod disk;
mod exit;
mod explain;
mod fill;
mod fmt;
mod law;
mod lsp;
mod new;
mod nudge;
mod odds;
mod output;
mod prompt;
mod rack;
mod replay;
mod rescue;
mod run;
mod steels;
mod sweep;
mod template;
mod watch;
mod why;
mod work;
mod write;

use std::process::ExitCode;

use clap::{CommandFactory as _, Parser, Subcommand};

use exit::Exit;

/// Forging pattern-welded blades: says where the steel goes before the fire is lit.
#[derive(Parser, Debug)]
#[command(name = "heatbook", version, about, max_term_width = 100)]
#[command(after_help = "Exit codes: 0 all met; 1 the recipe is at fault or a target is missed; \
2 wrong usage or a file that cannot be read; 3 a bug of ours.\n\
Sizes only: a bad weld, a crack or an inclusion cannot be seen from here: etch and test before use.")]
struct Cli {
    #[command(flatten)]
    options: output::Options,
    #[command(subcommand)]
    command: Command,
}

#[derive(Subcommand, Debug)]
enum Command {
    /// Says whether recipes can make their spec, on one screen
    Check(check::Check),
    /// Prints the step list to pin up: sizes cold and hot, mass, layers, losses, what to buy
    Run(run::Run),
    /// Says which step took or gave each millimetre or gram of a piece
    Why(why::Why),
    /// Finds the values that stand for each `?`
    Fill(fill::Fill),
    /// Varies one or two figures over a range: table, plot, CSV, SVG
    Sweep(sweep::Sweep),
    /// How much each figure moves each target, the strongest first
    Nudge(nudge::Nudge),
    /// Two recipes side by side, or one with two figures
    Compare(compare::Compare),
    /// Puts recipes into the house style; the only thing it changes is blanks and line ends
    Fmt(fmt::Fmt),
    /// Works lines as you type them, and answers "what if"
    Prompt(prompt::Prompt),
    /// Writes a starting recipe that makes the sizes you name
    New(new::New),
    /// Checks a recipe again each time that it is saved
    Watch(watch::Watch),
    /// Explains a word of the language, a fault, or the recipes of a file that can be called
    Explain(explain::Explain),
    /// The chance that each target is met, when figures are not known exactly
    Odds(odds::Odds),
    /// A real build against its plan: what was foretold, what was measured, what nobody can explain
    Replay(replay::Replay),
    /// Ways to meet a missed target, each run, the cheapest first
    Rescue(rescue::Rescue),
    /// What a build leaves over, as recipes for the next one to call
    Rack(rack::Rack),
    /// The shop's own figures from its measured builds: a block to paste, no file is changed
    Calibrate(calibrate::Calibrate),
    /// Draws a blade's outline and sections at true scale, for a card template
    Template(template::Template),
    /// Serves an editor: the language server, over standard input and output
    Lsp(lsp::Lsp),
    /// Lists the steels of the table, with what is known of each
    Steels(steels::Steels),
    /// Lists the published laws, or works one out: figure, limits, source, how sure it is
    Law(law::Law),
    /// Prints a script that completes commands and options in a shell
    Completions(completions::Completions),
    /// Prints a manual page: of the whole, or of one command
    Man(completions::Man),
}

/// Runs the program.
#[must_use]
pub fn main() -> ExitCode {
    exit::program(|| match Cli::try_parse() {
        Ok(cli) => match &cli.command {
            Command::Check(command) => command.run(&cli.options),
            Command::Run(command) => command.run(&cli.options),
            Command::Why(command) => command.run(&cli.options),
            Command::Fill(command) => command.run(&cli.options),
            Command::Sweep(command) => command.run(&cli.options),
            Command::Nudge(command) => command.run(&cli.options),
            Command::Compare(command) => command.run(&cli.options),
            Command::Fmt(command) => command.run(&cli.options),
            Command::Prompt(command) => command.run(&cli.options),
            Command::New(command) => command.run(),
            Command::Watch(command) => command.run(&cli.options),
            Command::Explain(command) => command.run(&cli.options),
            Command::Odds(command) => command.run(&cli.options),
            Command::Replay(command) => command.run(&cli.options),
            Command::Rescue(command) => command.run(&cli.options),
            Command::Rack(command) => command.run(&cli.options),
            Command::Calibrate(command) => command.run(&cli.options),
            Command::Template(command) => command.run(&cli.options),
            Command::Lsp(command) => command.run(&cli.options),
            Command::Steels(command) => command.run(&cli.options),
            Command::Law(command) => command.run(&cli.options),
            Command::Completions(command) => command.run(Cli::command()),
            Command::Man(command) => command.run(Cli::command()),
        },
        Err(error) => {
            let _ = error.print();
            if error.use_stderr() { Exit::Usage } else { Exit::Met }
        }
    })
}
