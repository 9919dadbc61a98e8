//! `heatbook new FILE`: a starting recipe from a few figures.

use std::io::{BufRead as _, IsTerminal as _, Write as _};

use clap::Args;

use super::disk::Named;
use super::exit::Exit;
use super::output::{Done, Options, print};
use super::progress::watched;
use crate::quantity::{Kind, Units};
use crate::steel::grades;
use crate::study::{Wish, start};
use crate::workshop::figure;

/// Writes a starting recipe that makes the sizes you name, with a word beside each step. What is left out is asked for.
#[derive(Args, Debug)]
pub struct New {
    /// The file to write, which must not be there yet; `-` for standard output
    file: Named,
    /// Least width, such as "58 mm" or "2 1/4 in"
    #[arg(long)]
    width: Option<String>,
    /// Length
    #[arg(long)]
    length: Option<String>,
    /// Thickness, ground but not yet bevelled
    #[arg(long)]
    thick: Option<String>,
    /// Fewest layers
    #[arg(long)]
    layers: Option<u32>,
    /// The steel that etches dark
    #[arg(long, default_value = "1084")]
    dark: String,
    /// The steel that stays bright
    #[arg(long, default_value = "15N20")]
    bright: String,
}

impl New {
    /// Runs the command.
    pub fn run(&self, options: &Options) -> Done {
        if !self.file.is_stream() && self.file.path().exists() {
            return Err(format!("`{}` is there already: choose another name", self.file).into());
        }
        let width = size("width", self.width.as_deref(), "58 mm")?;
        let length = size("length", self.length.as_deref(), "250 mm")?;
        let thick = size("thick", self.thick.as_deref(), "5 mm")?;
        let layers = match self.layers {
            Some(layers) => layers,
            None => {
                let said = asked("layers", "how many layers at least", "50")?;
                said.parse().map_err(|_| format!("`{said}` is no count of layers"))?
            }
        };
        let inches = [&width.1, &length.1, &thick.1].iter().any(|w| w.contains("in") || w.contains("thou"));
        let wish = Wish {
            width,
            length,
            thick,
            layers,
            dark: steel(&self.dark)?,
            bright: steel(&self.bright)?,
            units: if inches { Units::Inch } else { Units::Metric },
        };
        let Some(recipe) = watched("trying ways to build it", || start(&wish)) else {
            options.fault(&format!(
                "no build of this kind was found that comes to {} wide, {} long, {} thick in {layers} layers: \
                 try fewer layers, or sizes nearer to each other",
                wish.width.1, wish.length.1, wish.thick.1
            ));
            return Ok(Exit::Fault);
        };
        if self.file.is_stream() {
            print(&recipe);
            return Ok(Exit::Met);
        }
        super::write::fresh(&self.file, &recipe)?;
        print(&format!("written to `{0}`; next: heatbook check {0}\n", self.file));
        Ok(Exit::Met)
    }
}

/// A length from a flag, or asked for.
fn size(name: &str, flag: Option<&str>, sample: &str) -> Result<(f64, String), String> {
    let words = match flag {
        Some(words) => words.trim().to_owned(),
        None => asked(name, &format!("{name} of the blade"), sample)?,
    };
    let (value, kind) = figure(&words).map_err(|why| format!("{name} `{words}`: {why}"))?;
    if kind != Kind::LENGTH || value <= 0.0 || !value.is_finite() {
        return Err(format!("{name} `{words}` is no length: write it like `{sample}`"));
    }
    Ok((value, words))
}

/// Asks at a terminal; elsewhere nobody could answer.
fn asked(name: &str, question: &str, sample: &str) -> Result<String, String> {
    let stdin = std::io::stdin();
    if !stdin.is_terminal() {
        return Err(format!("`--{name}` is left out: write it like `--{name} \"{sample}\"`"));
    }
    let mut err = std::io::stderr();
    let _ = write!(err, "{question} (such as {sample}): ").and_then(|()| err.flush());
    let mut line = String::new();
    stdin.lock().read_line(&mut line).map_err(|error| format!("no answer can be read: {error}"))?;
    let line = line.trim();
    Ok(if line.is_empty() { sample } else { line }.to_owned())
}

/// A steel of the table, as it stands in a recipe.
fn steel(name: &str) -> Result<String, String> {
    let Some(grade) = grades::find(name) else {
        let meant = grades::nearest(name).map_or(String::new(), |m| format!("; did you mean `{m}`"));
        return Err(format!("no steel in the table is called `{name}`{meant}"));
    };
    Ok(crate::study::grade(grade))
}
