//! What each piece comes to, over the line that last made it or changed it.

use std::collections::BTreeMap;

use lsp_types::{CodeLens, CodeLensParams, Command};

use super::documents::View;
use super::figures;

/// A line of words over the step that is the last to give a piece of a name.
pub fn lenses(view: &View, _: &CodeLensParams) -> Option<Vec<CodeLens>> {
    let analysis = view.analysis;
    // By the scope of its name, too: what is called so inside a recipe is another piece.
    let mut last = BTreeMap::new();
    for step in &analysis.plan.steps {
        if analysis.own_stretch(step.span).is_none() {
            continue;
        }
        let scope = analysis.scope_at(step.span.start);
        for id in &step.gives {
            if analysis.plan.ground.lots[*id].racked || analysis.build.lot(*id).is_none() {
                continue;
            }
            let known =
                last.entry((scope, analysis.plan.ground.lot_name(*id))).or_insert((step.span, *id, 0));
            let runs = if known.0 == step.span { known.2 + 1 } else { 1 };
            *known = (step.span, *id, runs);
        }
    }
    let mut lenses: Vec<CodeLens> = last
        .into_iter()
        .filter_map(|((_, name), (span, id, runs))| {
            let of = if runs > 1 { format!(", last of {runs} runs") } else { String::new() };
            let title = format!("{name}{of}: {}", figures::told(analysis, id)?);
            // Words alone: nothing is done where they are clicked.
            let command = Command { title, command: String::new(), arguments: None };
            Some(CodeLens { range: view.range(span)?, command: Some(command), data: None })
        })
        .collect();
    lenses.sort_by_key(|lens| lens.range.start);
    Some(lenses)
}
