//! Other figures for one run, as `ADDRESS=FIGURE`. The file stays as it is.

use super::figure::figure;
use crate::language::Set;
use crate::replay::Plan;
use crate::source::quoted;

/// What is to be set, read as a recipe would read it.
///
/// # Errors
/// What is no address or no figure.
pub fn wanted(set: &[String]) -> Result<Vec<Set>, String> {
    let mut made: Vec<Set> = Vec::new();
    for text in set {
        let like = "write it like `--set \"bright thick = 2 mm\"`";
        let (address, value) =
            text.split_once('=').ok_or_else(|| format!("`--set {text}` sets nothing: {like}"))?;
        let address = address.split_whitespace().collect::<Vec<_>>().join(" ");
        let (value, kind) = figure(value.trim()).map_err(|why| format!("`--set {text}`: {why}"))?;
        if made.iter().any(|m| m.address == address) {
            return Err(format!("`{address}` is set twice"));
        }
        made.push(Set { address, value, kind, found: None });
    }
    Ok(made)
}

/// Whether all that was to be set was found, and is of its kind.
///
/// # Errors
/// The first that was not.
pub(super) fn check(plan: &Plan, set: &[Set]) -> Result<(), String> {
    for one in set {
        let Some(kind) = one.found else { return Err(no_address(plan, &one.address)) };
        if kind != one.kind && !(kind.is_plain() && one.kind.is_plain()) {
            let (is, given, like) = (kind.name(), one.kind.name(), kind.example());
            return Err(format!(
                "`{}` is {is}, and cannot be set to {given}: write it like {like}",
                one.address
            ));
        }
    }
    Ok(())
}

/// The sentence that an address is none here, with the nearest that is one.
#[must_use]
pub fn no_address(plan: &Plan, address: &str) -> String {
    let all = plan.slots.iter().map(|s| s.address.as_str()).filter(|a| !a.is_empty());
    let near = all.clone().map(|a| (strsim::damerau_levenshtein(address, a), a)).min();
    let meant = match near {
        Some((far, near)) if far <= 4 => format!("did you mean `{near}`"),
        _ => {
            format!("some figures here are {}", quoted(all.take(8)))
        }
    };
    format!("no figure here goes by `{address}`; {meant}")
}
