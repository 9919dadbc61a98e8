//! A picture of a piece: for people in the terminal, as PNG, as SVG, and for programs the steel at each dot.

mod letters;
mod raster;
mod strip;
mod terminal;

use std::collections::BTreeSet;

use base64::Engine as _;
use schemars::JsonSchema;
use serde::Serialize;
use svg::Document;
use svg::node::element::{Image, Line, Text as Words};

use crate::piece::field::Field;
use crate::piece::shades::Shades;
use crate::piece::{LotId, SteelId};
use crate::quantity::{Kind, Units, show};
use crate::steel::laws::etch;
use crate::study::{Picture, Sight, View, take};

use super::Page;
use super::answer::Answer;
use raster::Raster;
pub use strip::StripPage;
pub use terminal::Ink;

/// What a picture says of itself where no hand was uneven.
const HAND: &str = "geometry, ideal hand";
/// Room about an SVG's picture, and the height of its letters, as a share of its width.
const ROOM: f64 = 1.0 / 60.0;
const LETTERS: f64 = 1.0 / 45.0;

/// A picture of a piece.
pub struct PicturePage<'a> {
    /// The piece.
    pub piece: &'a str,
    /// From where it is seen, as one writes that.
    pub view: &'a str,
    /// The picture.
    pub picture: Picture,
    /// Which way its columns and its rows go.
    pub axes: [&'static str; 2],
    /// Where its upper left corner lies, mm.
    pub corner: [f64; 3],
    /// How far what it shows goes to the right and down, mm.
    pub size: [f64; 2],
    /// The steels in it, from dark to bright.
    pub steels: Vec<(SteelId, &'a str)>,
    /// The hands that made it uneven, by their seeds.
    pub hands: BTreeSet<u64>,
    /// Whether some of it is patterned stock, of which nobody says where the layers lie.
    pub untold: bool,
    /// What the terminal can show.
    pub ink: Ink,
    /// The reader's units.
    pub units: Units,
}

#[derive(Serialize, JsonSchema)]
pub struct PictureJson<'a> {
    piece: &'a str,
    view: &'a str,
    /// The side of a dot.
    mm_per_px: f64,
    /// Where the outer corner of the first dot of the first row lies: thickness from the lowest, width from the edge, length from the heel end.
    /// Of a shaped blade the heights are those of its outline, the thickness is from its middle plane, the length from its heel.
    origin_mm: [f64; 3],
    /// Which way the dots of a row follow each other, and the rows; of `blade` those of its upper half.
    axes: [&'static str; 2],
    steels: Vec<&'a str>,
    /// Row by row from above: which of the steels lies at each dot's middle; nothing beside the piece.
    grid: Vec<Vec<Option<usize>>>,
    /// What it is a picture of.
    hand: String,
}

impl<'a> Answer for PicturePage<'a> {
    type Json = PictureJson<'a>;
    const SCHEMA: &'static str = "heatbook-picture-2";

    fn text(&self, _: usize) -> String {
        let [wide, _] = self.picture.dots;
        let drawn = terminal::drawn(wide, &self.picture.tones, self.ink);
        let named = match self.names().as_slice() {
            [only] => format!("all of it {only}"),
            several => format!("dark to bright: {}", several.join(", ")),
        };
        format!("{}\n{drawn}{named}\n", self.words())
    }

    fn json(&self) -> PictureJson<'a> {
        let index = |steel: SteelId| self.steels.iter().position(|(id, _)| *id == steel);
        let [wide, _] = self.picture.dots;
        let row = |row: &[Option<SteelId>]| row.iter().map(|dot| dot.and_then(index)).collect();
        PictureJson {
            piece: self.piece,
            view: self.view,
            mm_per_px: self.picture.dot,
            origin_mm: self.corner,
            axes: self.axes,
            steels: self.steels.iter().map(|(_, name)| *name).collect(),
            grid: self.picture.steels.chunks(wide).map(row).collect(),
            hand: self.hand(),
        }
    }
}

impl<'a> PicturePage<'a> {
    /// Takes a picture of a lot of bars; `dot` says how large its dots are, mm, for what extends so far.
    ///
    /// # Errors
    /// Why it cannot be seen so, or would be too fine.
    pub fn of(
        page: &Page<'a>,
        lot: LotId,
        view: View,
        dot: impl FnOnce(f64) -> f64,
        cores: usize,
    ) -> Result<PicturePage<'a>, String> {
        let makeup = &page.build.bench.makeup;
        let Some(made) = page.build.lot(lot) else {
            return Err("the piece is not there to be seen".to_owned());
        };
        let bar = &made.bar;
        let sight = Sight::new(makeup, bar, view)?;
        let grade = |id: SteelId| &page.plan.ground.steels[id].composition;
        let mut tones: Vec<(SteelId, f64)> =
            makeup.steels(bar.node).map(|id| (id, etch::brightness(grade(id)))).collect();
        tones.sort_by(|a, b| a.1.total_cmp(&b.1));
        let field = Field::new(makeup, bar.node);
        let shades =
            Shades::etched(&field, (makeup, bar.node), &bar.past, &|id| grade(id).c, &|id, carbon| {
                etch::shade(grade(id), carbon)
            });
        let picture = take(&sight, &field, &shades, dot(sight.extent()), cores)?;
        Ok(PicturePage {
            piece: page.plan.ground.lot_name(lot),
            view: view.side.told().0,
            picture,
            axes: sight.axes(),
            corner: sight.corner,
            size: sight.shown(),
            steels: tones.iter().map(|(id, _)| (*id, page.steel(*id))).collect(),
            hands: makeup.hands(bar.node),
            untold: makeup.untold(bar.node),
            ink: Ink::Plain,
            units: page.units,
        })
    }

    fn names(&self) -> Vec<&str> {
        self.steels.iter().map(|(_, name)| *name).collect()
    }

    fn shown(&self) -> [String; 2] {
        self.size.map(|mm| show(mm, Kind::LENGTH, self.units))
    }

    fn words(&self) -> String {
        let [wide, tall] = self.shown();
        format!("{}, {}, {wide} x {tall}: {}", self.piece, self.view, self.hand())
    }

    /// Whose hand is seen.
    fn hand(&self) -> String {
        if self.untold {
            return "layers of patterned stock drawn flat: where they lie is not told".to_owned();
        }
        if self.hands.is_empty() {
            return HAND.to_owned();
        }
        let seeds: Vec<String> = self.hands.iter().map(u64::to_string).collect();
        format!("geometry, uneven hand of seed {}", seeds.join(", "))
    }

    /// A length for the bar, mm, and as it is shown: about a fifth of the picture, a round figure.
    fn bar(&self) -> (f64, String) {
        let most = self.size[0] / 4.0;
        let (unit, steps): (f64, &[f64]) = match self.units {
            Units::Metric => (1.0, &[0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0, 200.0]),
            Units::Inch => (25.4, &[0.0625, 0.125, 0.25, 0.5, 1.0, 2.0, 4.0, 8.0]),
        };
        let fits = steps.iter().rev().map(|step| step * unit).find(|mm| *mm <= most);
        let mm = fits.unwrap_or(most);
        (mm, show(mm, Kind::LENGTH, self.units))
    }

    fn raster(&self) -> Raster {
        Raster::of(&self.picture)
    }

    /// As PNG.
    #[must_use]
    pub fn png(&self) -> Vec<u8> {
        let (bar, length) = self.bar();
        self.raster().framed((bar / self.picture.dot).round() as usize, &length, &self.words()).png()
    }

    /// As SVG: the dots as an image, at true scale in mm, with the bar and the words as drawn ones.
    #[must_use]
    pub fn svg(&self) -> String {
        let [wide, tall] = self.picture.dots.map(|n| n as f64 * self.picture.dot);
        let (room, letters) = (wide * ROOM, wide * LETTERS);
        let (width, height) = (wide + 2.0 * room, tall + 3.0 * room + 3.0 * letters);
        let (bar, length) = self.bar();
        let foot = tall + 2.0 * room + letters;
        let document = Document::new()
            .set("width", format!("{}mm", round(width)))
            .set("height", format!("{}mm", round(height)))
            .set("viewBox", (0, 0, round(width), round(height)))
            .set("role", "img")
            .set("aria-label", self.words())
            .add(image(&self.raster(), [room, room], [wide, tall]))
            .add(line(room, bar, foot, letters))
            .add(words(length, room + bar + letters / 2.0, foot, letters))
            .add(words(self.words(), room, foot + 1.5 * letters, letters));
        format!("{document}\n")
    }
}

/// Dots as an image of an SVG, its upper left corner and its size in mm.
fn image(raster: &Raster, [x, y]: [f64; 2], [wide, tall]: [f64; 2]) -> Image {
    let data = base64::engine::general_purpose::STANDARD.encode(raster.png());
    Image::new()
        .set("x", round(x))
        .set("y", round(y))
        .set("width", round(wide))
        .set("height", round(tall))
        .set("preserveAspectRatio", "none")
        .set("style", "image-rendering:pixelated")
        .set("href", format!("data:image/png;base64,{data}"))
}

/// A bar of known length on the line of words so high.
fn line(from: f64, long: f64, foot: f64, letters: f64) -> Line {
    Line::new()
        .set("x1", round(from))
        .set("x2", round(from + long))
        .set("y1", round(foot - letters / 3.0))
        .set("y2", round(foot - letters / 3.0))
        .set("stroke", "black")
        .set("stroke-width", round(letters / 5.0))
}

fn words(text: String, x: f64, y: f64, letters: f64) -> Words {
    let words = Words::new(text).set("x", round(x)).set("y", round(y));
    words.set("font-size", round(letters)).set("font-family", "sans-serif")
}

/// A place on a drawing, to a thousandth of a mm.
fn round(v: f64) -> f64 {
    (v * 1000.0).round() / 1000.0
}
