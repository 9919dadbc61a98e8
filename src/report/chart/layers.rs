//! The section of a piece with its layers, as it was stacked last and as it is in the end.

use std::fmt::Write as _;

use schemars::JsonSchema;
use serde::Serialize;

use crate::forge::Makes;
use crate::piece::{LotId, strata};
use crate::quantity::{Kind, Units, show};
use crate::report::Page;
use crate::report::answer::{Answer, Table};
use crate::report::table::table;
use crate::report::tame::{markup as text, tame};
use crate::study::chain;

use super::frame::begin;

/// More layers than this cannot be told apart in a picture of this height (project figure).
const MOST: u64 = 120;
/// What stands in the place of a picture that cannot be true.
const UNTOLD: &str = "more than 120 layers, or layers that are not alike across the width and along the length: no such picture is drawn";

#[derive(Serialize, JsonSchema)]
pub struct LayersJson<'a> {
    pub(in crate::report) piece: &'a str,
    /// As it was stacked last, or came from the store; absent where its layers cannot be told one by one.
    pub(in crate::report) before: Option<SectionJson<'a>>,
    /// As it is in the end; likewise.
    pub(in crate::report) after: Option<SectionJson<'a>>,
}

#[derive(Serialize, JsonSchema)]
pub struct SectionJson<'a> {
    /// The step behind which it is so.
    pub(in crate::report) n: usize,
    pub(in crate::report) thickness_mm: f64,
    /// The lowest first, equal neighbours as one.
    pub(in crate::report) layers: Vec<BandJson<'a>>,
}

#[derive(Serialize, JsonSchema)]
pub struct BandJson<'a> {
    pub(in crate::report) steel: &'a str,
    pub(in crate::report) thickness_mm: f64,
}

/// The layers of a lot before and after.
pub fn layers<'a>(page: &Page<'a>, lot: LotId) -> LayersJson<'a> {
    let steps = &page.plan.steps;
    let makers = page.plan.makers();
    let made = |lot: LotId| makers.get(&lot).copied();
    let chain = chain(page.build, lot);
    let together = |lot: &&LotId| {
        made(**lot).and_then(|step| steps.get(step)).is_some_and(|s| s.word.makes == Makes::Together)
    };
    let first = chain.iter().rfind(together).or(chain.first()).copied();
    let section = |lot: LotId| {
        let (bar, n) = (page.build.lot(lot)?.bar, made(lot)? + 1);
        // A blade is not of one section.
        let bands =
            strata(&page.build.bench.makeup, bar.node, bar.thick, MOST).filter(|_| bar.blade.is_none())?;
        let band = |(id, thickness_mm)| BandJson { steel: page.steel(id), thickness_mm };
        Some(SectionJson { n, thickness_mm: bar.thick, layers: bands.into_iter().map(band).collect() })
    };
    LayersJson { piece: page.plan.ground.lot_name(lot), before: first.and_then(section), after: section(lot) }
}

/// The layers of a piece, to look at.
pub struct LayersPage<'a> {
    /// The build.
    pub page: &'a Page<'a>,
    /// The piece.
    pub lot: LotId,
}

impl LayersPage<'_> {
    /// The picture.
    #[must_use]
    pub fn svg(&self) -> String {
        svg(&self.json(), self.page.units)
    }
}

impl<'a> Answer for LayersPage<'a> {
    type Json = LayersJson<'a>;
    const SCHEMA: &'static str = "heatbook-layers-1";

    fn text(&self, wide: usize) -> String {
        let layers = self.json();
        let mut made = String::new();
        for (when, section) in sections(&layers) {
            let _ = writeln!(made, "{}, {when}", tame(layers.piece));
            let Some(section) = section else {
                let _ = writeln!(made, "{UNTOLD}");
                continue;
            };
            let row = |(i, band): (usize, &BandJson)| {
                vec![(i + 1).to_string(), band.steel.to_owned(), self.page.mm(band.thickness_mm)]
            };
            made += &table(["layer", "steel", "thick"], section.layers.iter().enumerate().map(row), 2, wide);
        }
        made
    }

    fn json(&self) -> LayersJson<'a> {
        layers(self.page, self.lot)
    }

    fn csv(&self) -> Option<Table> {
        let layers = self.json();
        let rows = sections(&layers).into_iter().flat_map(|(_, section)| section).flat_map(|section| {
            section.layers.iter().enumerate().map(|(i, band)| {
                let figures = [section.n.to_string(), (i + 1).to_string(), band.steel.to_owned()];
                figures.into_iter().chain([band.thickness_mm.to_string()]).collect()
            })
        });
        Some(Table::new(["n", "layer", "steel", "thickness_mm"], rows.collect::<Vec<Vec<String>>>()))
    }
}

fn sections<'j, 'a>(layers: &'j LayersJson<'a>) -> [(String, Option<&'j SectionJson<'a>>); 2] {
    let when = |of: &str, section: &Option<SectionJson>| {
        section.as_ref().map_or(of.to_owned(), |s| format!("{of} (step {})", s.n))
    };
    [
        (when("as it was stacked", &layers.before), layers.before.as_ref()),
        (when("in the end", &layers.after), layers.after.as_ref()),
    ]
}

/// Whether there is anything to draw: a section of several layers.
pub fn drawable(layers: &LayersJson) -> bool {
    [&layers.before, &layers.after].into_iter().flatten().any(|s| s.layers.len() > 1)
}

/// Greys that are told apart on paper, and by eyes that know no colours.
const GREYS: [&str; 6] = ["#444", "#eee", "#999", "#fff", "#222", "#bbb"];

/// Both sections beside each other, each to its own scale, the lowest layer below.
pub fn svg(layers: &LayersJson, units: Units) -> String {
    const TALL: f64 = 420.0;
    const HIGH: f64 = 320.0;
    const FOOT: f64 = 380.0;
    const BAR: f64 = 130.0;
    let title = format!("layers of {} through its thickness, before and after", layers.piece);
    let mut made = begin(TALL, 8.0, &title);
    let mut known: Vec<&str> = Vec::new();
    for (k, (when, section)) in sections(layers).into_iter().enumerate() {
        let left = 70.0 + 350.0 * k as f64;
        let _ = writeln!(made, "<text x=\"{left}\" y=\"46\">{}</text>", text(&when));
        let Some(section) = section else {
            let _ = writeln!(
                made,
                "<text x=\"{left}\" y=\"70\" font-size=\"11\">its layers cannot be drawn one by one</text>"
            );
            continue;
        };
        let per = HIGH / section.thickness_mm;
        let mut foot = FOOT;
        for (i, band) in section.layers.iter().enumerate() {
            if !known.contains(&band.steel) {
                known.push(band.steel);
            }
            let which = known
                .iter()
                .position(|steel| *steel == band.steel)
                .unwrap_or_else(|| bug!("a steel is lost"));
            let grey = GREYS.get(which % GREYS.len()).unwrap_or_else(|| bug!("a grey is lost"));
            let high = band.thickness_mm * per;
            foot -= high;
            let _ = writeln!(
                made,
                "<rect class=\"layer\" data-value=\"{}\" x=\"{left}\" y=\"{foot:.3}\" width=\"{BAR}\" height=\"{high:.3}\" fill=\"{grey}\" stroke=\"black\" stroke-width=\"0.5\"/>",
                band.thickness_mm
            );
            let words = foot + high / 2.0 + 4.0;
            if high >= 13.0 {
                let thick = show(band.thickness_mm, Kind::LENGTH, units);
                let _ = writeln!(
                    made,
                    "<text x=\"{}\" y=\"{words:.3}\" text-anchor=\"end\" font-size=\"12\">{}</text>\n\
                     <text x=\"{}\" y=\"{words:.3}\" font-size=\"12\">{}, {thick}</text>",
                    left - 6.0,
                    i + 1,
                    left + BAR + 6.0,
                    text(band.steel)
                );
            } else if i + 1 == section.layers.len() || i == 0 {
                let at = left - 6.0;
                let _ = writeln!(
                    made,
                    "<text x=\"{at}\" y=\"{words:.3}\" text-anchor=\"end\" font-size=\"12\">{}</text>",
                    i + 1
                );
            }
        }
        let thick = show(section.thickness_mm, Kind::LENGTH, units);
        let count = section.layers.len();
        let _ = writeln!(
            made,
            "<text x=\"{left}\" y=\"{}\">{thick} thick, {count} told apart</text>",
            FOOT + 20.0
        );
    }
    let mut x = 70.0;
    for (steel, grey) in known.iter().zip(GREYS.iter().cycle()) {
        let _ = writeln!(
            made,
            "<rect x=\"{x}\" y=\"405\" width=\"12\" height=\"12\" fill=\"{grey}\" stroke=\"black\"/>\n<text x=\"{}\" y=\"416\" font-size=\"12\">{}</text>",
            x + 16.0,
            text(steel)
        );
        x += 40.0 + 8.0 * steel.chars().count() as f64;
    }
    made + "</svg>\n"
}
