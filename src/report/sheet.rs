//! `run`: a step list to pin up by the anvil, then what to buy, what is left over, cautions.

use std::fmt::Write as _;

use crate::forge::{Bought, MEASURED_HOT};
use crate::piece::{Cause, Lot, LotId};
use crate::quantity::{Kind, Units, show, show_count, trim_number, turned};
use crate::replay::Assumed;
use crate::steel::laws::expansion;

use super::blade::text as blade;
use super::fire::fire;
use super::fold::fold;
use super::metal::metal;
use super::table::{section, shown_lot, table};
use super::{NO_STEP, Page, SIZES_ONLY, cautions};

/// What stands on the bench sheet behind the verdict.
#[must_use]
pub fn sheet_text(page: &Page, wide: usize) -> String {
    let mut text = String::new();
    let hot = show(MEASURED_HOT, Kind::TEMPERATURE, page.units);
    let _ = writeln!(text, "\nsteps: sizes cold, then hot at {hot}; weights and layers of one bar");
    if page.plan.steps.is_empty() {
        let _ = writeln!(text, "{NO_STEP}");
    } else {
        text += &steps(page, wide);
        text += "to spare: steel in the piece above what the target's least sizes or weight need\n";
    }
    text += &notes(page);
    if page.worked() {
        text += &(cut_list(page, wide) + &left_over(page, wide) + &lost(page) + &fire(page, wide));
    } else {
        text += "\nno sums: not every step can be worked as written\n";
    }
    for part in [blade, metal, assumed] {
        text += &part(page, wide);
    }
    let allowed = cautions::allowed(page);
    if !allowed.is_empty() {
        text += &format!("\nwarnings that are answered\n{allowed}");
    }
    text += "\ncautions\n";
    for line in cautions::lines(page.plan) {
        let _ = writeln!(text, "  {line}");
    }
    let _ = writeln!(text, "\n{SIZES_ONLY}");
    fold(&text, wide)
}

/// The sizes of one bar, grown by a factor.
fn sizes(page: &Page, lot: &Lot, factor: f64) -> String {
    page.size(&lot.bar, factor, factor == 1.0)
}

fn steps(page: &Page, wide: usize) -> String {
    let grown = 1.0 + expansion::elongation(MEASURED_HOT);
    let spare = crate::study::spare(page.plan, page.build);
    let to_spare = |index: usize| spare.get(&index).map_or(String::new(), |g| page.g(*g));
    let mut rows = Vec::new();
    for (index, planned) in page.plan.steps.iter().enumerate() {
        let words = page.files.words(planned.span);
        let heats = page.build.ledger.heats_in(index);
        let lost: f64 = Cause::LOSSES.iter().map(|cause| page.build.ledger.lost_in(index, *cause)).sum();
        let mut row = vec![(index + 1).to_string(), page.at_line(planned.span), words];
        match shown_lot(page, index) {
            None => row.extend(["not done"].into_iter().chain([""; 8]).map(str::to_owned)),
            Some(lot) => {
                let (bar, makeup) = (&lot.bar, &page.build.bench.makeup);
                let state = if bar.loose.is_some() { "loose" } else { "" };
                row.extend([
                    if lot.count == 1 { String::new() } else { lot.count.to_string() },
                    sizes(page, lot, 1.0),
                    if heats > 0 { sizes(page, lot, grown) } else { state.to_owned() },
                    page.g(bar.mass),
                    crate::piece::layers_text(makeup, bar.node),
                    crate::piece::bands(makeup, bar.node, bar.thick).to_string(),
                    if heats > 0 { heats.to_string() } else { String::new() },
                    if lost > 0.0 { page.g(lost) } else { String::new() },
                    to_spare(index),
                ]);
            }
        }
        rows.push(row);
    }
    table("||what to do|bars|cold|hot|mass|layers|bands|heats|lost|to spare".split('|'), rows, 3, wide)
}

fn notes(page: &Page) -> String {
    let mut text = String::new();
    for (note, span, _) in &page.plan.notes {
        let _ = writeln!(text, "  note, {}: {}", page.at_line(*span), super::tame::tame(note));
    }
    text
}

fn lost(page: &Page) -> String {
    let balance = page.build.balance;
    if balance.taken <= 0.0 {
        return String::new();
    }
    let share = |g: f64| trim_number(100.0 * g / balance.taken, 1);
    let causes = Cause::LOSSES.iter().map(|cause| (cause.word(), page.build.ledger.lost(*cause)));
    let causes = causes.filter(|(_, grams)| *grams != 0.0);
    let causes: Vec<String> =
        causes.map(|(word, grams)| format!("{word} {} ({} %)", page.g(grams), share(grams))).collect();
    let causes = if causes.is_empty() { "nothing lost".to_owned() } else { causes.join(", ") };
    let [taken, pieces, rack] = [balance.taken, balance.pieces, balance.rack].map(|g| page.g(g));
    let left = format!("{pieces} in pieces ({} %), {rack} on the rack", share(balance.pieces));
    format!("\nwhere the steel went: {taken} in; {left}; {causes}\n")
}

fn cut_list(page: &Page, wide: usize) -> String {
    let mut rows = Vec::new();
    for (_, id) in page.plan.bought() {
        let Some(lot) = page.build.lot(id) else { continue };
        // Powder is weighed, and not counted.
        let each = if page.lot(id).bought == Bought::Powder {
            [String::new(), String::new(), String::new()]
        } else {
            [show_count(u64::from(lot.count), "bar"), sizes(page, lot, 1.0), page.g(lot.bar.mass)]
        };
        let named = [page.plan.ground.lot_name(id).to_owned(), page.bought(id, &lot.bar)];
        rows.push(named.into_iter().chain(each).chain([page.g(lot.mass())]).collect());
    }
    section(&["to buy", "steel", "", "each", "weight each", "weight in all"], rows, 3, wide)
}

fn left_over(page: &Page, wide: usize) -> String {
    let row = |id: &LotId| {
        let lot = page.build.lot(*id)?;
        Some(vec![
            page.plan.ground.lot_name(*id).to_owned(),
            show_count(u64::from(lot.count), "bar"),
            sizes(page, lot, 1.0),
            page.g(lot.mass()),
        ])
    };
    let rows = page.build.racked.iter().filter_map(row).collect();
    section(&["on the rack", "", "each", "weight in all"], rows, 2, wide)
}

fn assumed(page: &Page, wide: usize) -> String {
    let told = |text: &str| match page.units {
        Units::Metric => text.to_owned(),
        Units::Inch => turned(text, |_| false),
    };
    let row = |a: &Assumed| vec![a.what.to_owned(), told(&a.value), told(a.source)];
    let rows = page.build.ledger.assumed.iter().map(row).collect();
    section(&["assumed", "figure", "where it comes from"], rows, 9, wide)
}
