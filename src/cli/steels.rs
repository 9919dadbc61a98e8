//! `heatbook steels`: the table of steels.

use clap::Args;

use super::exit::Exit;
use super::output::{Format, Options, answer, warn_line};
use crate::report::{steels_csv, steels_json, steels_text};
use crate::steel::grades;

/// Lists the steels of the table.
#[derive(Args, Debug)]
pub struct Steels {
    /// Only these
    names: Vec<String>,
}

impl Steels {
    /// Runs the command.
    pub fn run(&self, options: &Options) -> Exit {
        let mut list = Vec::new();
        for name in &self.names {
            let Some(grade) = grades::find(name) else {
                let meant = grades::nearest(name).map_or(String::new(), |m| format!("; did you mean `{m}`"));
                warn_line(&format!("there is no steel `{name}` in the table{meant}"));
                return Exit::Usage;
            };
            list.push(grade);
        }
        if list.is_empty() {
            list.extend(grades::all());
        }
        answer(&match options.format {
            Format::Table => steels_text(&list),
            Format::Json => steels_json(&list),
            Format::Csv => steels_csv(&list),
        });
        Exit::Met
    }
}
