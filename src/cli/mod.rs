//! The command line: one file a command, all of them thin.

mod calibrate;
mod chart;
mod check;
mod compare;
mod completions;
mod disk;
mod exit;
mod explain;
mod fill;
mod fix;
mod fmt;
mod folder;
mod guard;
mod law;
mod live;
mod log;
mod lsp;
mod new;
mod nudge;
mod odds;
mod output;
mod picture;
mod progress;
mod prompt;
mod quote;
mod rack;
mod replay;
mod rescue;
mod run;
mod sheet;
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
use output::{Done, Format, Options, warn_line};

/// Forging pattern-welded blades: says where the steel goes before the fire is lit.
#[derive(Parser, Debug)]
#[command(name = "heatbook", version, about, max_term_width = 100)]
#[command(after_help = "Exit codes: 0 all met; 1 the recipe is at fault or a target is missed; \
2 wrong usage or a file that cannot be read or written; 3 a bug of ours; 130 stopped by Ctrl-C.\n\
Sizes only: a bad weld, a crack or an inclusion cannot be seen from here: etch and test before use.")]
struct Cli {
    #[command(flatten)]
    options: Options,
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
    /// What a blade costs whoever orders it, how that comes about, and on which days it is made
    Quote(quote::Quote),
    /// What a build leaves over, as stock for the next one; keeps a file of what lies on the rack
    Rack(rack::Rack),
    /// The shop's own figures from its measured builds: a block to paste, no file is changed
    Calibrate(calibrate::Calibrate),
    /// Shows where each steel lies on a face, an edge or a cut of a piece: a picture
    Picture(picture::Picture),
    /// Draws a blade's outline and sections at true scale, for a card template
    Template(template::Template),
    /// Draws where a size of a piece went, step by step, with what its target asks
    Chart(chart::Chart),
    /// Writes the step list as one page to print and pin up, with a box for every reading (HTML)
    Sheet(sheet::Sheet),
    /// Asks for the readings in the order of the sheet's boxes, and writes a build log
    Log(log::Log),
    /// Serves an editor: the language server, over standard input and output
    Lsp(lsp::Lsp),
    /// Lists the steels of the table, with what is known of each
    Steels(steels::Steels),
    /// Lists the published laws, or works one out: figure, limits, source, how sure it is
    Law(law::Law),
    /// Prints a script that completes commands, options, words and recipes in a shell
    Completions(completions::Completions),
    /// Prints a manual page: of the whole, or of one command
    Man(completions::Man),
}

impl Command {
    /// Whether it answers by the forms of `--format`; the others write text, or talk.
    fn answers(&self) -> bool {
        use Command::{Completions, Fmt, Log, Lsp, Man, New, Prompt, Template, Watch};
        !matches!(
            self,
            Fmt(_) | Prompt(_) | New(_) | Watch(_) | Template(_) | Log(_) | Lsp(_) | Completions(_) | Man(_)
        )
    }

    fn run(&self, options: &Options) -> Done {
        let drawn = matches!(options.format, Format::Svg | Format::Png);
        if drawn && !matches!(self, Command::Picture(_)) {
            let message = "only `picture` draws: take `--format table`, `json` or `csv`";
            return Err(message.to_owned().into());
        }
        if options.format != Format::Table && !self.answers() {
            let message = "this command writes text, and no other form of it is known: leave `--format` out";
            return Err(message.to_owned().into());
        }
        match self {
            Command::Check(command) => command.run(options),
            Command::Run(command) => command.run(options),
            Command::Why(command) => command.run(options),
            Command::Fill(command) => command.run(options),
            Command::Sweep(command) => command.run(options),
            Command::Nudge(command) => command.run(options),
            Command::Compare(command) => command.run(options),
            Command::Fmt(command) => command.run(options),
            Command::Prompt(command) => Ok(command.run(options)),
            Command::New(command) => command.run(options),
            Command::Watch(command) => command.run(options),
            Command::Explain(command) => command.run(options),
            Command::Odds(command) => command.run(options),
            Command::Replay(command) => command.run(options),
            Command::Rescue(command) => command.run(options),
            Command::Quote(command) => command.run(options),
            Command::Rack(command) => command.run(options),
            Command::Calibrate(command) => command.run(options),
            Command::Picture(command) => command.run(options),
            Command::Template(command) => command.run(options),
            Command::Chart(command) => command.run(options),
            Command::Sheet(command) => command.run(options),
            Command::Log(command) => command.run(options),
            Command::Lsp(command) => Ok(command.run(options)),
            Command::Steels(command) => command.run(options),
            Command::Law(command) => command.run(options),
            Command::Completions(command) => command.run(Cli::command()),
            Command::Man(command) => command.run(Cli::command()),
        }
    }
}

/// Runs the program.
#[must_use]
pub fn main() -> ExitCode {
    guard::program(|| match Cli::try_parse() {
        Ok(Cli { options, command }) => options.end(command.run(&options)),
        Err(error) => {
            if error.use_stderr() {
                // It repeats what was typed.
                warn_line(error.render().to_string().trim_end());
                return Exit::Usage;
            }
            let _ = error.print();
            Exit::Met
        }
    })
}
