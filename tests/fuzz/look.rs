//! What an answer must look like, whatever was asked.

use boon::{Compiler, SchemaIndex, Schemas};
use serde_json::Value;
use std::collections::BTreeMap;
use std::sync::OnceLock;

/// The sort of a letter that may drive a terminal; line ends and tabs do not.
pub fn drives(c: char) -> bool {
    let control = c.is_control() && c != '\n' && c != '\t';
    control
        || matches!(c, '\u{2028}'..='\u{202e}' | '\u{2066}'..='\u{2069}' | '\u{200e}' | '\u{200f}' | '\u{61c}')
}

/// Words that are no figures.
fn no_figure(text: &str) -> Option<&str> {
    text.split(|c: char| !c.is_alphanumeric()).find(|w| matches!(*w, "inf" | "NaN" | "nan" | "infinity"))
}

/// A text for people or for spreadsheets: no figure in it is none. What the reader wrote himself may stand in it.
pub fn text(what: &str, said: &str, wrote: &str) -> Result<(), String> {
    match no_figure(said).filter(|w| !wrote.to_lowercase().contains(&w.to_lowercase())) {
        Some(word) => {
            let line = said.lines().find(|l| no_figure(l).is_some()).unwrap_or("");
            Err(format!("no figure in {what}: {line} (`{word}`)"))
        }
        None => Ok(()),
    }
}

/// Nothing in it drives a terminal.
pub fn tame(what: &str, said: &str) -> Result<(), String> {
    match said.chars().find(|c| drives(*c)) {
        Some(c) => {
            let line = said.lines().find(|l| l.chars().any(drives)).unwrap_or("");
            Err(format!("a raw letter: {c:?} in {what}: {line:?}"))
        }
        None => Ok(()),
    }
}

/// An answer in JSON: it is of the shape that it names, in which a figure that does not exist is no figure.
pub fn json(what: &str, said: &str) -> Result<(), String> {
    static SHAPES: OnceLock<(Schemas, BTreeMap<&'static str, SchemaIndex>)> = OnceLock::new();
    let (schemas, named) = SHAPES.get_or_init(|| {
        let (mut schemas, mut compiler) = (Schemas::new(), Compiler::new());
        let mut named = BTreeMap::new();
        for (name, schema) in heatbook::report::schemas() {
            let at = format!("file:///{name}.json");
            compiler.add_resource(&at, schema.to_value()).unwrap();
            named.insert(name, compiler.compile(&at, &mut schemas).unwrap());
        }
        (schemas, named)
    });
    let value: Value = serde_json::from_str(said).map_err(|error| format!("no JSON in {what}: {error}"))?;
    let name = value["schema"].as_str().ok_or_else(|| format!("no schema in {what}: {said:.80}"))?;
    // Of what is longer than that, a part that is as it should be is told a thousand times over.
    if said.len() > 200_000 {
        return Ok(());
    }
    let index = named.get(name).ok_or_else(|| format!("no such schema in {what}: {name}"))?;
    schemas.validate(&value, *index).map_err(|error| format!("not of its shape in {what}: {error:#}"))
}
