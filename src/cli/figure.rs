//! Figures on the command line, read as a recipe would read them.

use crate::language;
use crate::quantity::Kind;
use crate::source::Files;

/// A figure with its unit, such as `2200F` or `1 1/2 in`: its base value and its kind.
///
/// # Errors
/// Why it is none.
pub fn figure(text: &str) -> Result<(f64, Kind), String> {
    let mut files = Files::default();
    let base = files.add("a figure", format!("let a = {text}")).unwrap_or(0);
    let (plan, faults) = language::read(&files, base);
    let slot = plan.slots.iter().position(|s| s.address == "a");
    let read = slot.and_then(|i| Some((plan.values.0.get(i).copied()?, plan.slots.get(i)?.kind)));
    if let (Some((value, kind)), true) = (read, faults.is_empty() && plan.asks.is_empty()) {
        return Ok((value, kind));
    }
    let why = faults.first().map_or(String::new(), |f| {
        f.help.as_ref().map_or(format!(": {}", f.message), |help| format!(": {} ({help})", f.message))
    });
    Err(format!("`{text}` is no figure{why}"))
}
