//! `heatbook sheet FILE`: the bench sheet as one page to pin up.

use clap::Args;

use super::disk::Named;
use super::output::{Done, Format, Options};
use super::template::Sheets;
use super::work::{Work, read};
use crate::report::{Answer as _, BenchSheet};

/// Writes the step list as one page to print and pin up, with a box for every reading.
#[derive(Args, Debug)]
pub struct Sheet {
    /// A recipe, or a build log; `-` for standard input
    file: Named,
    /// Writes the page into this HTML file, over an older sheet too; without it, it goes to standard output
    #[arg(long, value_name = "FILE")]
    out: Option<Named>,
    /// Writes the page into this PDF file, over an older sheet too
    #[arg(long, value_name = "FILE")]
    pdf: Option<Named>,
    /// The paper of `--pdf`
    #[arg(long, value_enum, default_value = "a4")]
    paper: Sheets,
}

impl Sheet {
    /// Runs the command.
    pub fn run(&self, options: &Options) -> Done {
        let work = Work::unmended(read(&self.file, options)?, options);
        let work = work.workable("mend these first: a sheet to work by needs every step")?;
        let exit = work.exit(options);
        let cores = std::thread::available_parallelism().map_or(1, Into::into);
        let sheet = BenchSheet { page: work.page(), cores };
        if let Some(path) = &self.pdf {
            super::write::sheet_pdf(path, &sheet.pdf(self.paper.paper()))?;
            options.note(&format!("written into `{path}`: print it at 100 %"));
        }
        match &self.out {
            Some(path) => {
                super::write::sheet(path, &sheet.text(0))?;
                options.note(&format!("written into `{path}`: print it at 100 %, on A4 or Letter"));
                if options.format == Format::Json {
                    options.respond(&sheet)?;
                }
            }
            None if self.pdf.is_some() && options.format != Format::Json => {}
            None => {
                options.respond(&sheet)?;
            }
        }
        work.findings(options);
        Ok(exit)
    }
}
