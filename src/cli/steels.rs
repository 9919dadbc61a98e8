//! `heatbook steels`: the table of steels.

use clap::Args;

use super::output::{Done, Options};
use crate::quantity::Units;
use crate::report::SteelsPage;
use crate::steel::grades::{self, Grade};

/// Lists the steels of the table.
#[derive(Args, Debug)]
pub struct Steels {
    /// Only these
    names: Vec<String>,
}

impl Steels {
    /// Runs the command.
    pub fn run(&self, options: &Options) -> Done {
        let list = listed(self.names.iter().map(String::as_str))?;
        options.respond(&SteelsPage(&list, options.units_asked().unwrap_or(Units::Metric)))
    }
}

/// The steels of these names; all of the table, where none is named.
///
/// # Errors
/// That one is not in the table.
pub fn listed<'n>(names: impl Iterator<Item = &'n str>) -> Result<Vec<&'static Grade>, String> {
    let of = |name: &str| {
        grades::find(name).ok_or_else(|| {
            let meant = grades::nearest(name).map_or(String::new(), |m| format!("; did you mean `{m}`"));
            format!("there is no steel `{name}` in the table{meant}")
        })
    };
    let named: Vec<&Grade> = names.map(of).collect::<Result<_, _>>()?;
    Ok(if named.is_empty() { grades::all().iter().collect() } else { named })
}
