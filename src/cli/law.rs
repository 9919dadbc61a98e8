//! `heatbook law [NAME key=value …]`: the published laws, to be checked against a handbook.

use clap::Args;

use super::output::{Done, Options};
use crate::quantity::{Kind, Units};
use crate::report::{LawsPage, Worked, in_inches};
use crate::source::quoted;
use crate::steel::catalogue::law::{Input, Law as Published};

/// Lists the published laws, or works one out.
#[derive(Args, Debug)]
pub struct Law {
    /// The law; without it, all are listed
    name: Option<String>,
    /// Its figures, as `key=value` with their units, such as `temperature=2200F`
    #[arg(value_name = "KEY=VALUE")]
    figures: Vec<String>,
}

impl Law {
    /// Runs the command.
    pub fn run(&self, options: &Options) -> Done {
        let units = options.units_asked().unwrap_or(Units::Metric);
        match &self.name {
            None => options.respond(&LawsPage(units)),
            Some(name) => options.respond(&work(find(name)?, &self.figures, units)?),
        }
    }
}

fn find(name: &str) -> Result<&'static Published, String> {
    if let Some(law) = crate::steel::laws().find(|law| law.name == name) {
        return Ok(law);
    }
    let near = crate::steel::laws().map(|l| (strsim::damerau_levenshtein(name, l.name), l.name)).min();
    let meant =
        near.filter(|(far, _)| *far <= 4).map_or(String::new(), |(_, n)| format!("; did you mean `{n}`"));
    Err(format!("there is no law `{name}`{meant}; `heatbook law` lists them all"))
}

fn work(law: &'static Published, figures: &[String], units: Units) -> Result<Worked, String> {
    let keys = || quoted(law.inputs.iter().map(|i| i.key));
    let mut given = std::collections::BTreeMap::new();
    for figure in figures {
        let Some((key, value)) = figure.split_once('=') else {
            return Err(format!("`{figure}` is no `key=value`; `{}` takes {}", law.name, keys()));
        };
        let Some(input) = law.inputs.iter().find(|i| i.key == key.trim()) else {
            return Err(format!("`{}` takes no `{key}`; it takes {}", law.name, keys()));
        };
        if given.insert(input.key, value_of(input, value)?).is_some() {
            return Err(format!("`{key}` is given twice"));
        }
    }
    let inputs = law.inputs.iter().map(|i| {
        given.get(i.key).copied().or(i.default).ok_or_else(|| {
            let unit = if units == Units::Inch { in_inches(0.0, i.unit).1 } else { i.unit };
            let unit = if unit.is_empty() { String::new() } else { format!(" in {unit}") };
            format!("`{}` needs `{}`: {}{unit}", law.name, i.key, i.what)
        })
    });
    Ok(Worked { law, inputs: inputs.collect::<Result<_, _>>()?, units })
}

/// A figure in the unit of its input: read as a recipe would read it; a bare number is in that unit already.
fn value_of(input: &Input, text: &str) -> Result<f64, String> {
    let (value, kind) =
        crate::workshop::figure(text).map_err(|why| format!("`{}={text}`: {why}", input.key))?;
    let plain = text.trim().trim_start_matches('-').chars().all(|c| c.is_ascii_digit() || "./ -".contains(c));
    if kind == Kind::NUMBER && plain {
        return Ok(value);
    }
    // From the base unit of the kind to the law's unit.
    let wanted = match input.unit {
        "mm" => (Kind::LENGTH, 1.0),
        "um" => (Kind::LENGTH, 1000.0),
        "in" => (Kind::LENGTH, 1.0 / 25.4),
        "mm2" => (Kind::AREA, 1.0),
        "mm3" => (Kind::VOLUME, 1.0),
        "C" => (Kind::TEMPERATURE, 1.0),
        "s" => (Kind::TIME, 60.0),
        "min" => (Kind::TIME, 1.0),
        "h" => (Kind::TIME, 1.0 / 60.0),
        "%" => (Kind::RATIO, 100.0),
        "kN" => (Kind::FORCE, 1.0),
        "g" => (Kind::MASS, 1.0),
        "kg" => (Kind::MASS, 0.001),
        "deg" => (Kind::ANGLE, 1.0),
        "kg/m3" => (Kind::DENSITY, 1e6),
        _ => (Kind::NUMBER, 1.0),
    };
    if kind != wanted.0 {
        let bare = input.unit.is_empty();
        let takes = if bare { "a bare number".to_owned() } else { format!("a figure in {}", input.unit) };
        return Err(format!("`{}` takes {takes}, and `{text}` is {}", input.key, kind.name()));
    }
    Ok(value * wanted.1)
}
