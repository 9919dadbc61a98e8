//! Bars of the rack in the place of bought ones: each line that buys is tried with what lies there, worked as written, and kept where
//! every target is still met.

use crate::forge::Act;
use crate::piece::{Bar, LotId, Section};
use crate::quantity::{Kind, Units, show, show_count};
use crate::replay::{Build, Plan, build};
use crate::source::Fix;
use crate::study::explain::verdict::judge_with;
use crate::study::propose::mend::Mending;
use crate::study::propose::rescue::applied;
use crate::study::solve::fill::{Filled, fill};
use crate::study::solve::runs::Least;
use crate::workshop::Job;

/// Most tries (project figure: a shelf of bars for each line of a long recipe; each try is a search for the figures left open).
const MOST_TRIED: usize = 60;

/// A line that buys no more.
#[derive(Clone, Debug)]
pub struct Instead {
    /// The line as it was, and as it is to be.
    pub fix: Fix,
    /// What lies on the rack, by name.
    pub name: String,
    /// What is taken, for people.
    pub bars: String,
}

/// What came of it.
#[derive(Default)]
pub struct FromRack {
    /// The lines, in the order of the recipe.
    pub lines: Vec<Instead>,
    /// The recipe with them in it, where there are any, and what is asked for in it still.
    pub job: Option<(Job, Option<Filled>)>,
    /// Whether not all was tried.
    pub cut_short: bool,
}

/// Bars of which others may take the place.
struct Bars {
    count: u32,
    grams: f64,
    steels: Vec<String>,
    layers: u64,
    section: Section,
    hard: bool,
    patterned: bool,
}

fn bars(plan: &Plan, made: &Build, id: LotId) -> Option<(Bars, Bar)> {
    let lot = made.lot(id)?;
    let makeup = &made.bench.makeup;
    let steels = makeup.steels(lot.bar.node);
    let mut steels: Vec<String> = steels.map(|steel| plan.ground.steels[steel].name.clone()).collect();
    steels.sort_unstable();
    let layers = makeup.layers(lot.bar.node);
    let hard = lot.bar.past.hard.is_some();
    let section = lot.bar.section;
    let patterned = makeup.patterned(lot.bar.node);
    Some((Bars { count: lot.count, grams: lot.mass(), steels, layers, section, hard, patterned }, lot.bar))
}

/// Whether every target of a recipe can be met, and its figures with it: none where none is asked for.
fn met(job: &Job, least: Least, units: Units) -> Option<Option<Filled>> {
    if !job.found.is_empty() {
        return None;
    }
    match fill(&job.plan, least) {
        Some(filled) => filled.outcome.met().then_some(Some(filled)),
        None => {
            let made = build(&job.plan, &[], units);
            judge_with(&job.plan, &made, Vec::new(), units, Mending::None).met.then_some(None)
        }
    }
}

/// Tries what lies on the rack, by its file, for each line of the recipe that buys: the lightest bars of the same steel, as many,
/// that serve. `figures` are those that the recipe was filled with last, met or not.
#[must_use]
pub fn instead(
    job: &Job,
    figures: &[(u32, f64)],
    least: Least,
    units: Units,
    replan: &dyn Fn(&str) -> Option<Job>,
) -> FromRack {
    let mut found = FromRack::default();
    let Some(rack) = job.rack().map(|base| job.files.text_from(base)) else { return found };
    let Ok(rack) = Job::alone("the rack", rack) else { return found };
    let lying = rack.build(rack.plan.units());
    let mut shelf: Vec<(String, Bars, Bar)> = Vec::new();
    for id in &lying.standing {
        let name = rack.plan.ground.lot_name(*id);
        if job.plan.drawn.iter().all(|(other, _)| other != name) {
            shelf.extend(bars(&rack.plan, &lying, *id).map(|(b, bar)| (name.to_owned(), b, bar)));
        }
    }
    shelf.sort_by(|a, b| a.1.grams.total_cmp(&b.1.grams));
    let (text, base) = (job.text(), job.recipe.unwrap_or_default());
    let made = build(&job.plan, figures, units);
    let bought: Vec<_> = job.plan.bought().collect();
    let mut tried = 0;
    for (index, lot) in bought {
        let Some(step) = job.plan.steps.get(index) else { continue };
        let Some((wanted, _)) = bars(&job.plan, &made, lot) else { continue };
        // Only what the recipe says once, in its own file, can be said otherwise.
        let once = job.plan.steps.iter().filter(|other| other.span == step.span).count() == 1;
        let own = step.span.start >= base && (step.span.end - base) as usize <= text.len();
        if !step.calls.is_empty() || !once || !own {
            continue;
        }
        let serves = |there: &Bars| {
            there.count == wanted.count
                && there.steels == wanted.steels
                && there.layers == wanted.layers
                && there.section == wanted.section
                && there.hard == wanted.hard
                && there.patterned == wanted.patterned
        };
        let fitting: Vec<usize> =
            (0..shelf.len()).filter(|i| shelf.get(*i).is_some_and(|s| serves(&s.1))).collect();
        for at in fitting {
            if tried == MOST_TRIED {
                found.cut_short = true;
                return found;
            }
            tried += 1;
            let Some((name, there, bar)) = shelf.get(at) else { continue };
            let write = Act::Stock.write(&step.piece, &[&format!("{name} from rack")]).trim_end().to_owned();
            let mut lines = found.lines.clone();
            let sizes = bar.sizes().map(|mm| show(mm, Kind::LENGTH, units));
            let bars = format!(
                "{} of {}, {}",
                show_count(u64::from(there.count), "bar"),
                there.steels.join(" and "),
                sizes.join(" x ")
            );
            lines.push(Instead { fix: Fix { span: step.span, text: write }, name: name.clone(), bars });
            let fixes: Vec<Fix> = lines.iter().map(|line| line.fix.clone()).collect();
            let Some(other) = applied(text, base, &fixes).and_then(|text| replan(&text)) else { continue };
            if let Some(filled) = met(&other, least, units) {
                found.lines = lines;
                found.job = Some((other, filled));
                shelf.remove(at);
                break;
            }
        }
    }
    found
}
