//! Two builds side by side: the first step at which they part, targets, mass, heats.

use std::fmt::Write as _;

use crate::forge::Form;
use crate::quantity::{Kind, show, trim_number};

use super::Page;
use super::check::row;
use super::table::{shown_lot, table};

/// Two builds side by side, as text.
#[must_use]
pub fn compare_text(a: &Page, b: &Page, names: [&str; 2]) -> String {
    let mut text = format!("A: {}\nB: {}\n\n", names[0], names[1]);
    text += &first_difference(a, b);
    text += &steps(a, b);
    text += "\n";
    text += &targets(a, b);
    text += "\n";
    text += &totals(a, b);
    text
}

fn words(page: &Page, step: usize) -> String {
    let span = page.plan.steps.get(step).map(|s| s.span).unwrap_or_default();
    page.files.text(span).split_whitespace().collect::<Vec<_>>().join(" ")
}

fn sizes(page: &Page, step: usize) -> Option<[f64; 4]> {
    let bar = shown_lot(page, step)?.bar;
    Some([bar.calliper_thick(), bar.calliper_wide(), bar.long, bar.mass])
}

fn shown(page: &Page, step: usize) -> String {
    let Some([t, w, l, m]) = sizes(page, step) else { return "not done".to_owned() };
    let size = |v: f64| show(v, Kind::LENGTH, page.units);
    format!("{} x {} x {}, {}", size(t), size(w), size(l), show(m, Kind::MASS, page.units))
}

/// Whether two steps come to the same, as far as a calliper can tell.
fn alike(a: &Page, b: &Page, step: usize) -> bool {
    match (sizes(a, step), sizes(b, step)) {
        (Some(one), Some(other)) => {
            one.iter().zip(other).all(|(x, y)| (x - y).abs() <= 1e-9 * x.abs().max(1e-9))
        }
        (None, None) => true,
        _ => false,
    }
}

fn first_difference(a: &Page, b: &Page) -> String {
    let most = a.plan.steps.len().max(b.plan.steps.len());
    let Some(step) = (0..most).find(|i| words(a, *i) != words(b, *i) || !alike(a, b, *i)) else {
        return "they are the same, step by step\n".to_owned();
    };
    let line = |page: &Page| page.plan.steps.get(step).map_or(0, |s| page.files.line(s.span));
    let mut text = format!("they part at step {}\n", step + 1);
    for (name, page) in [("A", a), ("B", b)] {
        let _ = match page.plan.steps.get(step) {
            Some(_) => {
                writeln!(text, "  {name} line {}: {}: {}", line(page), words(page, step), shown(page, step))
            }
            None => writeln!(text, "  {name} has no such step"),
        };
    }
    text
}

/// Steps that do not come to the same.
fn steps(a: &Page, b: &Page) -> String {
    let most = a.plan.steps.len().max(b.plan.steps.len());
    let unlike = (0..most).filter(|i| !alike(a, b, *i));
    let is_test = |page: &Page, i: usize| page.plan.steps.get(i).is_some_and(|s| s.word.form == Form::Tests);
    let rows: Vec<Vec<String>> = unlike
        .filter(|i| !is_test(a, *i) && !is_test(b, *i))
        .map(|i| {
            let verb = |page: &Page| page.plan.steps.get(i).map_or("", |s| s.word.word);
            let what =
                if verb(a) == verb(b) { verb(a).to_owned() } else { format!("{} / {}", verb(a), verb(b)) };
            vec![(i + 1).to_string(), what, shown(a, i), shown(b, i)]
        })
        .collect();
    if rows.is_empty() { String::new() } else { format!("\n{}", table(&["", "step", "A", "B"], rows, 9)) }
}

fn targets(a: &Page, b: &Page) -> String {
    let of = |page: &Page| -> Vec<[String; 4]> {
        page.build.lines.iter().map(|l| row(page, &l.test, l.judged.as_ref())).collect()
    };
    let (one, other) = (of(a), of(b));
    let rows: Vec<Vec<String>> = (0..one.len().max(other.len()))
        .map(|i| {
            let nothing = || [String::new(), String::new(), String::new(), String::new()];
            let [mark_a, asked_a, got_a, margin_a] = one.get(i).cloned().unwrap_or_else(nothing);
            let [mark_b, asked_b, got_b, margin_b] = other.get(i).cloned().unwrap_or_else(nothing);
            let asked = if asked_a == asked_b || asked_b.is_empty() {
                asked_a
            } else {
                format!("{asked_a} / {asked_b}")
            };
            vec![asked, mark_a, got_a, margin_a, mark_b, got_b, margin_b]
        })
        .collect();
    if rows.is_empty() {
        return "no targets\n".to_owned();
    }
    table(&["target", "A", "", "", "B", "", ""], rows, 9)
}

fn totals(a: &Page, b: &Page) -> String {
    let mass = |page: &Page, g: f64| show(g, Kind::MASS, page.units);
    let row = |name: &str, of: &dyn Fn(&Page) -> String| vec![name.to_owned(), of(a), of(b)];
    let rows = vec![
        row("steel in", &|p| mass(p, p.build.balance.taken)),
        row("in pieces", &|p| mass(p, p.build.balance.pieces)),
        row("on the rack", &|p| mass(p, p.build.balance.rack)),
        row("gone", &|p| mass(p, p.build.balance.lost)),
        row("heats", &|p| p.build.ledger.totals().0.to_string()),
        row("hours", &|p| trim_number(p.build.ledger.totals().1 / 60.0, 1)),
        row("cost", &|p| {
            let cost = crate::study::cost(p.plan, &p.build.bench, p.build.ledger.totals().1);
            if cost.stated { trim_number(cost.total(), 2) } else { "no prices".to_owned() }
        }),
    ];
    table(&["", "A", "B"], rows, 1)
}
