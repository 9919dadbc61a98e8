//! `heatbook steels`: the table of steels.

use clap::Args;

use super::output::{Done, Options};
use crate::quantity::Units;
use crate::report::SteelsPage;
use crate::steel::grades;

/// Lists the steels of the table.
#[derive(Args, Debug)]
pub struct Steels {
    /// Only these
    names: Vec<String>,
}

impl Steels {
    /// Runs the command.
    pub fn run(&self, options: &Options) -> Done {
        let mut list = Vec::new();
        for name in &self.names {
            let Some(grade) = grades::find(name) else {
                let meant = grades::nearest(name).map_or(String::new(), |m| format!("; did you mean `{m}`"));
                return Err(format!("there is no steel `{name}` in the table{meant}").into());
            };
            list.push(grade);
        }
        if list.is_empty() {
            list.extend(grades::all());
        }
        options.respond(&SteelsPage(&list, options.units_asked().unwrap_or(Units::Metric)))
    }
}
