//! Answers: one file each, with its text, its JSON and its table. Nothing here works anything out.

mod answer;
mod blade;
mod calibrate;
mod cautions;
mod changed;
mod chart;
mod check;
mod compare;
mod diagnostics;
mod dots;
mod drawn;
mod explain;
mod fill;
mod fire;
mod fold;
mod law;
mod metal;
mod nudge;
mod odds;
mod paper;
mod picture;
mod quote;
mod rack;
mod replay;
mod rescue;
mod run;
mod sarif;
mod sheet;
mod steels;
mod sweep;
mod table;
mod tame;
mod template;
mod verdict;
mod why;

pub use answer::{Answer, Table, json_text};
pub use blade::{PartLine, blades, part_lines};
pub use calibrate::CalibratePage;
pub use changed::{changed_text, pieces_text, targets_text};
pub use chart::{AlongPage, BurntPage, ChartPage, LayersPage, SteelPage};
pub use check::{CheckPage, rest_text};
pub use compare::ComparePage;
pub use diagnostics::{Style, Unanswered, diagnostics, said};
pub use explain::{ExplainPage, FINE, RecipesPage, TopicsPage};
pub use fill::{FillPage, Filling, Racked};
pub use fold::{COLUMNS, fold};
pub(crate) use law::in_inches;
pub use law::{LawsPage, Worked};
pub use nudge::NudgePage;
pub use odds::OddsPage;
pub use paper::{
    BenchSheet, LIVE_NOW, LIVE_SCRIPT, LIVE_SCRIPT_AT, LivePage, OURS, OURS_PDF, QUOTE, Reading, quote_html,
    readings, unread_html,
};
pub use picture::{Ink, PicturePage, StripPage};
pub use quote::{Order, QuotePage};
pub use rack::{RackOrder, RackPage};
pub use replay::ReplayPage;
pub use rescue::RescuePage;
pub use sarif::{SARIF, sarif};
pub use sheet::sheet_text;
pub use steels::SteelsPage;
pub use sweep::SweepPage;
pub use tame::shown;
pub use template::{CHECK_FIRST, OURS as TILES, Paper, Template};
pub use verdict::verdict_text;
pub use why::WhyPage;

use crate::forge::{Bought, LotInfo};
use crate::piece::blade::Station;
use crate::piece::{Bar, Cause, LotId, Section, SteelId};
use crate::quantity::{Kind, Units, show, show_change, tape_figure, trim_number};
use crate::replay::{Build, Line, Plan, Planned, StepDone, TargetPlan};
use crate::replay::{Cost, Hours, cost, hours};
use crate::source::{Files, Span};
use crate::study::Verdict;

/// A recipe that was asked a question, and how to show the answer.
#[derive(Clone, Copy)]
pub struct Asked<'a> {
    /// The files, for words and line numbers.
    pub files: &'a Files,
    /// The recipe.
    pub plan: &'a Plan,
    /// The reader's units.
    pub units: Units,
}

/// Everything that a page is made from: itself the answer of `run`.
#[derive(Clone, Copy)]
pub struct Page<'a> {
    /// The files, for line numbers.
    pub files: &'a Files,
    /// The file's name as it was given.
    pub name: &'a str,
    /// The recipe.
    pub plan: &'a Plan,
    /// What became of it.
    pub build: &'a Build,
    /// The verdict on it.
    pub verdict: &'a Verdict,
    /// The reader's units.
    pub units: Units,
}

impl<'a> Page<'a> {
    /// A step that something is told of.
    fn step(&self, index: usize) -> &'a Planned {
        let none = || bug!("step {index} is told of, and the plan has no such step");
        self.plan.steps.get(index).unwrap_or_else(none)
    }

    /// Its line.
    fn line(&self, index: usize) -> u32 {
        self.files.line(self.step(index).span)
    }

    /// Where words stand, in a few words: the file too, where it is not the page's own.
    fn at_line(&self, span: Span) -> String {
        let at = self.files.place(span);
        if at.file == self.name { format!("line {}", at.line) } else { at_line(self.files, span) }
    }

    /// Whether every step was done: without that, sums tell nothing.
    fn worked(&self) -> bool {
        self.build.done.iter().all(|done| *done == StepDone::Done)
    }

    /// The target that a line is of.
    fn target(&self, line: &Line) -> &'a TargetPlan {
        self.plan.targets.get(line.target).unwrap_or_else(|| bug!("a line of no target"))
    }

    /// Bars that something is told of.
    fn lot(&self, lot: LotId) -> &'a LotInfo {
        &self.plan.ground.lots[lot]
    }

    /// The name of a steel.
    fn steel(&self, id: SteelId) -> &'a str {
        &self.plan.ground.steels[id].name
    }

    /// What bars of stock are bought as: a steel, or a billet that is welded already.
    fn bought(&self, id: LotId, bar: &Bar) -> String {
        let steels: Vec<&str> = self.build.bench.makeup.steels(bar.node).map(|id| self.steel(id)).collect();
        match (steels.as_slice(), self.lot(id).bought) {
            ([only], Bought::Bars) => (*only).to_owned(),
            ([only], Bought::Powder) => format!("{only} powder"),
            ([only], Bought::Tube) => format!("{only} tube"),
            (several, _) => format!("layered {}", several.join(", ")),
        }
    }

    /// A length in the reader's units.
    fn mm(&self, length: f64) -> String {
        show(length, Kind::LENGTH, self.units)
    }

    /// A mass in the reader's units.
    fn g(&self, mass: f64) -> String {
        show(mass, Kind::MASS, self.units)
    }

    /// Thickness x width x length of a bar, grown by a factor: of a tapered one the thickness or width of both ends, heel first, of
    /// a round or octagon the one size. Inches to the 64th, behind them the thickness in thousandths where `fine` and it is no 64th.
    fn size(&self, bar: &Bar, factor: f64, fine: bool) -> String {
        let figure = |mm: f64, digits: usize| match self.units {
            Units::Metric => trim_number(mm * factor, digits),
            Units::Inch => tape_figure(mm * factor),
        };
        let unit = if self.units == Units::Metric { "mm" } else { "in" };
        let (thick, wide, long) = (bar.calliper_thick(), bar.calliper_wide(), figure(bar.long, 1));
        let across = match bar.section {
            Section::Flat => None,
            Section::Round => Some("round"),
            Section::Octagon => Some("octagon across flats"),
        };
        let exact = self.mm(thick * factor);
        let off = fine && self.units == Units::Inch && exact.contains(" in ");
        let exact = trim_number(thick * factor / 25.4, 3);
        let exact = if off { format!(" (thick {exact})") } else { String::new() };
        if let Some(outline) = across.filter(|_| (thick - wide).abs() < 1e-6 * thick) {
            return format!("{} {unit} {outline} x {long} {unit}{exact}", figure(thick, 2));
        }
        let ends =
            self.build.bench.makeup.blade(bar).map(|blade| [0.0, blade.tip()].map(|x| blade.section(x)));
        let both = |whole: f64, of: fn(&Station) -> f64, digits: usize| {
            let ends =
                ends.as_ref().filter(|[_, tip]| tip.width() > 1e-6).map(|ends| ends.each_ref().map(of));
            match ends.map(|ends| ends.map(|mm| figure(mm, digits))) {
                Some([heel, tip]) if heel != tip => format!("{heel} to {tip}"),
                _ => figure(whole, digits),
            }
        };
        let (thick, wide) = (both(thick, Station::thickness, 2), both(wide, Station::width, 1));
        format!("{thick} x {wide} x {long} {unit}{exact}")
    }

    /// The sizes and mass of a bar in the reader's units.
    fn sizes(&self, bar: &Bar) -> String {
        format!("{}, {}", self.size(bar, 1.0, true), self.g(bar.mass))
    }

    /// The hours of the job.
    #[must_use]
    pub fn hours(&self) -> Hours {
        let ledger = &self.build.ledger;
        hours(self.plan, self.build.values(), ledger.totals().1, ledger.lost(Cause::Ground), self.units)
    }

    /// An amount of money, in the currency that the shop's prices are written in.
    fn money(&self, amount: f64) -> String {
        self.plan.ground.shop.money(amount)
    }

    /// All of a cost, as well as it is known.
    fn whole_cost(&self, cost: &Cost) -> String {
        let about = cost.labour.is_some() || cost.fuel.is_some();
        let shop = &self.plan.ground.shop;
        if about { format!("about {}", shop.about(cost.total())) } else { shop.money(cost.total()) }
    }

    /// What it costs, where the shop states any price.
    fn cost(&self) -> Option<Cost> {
        Some(cost(self.plan, &self.build.bench, &self.hours())).filter(|c| c.stated)
    }
}

/// Where words stand, in a few words: the file too, where there are several.
fn at_line(files: &Files, span: Span) -> String {
    let at = files.place(span);
    if files.names().count() < 2 {
        return format!("line {}", at.line);
    }
    // The folders are left out where no other file is called so.
    let short = |name: &str| name.rsplit(['/', '\\']).next().map_or_else(|| name.to_owned(), str::to_owned);
    let alone = files.names().filter(|name| short(name) == short(at.file)).count() < 2;
    let file = if alone { short(at.file) } else { at.file.to_owned() };
    format!("{file} line {}", at.line)
}

/// Said where a recipe takes no stock and works nothing: a shop, steels, recipes for others to use.
const NO_STEP: &str = "no step stands in it: there is nothing to work";

/// A figure that may be none: infinite where nothing sets it, no number where it cannot be told.
fn finite(figure: f64) -> Option<f64> {
    figure.is_finite().then_some(figure)
}

/// A change, with its sign.
fn signed(change: f64, kind: Kind, units: Units) -> String {
    let shown = show_change(change, kind, units);
    if change > 0.0 { format!("+{shown}") } else { shown }
}

/// The shape of every answer's JSON, by the name that it carries.
#[must_use]
pub fn schemas() -> Vec<(&'static str, schemars::Schema)> {
    use answer::schema;
    vec![
        schema::<Page<'static>>(),
        schema::<BenchSheet<'static>>(),
        schema::<BurntPage<'static>>(),
        schema::<CalibratePage<'static>>(),
        schema::<AlongPage<'static>>(),
        schema::<ChartPage<'static>>(),
        schema::<CheckPage<'static>>(),
        schema::<ComparePage<'static>>(),
        schema::<ExplainPage<'static>>(),
        schema::<FillPage<'static>>(),
        schema::<LawsPage>(),
        schema::<LayersPage<'static>>(),
        schema::<NudgePage<'static>>(),
        schema::<OddsPage<'static>>(),
        schema::<PicturePage<'static>>(),
        schema::<QuotePage<'static>>(),
        schema::<RackPage<'static>>(),
        schema::<RecipesPage<'static>>(),
        schema::<ReplayPage<'static>>(),
        schema::<RescuePage<'static>>(),
        schema::<SteelPage<'static>>(),
        schema::<SteelsPage<'static>>(),
        schema::<StripPage<'static>>(),
        schema::<SweepPage<'static>>(),
        schema::<TopicsPage>(),
        schema::<Unanswered<'static>>(),
        schema::<WhyPage<'static>>(),
        schema::<Worked>(),
    ]
}

/// Said behind every verdict.
pub const SIZES_ONLY: &str =
    "sizes only: a bad weld, a crack or an inclusion cannot be seen from here: etch and test before use";
