//! `heatbook log FILE`: asks for the readings in the order of the bench sheet, and writes a build log.

use std::io::{BufRead as _, IsTerminal as _};
use std::path::{Path, PathBuf};

use clap::Args;

use super::disk::Named;
use super::exit::Exit;
use super::output::{Done, Options, Stop, print_file, warn_line};
use super::work::{Work, planned, read};
use crate::piece::Measure;
use crate::quantity::{Kind, Units, show};
use crate::report::{Reading, readings};
use crate::workshop::{Document, figure};

/// Asks for the readings one by one, in the order of the sheet's boxes, and writes a build log. Nothing, where nothing was read; `skip`
/// for the rest of a step; `end` for the rest of all. From a pipe, a line for each box.
#[derive(Args, Debug)]
pub struct Log {
    /// The recipe that was built
    file: Named,
    /// Writes the log into this new file beside the recipe; without it, it goes to standard output
    #[arg(long, value_name = "FILE")]
    out: Option<Named>,
}

impl Log {
    /// Runs the command.
    pub fn run(&self, options: &Options) -> Done {
        if self.file.is_stream() {
            let message = "a log names its recipe: name the file, and give the readings on standard input";
            return Err(message.to_owned().into());
        }
        let work = Work::unmended(read(&self.file, options)?, options);
        if work.job.is_log() {
            return Err(format!("`{}` is a log already: name its recipe", self.file).into());
        }
        let work = work.workable("mend these first: what is read is held against what a step comes to")?;
        let (name, full) = self.place()?;
        let boxes = readings(&work.page());
        let said = ask(&boxes, work.units)?;
        if said.is_empty() {
            return Err("nothing was read: no log is written".to_owned().into());
        }
        let text = format!("build of \"{name}\"\n{}", lines(&boxes, &said));
        let document = Document { name: full.display().to_string(), path: Some(full), text: text.clone() };
        match &self.out {
            Some(out) => {
                super::write::fresh(out, &text)?;
                options.note(&format!("written into `{out}`; next: heatbook replay {out}"));
            }
            None => print_file(&text),
        }
        // What was read is kept, whatever is to be said of it.
        let job = planned(document, options, &options.set)?;
        let replayed = Work::unmended(job, options);
        if replayed.job.found.is_empty() && replayed.build.faults.is_empty() {
            return Ok(Exit::Met);
        }
        let found = replayed.build.faults;
        Err(Stop::Found {
            files: replayed.job.files,
            found,
            behind: Some("the log is written: mend its lines"),
        })
    }

    /// What the log calls its recipe, and where the log lies: beside it.
    fn place(&self) -> Result<(String, PathBuf), String> {
        let folder = |path: &Path| {
            let folder = path.parent().filter(|p| !p.as_os_str().is_empty()).unwrap_or(Path::new("."));
            std::fs::canonicalize(folder).map_err(|_| format!("there is no folder `{}`", folder.display()))
        };
        let name = self.file.path().file_name().and_then(|name| name.to_str());
        let name = name.filter(|name| !name.chars().any(|c| c == '"' || c.is_control()));
        let name = name.ok_or_else(|| {
            format!(
                "a log cannot name `{}`: rename it, with no quote and no control character in it",
                self.file
            )
        })?;
        let home = folder(self.file.path())?;
        let Some(out) = &self.out else { return Ok((name.to_owned(), home.join("the log"))) };
        if out.path().exists() {
            return Err(format!("`{out}` is there already: choose another name"));
        }
        if folder(out.path())? != home {
            return Err(format!("a log lies beside its recipe: write it into the folder of `{}`", self.file));
        }
        let file = out.path().file_name().map(|file| home.join(file));
        Ok((name.to_owned(), file.ok_or_else(|| format!("`{out}` names no file"))?))
    }
}

/// The boxes that have something in them, each with what is written there.
fn ask(boxes: &[Reading], units: Units) -> Result<Vec<(usize, String)>, Stop> {
    let stdin = std::io::stdin();
    let asks = stdin.is_terminal();
    let mut lines = stdin.lock().lines();
    let (mut said, mut i, mut line) = (Vec::new(), 0, 0u32);
    while let Some(asked) = boxes.get(i) {
        if asks {
            if asked.size == Measure::Thickness {
                warn_line(&format!("{}. {}", asked.n, asked.words));
            }
            let planned = show(asked.planned, asked.size.kind(), units);
            warn_line(&format!("  {} of {}, cold (by the plan {planned}):", asked.size.word(), asked.piece));
        }
        let Some(answer) = lines.next() else { break };
        line += 1;
        let answer = answer.map_err(|error| format!("no answer can be read: {error}"))?;
        match answer.trim() {
            "end" => break,
            "skip" => {
                i += boxes.iter().skip(i).take_while(|b| b.n == asked.n).count();
                continue;
            }
            "" => {}
            answer => match reading(asked, answer, units) {
                Ok(reading) => said.push((i, reading)),
                Err(why) if asks => {
                    warn_line(&format!("  {why}"));
                    continue;
                }
                Err(why) => {
                    return Err(format!("line {line} of the readings: {why}; nothing is written").into());
                }
            },
        }
        i += 1;
    }
    Ok(said)
}

/// A reading as a log writes it: as it was typed, with the unit of the plan where it has none.
fn reading(asked: &Reading, answer: &str, units: Units) -> Result<String, String> {
    let kind = asked.size.kind();
    let odd = |c: char| c.is_control() || matches!(c, '#' | ',' | '?' | '{' | '}');
    let form = if kind == Kind::MASS { "`922 g` or `2 lb 6 oz`" } else { "`31.5 mm` or `1 1/4 in`" };
    if answer.contains(odd) {
        return Err(format!("`{answer}` is more than one figure: write it like {form}"));
    }
    let (value, of) = figure(answer)?;
    let unit = match (of, kind, units) {
        _ if of == kind => "",
        (Kind::NUMBER, Kind::LENGTH, Units::Metric) => " mm",
        (Kind::NUMBER, Kind::LENGTH, Units::Inch) => " in",
        // As the plan's weight is shown.
        (Kind::NUMBER, Kind::MASS, Units::Metric) if asked.planned >= 999.95 => " kg",
        (Kind::NUMBER, Kind::MASS, Units::Metric) => " g",
        _ => return Err(format!("`{answer}` is no {}: write it like {form}", asked.size.word())),
    };
    if value.is_nan() || value <= 0.0 {
        return Err(format!(
            "`{answer}` is nothing to read off: leave the line empty where nothing was read"
        ));
    }
    let way = match asked.size {
        Measure::Thickness => " thick",
        Measure::Width => " wide",
        Measure::Length => " long",
        Measure::Mass => "",
    };
    Ok(format!("{answer}{unit}{way}"))
}

/// The lines of the log, one for each step that something was read after.
fn lines(boxes: &[Reading], said: &[(usize, String)]) -> String {
    let step = |i: &usize| boxes.get(*i).map(|b| b.log.as_str());
    let steps = said.chunk_by(|a, b| step(&a.0) == step(&b.0));
    let line = |all: &[(usize, String)]| {
        let log = all.first().and_then(|(i, _)| step(i))?;
        let all: Vec<&str> = all.iter().map(|(_, reading)| reading.as_str()).collect();
        Some(format!("at {log}: {}\n", all.join(", ")))
    };
    steps.filter_map(line).collect()
}
