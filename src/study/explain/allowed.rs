//! Warnings that the smith has answered: `allow hot_for_steel "the coke fire is never even"`.

use crate::replay::{Allowed, Plan};
use crate::source::{Code, Diagnostic, Severity, Span};

/// What nobody's word makes harmless: a press beyond its rating, and steel that burns.
const NEVER: &[Code] = &[Code::WeakPress, Code::Burning];

/// Takes the warnings away that were answered; what an `allow` does not answer is a warning of its own. Gives those that answered some.
pub fn answered<'p>(plan: &'p Plan, warnings: &mut Vec<Diagnostic>) -> Vec<&'p Allowed> {
    let (mut used, mut idle) = (Vec::new(), Vec::new());
    for allowed in &plan.allowed {
        let before = warnings.len();
        let why_not = match allowed.code {
            None => Some(unknown(allowed)),
            Some(code) if code.severity() == Severity::Fault => Some((
                "a fault cannot be allowed".to_owned(),
                "mend it: a recipe at fault cannot be worked as written".to_owned(),
            )),
            Some(code) if NEVER.contains(&code) => Some((
                format!("`{code}` cannot be allowed: it can hurt"),
                "change the step, as the warning says".to_owned(),
            )),
            Some(code) => {
                warnings.retain(|warning| warning.code != code || !speaks_of(warning, allowed.step));
                (warnings.len() == before).then(|| {
                    let place = match allowed.step {
                        Some(_) => "of the step before it",
                        None => "here",
                    };
                    let help = "take it away; or put it right behind the step that the warning points at, or into the shop, where it answers for all steps";
                    (format!("no `{code}` {place} is there to be allowed"), help.to_owned())
                })
            }
        };
        match why_not {
            None => used.push(allowed),
            Some((message, help)) => {
                idle.push(Code::UnusedAllow.says(message).at(allowed.span, "this allows nothing").help(help));
            }
        }
    }
    warnings.extend(idle);
    used
}

fn unknown(allowed: &Allowed) -> (String, String) {
    let names = Code::ALL.iter().filter(|code| code.severity() == Severity::Warning).map(|code| code.name());
    let near = names.map(|name| (strsim::damerau_levenshtein(&allowed.name, name), name)).min();
    let near = near.filter(|(far, name)| far * 3 <= name.len()).map(|(_, name)| name);
    let help = near.map_or_else(
        || "write the code of the warning, as it stands above it behind `heatbook::`".to_owned(),
        |near| format!("did you mean `{near}`"),
    );
    (format!("no warning is called `{}`", allowed.name), help)
}

/// Whether a warning points at a step, or at words of one; where no step is named, at anything.
fn speaks_of(warning: &Diagnostic, step: Option<Span>) -> bool {
    let inside = |a: Span, b: Span| a.start >= b.start && a.end <= b.end;
    step.is_none_or(|step| warning.labels.iter().any(|label| inside(label.span, step)))
}
