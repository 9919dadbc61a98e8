//! `heatbook picture FILE [PIECE]`: where each steel lies, as one would see it etched.

use std::io::IsTerminal as _;

use clap::builder::PossibleValue;
use clap::{Args, ValueEnum};

use super::disk::Named;
use super::exit::Exit;
use super::output::{Done, Format, Options, columns, print_bytes, print_findings};
use super::progress::watched;
use super::work::Work;
use super::write::drawing;
use crate::piece::{Lot, LotId, SteelId};
use crate::quantity::{Kind, show};
use crate::replay::{Build, build};
use crate::report::{Answer, Ink, Page, PicturePage, StripPage, json_text};
use crate::source::quoted;
use crate::steel::laws::etch;
use crate::study::{Side, View, last_lot};
use crate::workshop::figure;

/// Dots along a picture where nothing is said (project figure); in a terminal, as many as it has letters in a line.
const DOTS: f64 = 1200.0;

/// Pictures of a strip where nothing is said, and the most of them (project figures: what can be held against each other on one page).
const USUAL: usize = 5;
const MOST: usize = 24;

/// Shows where each steel lies on a face, an edge, an end or a cut of a piece: geometry, an ideal hand.
#[derive(Args, Debug)]
pub struct Picture {
    /// The recipe, or `-` for standard input
    file: Named,
    /// The piece, as the recipe calls it; without it, the one that is left at the end
    piece: Option<String>,
    /// From where it is seen
    #[arg(long, value_enum, default_value = "top")]
    view: Side,
    /// A cut that deep below what is seen from there, such as `"1 mm"`
    #[arg(long, value_name = "DEPTH")]
    under: Option<String>,
    /// The place of a cut across, from the heel end, such as `"40 mm"`; without it, the middle
    #[arg(long, value_name = "PLACE")]
    at: Option<String>,
    /// The side of a dot, such as `"0.1 mm"`; without it, 1,200 of them go along the picture
    #[arg(long, value_name = "SIZE")]
    px: Option<String>,
    /// A strip: the piece after each step that changed what is seen of it, all at one scale
    #[arg(long, conflicts_with = "vary")]
    steps: bool,
    /// A strip: the piece with each of some figures, such as `"groove 1 deep = 1 mm .. 3 mm"`, perhaps with `/ 7` for so many of them
    #[arg(long, value_name = "ADDRESS=FROM..TO")]
    vary: Option<String>,
    /// A strip of two: the piece, and what another recipe leaves under that name, or at its end, at one scale
    #[arg(long, value_name = "OTHER", conflicts_with_all = ["steps", "vary"])]
    beside: Option<Named>,
    /// Writes the picture into this file; its name tells the form where `--format` does not: `.png`, `.svg` or `.json`
    #[arg(long, value_name = "FILE")]
    out: Option<Named>,
}

impl ValueEnum for Side {
    fn value_variants<'a>() -> &'a [Side] {
        &Side::ALL
    }

    fn to_possible_value(&self) -> Option<PossibleValue> {
        let (word, lies) = self.told();
        Some(PossibleValue::new(word).help(lies))
    }
}

impl Picture {
    /// Runs the command.
    pub fn run(&self, options: &Options) -> Done {
        let form = self.form(options)?;
        let work = Work::read(&self.file, options)?;
        // A missed target is worth a look; what could not be made is not there to be seen.
        let work = work.workable("mend these first: a picture shows what a recipe makes")?;
        let (lot, bars) = lot(&work, self.piece.as_deref())?;
        let bar = &bars.bar;
        let (at, under) = (length(self.at.as_deref(), "--at")?, length(self.under.as_deref(), "--under")?);
        let view =
            |long: f64| View { side: self.view, under: under.unwrap_or(0.0), at: at.unwrap_or(long / 2.0) };
        let usual = if form == Format::Table { columns(&std::io::stdout()) as f64 } else { DOTS };
        let dot = length(self.px.as_deref(), "--px")?;
        if dot.is_some_and(|dot| dot <= 0.0) {
            return Err("a dot has some size: write `--px \"0.1 mm\"`".to_owned().into());
        }
        let dot = |wide: f64| dot.unwrap_or(wide / usual);
        let cores = std::thread::available_parallelism().map_or(1, Into::into);
        if self.steps {
            let strip = watched("looking at each dot", || {
                StripPage::of(&work.page(), lot, view, dot, cores, ink(options))
            })?;
            return self.give(options, form, &strip, || strip.svg(), || strip.png());
        }
        if let Some(text) = &self.vary {
            let builds = varied(&work, text, options)?;
            let page = |build| Page { build, ..work.page() };
            let pages = builds.iter().map(|(words, build)| (words.clone(), page(build), lot)).collect();
            let strip =
                watched("looking at each dot", || StripPage::beside(pages, view, dot, cores, ink(options)))?;
            return self.give(options, form, &strip, || strip.svg(), || strip.png());
        }
        if let Some(beside) = &self.beside {
            let other = Work::read(beside, options)?;
            let other = other.workable("mend these first: a picture shows what a recipe makes")?;
            let there =
                self.piece.as_deref().filter(|name| last_lot(&other.job.plan, &other.build, name).is_some());
            let (second, _) = self::lot(&other, there)?;
            let pages = [(&work, &self.file, lot), (&other, beside, second)].map(|(work, file, lot)| {
                (format!("{} of {file}", work.job.plan.ground.lot_name(lot)), work.page(), lot)
            });
            let strip = watched("looking at each dot", || {
                StripPage::beside(pages.into(), view, dot, cores, ink(options))
            })?;
            return self.give(options, form, &strip, || strip.svg(), || strip.png());
        }
        let mut page = watched("looking at each dot", || {
            PicturePage::of(&work.page(), lot, view(bar.long), dot, cores)
        })?;
        page.ink = ink(options);
        self.alike(options, &page.steels, &work);
        if bar.section != crate::piece::Section::Flat {
            options.note("the section is shown as the square of equal area, as it is worked");
        }
        self.give(options, form, &page, || page.svg(), || page.png())
    }

    /// The form that is asked for, by `--format` or by the name of the file.
    fn form(&self, options: &Options) -> Result<Format, String> {
        let name = self.out.as_ref().map(ToString::to_string);
        let Some(name) = name.filter(|_| options.format == Format::Table) else { return Ok(options.format) };
        [(".png", Format::Png), (".svg", Format::Svg), (".json", Format::Json)]
            .into_iter()
            .find(|(end, _)| name.to_lowercase().ends_with(end))
            .map(|(_, form)| form)
            .ok_or_else(|| format!("`{name}` does not tell the form: let its name end in `.png`, `.svg` or `.json`, or say `--format png`"))
    }

    /// Says where steels would hardly be told apart.
    fn alike(&self, options: &Options, inside: &[(SteelId, &str)], work: &Work) {
        let grade = |id: SteelId| &work.job.plan.ground.steels[id].composition;
        for pair in inside.windows(2) {
            if let [(a, first), (b, second)] = pair
                && etch::alike(grade(*a), grade(*b))
            {
                options.note(&format!(
                    "`{first}` and `{second}` etch much alike: the lines between them are hard to see"
                ));
            }
        }
    }

    fn give(
        &self,
        options: &Options,
        form: Format,
        page: &impl Answer,
        svg: impl FnOnce() -> String,
        png: impl FnOnce() -> Vec<u8>,
    ) -> Done {
        let bytes = match form {
            Format::Table => {
                print_findings(&page.text(columns(&std::io::stdout())));
                return Ok(Exit::Met);
            }
            Format::Csv => {
                return Err("a picture is no table: take `--format png`, `svg`, `json` or `text`"
                    .to_owned()
                    .into());
            }
            Format::Json => json_text(page).into_bytes(),
            Format::Svg => svg().into_bytes(),
            Format::Png => png(),
        };
        if let Some(path) = &self.out {
            drawing(path, &bytes)?;
            options.note(&format!("drawn into `{path}`"));
            return Ok(Exit::Met);
        }
        if form == Format::Png && std::io::stdout().is_terminal() {
            return Err("a PNG is no text for a terminal: add `--out picture.png`".to_owned().into());
        }
        print_bytes(&bytes);
        Ok(Exit::Met)
    }
}

/// The piece that is asked for; without a name, the one that is left.
///
/// # Errors
/// That there is none such, or several.
pub fn lot<'w>(work: &'w Work, piece: Option<&str>) -> Result<(LotId, &'w Lot), String> {
    let plan = &work.job.plan;
    let mut standing = work.build.standing.clone();
    standing.dedup();
    let found = match (piece, standing.as_slice()) {
        (Some(name), _) => last_lot(plan, &work.build, name),
        (None, [only]) => Some(*only),
        (None, several) => {
            let names = quoted(several.iter().map(|l| plan.ground.lot_name(*l)));
            return Err(match several {
                [] => "no piece is left at the end of this recipe: name one".to_owned(),
                _ => format!("which piece: name one of {names} behind the file"),
            });
        }
    };
    let bars = found.and_then(|lot| Some((lot, work.build.lot(lot)?)));
    bars.ok_or_else(|| {
        let names = quoted(standing.iter().map(|l| plan.ground.lot_name(*l)));
        let piece = piece.unwrap_or("");
        format!("there is no piece `{piece}` at the end of this recipe; its pieces: {names}")
    })
}

/// Builds with each of some figures, and what to say over them; what cannot be worked is left out, and told.
fn varied(work: &Work, text: &str, options: &Options) -> Result<Vec<(String, Build)>, String> {
    let plan = &work.job.plan;
    let vary = super::sweep::one(plan, super::sweep::VARY, text, USUAL)?;
    if vary.points > MOST {
        return Err(format!(
            "a strip shows up to {MOST} pictures: write `/ {MOST}` or less behind the figures"
        ));
    }
    let mut builds = Vec::new();
    for value in vary.values() {
        let set: Vec<(u32, f64)> = vary.slots.iter().map(|slot| (*slot, value)).collect();
        let build = build(plan, &set, work.units);
        let words = format!("{} = {}", vary.address, show(value, vary.kind, work.units));
        match build.faults.first() {
            None => builds.push((words, build)),
            Some(fault) => options.note(&format!("`{words}` is left out: {}", fault.message)),
        }
    }
    if builds.is_empty() {
        return Err(format!("the recipe can be worked with none of these: `--vary {text}`"));
    }
    Ok(builds)
}

/// A length that was typed, mm; a bare figure is in mm, as for programs.
fn length(text: Option<&str>, what: &str) -> Result<Option<f64>, String> {
    let Some(text) = text else { return Ok(None) };
    let (value, kind) = match text.trim().parse::<f64>() {
        Ok(bare) => (bare, Kind::LENGTH),
        Err(_) => figure(text)?,
    };
    if kind != Kind::LENGTH || !value.is_finite() || value < 0.0 {
        return Err(format!("`{what} {text}` is no length: write `{what} \"2 mm\"`"));
    }
    Ok(Some(value))
}

/// What standard output can show: by custom COLORTERM and TERM tell.
pub fn ink(options: &Options) -> Ink {
    if !options.colour_in(std::io::stdout().is_terminal()) {
        return Ink::Plain;
    }
    let says = |name: &str, words: &[&str]| {
        std::env::var(name).is_ok_and(|value| words.iter().any(|word| value.contains(word)))
    };
    if says("COLORTERM", &["truecolor", "24bit"]) {
        Ink::True
    } else if says("TERM", &["256"]) {
        Ink::Greys
    } else {
        Ink::Plain
    }
}
