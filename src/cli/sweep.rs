//! `heatbook sweep FILE --vary x=a..b`: a figure over a range.

use clap::Args;

use super::disk::Named;
use super::output::{Done, Options};
use super::progress::watched;
use super::work::ready;
use crate::quantity::Kind;
use crate::replay::Plan;
use crate::report::{Asked, SweepPage};
use crate::study::{Vary, sweep};
use crate::workshop::{figure, no_address};

/// Varies one or two figures over a range.
#[derive(Args, Debug)]
pub struct Sweep {
    /// The recipe, or `-` for standard input
    file: Named,
    /// What to vary, such as `"spread 1 wide = 55 mm .. 75 mm"`, perhaps with `/ 12` for so many values
    #[arg(long, required = true, value_name = "ADDRESS=FROM..TO")]
    vary: Vec<String>,
    /// Draws the sweep into this SVG file
    #[arg(long, value_name = "FILE")]
    svg: Option<Named>,
}

impl Sweep {
    /// Runs the command.
    pub fn run(&self, options: &Options) -> Done {
        let job = ready(&self.file, options)?;
        if self.vary.len() > 2 {
            return Err("one or two figures can be varied at a time".to_owned().into());
        }
        let points = if self.vary.len() == 1 { 25 } else { 15 };
        let vary: Vec<Vary> =
            self.vary.iter().map(|v| one(&job.plan, VARY, v, points)).collect::<Result<_, _>>()?;
        let (tests, tries) = watched("trying each value", || sweep(&job.plan, &vary));
        let limits = tests.iter().map(|t| t.limits(&job.plan.values)).collect();
        let asked = Asked { files: &job.files, plan: &job.plan, units: options.units(&job.plan) };
        let page = SweepPage { asked, vary: &vary, tests: &tests, limits, tries: &tries };
        if let Some(path) = &self.svg {
            let svg =
                page.svg().ok_or_else(|| "nothing moves here: there is no picture to draw".to_owned())?;
            super::write::drawing(path, svg.as_bytes())?;
            options.note(&format!("drawn into `{path}`"));
        }
        options.respond(&page)
    }
}

/// The most values of one figure.
const MOST: usize = 2000;

/// The word that what is varied stands behind, for commands.
pub const VARY: &str = "--vary";

/// What is varied, as it was typed behind a word; `usual` values of it where it says nothing of how many.
///
/// # Errors
/// Why it is not read, or varies nothing.
pub fn one(plan: &Plan, word: &str, text: &str, usual: usize) -> Result<Vary, String> {
    let quote = if word == VARY { "\"" } else { "" };
    let form = || {
        format!("`{word} {text}` is not read: write it like `{word} {quote}dark thick = 2 mm .. 4 mm{quote}`")
    };
    let (address, range) = text.split_once('=').ok_or_else(form)?;
    let address = address.split_whitespace().collect::<Vec<_>>().join(" ");
    let (from, to) = range.split_once("..").ok_or_else(form)?;
    let close = || to.rsplit_once('/').filter(|(a, _)| a.contains(char::is_alphabetic));
    let (to, count) = to.rsplit_once(" / ").or_else(close).unwrap_or((to, ""));
    let points = match count.trim() {
        "" => usual,
        count => count.parse().map_err(|_| form())?,
    };
    let (high, kind) = figure(to.trim())?;
    // A bare first figure takes the unit of the second.
    let low = match figure(from.trim())? {
        (low, of) if of == kind => low,
        (_, Kind::NUMBER) => {
            let unit: String =
                to.trim().chars().skip_while(|c| c.is_ascii_digit() || " ./-".contains(*c)).collect();
            figure(&format!("{} {unit}", from.trim()))?.0
        }
        _ => return Err(format!("`{word} {text}` runs between unlike things")),
    };
    let mut slots = Vec::new();
    for (i, info) in plan.slots.iter().enumerate().filter(|(_, s)| s.address == address) {
        let plain = info.kind.is_plain() && kind.is_plain();
        if info.kind != kind && !plain {
            let (is, given, like) = (info.kind.name(), kind.name(), info.kind.example());
            return Err(format!(
                "`{address}` is {is}, and cannot be varied as {given}: write it like {like}"
            ));
        }
        if info.shapes {
            let set = if word == VARY { "--set" } else { "what if" };
            let how = format!("try it with `{set}`, one count at a time");
            return Err(format!("`{address}` is how often something is repeated: {how}"));
        }
        slots.extend(u32::try_from(i));
    }
    if slots.is_empty() {
        return Err(no_address(plan, &address));
    }
    if low == high || !(2..=MOST).contains(&points) {
        return Err(format!("`{word} {text}` needs two ends, and from 2 to {MOST} values"));
    }
    let whole =
        kind == Kind::NUMBER && low.fract() == 0.0 && high.fract() == 0.0 && (high - low).abs() < 200.0;
    let points = if whole { (high - low).abs() as usize + 1 } else { points };
    let (low, high) = (low.min(high), low.max(high));
    Ok(Vary { address, slots, kind, low, high, points })
}
