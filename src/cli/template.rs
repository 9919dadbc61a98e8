//! `heatbook template FILE`: a card template of a blade, at true scale.

use clap::Args;

use super::disk::Named;
use super::exit::Exit;
use super::output::{Done, Options, print};
use super::work::Work;
use super::write::fresh;
use crate::report::{CHECK_FIRST, Template as Drawing};

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
}

impl Template {
    /// Runs the command.
    pub fn run(&self, options: &Options) -> Done {
        let work = Work::read(&self.file, options)?;
        match self.draw(&work, options) {
            Ok(text) => {
                print(&text);
                Ok(Exit::Met)
            }
            Err(message) => {
                work.findings(options);
                Err(message.into())
            }
        }
    }

    fn draw(&self, work: &Work, options: &Options) -> Result<String, String> {
        let page = work.page();
        let named = |name: &str| self.piece.as_deref().is_none_or(|p| p == name);
        let blades: Vec<_> = crate::report::blades(&page)
            .map(|(id, _, blade)| (work.job.plan.ground.lot_name(id), blade))
            .filter(|(name, _)| named(name))
            .collect();
        let (name, blade) = match blades.as_slice() {
            [one] => *one,
            [] => {
                return Err(
                    "there is no such blade at the end of this recipe: `taper`, `profile`, `bevel` or `tang` make one"
                        .to_owned(),
                );
            }
            several => {
                let names: Vec<String> = several.iter().map(|(name, _)| format!("`{name}`")).collect();
                return Err(format!("which blade: say `--piece` with one of {}", names.join(", ")));
            }
        };
        let drawing = Drawing { name, blade, units: options.units(&work.job.plan) };
        // All is drawn before anything is written.
        let svg = self.svg.as_ref().map(|path| (path, drawing.svg()));
        let dxf = self.dxf.as_ref().map(|path| (path, drawing.dxf()));
        let mut told = String::new();
        for (path, drawn) in svg.into_iter().chain(dxf) {
            fresh(path, &drawn)?;
            told += &format!("wrote {path}\n");
        }
        if told.is_empty() {
            return Ok(drawing.svg());
        }
        Ok(format!("{told}{CHECK_FIRST}\n"))
    }
}
