//! Figures that are told outside of a recipe, read as a recipe would read them.

use crate::language;
use crate::quantity::Kind;
use crate::source::Files;

/// A figure with its unit, such as `2200F` or `1 1/2 in`: its base value and its kind.
///
/// # Errors
/// Why it is none.
pub fn figure(text: &str) -> Result<(f64, Kind), String> {
    let mut files = Files::default();
    let base = files.add("a figure", format!("let a = {text}")).ok_or("no figure is so long")?;
    let (plan, found) = language::read(&files, base);
    let slots = plan.slots.iter().zip(&plan.values.0);
    let read = slots.filter(|(info, _)| info.address == "a").map(|(info, value)| (*value, info.kind)).next();
    if let (Some(figure), true) = (read, found.is_empty() && plan.asks.is_empty()) {
        return Ok(figure);
    }
    let why = found.first().map_or(String::new(), |f| {
        f.help.as_ref().map_or(format!(": {}", f.message), |help| format!(": {} ({help})", f.message))
    });
    Err(format!("`{text}` is no figure{why}"))
}
