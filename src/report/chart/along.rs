//! How wide a blade is from heel to tip, with what its target asks where.

use std::fmt::Write as _;

use schemars::JsonSchema;
use serde::Serialize;

use super::draw::{axis, limit};
use super::frame::{Drawn, WIDE, begin, between, ends, round_between};
use crate::piece::LotId;
use crate::piece::blade::Station;
use crate::quantity::{Kind, Units, show, trim_number};
use crate::report::answer::{Answer, Table};
use crate::report::dots;
use crate::report::table::table;
use crate::report::tame::{markup as text, tame};
use crate::report::{Page, finite};
use crate::spec::{What, Zone};

#[derive(Serialize, JsonSchema)]
pub struct AlongJson<'a> {
    pub(in crate::report) piece: &'a str,
    /// At the heel and at every station of the blade beyond; the tang is left out.
    pub(in crate::report) points: Vec<WidthJson>,
    pub(in crate::report) limits: Vec<StretchJson>,
}

#[derive(Serialize, JsonSchema)]
pub struct WidthJson {
    /// From the heel.
    pub(in crate::report) at_mm: f64,
    pub(in crate::report) width_mm: f64,
}

/// What a line of the target asks of the width over a stretch.
#[derive(Serialize, JsonSchema)]
pub struct StretchJson {
    pub(in crate::report) from_mm: f64,
    pub(in crate::report) to_mm: f64,
    pub(in crate::report) asked: String,
    pub(in crate::report) low: Option<f64>,
    pub(in crate::report) high: Option<f64>,
}

/// The widths of a lot along it; `None` where it is no blade.
pub fn along<'a>(page: &Page<'a>, lot: LotId) -> Option<AlongJson<'a>> {
    let bar = page.build.lot(lot)?.bar;
    let blade = page.build.bench.makeup.blade(&bar)?;
    let tip = blade.tip();
    let width = |x: f64, station: &Station| WidthJson { at_mm: x, width_mm: station.width() };
    let beyond = blade.stations.iter().filter(|station| station.x > 0.0);
    let heel = width(0.0, &blade.section(0.0));
    let points = std::iter::once(heel).chain(beyond.map(|station| width(station.x, station))).collect();
    let values = page.build.values();
    let tests = page.plan.targets.iter().filter(|t| t.lot == Some(lot)).flat_map(|t| &t.tests);
    let tests = tests.filter(|test| test.what == What::Width && test.part.is_none());
    let limits = tests.filter(|test| !matches!(test.zone, Zone::Everywhere)).map(|test| {
        let [from_mm, to_mm] = test.zone.on(values, bar.long);
        let (low, high) = test.limits(values);
        StretchJson {
            from_mm: from_mm.clamp(0.0, tip),
            to_mm: to_mm.clamp(0.0, tip),
            asked: page.files.words(test.span),
            low: low.and_then(finite),
            high: high.and_then(finite),
        }
    });
    Some(AlongJson { piece: page.plan.ground.lot_name(lot), points, limits: limits.collect() })
}

/// The widths of a blade, to look at.
pub struct AlongPage<'a> {
    page: &'a Page<'a>,
    lot: LotId,
}

impl<'a> AlongPage<'a> {
    /// Of a lot; `None` where it is no blade.
    #[must_use]
    pub fn of(page: &'a Page<'a>, lot: LotId) -> Option<AlongPage<'a>> {
        along(page, lot).map(|_| AlongPage { page, lot })
    }

    /// The picture.
    #[must_use]
    pub fn svg(&self) -> String {
        svg(&self.json(), self.page.units)
    }
}

impl<'a> Answer for AlongPage<'a> {
    type Json = AlongJson<'a>;
    const SCHEMA: &'static str = "heatbook-along-1";

    fn text(&self, wide: usize) -> String {
        let (along, mm) = (self.json(), |v: f64| self.page.mm(v));
        let mut made = format!("width of {} from heel to tip\n", tame(along.piece));
        let rows = along.points.iter().map(|p| vec![mm(p.at_mm), mm(p.width_mm)]);
        made += &table(["from the heel", "wide"], rows, 0, wide);
        for stretch in &along.limits {
            let _ = writeln!(made, "asked: {}", tame(&stretch.asked));
        }
        let (per, _) = axis(Kind::LENGTH, self.page.units, 0.0);
        let limits = along.limits.iter().flat_map(|s| {
            let both = [s.low, s.high].into_iter().flatten();
            both.map(|v| [s.from_mm, s.to_mm].map(|x| (x / per, v / per)).to_vec())
        });
        let widths = along.points.iter().map(|p| (p.at_mm / per, p.width_mm / per)).collect();
        let drawn: Vec<Vec<(f64, f64)>> = limits.chain([widths]).collect();
        made + &dots::drawn(&drawn)
    }

    fn json(&self) -> AlongJson<'a> {
        along(self.page, self.lot).unwrap_or_else(|| bug!("a blade that is none any more"))
    }

    fn csv(&self) -> Option<Table> {
        Some(Table::of("at_mm width_mm", self.json().points))
    }
}

/// The picture's sizes and its room for words, px.
const TALL: f64 = 288.0;
const LEFT: f64 = 70.0;
const RIGHT: f64 = 150.0;
const TOP: f64 = 40.0;
const FOOT: f64 = 54.0;
/// What is asked at one place is drawn so long to each side, px.
const TICK: f64 = 7.0;

/// The chart; both axes begin at nothing, the heel to the left.
pub fn svg(along: &AlongJson, units: Units) -> String {
    let limits = || along.limits.iter().flat_map(|l| [l.low, l.high]).flatten();
    let most = along.points.iter().map(|p| p.width_mm).chain(limits()).fold(0.0, f64::max);
    let far = along.points.iter().map(|p| p.at_mm).fold(0.0, f64::max);
    let (per, unit) = axis(Kind::LENGTH, units, most);
    let step = between(most / per / 5.0);
    let top = ((most / per / step).ceil() * step).max(step) * per;
    let (right, foot) = (WIDE - RIGHT, TALL - FOOT);
    let y = |value: f64| TOP + (foot - TOP) * (1.0 - value / top);
    let x = |at: f64| LEFT + (right - LEFT) * if far > 0.0 { at / far } else { 0.0 };
    let mut made = begin(TALL, LEFT, &format!("width of {} from heel to tip, {unit}", along.piece));
    for mark in round_between(0.0, top / per, 5.0) {
        let at = y(mark * per);
        let _ = writeln!(
            made,
            "<line class=\"mark\" data-value=\"{}\" x1=\"{LEFT}\" x2=\"{right}\" y1=\"{at:.3}\" y2=\"{at:.3}\" stroke=\"#ccc\"/>\n\
             <text x=\"{}\" y=\"{:.3}\" text-anchor=\"end\">{} {unit}</text>",
            mark * per,
            LEFT - 6.0,
            at + 5.0,
            trim_number(mark, 4)
        );
    }
    // The tip has its own.
    let marks = round_between(0.0, far / per, 5.0).into_iter().filter(|mark| x(mark * per) < right - 60.0);
    let marks = marks.map(|mark| (mark * per, format!("{} {unit}", trim_number(mark, 4))));
    for (at, said) in marks.chain([(far, show(far, Kind::LENGTH, units))]) {
        let (x, y) = (x(at), foot + 18.0);
        let _ = writeln!(made, "<text x=\"{x:.3}\" y=\"{y}\" text-anchor=\"middle\">{said}</text>");
    }
    let (mut said, mut levels) = (Vec::new(), Vec::new());
    for stretch in &along.limits {
        let (mut from, mut to) = (x(stretch.from_mm), x(stretch.to_mm));
        if to - from < 2.0 * TICK {
            (from, to) = ((from - TICK).max(LEFT), to + TICK);
        }
        let (line, words) = limit([stretch.low, stretch.high], Kind::LENGTH, units, [from, to], &y);
        levels.extend(words.iter().map(|(at, _)| *at));
        (made, said) = (made + &line, [said, words].concat());
    }
    made += &ends(&mut said, right + 6.0);
    let points: Vec<[f64; 2]> = along.points.iter().map(|p| [x(p.at_mm), y(p.width_mm)]).collect();
    let line: Vec<String> = points.iter().map(|[x, y]| format!("{x:.3},{y:.3}")).collect();
    let _ = writeln!(
        made,
        "<polyline points=\"{}\" fill=\"none\" stroke=\"black\" stroke-width=\"2\"/>",
        line.join(" ")
    );
    let within = [LEFT - 5.0, TOP - 14.0, right + 4.0, foot];
    let mut drawn = Drawn { within, points, boxes: Vec::new(), levels };
    let widest = along.points.iter().max_by(|a, b| a.width_mm.total_cmp(&b.width_mm));
    let mut named: Vec<&WidthJson> = widest.into_iter().chain(along.points.first()).collect();
    named.dedup_by_key(|p| p.at_mm.to_bits());
    for p in named {
        let at = [x(p.at_mm), y(p.width_mm)];
        let _ = writeln!(
            made,
            "<circle data-value=\"{}\" cx=\"{:.3}\" cy=\"{:.3}\" r=\"4\"/>",
            p.width_mm, at[0], at[1]
        );
        made.extend(drawn.beside(at, &text(&show(p.width_mm, Kind::LENGTH, units))));
    }
    let _ = writeln!(
        made,
        "<text x=\"{}\" y=\"{}\" text-anchor=\"middle\">from the heel, {unit}</text>\n</svg>",
        (LEFT + right) / 2.0,
        TALL - 10.0
    );
    made
}
