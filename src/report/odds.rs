//! The odds of a recipe: the chance of each target, what each size may come to, what drives the risk.

use std::fmt::Write as _;

use schemars::JsonSchema;
use serde::Serialize;

use crate::quantity::{show, trim_number};
use crate::replay::{Plan, SlotInfo};
use crate::source::Files;
use crate::study::Odds;

use super::answer::{Answer, Table};
use super::table::table;
use super::{Asked, SIZES_ONLY, at_line};

pub(super) fn percent(p: f64) -> String {
    let digits = if (0.005..=0.995).contains(&p) { 1 } else { 2 };
    format!("{} %", trim_number(100.0 * p, digits))
}

/// What an input goes by: its address, or the words where it stands.
fn named(files: &Files, plan: &Plan, odds: &Odds, input: usize) -> String {
    let Some(input) = odds.inputs.get(input) else { return String::new() };
    let (SlotInfo { address, .. }, span) = plan.figure(input.slot);
    if !address.is_empty() {
        return address.clone();
    }
    format!("{}: {}", at_line(files, span), files.words(span))
}

const UNTOLD: &str = "cannot be told";

/// The odds of a recipe.
pub struct OddsPage<'a> {
    /// The recipe.
    pub asked: Asked<'a>,
    /// Its odds.
    pub odds: &'a Odds,
}

#[derive(Serialize, JsonSchema)]
pub struct OddsJson {
    pub(super) samples: usize,
    seed: u64,
    stopped: bool,
    failed: usize,
    /// The chance of all targets at once; nothing where no figure has a tolerance.
    pub(super) all: Option<f64>,
    pub(super) all_error: Option<f64>,
    /// Why `nominal` and `first_order_u` cannot be told of some lines.
    untold: Option<String>,
    pub(super) lines: Vec<ChanceJson>,
    /// Targets of several pieces.
    orders: Vec<OrderJson>,
}

#[derive(Serialize, JsonSchema)]
pub struct OrderJson {
    piece: String,
    wanted: u32,
    made: u32,
    /// The chance that one piece meets every line.
    each: Option<f64>,
    /// The chance of the order where what is off is off for all alike.
    alike: Option<f64>,
    /// The chance of the order where each piece has its own luck.
    apart: Option<f64>,
}

#[derive(Serialize, JsonSchema)]
pub struct ChanceJson {
    pub(super) asked: String,
    /// Whether it is met with every figure as written; nothing where that cannot be worked.
    met: Option<bool>,
    /// The chance that it is met; nothing where no figure has a tolerance.
    pub(super) chance: Option<f64>,
    pub(super) error: Option<f64>,
    p5: Option<f64>,
    p50: Option<f64>,
    p95: Option<f64>,
    nominal: Option<f64>,
    first_order_u: Option<f64>,
    drivers: Vec<DriverJson>,
}

#[derive(Serialize, JsonSchema)]
pub struct DriverJson {
    figure: String,
    share: f64,
}

impl Answer for OddsPage<'_> {
    type Json = OddsJson;
    const SCHEMA: &'static str = "heatbook-odds-2";

    fn text(&self, wide: usize) -> String {
        let (Asked { files, plan, units }, odds) = (self.asked, self.odds);
        if odds.inputs.is_empty() {
            return self.certain(wide);
        }
        let mut text = format!("{} samples, seed {}", odds.samples, odds.seed);
        if odds.stopped {
            text += " (stopped early)";
        }
        text += "\n\n";
        let rows = odds.lines.iter().map(|line| {
            let (kind, units) = (line.test.what.kind(), line.test.told_in(units, plan.units()));
            let [low, middle, high] =
                line.quantiles.map(|q| q.map_or(String::new(), |q| show(q, kind, units)));
            let told = |figure: Option<f64>| figure.map_or(UNTOLD.to_owned(), |f| show(f, kind, units));
            vec![
                files.words(line.test.span),
                percent(line.chance),
                format!("+- {}", percent(line.error)),
                low,
                middle,
                high,
                told(line.nominal),
                if line.first_order == Some(0.0) { "none".to_owned() } else { told(line.first_order) },
            ]
        });
        let head =
            ["target", "met", "", "5 % under", "50 % under", "95 % under", "as written", "first-order u"];
        text += &table(head, rows, 1, wide);
        if let Some(why) = self.untold() {
            let _ = writeln!(text, "{UNTOLD}: {why}");
        }
        let _ =
            writeln!(text, "\nall targets at once: {} (+- {})", percent(odds.all), percent(odds.all_error));
        for order in &odds.orders {
            let (each, alike, apart) = (percent(order.each), percent(order.alike), percent(order.apart));
            let (piece, wanted, made) = (&order.piece, order.wanted, order.made);
            let _ = writeln!(
                text,
                "{piece}: at least {wanted} good of {made}: {alike} where what is off is off for all alike, {apart} where each has its own luck; one piece {each}"
            );
        }
        if odds.failed > 0 {
            let told = "of the samples could not be worked to the end; they count as missed";
            let _ = writeln!(text, "{} {told}", odds.failed);
        }
        if let Some((count, fault)) = &odds.worst_fail {
            let line = at_line(files, fault.span());
            let _ = writeln!(text, "  {count} of them stopped at {line}: {}", fault.message);
            if let Some(help) = &fault.help {
                let _ = writeln!(text, "  {help}");
            }
        }
        if odds.failed > 0 && odds.failed < odds.samples {
            let worked = (odds.samples - odds.failed) as f64 / odds.samples as f64;
            let _ = writeln!(
                text,
                "of the samples that could be worked, all targets are met in {}",
                percent(odds.all / worked)
            );
            for line in &odds.lines {
                let asked = files.words(line.test.span);
                let _ = writeln!(text, "  {asked}: {}", percent((line.chance / worked).min(1.0)));
            }
        }
        text += "\nwhat drives it (share of the spread of each figure):\n";
        let name = |input: &usize| named(files, plan, odds, *input);
        let mut told = String::new();
        for line in &odds.lines {
            let top = line.drivers.iter().filter(|(_, share)| *share >= 0.005).take(4);
            let top: Vec<_> =
                top.map(|(input, share)| format!("{} {}", name(input), percent(*share))).collect();
            if !top.is_empty() {
                let _ = writeln!(told, "  {}: {}", files.words(line.test.span), top.join(", "));
            }
        }
        let top = odds.risk.iter().filter(|(_, share)| *share >= 0.002).take(5);
        let top: Vec<_> = top.map(|(input, _)| name(input)).collect();
        if !top.is_empty() {
            let _ = writeln!(told, "  the risk as a whole, in this order: {}", top.join(", "));
        }
        text += if told.is_empty() { "  nothing moves any of them\n" } else { &told };
        let _ = writeln!(
            text,
            "\ntolerances cover 95 % (k = 2) and are drawn as normal, each once a run; method: JCGM 101; u: JCGM 100, first order"
        );
        let _ = writeln!(text, "{SIZES_ONLY}");
        text
    }

    fn json(&self) -> OddsJson {
        let (Asked { files, plan, .. }, odds) = (self.asked, self.odds);
        let told = |chance: f64| Some(chance).filter(|_| !odds.inputs.is_empty());
        let lines = odds.lines.iter().map(|line| {
            let [p5, p50, p95] = line.quantiles;
            let drivers = line
                .drivers
                .iter()
                .map(|(input, share)| DriverJson { figure: named(files, plan, odds, *input), share: *share });
            ChanceJson {
                asked: files.words(line.test.span),
                met: line.met,
                chance: told(line.chance),
                error: told(line.error),
                p5,
                p50,
                p95,
                nominal: line.nominal,
                first_order_u: line.first_order,
                drivers: drivers.collect(),
            }
        });
        let orders = odds.orders.iter().map(|order| OrderJson {
            piece: order.piece.clone(),
            wanted: order.wanted,
            made: order.made,
            each: told(order.each),
            alike: told(order.alike),
            apart: told(order.apart),
        });
        OddsJson {
            samples: odds.samples,
            seed: odds.seed,
            stopped: odds.stopped,
            failed: odds.failed,
            all: told(odds.all),
            all_error: told(odds.all_error),
            untold: self.untold(),
            lines: lines.collect(),
            orders: orders.collect(),
        }
    }

    fn csv(&self) -> Option<Table> {
        Some(Table::of("asked met chance error p5 p50 p95 nominal first_order_u", self.json().lines))
    }
}

impl OddsPage<'_> {
    /// What there is to say where no figure has a tolerance: what each line comes to as written, and no chance at all.
    fn certain(&self, wide: usize) -> String {
        let (Asked { files, plan, units }, odds) = (self.asked, self.odds);
        let rows = odds.lines.iter().map(|line| {
            let (kind, units) = (line.test.what.kind(), line.test.told_in(units, plan.units()));
            let mark = match line.met {
                Some(true) => "met",
                Some(false) => "MISSED",
                None => "not made",
            };
            let got = line.nominal.map_or(UNTOLD.to_owned(), |got| show(got, kind, units));
            vec![files.words(line.test.span), mark.to_owned(), got]
        });
        let mut text = "no figure here has a tolerance: every run comes out as written, and of the odds nothing is known\n\n".to_owned();
        text += &table(["target", "", "as written"], rows, 1, wide);
        if let Some(why) = self.untold() {
            let _ = writeln!(text, "{UNTOLD}: {why}");
        }
        let _ = writeln!(text, "\n{SIZES_ONLY}");
        text
    }

    /// Why a figure as written, or its spread, cannot be told; nothing where all can.
    fn untold(&self) -> Option<String> {
        let lines = &self.odds.lines;
        if let Some(fault) = &self.odds.unworked {
            let line = at_line(self.asked.files, fault.span());
            return Some(format!("as written the recipe stops at {line}: {}", fault.message));
        }
        if lines.iter().any(|l| l.nominal.is_none()) {
            let why = "as written there is no such piece at the end, or nothing of it to measure";
            return Some(why.to_owned());
        }
        let spread = lines.iter().any(|l| l.first_order.is_none());
        spread.then(|| "with one figure a standard deviation off, the recipe cannot be worked".to_owned())
    }
}
