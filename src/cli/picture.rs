//! `heatbook picture FILE [PIECE]`: where each steel lies, as one would see it etched.

use std::io::IsTerminal as _;

use clap::{Args, ValueEnum};

use super::disk::Named;
use super::exit::Exit;
use super::output::{Done, Format, Options, columns, print_bytes, print_findings};
use super::progress::watched;
use super::work::Work;
use super::write::drawing;
use crate::piece::field::Field;
use crate::piece::{Lot, LotId, SteelId};
use crate::quantity::Kind;
use crate::report::{Answer as _, Ink, PicturePage, json_text};
use crate::source::quoted;
use crate::steel::laws::etch;
use crate::study::{Side, Sight, View, last_lot, take};
use crate::workshop::figure;

/// Dots along a picture where nothing is said (project figure); in a terminal, as many as it has letters in a line.
const DOTS: f64 = 1200.0;

/// Shows where each steel lies on a face, an edge, an end or a cut of a piece: geometry, an ideal hand.
#[derive(Args, Debug)]
pub struct Picture {
    /// The recipe, or `-` for standard input
    file: Named,
    /// The piece, as the recipe calls it; without it, the one that is left at the end
    piece: Option<String>,
    /// From where it is seen
    #[arg(long, value_enum, default_value = "top")]
    view: Seen,
    /// A cut that deep below what is seen from there, such as `"1 mm"`
    #[arg(long, value_name = "DEPTH")]
    under: Option<String>,
    /// The place of a cut across, from the heel end, such as `"40 mm"`; without it, the middle
    #[arg(long, value_name = "PLACE")]
    at: Option<String>,
    /// The side of a dot, such as `"0.1 mm"`; without it, 1,200 of them go along the picture
    #[arg(long, value_name = "SIZE")]
    px: Option<String>,
    /// Writes the picture into this file; its name tells the form where `--format` does not: `.png`, `.svg` or `.json`
    #[arg(long, value_name = "FILE")]
    out: Option<Named>,
}

/// From where a piece is seen.
#[derive(Clone, Copy, Debug, ValueEnum)]
enum Seen {
    /// The face that lies on top: heel left, back up
    Top,
    /// The face below: heel left, edge up
    Bottom,
    /// The edge: heel left, top up
    Edge,
    /// The back: heel left, top down
    Back,
    /// The tip end: edge left, top up
    End,
    /// A cut across, seen from the tip: edge left, top up
    Across,
}

impl Picture {
    /// Runs the command.
    pub fn run(&self, options: &Options) -> Done {
        let form = self.form(options)?;
        let work = Work::read(&self.file, options)?;
        // A missed target is worth a look; what could not be made is not there to be seen.
        let work = work.workable("mend these first: a picture shows what a recipe makes")?;
        let (lot, bars) = self.lot(&work)?;
        let (makeup, bar) = (&work.build.bench.makeup, &bars.bar);
        let at = length(self.at.as_deref(), "--at")?.unwrap_or(bar.long / 2.0);
        let view = View {
            side: self.view.side(),
            under: length(self.under.as_deref(), "--under")?.unwrap_or(0.0),
            at,
        };
        let sight = Sight::new(makeup, bar, view)?;
        let usual = if form == Format::Table { columns(&std::io::stdout()) as f64 } else { DOTS };
        let dot = length(self.px.as_deref(), "--px")?.unwrap_or(sight.size[0] / usual);
        if dot <= 0.0 {
            return Err("a dot has some size: write `--px \"0.1 mm\"`".to_owned().into());
        }
        let steels = &work.job.plan.ground.steels;
        let cores = std::thread::available_parallelism().map_or(1, Into::into);
        let tone = |steel: SteelId| etch::brightness(&steels[steel].composition);
        let picture = watched("looking at each dot", || {
            take(&sight, &Field::new(makeup, bar.node), &tone, dot, cores)
        })?;
        let mut inside: Vec<(SteelId, &str)> =
            makeup.steels(bar.node).map(|id| (id, steels[id].name.as_str())).collect();
        inside.sort_by(|a, b| tone(a.0).total_cmp(&tone(b.0)));
        let seen = self.view.to_possible_value();
        let page = PicturePage {
            piece: work.job.plan.ground.lot_name(lot),
            view: seen.as_ref().map_or("", |v| v.get_name()),
            picture: &picture,
            axes: sight.axes(),
            corner: sight.corner,
            size: sight.size,
            steels: &inside,
            hands: makeup.hands(bar.node),
            ink: ink(options),
            units: work.units,
        };
        self.alike(options, &inside, &work);
        if bar.section != crate::piece::Section::Flat {
            options.note("the section is shown as the square of equal area, as it is worked");
        }
        self.give(options, form, &page)
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

    /// The piece that is asked for.
    fn lot<'w>(&self, work: &'w Work) -> Result<(LotId, &'w Lot), String> {
        let plan = &work.job.plan;
        let mut standing = work.build.standing.clone();
        standing.dedup();
        let found = match (&self.piece, standing.as_slice()) {
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
            format!(
                "there is no piece `{}` at the end of this recipe; its pieces: {names}",
                self.piece.as_deref().unwrap_or("")
            )
        })
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

    fn give(&self, options: &Options, form: Format, page: &PicturePage) -> Done {
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
            Format::Svg => page.svg().into_bytes(),
            Format::Png => page.png(),
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

impl Seen {
    fn side(self) -> Side {
        match self {
            Seen::Top => Side::Top,
            Seen::Bottom => Side::Bottom,
            Seen::Edge => Side::Edge,
            Seen::Back => Side::Back,
            Seen::End => Side::End,
            Seen::Across => Side::Across,
        }
    }
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
fn ink(options: &Options) -> Ink {
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
