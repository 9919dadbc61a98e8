//! Other figures for one run, as `ADDRESS=FIGURE`. The file stays as it is.

use super::figure::figure;
use crate::language::Set;
use crate::replay::Plan;

/// What is to be set, read as a recipe would read it.
///
/// # Errors
/// What is no address or no figure.
pub fn wanted(set: &[String]) -> Result<Vec<Set>, String> {
    let mut made: Vec<Set> = Vec::new();
    for text in set {
        let Some((address, value)) = text.split_once('=') else {
            return Err(format!(
                "`--set {text}` sets nothing: write it like `--set \"bright thick = 2 mm\"`"
            ));
        };
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
        match one.found {
            None => return Err(no_address(plan, &one.address)),
            Some(kind) if kind != one.kind && !(kind.is_plain() && one.kind.is_plain()) => {
                return Err(format!(
                    "`{}` is {}, and cannot be set to {}: write it like {}",
                    one.address,
                    kind.name(),
                    one.kind.name(),
                    kind.example()
                ));
            }
            Some(_) => {}
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
            let some: Vec<String> = all.take(8).map(|a| format!("`{a}`")).collect();
            format!("some figures here are {}", some.join(", "))
        }
    };
    format!("no figure here goes by `{address}`; {meant}")
}
