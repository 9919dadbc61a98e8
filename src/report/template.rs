//! A card template: the outline of a blade and its sections at true scale, as SVG and as DXF.

use std::fmt::Display;

use svg::Document;
use svg::node::element::path::Data;
use svg::node::element::{Path, Text as Words};

use crate::piece::Blade;
use crate::quantity::{Kind, Units, show};

/// Room around everything, mm.
const MARGIN: f64 = 12.0;
/// Height of letters, mm.
const LETTERS: f64 = 4.0;

/// What everybody is told who cuts from paper.
pub const CHECK_FIRST: &str = "print at 100 %, and lay a rule on the drawing's bar before you cut";

/// What is drawn.
pub struct Template<'a> {
    /// The blade's name.
    pub name: &'a str,
    /// The blade.
    pub blade: &'a Blade,
    /// The reader's units.
    pub units: Units,
}

/// A line of the drawing: points in mm, the tip to the right and the spine up, and whether it is closed.
struct Stroke {
    points: Vec<[f64; 2]>,
    closed: bool,
}

/// Words at a place.
struct Label {
    at: [f64; 2],
    words: String,
}

/// Everything that is drawn, with its least and greatest places.
struct Sheet {
    strokes: Vec<Stroke>,
    labels: Vec<Label>,
    low: [f64; 2],
    high: [f64; 2],
}

impl Template<'_> {
    fn sheet(&self) -> Sheet {
        let blade = self.blade;
        let mm = |v: f64| show(v, Kind::LENGTH, self.units);
        let outline = blade.side();
        let (mut low, mut high) = ([f64::INFINITY; 2], [f64::NEG_INFINITY; 2]);
        for point in &outline {
            for ((low, high), p) in low.iter_mut().zip(&mut high).zip(point) {
                *low = low.min(*p);
                *high = high.max(*p);
            }
        }
        let mut strokes = vec![Stroke { points: outline, closed: true }];
        let mut labels = Vec::new();
        let heel = blade.section(0.0);
        if blade.start() < 0.0 {
            strokes.push(Stroke { points: vec![[0.0, heel.edge().y], [0.0, heel.spine().y]], closed: false });
        }
        // Sections stand below the outline, edge down, each under its place.
        let [left, bottom] = low;
        let [right, _] = high;
        let tip = blade.tip();
        let tallest = heel.width().max(blade.greatest()[0]);
        let base = bottom - MARGIN - tallest;
        for x in [0.0, tip * 0.25, tip * 0.5, tip * 0.75] {
            let section = blade.section(x);
            let foot = section.edge().y;
            let points = section.outline().into_iter().map(|[y, z]| [x + z, base + y - foot]).collect();
            strokes.push(Stroke { points, closed: true });
            let at = [x + section.thickness() / 2.0 + 2.0, base];
            labels.push(Label { at, words: format!("at {}", mm(x)) });
        }
        let (bar, said) = match self.units {
            Units::Metric => (100.0, "100 mm"),
            Units::Inch => (4.0 * 25.4, "4 in"),
        };
        let foot = base - MARGIN;
        for (x, tall) in [(left, 3.0), (left + bar / 2.0, 2.0), (left + bar, 3.0)] {
            strokes.push(Stroke { points: vec![[x, foot - tall], [x, foot + tall]], closed: false });
        }
        strokes.push(Stroke { points: vec![[left, foot], [left + bar, foot]], closed: false });
        labels.push(Label { at: [left + bar + 4.0, foot], words: format!("{said}: {CHECK_FIRST}") });
        let title = format!("{}: {} from heel to tip", self.name, mm(tip));
        labels.push(Label { at: [left, high[1] + LETTERS], words: title });
        let room = |at: [f64; 2], by: f64| at.map(|v| v + by);
        let low = room([left, foot], -MARGIN);
        let widest = left + bar + 4.0 + LETTERS * 0.62 * (said.len() + CHECK_FIRST.len() + 2) as f64;
        let high = room([right.max(widest), high[1] + 2.0 * LETTERS], MARGIN);
        Sheet { strokes, labels, low, high }
    }

    /// As SVG; one unit of the drawing is one mm on paper.
    #[must_use]
    pub fn svg(&self) -> String {
        let sheet = self.sheet();
        let [left, bottom] = sheet.low;
        let [right, top] = sheet.high;
        let (wide, tall) = (right - left, top - bottom);
        // Up is up: the drawing's y runs down.
        let at = |[x, y]: [f64; 2]| (round(x - left), round(top - y));
        let mut document = Document::new()
            .set("width", format!("{}mm", round(wide)))
            .set("height", format!("{}mm", round(tall)))
            .set("viewBox", (0, 0, round(wide), round(tall)));
        for stroke in &sheet.strokes {
            let mut points = stroke.points.iter().map(|p| at(*p));
            let Some(first) = points.next() else { continue };
            let mut data = Data::new().move_to(first);
            for point in points {
                data = data.line_to(point);
            }
            if stroke.closed {
                data = data.close();
            }
            let path = Path::new().set("d", data).set("fill", "none").set("stroke", "black");
            document = document.add(path.set("stroke-width", 0.2));
        }
        for label in &sheet.labels {
            let (x, y) = at(label.at);
            let words = Words::new(label.words.clone()).set("x", x).set("y", y);
            document = document.add(words.set("font-size", LETTERS).set("font-family", "sans-serif"));
        }
        format!("{document}\n")
    }

    /// As DXF of the plainest kind (release 12, ASCII), in mm: what every reader and cutter takes.
    #[must_use]
    pub fn dxf(&self) -> String {
        let sheet = self.sheet();
        let mut dxf = Dxf::default();
        let pairs: [(u16, &dyn Display); 12] = [
            (0, &"SECTION"),
            (2, &"HEADER"),
            (9, &"$ACADVER"),
            (1, &"AC1009"),
            (9, &"$INSUNITS"),
            (70, &4), // mm
            (9, &"$MEASUREMENT"),
            (70, &1), // metric
            (0, &"ENDSEC"),
            (0, &"SECTION"),
            (2, &"ENTITIES"),
            (999, &"1 unit is 1 mm"),
        ];
        dxf.pairs(&pairs);
        for stroke in &sheet.strokes {
            let closed = u8::from(stroke.closed);
            dxf.pairs(&[(0, &"POLYLINE"), (8, &"0"), (66, &1), (10, &0.0), (20, &0.0), (70, &closed)]);
            for [x, y] in stroke.points.iter().map(|p| p.map(round)) {
                dxf.pairs(&[(0, &"VERTEX"), (8, &"0"), (10, &x), (20, &y)]);
            }
            dxf.pairs(&[(0, &"SEQEND")]);
        }
        for label in &sheet.labels {
            let [x, y] = label.at.map(round);
            // A line end would end the pair.
            let words: String = label.words.chars().map(|c| if c.is_control() { ' ' } else { c }).collect();
            dxf.pairs(&[(0, &"TEXT"), (8, &"0"), (10, &x), (20, &y), (40, &LETTERS), (1, &words)]);
        }
        dxf.pairs(&[(0, &"ENDSEC"), (0, &"EOF")]);
        dxf.0
    }
}

/// A file of the drawing exchange format: pairs of a group code and a value, a line each.
#[derive(Default)]
struct Dxf(String);

impl Dxf {
    fn pairs(&mut self, pairs: &[(u16, &dyn Display)]) {
        for (group, value) in pairs {
            self.0 += &format!("{group:>3}\n{value}\n");
        }
    }
}

/// To a tenth of a micrometre: what is left of the arithmetic's rounding is no news.
fn round(v: f64) -> f64 {
    (v * 1e4).round() / 1e4
}
