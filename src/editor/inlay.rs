//! Hints between the lines: what the piece measures after each step.

use lsp_types::{InlayHint, InlayHintLabel, InlayHintParams, InlayHintTooltip};

use super::documents::View;
use super::figures;

/// The hints of the lines in a range.
pub fn hints(view: &View, asked: &InlayHintParams) -> Option<Vec<InlayHint>> {
    let analysis = view.analysis;
    let (from, to) = (view.address(asked.range.start), view.address(asked.range.end));
    let mut made: Vec<(u32, InlayHint, usize)> = Vec::new();
    for step in &analysis.plan.steps {
        let inside = step.span.end >= from && step.span.start <= to;
        if !inside {
            continue;
        }
        // The first that it gives is what the step is for; one that only looks at a piece needs no hint.
        let Some(lot) = step.gives.first().and_then(|id| analysis.build.lot(*id)) else { continue };
        let Some(stretch) = analysis.own_stretch(step.span) else { continue };
        let count = if lot.count == 1 { String::new() } else { format!("{} of ", lot.count) };
        let label = format!("{count}{}", figures::sizes(lot, analysis.units));
        let tooltip = step.gives.first().and_then(|id| figures::told(analysis, *id));
        let hint = InlayHint {
            position: view.text.position(stretch.1),
            label: InlayHintLabel::String(label),
            kind: None,
            text_edits: None,
            tooltip: tooltip.map(InlayHintTooltip::String),
            padding_left: Some(true),
            padding_right: None,
            data: None,
        };
        // A line that is worked more than once shows its last run.
        match made.iter_mut().rev().find(|(at, _, _)| *at == step.span.start) {
            Some(known) => *known = (step.span.start, hint, known.2 + 1),
            None => made.push((step.span.start, hint, 1)),
        }
    }
    let finished = |(_, mut hint, runs): (u32, InlayHint, usize)| {
        if runs > 1
            && let InlayHintLabel::String(label) = &mut hint.label
        {
            *label += &format!(" (last of {runs} runs)");
        }
        hint
    };
    Some(made.into_iter().map(finished).collect())
}
