//! Pictures of a piece one below the other, all at one scale: after each step that changes what is seen of it, or of several builds.

use schemars::JsonSchema;
use serde::Serialize;
use svg::Document;

use super::raster::Raster;
use super::{PictureJson, PicturePage, image, line, round, terminal, words};
use crate::piece::field::Field;
use crate::piece::{Bar, LotId, Makeup, SteelId};
use crate::report::answer::Answer;
use crate::report::{Ink, Page};
use crate::study::{Sight, View, chain};

/// Places across and down at which a piece is held against itself before, and the share of them that makes a pattern another one
/// (project figures): what burns off a face moves no more than that.
const PLACES: [usize; 2] = [96, 24];
const SHARE: f64 = 0.1;

/// Pictures of a piece on its way, or as several builds leave it.
pub struct StripPage<'a> {
    stages: Vec<Stage<'a>>,
    dot: f64,
}

/// A picture, and what it is behind.
struct Stage<'a> {
    step: Option<usize>,
    words: String,
    page: PicturePage<'a>,
}

#[derive(Serialize, JsonSchema)]
pub struct StripJson<'a> {
    pictures: Vec<StageJson<'a>>,
}

#[derive(Serialize, JsonSchema)]
pub struct StageJson<'a> {
    /// The step that it is behind, as the sheet numbers it; absent where figures are held against each other.
    n: Option<usize>,
    /// The step's words, or the figure.
    words: String,
    picture: PictureJson<'a>,
}

impl<'a> StripPage<'a> {
    /// Takes them; `view` says from where a bar so long is looked at, and `dot` how large the dots are, mm, where the longest picture goes so far to the right.
    ///
    /// # Errors
    /// Why one cannot be seen so, or would be too fine.
    pub fn of(
        page: &Page<'a>,
        lot: LotId,
        view: impl Fn(f64) -> View,
        dot: impl FnOnce(f64) -> f64,
        cores: usize,
        ink: Ink,
    ) -> Result<StripPage<'a>, String> {
        let makeup = &page.build.bench.makeup;
        let bars = chain(page.build, lot).into_iter().filter_map(|id| Some((id, page.build.lot(id)?.bar)));
        let several: Vec<_> = bars.filter(|(_, bar)| makeup.steels(bar.node).count() > 1).collect();
        let mut longest: f64 = 0.0;
        for (_, bar) in &several {
            longest = longest.max(Sight::new(makeup, bar, view(bar.long))?.extent());
        }
        let dot = dot(longest);
        let mut stages: Vec<Stage> = Vec::new();
        let mut before: Option<(Vec<Option<SteelId>>, [f64; 3])> = None;
        let makers = page.plan.makers();
        for (id, bar) in &several {
            let Some(step) = makers.get(id).copied() else { continue };
            let now = places(makeup, bar, view(bar.long))?;
            // The piece itself is shown too where it was only brought to another size since.
            let same = before.as_ref().is_some_and(|(was, size)| {
                let differ = was.iter().zip(&now).filter(|(a, b)| a != b).count();
                differ as f64 <= SHARE * now.len() as f64 && (*id != lot || *size == bar.sizes())
            });
            if !same {
                let mut picture = PicturePage::of(page, *id, view(bar.long), |_| dot, cores)?;
                picture.ink = ink;
                let words = page.files.words(page.step(step).span);
                stages.push(Stage { step: Some(step + 1), words, page: picture });
                before = Some((now, bar.sizes()));
            }
        }
        if stages.is_empty() {
            return Err("this piece is of one steel all the way: it has no pattern".to_owned());
        }
        Ok(StripPage { stages, dot })
    }

    /// Takes pictures of pieces of several builds, each under its words.
    ///
    /// # Errors
    /// Why one cannot be seen so, or would be too fine.
    pub fn beside(
        builds: Vec<(String, Page<'a>, LotId)>,
        view: impl Fn(f64) -> View,
        dot: impl FnOnce(f64) -> f64,
        cores: usize,
        ink: Ink,
    ) -> Result<StripPage<'a>, String> {
        let mut longest: f64 = 0.0;
        let bars = builds.iter().filter_map(|(_, page, lot)| Some((page, page.build.lot(*lot)?.bar)));
        for (page, bar) in bars {
            longest = longest.max(Sight::new(&page.build.bench.makeup, &bar, view(bar.long))?.extent());
        }
        let (dot, mut stages) = (dot(longest), Vec::new());
        for (words, page, lot) in builds {
            let long = page.build.lot(lot).map_or(0.0, |made| made.bar.long);
            let mut page = PicturePage::of(&page, lot, view(long), |_| dot, cores)?;
            page.ink = ink;
            stages.push(Stage { step: None, words, page });
        }
        Ok(StripPage { stages, dot })
    }

    fn longest(&self) -> &PicturePage<'a> {
        let longest = self.stages.iter().max_by_key(|stage| stage.page.picture.dots[0]);
        longest.map_or_else(|| bug!("a strip without a picture"), |stage| &stage.page)
    }

    /// What stands over a picture.
    fn over(stage: &Stage) -> String {
        let [wide, tall] = stage.page.shown();
        let step = stage.step.map_or(String::new(), |n| format!("{n}. "));
        format!("{step}{}: {wide} x {tall}", stage.words)
    }

    fn under(&self) -> String {
        let longest = self.longest();
        format!("{}, {}: {}", longest.piece, longest.view, longest.hand())
    }

    /// As PNG.
    #[must_use]
    pub fn png(&self) -> Vec<u8> {
        let (bar, length) = self.longest().bar();
        let parts: Vec<(String, Raster)> =
            self.stages.iter().map(|s| (Self::over(s), s.page.raster())).collect();
        Raster::stacked(&parts).framed((bar / self.dot).round() as usize, &length, &self.under()).png()
    }

    /// As SVG, at true scale in mm.
    #[must_use]
    pub fn svg(&self) -> String {
        let longest = self.longest();
        let wide = longest.picture.dots[0] as f64 * self.dot;
        let (room, letters) = (wide * super::ROOM, wide * super::LETTERS);
        let mut document = Document::new().set("role", "img").set("aria-label", self.under());
        let mut y = room;
        for stage in &self.stages {
            let (picture, raster) = (&stage.page.picture, stage.page.raster());
            let size = picture.dots.map(|n| n as f64 * picture.dot);
            document = document.add(words(Self::over(stage), room, y + letters, letters));
            document = document.add(image(&raster, [room, y + 1.5 * letters], size));
            y += size[1] + 1.5 * letters + 2.0 * room;
        }
        let (bar, length) = longest.bar();
        let foot = y + letters;
        document = document
            .add(line(room, bar, foot, letters))
            .add(words(length, room + bar + letters / 2.0, foot, letters))
            .add(words(self.under(), room, foot + 1.5 * letters, letters));
        let (width, height) = (round(wide + 2.0 * room), round(foot + 2.0 * letters + room));
        let document = document
            .set("width", format!("{width}mm"))
            .set("height", format!("{height}mm"))
            .set("viewBox", (0, 0, width, height));
        format!("{document}\n")
    }
}

impl<'a> Answer for StripPage<'a> {
    type Json = StripJson<'a>;
    const SCHEMA: &'static str = "heatbook-strip-1";

    fn text(&self, _: usize) -> String {
        let drawn = self.stages.iter().map(|stage| {
            let picture = &stage.page.picture;
            let drawn = terminal::drawn(picture.dots[0], &picture.tones, stage.page.ink);
            format!("{}\n{drawn}\n", crate::report::tame::tame(&Self::over(stage)))
        });
        drawn.collect::<String>() + &self.under() + "\n"
    }

    fn json(&self) -> StripJson<'a> {
        let stage = |stage: &Stage<'a>| StageJson {
            n: stage.step,
            words: stage.words.clone(),
            picture: stage.page.json(),
        };
        StripJson { pictures: self.stages.iter().map(stage).collect() }
    }
}

/// The steels at places spread evenly over what is looked at: the same for a bar that was only drawn out.
fn places(makeup: &Makeup, bar: &Bar, view: View) -> Result<Vec<Option<SteelId>>, String> {
    let (sight, field) = (Sight::new(makeup, bar, view)?, Field::new(makeup, bar.node));
    let [across, down] = PLACES;
    let [wide, tall] = sight.size;
    let middle = |i: usize, of: usize, mm: f64| (i as f64 + 0.5) / of as f64 * mm;
    let columns = (0..across).map(|x| {
        let column = sight.column(middle(x, across, wide));
        let at = |y| Some(field.steel(column.as_ref()?.point(middle(y, down, tall))?));
        (0..down).map(at).collect::<Vec<_>>()
    });
    Ok(columns.flatten().collect())
}
