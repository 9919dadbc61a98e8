//! `heatbook why QUANTITY PIECE FILE`: where a size went.

use clap::{Args, ValueEnum};

use super::disk::Named;
use super::output::{Done, Options};
use super::work::Work;
use crate::piece::{LotId, Measure};
use crate::quantity::{Kind, Units, show};
use crate::report::WhyPage;
use crate::study::{Why as Story, last_lot, why, why_at};
use crate::workshop::figure;

/// Says which step took or gave each millimetre or gram.
#[derive(Args, Debug)]
pub struct Why {
    /// What is asked about
    #[arg(value_enum)]
    quantity: Quantity,
    /// The piece, as the recipe calls it
    piece: String,
    /// The recipe, or `-` for standard input
    file: Named,
    /// At one place of a blade: `heel`, `"200 mm"`, `"30 mm from tip"`
    #[arg(long, value_name = "PLACE")]
    at: Option<String>,
    /// Draws it into this SVG file
    #[arg(long, value_name = "FILE")]
    svg: Option<Named>,
}

/// What can be asked about.
#[derive(Clone, Copy, Debug, ValueEnum)]
pub enum Quantity {
    #[value(alias = "spine")]
    Thickness,
    Width,
    Length,
    Mass,
}

impl Why {
    /// Runs the command.
    pub fn run(&self, options: &Options) -> Done {
        let work = Work::read(&self.file, options)?;
        let story = story(&work, self.quantity, &self.piece, self.at.as_deref())?;
        let Some(story) = story else {
            work.findings(options);
            let mut names: Vec<&str> =
                work.build.standing.iter().map(|l| work.job.plan.ground.lot_name(*l)).collect();
            names.dedup();
            let list = if names.is_empty() { "none was made".to_owned() } else { names.join(", ") };
            let none = format!("there is no piece `{}` in this recipe", self.piece);
            return Err(format!("{none}; its pieces: {list}").into());
        };
        let page = work.page();
        let answer = WhyPage { page: &page, piece: &self.piece, at: self.at.as_deref(), why: &story };
        if let Some(path) = &self.svg {
            super::write::drawing(path, answer.svg().as_bytes())?;
            options.note(&format!("drawn into `{path}`"));
        }
        options.respond(&answer)
    }
}

/// The story of a size of a piece, perhaps at a place of it as one writes that: `heel`, `200 mm`, `30 mm from tip`; `None` where
/// there is no such piece.
///
/// # Errors
/// Why it is no place, or not on the piece.
pub fn story(work: &Work, what: Quantity, piece: &str, at: Option<&str>) -> Result<Option<Story>, String> {
    let what = match what {
        Quantity::Thickness => Measure::Thickness,
        Quantity::Width => Measure::Width,
        Quantity::Length => Measure::Length,
        Quantity::Mass => Measure::Mass,
    };
    let Some(lot) = last_lot(&work.job.plan, &work.build, piece) else { return Ok(None) };
    match at {
        None => Ok(why(&work.build, lot, what)),
        Some(place) => story_at(work, lot, what, place).map(Some),
    }
}

fn story_at(work: &Work, lot: LotId, what: Measure, place: &str) -> Result<Story, String> {
    let long = work.build.lot(lot).unwrap_or_else(|| bug!("a piece that was named is gone")).bar.long;
    let (text, from_tip) = match place.trim().strip_suffix("tip").map(str::trim_end) {
        Some("") => ("0 mm", true),
        Some(rest) => (rest.strip_suffix("from").unwrap_or(rest).trim(), true),
        None => (place.trim().trim_end_matches("from heel").trim(), false),
    };
    let by = if text == "heel" || text.is_empty() { (0.0, Kind::LENGTH) } else { figure(text)? };
    if by.1 != Kind::LENGTH {
        return Err(format!("`{place}` is no place: write `heel`, `200 mm`, or `30 mm from tip`"));
    }
    let x = if from_tip { long - by.0 } else { by.0 };
    if !(0.0..=long * (1.0 + 1e-9)).contains(&x) {
        let has = show(long, Kind::LENGTH, Units::Metric);
        return Err(format!("`{place}` is not on the piece, which is {has} long"));
    }
    why_at(&work.job.plan, &work.build, lot, what, x)
        .ok_or_else(|| "at one place there is a thickness and a width: ask for one of the two".to_owned())
}
