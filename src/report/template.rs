//! A card template: the outline of a blade and its sections at true scale, as SVG and as DXF.

use std::fmt::{Display, Write as _};

use svg::Document;
use svg::node::element::path::Data;
use svg::node::element::{Path, Text as Words};

use super::blade::PartLine;
use super::tame::markup;
use crate::piece::Blade;
use crate::piece::blade::{Knot, Station};
use crate::quantity::{Kind, Units, show};

/// Room around everything, mm.
const MARGIN: f64 = 12.0;
/// The most sections (project figure).
const MOST_PLACES: f64 = 8.0;
/// An edge that is so little thicker than where it is thinnest has its whole bevel, mm (project figure).
const WHOLE_MM: f64 = 0.1;
/// How long a mark at the edge is, mm.
const TICK: f64 = 4.0;
/// Height of letters, mm.
const LETTERS: f64 = 4.0;

/// How far sheets of paper lie on each other, what a printer leaves free at its border, and the arms of a cross, mm (project figures).
const OVERLAP: f64 = 10.0;
const BORDER: f64 = 10.0;
const CROSS: f64 = 4.0;

/// From one line of words to the next, in their own height (project figure).
const LINE: f64 = 1.4;

/// How a tiled template of ours begins: only over such a file another is written.
pub const OURS: &str = "<!doctype html>\n<!-- a template of heatbook -->\n";

/// What everybody is told who cuts from paper.
pub const CHECK_FIRST: &str = "print at 100 %, and lay a rule on the drawing's bar before you cut";

/// What is drawn.
pub struct Template<'a> {
    /// The blade's name.
    pub name: &'a str,
    /// The blade.
    pub blade: &'a Blade,
    /// The lines of the parts that show on its faces.
    pub parts: Vec<PartLine>,
    /// The reader's units.
    pub units: Units,
}

/// What a line or a word of the drawing belongs to: a layer of the DXF.
#[derive(Clone, Copy, PartialEq)]
enum Layer {
    /// The blade from its side.
    Outline,
    /// Its sections.
    Sections,
    /// Where the bevels end, where the tang begins, and a fuller's lips.
    Bevel,
    /// Up to where a part shows on a face.
    Core,
    /// Round places along it, and where it balances.
    Stations,
    /// The bar to check the print by.
    Bar,
    /// Words.
    Text,
}

impl Layer {
    const ALL: [Layer; 7] = [
        Layer::Outline,
        Layer::Sections,
        Layer::Bevel,
        Layer::Core,
        Layer::Stations,
        Layer::Bar,
        Layer::Text,
    ];

    fn name(self) -> &'static str {
        match self {
            Layer::Outline => "OUTLINE",
            Layer::Sections => "SECTIONS",
            Layer::Bevel => "BEVEL",
            Layer::Core => "CORE",
            Layer::Stations => "STATIONS",
            Layer::Bar => "BAR",
            Layer::Text => "TEXT",
        }
    }

    /// What is not cut is broken.
    fn broken(self) -> bool {
        matches!(self, Layer::Bevel | Layer::Core | Layer::Stations)
    }
}

/// A line of the drawing: points in mm, the tip to the right and the spine up, and whether it is closed.
struct Stroke {
    layer: Layer,
    points: Vec<[f64; 2]>,
    closed: bool,
}

fn line(layer: Layer, points: Vec<[f64; 2]>) -> Stroke {
    Stroke { layer, points, closed: false }
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

/// A face bends by more than this where a line is drawn, mm a mm (project figure: a degree).
const BEND: f64 = 0.0175;

/// How the thickness of a section runs between its knots, mm a mm.
fn slopes(section: &Station) -> Vec<f64> {
    let pairs = section.knots.iter().zip(section.knots.iter().skip(1));
    let slope = |(a, b): (&Knot, &Knot)| if b.y > a.y { (b.thick() - a.thick()) / (b.y - a.y) } else { 0.0 };
    pairs.map(slope).collect()
}

/// The knots at which a section bends outward, as a shoulder does, edge first: each with its height and the slopes below and above it.
fn shoulders(section: &Station) -> impl Iterator<Item = (f64, [f64; 2])> {
    let slopes = slopes(section);
    let heights: Vec<f64> = section.knots.iter().skip(1).map(|k| k.y).collect();
    let bends = (1..slopes.len()).filter_map(move |i| {
        let (below, above) = (*slopes.get(i - 1)?, *slopes.get(i)?);
        (below - above > BEND).then_some((*heights.get(i - 1)?, [below, above]))
    });
    bends.collect::<Vec<_>>().into_iter()
}

/// Where the bevel of a section ends: where its thickness grows no more; else at its last shoulder.
fn bevel_top(section: &Station) -> Option<f64> {
    let all: Vec<(f64, [f64; 2])> = shoulders(section).collect();
    let flat = all.iter().find(|(_, [_, above])| *above < BEND).or(all.last());
    flat.map(|(y, _)| *y)
}

/// The lips of a fuller in a section, mm: from the first its thickness falls, up to the next it comes back.
fn lips(section: &Station) -> Option<[f64; 2]> {
    let mut all = shoulders(section).skip_while(|(_, [_, above])| *above > -BEND);
    let (low, high) = (all.next()?.0, all.next()?.0);
    Some([low, high])
}

impl Template<'_> {
    /// The lines along which the faces begin to fall away to an edge; over the plunge, from where a line begins at the edge straight up.
    fn bevels(&self) -> Vec<Vec<[f64; 2]>> {
        let line = |back: bool| -> Option<Vec<[f64; 2]>> {
            let sign = if back { -1.0 } else { 1.0 };
            let sides = self.blade.stations.iter().filter_map(|s| s.from_edges().nth(usize::from(back)));
            let fallen: Vec<Station> = sides.filter(|s| s.knots.len() > 2).collect();
            let thinnest = fallen.iter().map(|s| s.edge().thick()).fold(f64::INFINITY, f64::min);
            let first = fallen.first()?;
            let whole = fallen.iter().filter(|s| s.edge().thick() <= thinnest + WHOLE_MM);
            let tops = whole.filter_map(|s| Some([s.x, sign * bevel_top(s)?]));
            Some(std::iter::once([first.x, sign * first.edge().y]).chain(tops).collect())
        };
        [line(false), line(true)].into_iter().flatten().collect()
    }

    /// The lines of a fuller's lips.
    fn lips(&self) -> Vec<Vec<[f64; 2]>> {
        let found: Vec<(f64, [f64; 2])> =
            self.blade.stations.iter().filter_map(|s| Some((s.x, lips(s)?))).collect();
        let line = |of: fn(&[f64; 2]) -> f64| found.iter().map(|(x, lips)| [*x, of(lips)]).collect();
        if found.len() < 2 { Vec::new() } else { vec![line(|[low, _]| *low), line(|[_, high]| *high)] }
    }

    /// The round places whose sections are drawn, mm from the heel: as close as still leaves room between them.
    fn places(&self) -> Vec<f64> {
        let (tip, [_, thick]) = (self.blade.tip(), self.blade.greatest());
        let (unit, steps): (f64, &[f64]) = match self.units {
            Units::Metric => (1.0, &[25.0, 50.0, 100.0, 200.0, 500.0]),
            Units::Inch => (25.4, &[1.0, 2.0, 4.0, 8.0, 16.0]),
        };
        let room = thick + LETTERS * 8.0;
        let fits = |step: &f64| *step > room && tip / step <= MOST_PLACES;
        let step = steps.iter().map(|step| step * unit).find(fits).unwrap_or(tip);
        let places = (0..).map(|n| f64::from(n) * step).take_while(|x| *x < tip - room / 2.0);
        places.collect()
    }

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
        let mut strokes = vec![Stroke { layer: Layer::Outline, points: outline, closed: true }];
        let mut labels = Vec::new();
        let heel = blade.section(0.0);
        if blade.start() < 0.0 {
            strokes.push(line(Layer::Bevel, vec![[0.0, heel.edge().y], [0.0, heel.spine().y]]));
        }
        let lines = self.bevels().into_iter().chain(self.lips());
        strokes.extend(lines.map(|points| line(Layer::Bevel, points)));
        for part in &self.parts {
            for run in &part.runs {
                strokes.push(line(Layer::Core, run.clone()));
                if let Some([x, y]) = run.get(run.len() / 2) {
                    labels.push(Label { at: [*x, y + 1.0], words: format!("up to here {}", part.name) });
                }
            }
        }
        let tip = blade.tip();
        let balance = blade.balance();
        if (blade.start()..=tip).contains(&balance) {
            let there = blade.section(balance);
            let points = vec![[balance, there.edge().y], [balance, there.spine().y]];
            strokes.push(line(Layer::Stations, points));
            let at = [balance + 1.0, (there.edge().y + there.spine().y) / 2.0];
            labels.push(Label { at, words: format!("balances {} from the heel", mm(balance)) });
        }
        // Sections stand below the outline, edge down, each under its place: at round ones.
        let [left, bottom] = low;
        let [right, _] = high;
        let tallest = heel.width().max(blade.greatest()[0]);
        let base = bottom - MARGIN - 2.0 * LETTERS - tallest;
        for x in self.places() {
            let section = blade.section(x);
            let foot = section.edge().y;
            strokes.push(line(Layer::Stations, vec![[x, foot - TICK], [x, foot]]));
            let points = section.outline().into_iter().map(|[y, z]| [x + z, base + y - foot]).collect();
            strokes.push(Stroke { layer: Layer::Sections, points, closed: true });
            let (spine, edge) = (section.thickest().thick(), section.edge().thick());
            let said = [
                format!("at {}", mm(x)),
                format!("{} wide", mm(section.width())),
                format!("spine {}", mm(spine)),
                format!("edge {}", mm(edge)),
            ];
            let from = x + section.thickness() / 2.0 + 2.0;
            for (row, words) in (0..).zip(said) {
                labels.push(Label { at: [from, base - f64::from(row) * LETTERS * LINE], words });
            }
        }
        let (bar, said) = match self.units {
            Units::Metric => (100.0, "100 mm"),
            Units::Inch => (4.0 * 25.4, "4 in"),
        };
        let foot = base - MARGIN - 3.0 * LETTERS * LINE;
        for (x, tall) in [(left, 3.0), (left + bar / 2.0, 2.0), (left + bar, 3.0)] {
            strokes.push(line(Layer::Bar, vec![[x, foot - tall], [x, foot + tall]]));
        }
        strokes.push(line(Layer::Bar, vec![[left, foot], [left + bar, foot]]));
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
        let size = sheet.size();
        format!("{}\n", sheet.window([0.0, 0.0], size, &[]))
    }

    /// As a page of HTML that prints at true scale over several sheets of paper, each with marks where the next one lies on it.
    #[must_use]
    pub fn tiled(&self, paper: Paper) -> String {
        let sheet = self.sheet();
        let [wide, tall] = sheet.size();
        let count = |size: f64, room: f64| ((size - OVERLAP) / (room - OVERLAP)).ceil().max(1.0);
        let pages = |[w, h]: [f64; 2]| count(wide, w) * count(tall, h);
        let upright = paper.mm().map(|mm| mm - 2.0 * BORDER);
        let lying = [upright[1], upright[0]];
        let flat = pages(lying) < pages(upright);
        let room = if flat { lying } else { upright };
        let (columns, rows) = (count(wide, room[0]) as u32, count(tall, room[1]) as u32);
        let name = paper.name();
        let way = if flat { "landscape" } else { "portrait" };
        let title = format!("template of {}", self.name);
        let mut html = format!(
            "{OURS}<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n<title>{}</title>\n<style>\n\
             @page{{size:{name} {way};margin:{BORDER}mm}}\nbody{{margin:0}}\nsvg{{display:block;break-after:page}}\n\
             svg:last-of-type{{break-after:auto}}\n@media print{{p{{display:none}}}}\n</style>\n</head>\n<body>\n<p>{CHECK_FIRST}; \
             {columns} x {rows} sheets of {name}, {way}: lay the crosses on each other</p>\n",
            markup(&title)
        );
        for row in 0..rows {
            for column in 0..columns {
                let corner = [f64::from(column) * (room[0] - OVERLAP), f64::from(row) * (room[1] - OVERLAP)];
                let said =
                    format!("{}: sheet {} of {}", self.name, row * columns + column + 1, rows * columns);
                let mut marks = Vec::new();
                for x in [0.0, 1.0].map(|end| corner[0] + OVERLAP / 2.0 + end * (room[0] - OVERLAP)) {
                    for y in [0.0, 1.0].map(|end| corner[1] + OVERLAP / 2.0 + end * (room[1] - OVERLAP)) {
                        marks.push([x, y]);
                    }
                }
                let window = sheet.window(corner, room, &marks);
                let words = Words::new(said)
                    .set("x", round(corner[0] + OVERLAP))
                    .set("y", round(corner[1] + OVERLAP));
                let words = words.set("font-size", LETTERS).set("font-family", "sans-serif");
                let _ = writeln!(html, "{}", window.add(words));
            }
        }
        html + "</body>\n</html>\n"
    }

    /// As DXF of the plainest kind (release 12, ASCII), in layers, in mm or in inches as the reader has it: what every reader and
    /// cutter takes.
    #[must_use]
    pub fn dxf(&self) -> String {
        let sheet = self.sheet();
        let (scale, code, metric, unit) = match self.units {
            Units::Metric => (1.0, 4, 1, "mm"),
            Units::Inch => (1.0 / 25.4, 1, 0, "inch"),
        };
        let mut dxf = Dxf::default();
        dxf.pairs(&[(0, &"SECTION"), (2, &"HEADER"), (9, &"$ACADVER"), (1, &"AC1009"), (9, &"$INSUNITS")]);
        dxf.pairs(&[(70, &code), (9, &"$MEASUREMENT"), (70, &metric), (0, &"ENDSEC"), (0, &"SECTION")]);
        dxf.pairs(&[(2, &"TABLES"), (0, &"TABLE"), (2, &"LAYER"), (70, &Layer::ALL.len())]);
        for layer in Layer::ALL {
            // Colour 7 is black on white and white on black.
            dxf.pairs(&[(0, &"LAYER"), (2, &layer.name()), (70, &0), (62, &7), (6, &"CONTINUOUS")]);
        }
        dxf.pairs(&[(0, &"ENDTAB"), (0, &"ENDSEC"), (0, &"SECTION"), (2, &"ENTITIES")]);
        dxf.pairs(&[(999, &format!("1 unit is 1 {unit}"))]);
        for stroke in &sheet.strokes {
            let (closed, layer) = (u8::from(stroke.closed), stroke.layer.name());
            dxf.pairs(&[(0, &"POLYLINE"), (8, &layer), (66, &1), (10, &0.0), (20, &0.0), (70, &closed)]);
            for [x, y] in stroke.points.iter().map(|p| p.map(|v| round(v * scale))) {
                dxf.pairs(&[(0, &"VERTEX"), (8, &layer), (10, &x), (20, &y)]);
            }
            dxf.pairs(&[(0, &"SEQEND")]);
        }
        for label in &sheet.labels {
            let [x, y] = label.at.map(|v| round(v * scale));
            // A line end would end the pair; and this release says nowhere in which code its letters are, so that each reader takes
            // others for them: they are written in ASCII.
            let words: String = label.words.chars().map(|c| if c.is_control() { ' ' } else { c }).collect();
            let words = deunicode::deunicode_with_tofu(&words, "?");
            let tall = round(LETTERS * scale);
            dxf.pairs(&[
                (0, &"TEXT"),
                (8, &Layer::Text.name()),
                (10, &x),
                (20, &y),
                (40, &tall),
                (1, &words),
            ]);
        }
        dxf.pairs(&[(0, &"ENDSEC"), (0, &"EOF")]);
        dxf.0
    }
}

impl Sheet {
    fn size(&self) -> [f64; 2] {
        let ([left, bottom], [right, top]) = (self.low, self.high);
        [right - left, top - bottom]
    }

    /// What is seen of it through a window: its upper left corner from that of the drawing and its size, mm; with crosses at some places.
    fn window(&self, corner: [f64; 2], [wide, tall]: [f64; 2], marks: &[[f64; 2]]) -> Document {
        // Up is up: the drawing's y runs down.
        let at = |[x, y]: [f64; 2]| (round(x - self.low[0]), round(self.high[1] - y));
        let view = (round(corner[0]), round(corner[1]), round(wide), round(tall));
        let mut document = Document::new()
            .set("width", format!("{}mm", round(wide)))
            .set("height", format!("{}mm", round(tall)))
            .set("viewBox", view);
        for stroke in &self.strokes {
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
            let path = path.set("stroke-width", 0.2);
            document =
                document.add(if stroke.layer.broken() { path.set("stroke-dasharray", "2 1") } else { path });
        }
        for label in &self.labels {
            let (x, y) = at(label.at);
            let words = Words::new(label.words.clone()).set("x", x).set("y", y);
            document = document.add(words.set("font-size", LETTERS).set("font-family", "sans-serif"));
        }
        for [x, y] in marks {
            let data = Data::new()
                .move_to((round(x - CROSS), round(*y)))
                .line_to((round(x + CROSS), round(*y)))
                .move_to((round(*x), round(y - CROSS)))
                .line_to((round(*x), round(y + CROSS)));
            document =
                document.add(Path::new().set("d", data).set("stroke", "black").set("stroke-width", 0.1));
        }
        document
    }
}

/// A size of paper.
#[derive(Clone, Copy, Debug)]
pub enum Paper {
    /// ISO 216.
    A4,
    /// ANSI/ASME Y14.1.
    Letter,
}

impl Paper {
    /// Width and height, mm.
    pub(super) fn mm(self) -> [f64; 2] {
        match self {
            Paper::A4 => [210.0, 297.0],
            Paper::Letter => [215.9, 279.4],
        }
    }

    fn name(self) -> &'static str {
        match self {
            Paper::A4 => "A4",
            Paper::Letter => "letter",
        }
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
