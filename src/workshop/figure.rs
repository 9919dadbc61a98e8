//! Figures that are told outside of a recipe, read as a recipe would read them.

use super::job::Job;
use crate::quantity::Kind;

/// A figure with its unit, such as `2200F` or `1 1/2 in`: its base value and its kind.
///
/// # Errors
/// Why it is none.
pub fn figure(text: &str) -> Result<(f64, Kind), String> {
    let Job { plan, found, .. } = Job::alone("a figure", &format!("let a = {text}"))?;
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
