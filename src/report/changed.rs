//! What changed between two states of a build: only that.

use std::fmt::Write as _;

use crate::piece::{Cause, LotId};
use crate::quantity::show_count;

use super::Page;
use super::verdict::verdict;

/// Pieces made, changed or spent, steel lost, targets: as text; `nothing changes` where that is so.
#[must_use]
pub fn changed_text(before: &Page, after: &Page) -> String {
    let mut text = String::new();
    let (was, now) = (pieces(before), pieces(after));
    for (name, shown) in &now {
        match was.iter().find(|(n, _)| n == name) {
            None => {
                let _ = writeln!(text, "  {name}: {shown}");
            }
            Some((_, old)) if old != shown => {
                let _ = writeln!(text, "  {name}: {shown}  (was {old})");
            }
            Some(_) => {}
        }
    }
    let gone: Vec<&str> =
        was.iter().map(|(n, _)| n.as_str()).filter(|n| !now.iter().any(|(m, _)| m == n)).collect();
    if !gone.is_empty() {
        let _ = writeln!(text, "  no more by itself: {}", gone.join(", "));
    }
    let lost: Vec<String> = Cause::LOSSES
        .iter()
        .map(|cause| (cause, after.build.ledger.lost(*cause) - before.build.ledger.lost(*cause)))
        .filter(|(_, grams)| grams.abs() > 1e-9)
        .map(|(cause, grams)| {
            let sign = if grams > 0.0 { "+" } else { "" };
            format!("{} {sign}{}", cause.word(), after.g(grams))
        })
        .collect();
    if !lost.is_empty() {
        let _ = writeln!(text, "  steel lost: {}", lost.join(", "));
    }
    let (was, now) = (targets(before), targets(after));
    for line in now.iter().filter(|line| !was.contains(line)) {
        let _ = writeln!(text, "{line}");
    }
    if text.is_empty() { "  nothing changes\n".to_owned() } else { text }
}

/// Every target's verdict, a line each.
#[must_use]
pub fn targets_text(page: &Page) -> String {
    let lines = targets(page);
    if lines.is_empty() { "  no target stands here\n".to_owned() } else { lines.join("\n") + "\n" }
}

/// What lies on the rack, and what stands about, a line each.
#[must_use]
pub fn pieces_text(page: &Page) -> String {
    let lines: Vec<String> =
        pieces(page).iter().map(|(name, shown)| format!("  {name}: {shown}\n")).collect();
    if lines.is_empty() { "  nothing is there\n".to_owned() } else { lines.concat() }
}

fn targets(page: &Page) -> Vec<String> {
    let line = |l: &crate::replay::Line| {
        let [mark, asked, got, margin] = verdict(page, &l.test, l.judged.as_ref());
        format!("  {mark}: {asked}: {got}, {margin}").trim_end_matches([',', ' ', ':']).to_owned()
    };
    page.build.lines.iter().map(line).collect()
}

fn pieces(page: &Page) -> Vec<(String, String)> {
    let made = |racked: bool, id: &LotId| {
        let lot = page.build.lot(*id)?;
        let bar = &lot.bar;
        let name = page.plan.ground.lot_name(*id);
        let name = if racked { format!("{name} (on the rack)") } else { name.to_owned() };
        let sheets = show_count(page.build.bench.makeup.layers(bar.node), "layer");
        let count = if lot.count == 1 { String::new() } else { format!("{} bars, each ", lot.count) };
        let loose = if bar.loose.is_some() { ", loose" } else { "" };
        Some((name, format!("{count}{}, {sheets}{loose}", page.sizes(bar))))
    };
    let standing = page.build.standing.iter().filter_map(|id| made(false, id));
    standing.chain(page.build.racked.iter().filter_map(|id| made(true, id))).collect()
}
