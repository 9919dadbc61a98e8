//! `heatbook template FILE`: a card template of a blade, at true scale.

use clap::{Args, ValueEnum};

use super::disk::Named;
use super::exit::Exit;
use super::output::{Done, Options, print};
use super::work::Work;
use super::write::{fresh, tiles};
use crate::report::{CHECK_FIRST, Paper, Template as Drawing};
use crate::source::quoted;

/// Draws a blade's outline and sections at true scale.
#[derive(Args, Debug)]
pub struct Template {
    /// The recipe, or `-` for standard input
    file: Named,
    /// The blade, where the recipe makes several
    #[arg(long, value_name = "NAME")]
    piece: Option<String>,
    /// Writes the drawing into this new SVG file; without a file it goes to standard output
    #[arg(long, value_name = "FILE")]
    svg: Option<Named>,
    /// Writes the drawing into this new DXF file
    #[arg(long, value_name = "FILE")]
    dxf: Option<Named>,
    /// Writes the drawing into this HTML file, to print at true scale over sheets of paper that are laid together
    #[arg(long, value_name = "FILE")]
    tiles: Option<Named>,
    /// The paper of `--tiles`
    #[arg(long, value_enum, default_value = "a4")]
    paper: Sheets,
}

/// A size of paper.
#[derive(Clone, Copy, Debug, ValueEnum)]
pub enum Sheets {
    /// 210 x 297 mm
    A4,
    /// 8-1/2 x 11 in
    Letter,
}

impl Sheets {
    /// The paper.
    pub fn paper(self) -> Paper {
        match self {
            Sheets::A4 => Paper::A4,
            Sheets::Letter => Paper::Letter,
        }
    }
}

impl Template {
    /// Runs the command.
    pub fn run(&self, options: &Options) -> Done {
        let work = Work::read(&self.file, options)?;
        print(&self.draw(&work, options).inspect_err(|_| work.findings(options))?);
        Ok(Exit::Met)
    }

    fn draw(&self, work: &Work, options: &Options) -> Result<String, String> {
        let page = work.page();
        let named = |(name, _): &(&str, _)| self.piece.as_deref().is_none_or(|p| p == *name);
        let all = crate::report::blades(&page);
        let all = all.map(|(id, lot, blade)| (work.job.plan.ground.lot_name(id), (lot, blade)));
        let blades: Vec<_> = all.filter(named).collect();
        let (name, (lot, blade)) = match blades.as_slice() {
            [one] => *one,
            [] => {
                let makes = "`taper`, `profile`, `bevel` or `tang` make one";
                return Err(format!("there is no such blade at the end of this recipe: {makes}"));
            }
            several => {
                let names = quoted(several.iter().map(|(name, _)| *name));
                return Err(format!("which blade: say `--piece` with one of {names}"));
            }
        };
        let parts = crate::report::part_lines(&page, lot, blade);
        let drawing = Drawing { name, blade, parts, units: options.units(&work.job.plan) };
        // All is drawn before anything is written.
        let svg = self.svg.as_ref().map(|path| (path, drawing.svg()));
        let dxf = self.dxf.as_ref().map(|path| (path, drawing.dxf()));
        let mut told = String::new();
        for (path, drawn) in svg.into_iter().chain(dxf) {
            fresh(path, &drawn)?;
            told += &format!("wrote {path}\n");
        }
        if let Some(path) = &self.tiles {
            tiles(path, &drawing.tiled(self.paper.paper()))?;
            told += &format!("wrote {path}\n");
        }
        if told.is_empty() {
            return Ok(drawing.svg());
        }
        Ok(format!("{told}{CHECK_FIRST}\n"))
    }
}
