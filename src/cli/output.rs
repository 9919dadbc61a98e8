//! Options that every command takes, and writing what it says. A closed pipe is no mistake.

use std::io::{IsTerminal, Write};

use clap::{Args, ValueEnum};

use crate::quantity::Units;
use crate::replay::Plan;
use crate::report::Style;
use crate::source::{Diagnostic, Files};

/// Options of every command.
#[derive(Args, Debug)]
pub struct Options {
    /// Another figure for this run, such as `--set "weld 2 thinning = 12 %"`; may stand several times
    #[arg(long, global = true, value_name = "ADDRESS=FIGURE")]
    pub set: Vec<String>,
    /// Lets `use` bring files from outside the recipe's folder
    #[arg(long, global = true)]
    pub allow_outside: bool,
    /// Units to show; without it, those that the recipe is written in
    #[arg(long, global = true, value_enum)]
    units: Option<UnitsArg>,
    /// Form of the answer (JSON is always in mm and g)
    #[arg(long, global = true, value_enum, default_value = "table")]
    pub format: Format,
    /// Form of faults and warnings
    #[arg(long, global = true, value_enum, default_value = "human")]
    error_format: ErrorFormat,
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
    Table,
    /// For programs
    Json,
    /// For spreadsheets
    Csv,
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
}

#[derive(Clone, Copy, Debug, ValueEnum)]
enum Colour {
    Auto,
    Always,
    Never,
}

impl Options {
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

    fn style(&self) -> Style {
        let colour = match self.color {
            Colour::Always => true,
            Colour::Never => false,
            Colour::Auto => std::env::var_os("NO_COLOR").is_none() && std::io::stderr().is_terminal(),
        };
        match self.error_format {
            ErrorFormat::Human => Style::Human { colour },
            ErrorFormat::Plain => Style::Plain,
            ErrorFormat::Short => Style::Short,
            ErrorFormat::Json => Style::Json,
        }
    }

    /// Findings as text.
    pub fn as_text(&self, findings: &[&Diagnostic], files: &Files) -> String {
        crate::report::diagnostics(findings, files, self.style())
    }

    /// Writes findings to standard error.
    pub fn findings(&self, findings: &[&Diagnostic], files: &Files) {
        let text = crate::report::diagnostics(findings, files, self.style());
        let _ = std::io::stderr().lock().write_all(text.as_bytes());
    }
}

/// Writes an answer to standard output.
pub fn answer(text: &str) {
    let mut out = std::io::stdout().lock();
    let _ = out.write_all(text.as_bytes()).and_then(|()| out.flush());
}

/// Writes a line to standard error.
pub fn warn_line(text: &str) {
    let _ = writeln!(std::io::stderr().lock(), "{text}");
}
