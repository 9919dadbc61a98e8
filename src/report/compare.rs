//! Two builds side by side: the first step at which they part, targets, mass, heats.

use schemars::JsonSchema;
use serde::Serialize;

use crate::forge::Form;
use crate::quantity::show_hours;

use super::Page;
use super::answer::{Answer, Table, cell};
use super::diagnostics::{Record, records};
use super::run::{TestJson, tests};
use super::table::{section, shown_lot, table};
use super::verdict::verdict;

/// Two builds side by side.
pub struct ComparePage<'a> {
    /// The one, and what it goes by.
    pub a: (Page<'a>, &'a str),
    /// The other.
    pub b: (Page<'a>, &'a str),
}

#[derive(Serialize, JsonSchema)]
pub struct CompareJson<'a> {
    a: SideJson<'a>,
    b: SideJson<'a>,
    /// The first step at which they part; nothing where they are the same.
    part_at: Option<usize>,
    /// Steps that do not come to the same.
    unlike: Vec<UnlikeJson<'a>>,
}

#[derive(Serialize, JsonSchema)]
pub struct SideJson<'a> {
    name: &'a str,
    met: bool,
    in_g: f64,
    pieces_g: f64,
    rack_g: f64,
    lost_g: f64,
    heats: u32,
    minutes: f64,
    cost: Option<f64>,
    targets: Vec<TestJson<'a>>,
    faults: Vec<Record<'a>>,
    warnings: Vec<Record<'a>>,
}

#[derive(Serialize, JsonSchema)]
pub struct UnlikeJson<'a> {
    n: usize,
    a: Option<ThereJson<'a>>,
    b: Option<ThereJson<'a>>,
}

/// What a step comes to in one of the builds: mm and g, nothing where it is not done.
#[derive(Serialize, JsonSchema)]
pub struct ThereJson<'a> {
    line: u32,
    verb: &'a str,
    words: String,
    thickness_mm: Option<f64>,
    width_mm: Option<f64>,
    length_mm: Option<f64>,
    mass_g: Option<f64>,
}

impl<'a> Answer for ComparePage<'a> {
    type Json = CompareJson<'a>;
    const SCHEMA: &'static str = "heatbook-compare-2";

    fn text(&self, wide: usize) -> String {
        let ((a, name_a), (b, name_b)) = (&self.a, &self.b);
        let parted = first_difference(a, b) + &steps(a, b, wide);
        format!("A: {name_a}\nB: {name_b}\n\n{parted}\n{}\n{}", targets(a, b, wide), totals(a, b, wide))
    }

    fn json(&self) -> CompareJson<'a> {
        let ((a, _), (b, _)) = (&self.a, &self.b);
        let unlike = unlike(a, b).map(|i| UnlikeJson { n: i + 1, a: there(a, i), b: there(b, i) });
        CompareJson {
            a: side(&self.a),
            b: side(&self.b),
            part_at: part_at(a, b).map(|i| i + 1),
            unlike: unlike.collect(),
        }
    }

    fn csv(&self) -> Option<Table> {
        let sides = [&self.a.0, &self.b.0];
        let head = ["verb", "thickness_mm", "width_mm", "length_mm", "mass_g"];
        let head = ["a", "b"].into_iter().flat_map(|side| head.map(|h| format!("{side}_{h}")));
        let rows = (0..most(sides[0], sides[1])).map(|i| {
            let of = |page: &Page| {
                let step = there(page, i);
                let verb = step.as_ref().map_or(String::new(), |s| s.verb.to_owned());
                let sizes = step.map_or([None; 4], |s| [s.thickness_mm, s.width_mm, s.length_mm, s.mass_g]);
                [vec![verb], sizes.map(cell).to_vec()].concat()
            };
            [vec![(i + 1).to_string()], of(sides[0]), of(sides[1])].concat()
        });
        Some(Table::new(std::iter::once("n".to_owned()).chain(head), rows))
    }
}

fn side<'a>((page, name): &(Page<'a>, &'a str)) -> SideJson<'a> {
    let (heats, minutes) = page.build.ledger.totals();
    let balance = &page.build.balance;
    SideJson {
        name,
        met: page.verdict.met,
        in_g: balance.taken,
        pieces_g: balance.pieces,
        rack_g: balance.rack,
        lost_g: balance.lost,
        heats,
        minutes,
        cost: page.cost().map(|c| c.total()),
        targets: tests(page),
        faults: records(&page.verdict.faults, page.files),
        warnings: records(&page.verdict.warnings, page.files),
    }
}

fn there<'a>(page: &Page<'a>, index: usize) -> Option<ThereJson<'a>> {
    let step = page.plan.steps.get(index)?;
    let [thickness_mm, width_mm, length_mm, mass_g] = sizes(page, index).map_or([None; 4], |s| s.map(Some));
    let (line, words) = (page.files.line(step.span), page.files.words(step.span));
    Some(ThereJson { line, verb: step.word.word, words, thickness_mm, width_mm, length_mm, mass_g })
}

fn most(a: &Page, b: &Page) -> usize {
    a.plan.steps.len().max(b.plan.steps.len())
}

fn words(page: &Page, step: usize) -> Option<String> {
    page.plan.steps.get(step).map(|s| page.files.words(s.span))
}

fn sizes(page: &Page, step: usize) -> Option<[f64; 4]> {
    let bar = shown_lot(page, step)?.bar;
    Some([bar.calliper_thick(), bar.calliper_wide(), bar.long, bar.mass])
}

fn shown(page: &Page, step: usize) -> String {
    shown_lot(page, step).map_or("not done".to_owned(), |lot| page.sizes(&lot.bar))
}

/// Whether two steps come to the same, as far as a calliper can tell.
fn alike(a: &Page, b: &Page, step: usize) -> bool {
    let near = |(x, y): (&f64, f64)| (x - y).abs() <= 1e-9 * x.abs().max(1e-9);
    match (sizes(a, step), sizes(b, step)) {
        (Some(one), Some(other)) => one.iter().zip(other).all(near),
        (one, other) => one.is_none() && other.is_none(),
    }
}

fn part_at(a: &Page, b: &Page) -> Option<usize> {
    (0..most(a, b)).find(|i| words(a, *i) != words(b, *i) || !alike(a, b, *i))
}

fn first_difference(a: &Page, b: &Page) -> String {
    let Some(step) = part_at(a, b) else { return "they are the same, step by step\n".to_owned() };
    let mut text = format!("they part at step {}\n", step + 1);
    for (name, page) in [("A", a), ("B", b)] {
        text += &match words(page, step) {
            Some(words) => {
                format!("  {name} {}: {words}: {}\n", page.at_line(page.step(step).span), shown(page, step))
            }
            None => format!("  {name} has no such step\n"),
        };
    }
    text
}

/// Steps that do not come to the same; what only tests is left out.
fn unlike(a: &Page, b: &Page) -> impl Iterator<Item = usize> {
    let is_test = |page: &Page, i: usize| page.plan.steps.get(i).is_some_and(|s| s.word.form == Form::Tests);
    (0..most(a, b)).filter(move |i| !alike(a, b, *i) && !is_test(a, *i) && !is_test(b, *i))
}

fn steps(a: &Page, b: &Page, wide: usize) -> String {
    let rows = unlike(a, b).map(|i| {
        let verb = |page: &Page| page.plan.steps.get(i).map_or("", |s| s.word.word);
        let (one, other) = (verb(a), verb(b));
        let what = if one == other { one.to_owned() } else { format!("{one} / {other}") };
        vec![(i + 1).to_string(), what, shown(a, i), shown(b, i)]
    });
    section(&["", "step", "A", "B"], rows.collect(), 9, wide)
}

fn targets(a: &Page, b: &Page, wide: usize) -> String {
    let of = |page: &Page| -> Vec<[String; 4]> {
        page.build.lines.iter().map(|l| verdict(page, &l.test, l.judged.as_ref())).collect()
    };
    let (one, other) = (of(a), of(b));
    if one.is_empty() && other.is_empty() {
        return "no targets\n".to_owned();
    }
    let rows = (0..one.len().max(other.len())).map(|i| {
        let [mark_a, asked_a, got_a, margin_a] = one.get(i).cloned().unwrap_or_default();
        let [mark_b, asked_b, got_b, margin_b] = other.get(i).cloned().unwrap_or_default();
        let same = asked_a == asked_b || asked_b.is_empty();
        let asked = if same { asked_a } else { format!("{asked_a} / {asked_b}") };
        vec![asked, mark_a, got_a, margin_a, mark_b, got_b, margin_b]
    });
    table(["target", "A", "", "", "B", "", ""], rows, 9, wide)
}

fn totals(a: &Page, b: &Page, wide: usize) -> String {
    let row = |name: &str, of: &dyn Fn(&Page) -> String| vec![name.to_owned(), of(a), of(b)];
    let rows = vec![
        row("steel in", &|p| p.g(p.build.balance.taken)),
        row("in pieces", &|p| p.g(p.build.balance.pieces)),
        row("on the rack", &|p| p.g(p.build.balance.rack)),
        row("gone", &|p| p.g(p.build.balance.lost)),
        row("heats", &|p| p.build.ledger.totals().0.to_string()),
        row("hours at the fire", &|p| show_hours(p.build.ledger.totals().1)),
        row("hours of the job", &|p| show_hours(p.hours().total())),
        row("cost", &|p| p.cost().map_or("no prices".to_owned(), |c| p.whole_cost(&c))),
    ];
    table(["", "A", "B"], rows, 1, wide)
}
