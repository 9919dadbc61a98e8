//! Options that every command takes, and writing what it says. A closed pipe is no mistake.

use std::io::{ErrorKind, IsTerminal, Write};
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicBool, Ordering};

use clap::{Args, ValueEnum};
use terminal_size::terminal_size;

use super::disk::{Disk, Named};
use super::exit::Exit;
use crate::quantity::Units;
use crate::replay::Plan;
use crate::report::{Answer, COLUMNS, Style, Unanswered, json_text, said, shown};
use crate::source::{Diagnostic, Files};
use crate::workshop::{Missing, Recipes, Sources};

/// Options of every command.
#[derive(Args, Clone, Debug)]
pub struct Options {
    /// Another figure for this run, such as `--set "weld 2 thinning = 12 %"`; may stand several times
    #[arg(long, global = true, value_name = "ADDRESS=FIGURE")]
    pub set: Vec<String>,
    /// Lets `use` bring files from outside the recipe's folder
    #[arg(long, global = true)]
    pub allow_outside: bool,
    /// The file that says what the shop has, or `none`; without it, the next `shop.heat` upward
    #[arg(long, global = true, value_name = "FILE|none")]
    shop: Option<Named>,
    /// The file that says what lies on the rack, for `stock x = NAME from rack`; `rack --into` writes it
    #[arg(long, global = true, value_name = "FILE")]
    rack: Option<Named>,
    /// Units to show; without it, those that the recipe is written in
    #[arg(long, global = true, value_enum)]
    units: Option<UnitsArg>,
    /// Form of the answer (JSON is always in mm and g)
    #[arg(long, global = true, value_enum, default_value = "table")]
    pub format: Format,
    /// Form of faults and warnings
    #[arg(long, global = true, value_enum, default_value = "human")]
    error_format: ErrorFormat,
    /// What also makes the program end with 1: warnings that the recipe does not allow
    #[arg(long, global = true, value_enum)]
    deny: Option<Deny>,
    /// Shows no warnings; how many there are is still said
    #[arg(long, short, global = true)]
    pub quiet: bool,
    /// Colour in faults and warnings
    #[arg(long, global = true, value_enum, default_value = "auto")]
    color: Colour,
}

#[derive(Clone, Copy, Debug, ValueEnum)]
enum UnitsArg {
    Mm,
    In,
}

/// Form of an answer.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum Format {
    /// For people
    #[value(alias = "text")]
    Table,
    /// For programs
    Json,
    /// For spreadsheets
    Csv,
    /// Drawn in lines; of `picture` only
    Svg,
    /// Drawn in dots; of `picture` only
    Png,
}

#[derive(Clone, Copy, Debug, ValueEnum)]
enum ErrorFormat {
    /// Drawn beside the words
    Human,
    /// In sentences
    Plain,
    /// One line each
    Short,
    /// One JSON object a line
    Json,
    /// Workflow commands, for findings beside a change on a build service
    #[value(name = "github")]
    GitHub,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
enum Deny {
    Warnings,
}

#[derive(Clone, Copy, Debug, ValueEnum)]
enum Colour {
    Auto,
    Always,
    Never,
}

impl Sources for Options {
    fn find(&self, path: &Path) -> Result<PathBuf, Missing> {
        Disk.find(path)
    }

    fn text(&self, full: &Path) -> Result<String, String> {
        Disk.text(full)
    }

    fn shop(&self, folder: &Path) -> Option<PathBuf> {
        match &self.shop {
            None => Disk.shop(folder),
            Some(none) if none.path() == Path::new("none") => None,
            Some(file) => Disk::own(file.path()),
        }
    }

    fn rack(&self) -> Option<PathBuf> {
        self.rack.as_ref().and_then(|rack| Disk::own(rack.path()))
    }

    fn recipes(&self, folder: &Path, deep: bool, most: usize) -> Recipes {
        Disk.recipes(folder, deep, most)
    }
}

impl Options {
    /// The same options with another rack; nothing lies there yet where its file is not there.
    pub fn with_rack(&self, rack: Option<Named>) -> Options {
        Options { rack, ..self.clone() }
    }

    /// The rack's file, where one is named.
    pub fn rack_file(&self) -> Option<&Named> {
        self.rack.as_ref()
    }

    /// Whether the files named for shop and rack are there.
    ///
    /// # Errors
    /// That one is not.
    pub fn check_shop(&self) -> Result<(), String> {
        if let Some(rack) = self.rack.as_ref().filter(|rack| !rack.path().is_file()) {
            return Err(format!("cannot read the rack's `{rack}`: no such file is there"));
        }
        match self.shop.as_ref().filter(|shop| shop.path() != Path::new("none")) {
            Some(shop) if !shop.path().is_file() => {
                Err(format!("cannot read the shop's `{shop}`: no such file is there"))
            }
            _ => Ok(()),
        }
    }

    /// The units to show a recipe in.
    pub fn units(&self, plan: &Plan) -> Units {
        self.units_asked().unwrap_or(plan.units())
    }

    /// The units that were asked for, where any were.
    pub fn units_asked(&self) -> Option<Units> {
        self.units.map(|units| match units {
            UnitsArg::Mm => Units::Metric,
            UnitsArg::In => Units::Inch,
        })
    }

    /// Whether a warning is as bad as a fault.
    pub fn denies_warnings(&self) -> bool {
        self.deny == Some(Deny::Warnings)
    }

    /// Whether something is in colour that goes to a terminal or elsewhere.
    pub fn colour_in(&self, terminal: bool) -> bool {
        match self.color {
            Colour::Always => true,
            Colour::Never => false,
            Colour::Auto => {
                // By custom an empty NO_COLOR asks for nothing, and a dumb terminal knows no colours.
                let asked_not = std::env::var_os("NO_COLOR").is_some_and(|value| !value.is_empty());
                let dumb = std::env::var_os("TERM").is_some_and(|term| term == "dumb");
                !asked_not && !dumb && terminal
            }
        }
    }

    fn style(&self) -> Style {
        let colour = self.colour_in(std::io::stderr().is_terminal());
        match self.error_format {
            ErrorFormat::Human => Style::Human { colour, wide: columns(&std::io::stderr()) },
            ErrorFormat::Plain => Style::Plain,
            ErrorFormat::Short => Style::Short,
            ErrorFormat::Json => Style::Json,
            ErrorFormat::GitHub => Style::GitHub,
        }
    }

    /// Findings as text.
    pub fn as_text(&self, findings: &[&Diagnostic], files: &Files) -> String {
        crate::report::diagnostics(findings, files, self.style())
    }

    /// Writes findings to standard error.
    pub fn findings(&self, findings: &[&Diagnostic], files: &Files) {
        let style = self.style();
        warn(
            &crate::report::diagnostics(findings, files, style),
            matches!(style, Style::Human { colour: true, .. }),
        );
    }
}

/// Columns to write in: those that `COLUMNS` says, or else the terminal's.
pub fn columns(out: &impl IsTerminal) -> usize {
    /// Narrower than this, nothing can be laid out.
    const LEAST: usize = 40;
    let said = std::env::var("COLUMNS").ok().and_then(|said| said.trim().parse::<usize>().ok());
    let known =
        said.filter(|said| *said > 0).or_else(|| Some(out.is_terminal().then(terminal_size)??.0.0.into()));
    known.map_or(COLUMNS, |wide| wide.max(LEAST))
}

/// Why a command gives no answer.
pub enum Stop {
    /// Wrong usage, or a file that cannot be read: in a sentence.
    Usage(String),
    /// Something is wrong with the recipe.
    Found {
        /// Its files.
        files: Files,
        /// What is wrong.
        found: Vec<Diagnostic>,
        /// What to say behind it.
        behind: Option<&'static str>,
    },
}

impl From<String> for Stop {
    fn from(message: String) -> Stop {
        Stop::Usage(message)
    }
}

/// How a command ends: with its answer given, or without one.
pub type Done = Result<Exit, Stop>;

impl Options {
    /// Gives an answer in the form that was asked for.
    ///
    /// # Errors
    /// Wrong usage, where a table is asked for and the answer is none.
    pub fn respond(&self, answer: &impl Answer) -> Done {
        print(&match self.format {
            Format::Table | Format::Svg | Format::Png => answer.page(columns(&std::io::stdout())),
            Format::Json => json_text(answer),
            Format::Csv => match answer.csv() {
                Some(table) => table.text(),
                None => {
                    let message = "this answer is no table: take `--format table` or `--format json`";
                    return Err(Stop::Usage(message.to_owned()));
                }
            },
        });
        Ok(Exit::Met)
    }

    /// Ends a command: where there is no answer, says why not.
    pub fn end(&self, done: Done) -> Exit {
        let (exit, why) = match &done {
            Ok(exit) => return *exit,
            Err(Stop::Usage(message)) => {
                self.fault(message);
                (Exit::Usage, Unanswered::Said(message))
            }
            Err(Stop::Found { files, found, behind }) => {
                self.findings(&found.iter().collect::<Vec<_>>(), files);
                if let Some(behind) = behind {
                    self.note(behind);
                }
                (Exit::Fault, Unanswered::Found(found, files))
            }
        };
        if self.format == Format::Json {
            print(&json_text(&why));
        }
        exit
    }

    /// Says in a sentence what is wrong.
    pub fn fault(&self, message: &str) {
        warn(&said(message, "fault", self.style()), false);
    }

    /// Says something beside the answer.
    pub fn note(&self, message: &str) {
        warn(&said(message, "note", self.style()), false);
    }
}

/// Whether something for standard output was lost on its way: the program then ends as on a file that cannot be written.
static LOST: AtomicBool = AtomicBool::new(false);

/// Whether all that was printed has arrived.
pub fn arrived() -> bool {
    !LOST.load(Ordering::Relaxed)
}

/// Writes to standard output what is no answer: scripts, drawings, recipes.
pub fn print(text: &str) {
    deliver(shown(text, false).as_bytes());
}

/// The same of findings, which may be in colour.
pub fn print_findings(text: &str) {
    deliver(shown(text, true).as_bytes());
}

/// Writes a drawing to standard output, byte for byte.
pub fn print_bytes(bytes: &[u8]) {
    deliver(bytes);
}

/// Writes a file's text to standard output, byte for byte; to a terminal, as it may be shown.
pub fn print_file(text: &str) {
    if std::io::stdout().is_terminal() { print(text) } else { deliver(text.as_bytes()) }
}

/// Writes to standard output. A reader that has gone away is no mistake; a full disk is, and is said once.
fn deliver(bytes: &[u8]) {
    let mut out = std::io::stdout().lock();
    let Err(error) = out.write_all(bytes).and_then(|()| out.flush()) else { return };
    if error.kind() != ErrorKind::BrokenPipe && !LOST.swap(true, Ordering::Relaxed) {
        warn_line(&format!("the answer could not be written: {error}; do not use what has arrived of it"));
    }
}

/// Writes a line to standard error.
pub fn warn_line(text: &str) {
    warn(&format!("{text}\n"), false);
}

/// Writes to standard error; colours pass where they are ours.
fn warn(text: &str, ours: bool) {
    let _ = std::io::stderr().lock().write_all(shown(text, ours).as_bytes());
}
