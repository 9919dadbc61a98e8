//! The file that says what lies on the rack: what a build left goes in with date and source, what it took goes out, and each
//! build is booked once.

use std::collections::BTreeSet;

use super::rack::Kept;
use crate::quantity::{Kind, Units, show, show_count};
use crate::source::{Span, quoted};
use crate::workshop::Job;

/// How the note begins that books a build.
const BOOKED: &str = "note \"booked ";
/// How the comment begins that says where a lot comes from.
const FROM: &str = "# from ";
/// What stands at the top of a new file.
const HEAD: &str = "\
# What lies on the rack, each lot as a line of stock. `heatbook rack --into` with this file's name
# books what a build has left and what it took; `stock x = NAME from rack` takes from it, with
# `--rack` and this file's name. A `note` behind a line goes with its lot: a flaw, a place.
";

/// A build to be booked.
pub struct Booking<'a> {
    /// The day, as `2026-03-02`.
    pub date: &'a str,
    /// What the build is called.
    pub source: &'a str,
    /// What tells its text from others.
    pub mark: &'a str,
    /// What it took from the rack: the name there, and the line.
    pub taken: &'a [(String, Span)],
    /// What it has left.
    pub kept: &'a [Kept],
    /// What it has left that is too small to keep.
    pub scrap: &'a [Kept],
    /// The units that lines are written in.
    pub units: Units,
}

/// The file after it.
pub struct Shelved {
    /// Its text.
    pub text: String,
    /// The names under which lots were added, in the order of what was kept; nothing where one cannot be written as stock.
    pub added: Vec<Option<String>>,
}

/// Whether a build is booked.
#[derive(Debug, PartialEq, Eq)]
pub enum Booked {
    /// It is not.
    No,
    /// It is, with this very text: the day.
    Same(String),
    /// One of the same name is, with another text: the day.
    Other(String),
}

/// What tells texts from others: 64 bits of them in hexadecimal figures (FNV-1a, by its authors' draft, from memory: against slips, not
/// against malice).
#[must_use]
pub fn marked<'t>(texts: impl IntoIterator<Item = &'t str>) -> String {
    let mut hash = 0xcbf2_9ce4_8422_2325_u64;
    for byte in texts.into_iter().flat_map(|text| text.bytes().chain([0])) {
        hash = (hash ^ u64::from(byte)).wrapping_mul(0x0100_0000_01b3);
    }
    format!("{hash:016x}")
}

/// What a rack's file says of a build.
#[must_use]
pub fn booked(rack: &str, source: &str, mark: &str) -> Booked {
    let mut found = Booked::No;
    for line in rack.lines().filter_map(|line| line.trim_start().strip_prefix(BOOKED)) {
        let mut parts = line.splitn(3, "; ");
        let (Some(of), Some(marked)) = (parts.next(), parts.next()) else { continue };
        let Some((date, name)) = of.split_once(": ") else { continue };
        if marked.trim_end_matches('"') == mark {
            return Booked::Same(date.to_owned());
        }
        if name == called(source) {
            found = Booked::Other(date.to_owned());
        }
    }
    found
}

/// A name as it can stand in a note.
fn called(source: &str) -> String {
    source.replace(['"', ';'], "'").chars().filter(|c| !c.is_control()).collect()
}

/// Books a build: the rack's file begins at `base`.
///
/// # Errors
/// A sentence that says what keeps it from that.
pub fn shelve(rack: &str, base: u32, booking: &Booking) -> Result<Shelved, String> {
    let mut text = rack.to_owned();
    let mut lines: Vec<Span> = booking.taken.iter().map(|(_, span)| *span).collect();
    lines.sort_unstable();
    for span in lines.into_iter().rev() {
        strike(&mut text, span, base);
    }
    if text.trim().is_empty() {
        HEAD.clone_into(&mut text);
    }
    if !text.ends_with('\n') {
        text.push('\n');
    }
    let mut names = names(&text)?;
    let mut added = Vec::new();
    for lot in booking.kept {
        let bars = show_count(u64::from(lot.count), "bar");
        let each = if lot.count == 1 { "" } else { " each" };
        let weight = show(lot.bar.mass, Kind::MASS, booking.units);
        let about = format!("{FROM}{}, {}: {bars}, {weight}{each}", called(booking.source), booking.date);
        let name = (1..).map(|n| if n == 1 { lot.name.clone() } else { format!("{}-{n}", lot.name) });
        let name = name.into_iter().find(|name| !names.contains(name)).unwrap_or_default();
        let Some(line) = lot.line(&name) else {
            let why = lot.stock.as_ref().err().map_or("", String::as_str);
            text += &format!("\n{about}; `{}` is not here: {why}\n", lot.name);
            added.push(None);
            continue;
        };
        let unkept = lot.unkept.map_or(String::new(), |unkept| format!("; {unkept}"));
        text += &format!("\n{about}{unkept}\n");
        for steel in &lot.steels {
            text += &steel_line(&text, steel)?;
        }
        text += &format!("{line}\n");
        names.insert(name.clone());
        added.push(Some(name));
    }
    let took = booking.taken.iter().map(|(name, _)| name.as_str());
    let left: Vec<&str> = added.iter().flatten().map(String::as_str).collect();
    let list = |names: Vec<&str>| if names.is_empty() { "nothing".to_owned() } else { names.join(", ") };
    let scrap: f64 = booking.scrap.iter().map(|lot| lot.bar.mass * f64::from(lot.count)).sum();
    let scrap = if booking.scrap.is_empty() {
        String::new()
    } else {
        format!("; scrap {}", show(scrap, Kind::MASS, booking.units))
    };
    let (date, source, mark) = (booking.date, called(booking.source), booking.mark);
    let (took, left) = (list(took.collect()), list(left));
    text += &format!("\n{BOOKED}{date}: {source}; {mark}; took {took}; left {left}{scrap}\"\n");
    self::names(&text)?;
    Ok(Shelved { text, added })
}

/// The names of all that lies on a rack.
fn names(text: &str) -> Result<BTreeSet<String>, String> {
    let job = Job::alone("the rack", text)?;
    if let Some(fault) = job.found.first() {
        let line = job.files.line(fault.span());
        return Err(format!("line {line} of the rack's file is at fault: {}; mend it first", fault.message));
    }
    Ok(job.plan.ground.lots.iter().map(|lot| lot.name.clone()).collect())
}

/// Takes a line of stock out, with the comment above it that says where it comes from, and the notes behind it.
fn strike(text: &mut String, span: Span, base: u32) {
    let bytes = span.bytes(base);
    let line_start = |at: usize| text.get(..at).and_then(|t| t.rfind('\n')).map_or(0, |i| i + 1);
    let line_end = |at: usize| text.get(at..).and_then(|t| t.find('\n')).map_or(text.len(), |i| at + i + 1);
    let (mut start, mut end) = (line_start(bytes.start), line_end(bytes.end.max(1) - 1));
    let above = line_start(start.saturating_sub(1));
    if start > 0 && text.get(above..start).is_some_and(|line| line.starts_with(FROM)) {
        start = above;
    }
    while text.get(end..).is_some_and(|rest| rest.starts_with("note ") && !rest.starts_with(BOOKED)) {
        end = line_end(end);
    }
    // One blank line between two lots is enough.
    let blank = |line: Option<&str>| line.is_some_and(|line| line.trim().is_empty());
    let above = line_start(start.saturating_sub(1));
    if start > 0
        && blank(text.get(above..start))
        && (end == text.len() || blank(text.get(end..line_end(end))))
    {
        start = above;
    }
    if start <= end && text.is_char_boundary(start) && text.is_char_boundary(end) {
        text.replace_range(start..end, "");
    }
}

/// The line that makes a steel, where the file has none yet.
fn steel_line(text: &str, steel: &str) -> Result<String, String> {
    let of = |line: &str| {
        let mut words = line.split_whitespace();
        (words.next() == Some("steel")).then(|| words.next().unwrap_or("").to_owned())
    };
    let same = |line: &&str| of(line).is_some() && of(line) == of(steel);
    match text.lines().find(same) {
        None => Ok(format!("{steel}\n")),
        Some(line) if line.split_whitespace().eq(steel.split_whitespace()) => Ok(String::new()),
        Some(line) => Err(format!(
            "two steels have one name: {} in the build and on the rack; give one of them another name",
            quoted([steel, line.trim()])
        )),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_line_goes_with_its_comment_and_its_notes() {
        let rack = "# head\n\n# from a.heat, 2026-01-02: 1 bar\nstock a = 1 bar of 1084,\n  4 x 40 x 100 mm # own\nnote \"a shut\"\n\nstock b = 1 bar of 1084, 4 x 40 x 90 mm\nnote \"booked 2026-01-02: a.heat; 12; took nothing; left a\"\n";
        let mut text = rack.to_owned();
        let start = rack.find("stock a").unwrap();
        let end = rack.find(" # own").unwrap();
        strike(&mut text, Span::within(0, start..end), 0);
        assert_eq!(
            text,
            "# head\n\nstock b = 1 bar of 1084, 4 x 40 x 90 mm\nnote \"booked 2026-01-02: a.heat; 12; took nothing; left a\"\n"
        );
        let start = text.find("stock b").unwrap();
        let end = start + text.lines().find(|line| line.starts_with("stock b")).unwrap().len();
        strike(&mut text, Span::within(0, start..end), 0);
        assert_eq!(text, "# head\n\nnote \"booked 2026-01-02: a.heat; 12; took nothing; left a\"\n");
    }

    #[test]
    fn a_build_is_known_again() {
        let rack = "note \"booked 2026-01-02: a.heat; 12ab; took nothing; left a\"\n";
        assert_eq!(booked(rack, "a.heat", "12ab"), Booked::Same("2026-01-02".to_owned()));
        assert_eq!(booked(rack, "moved/a.heat", "12ab"), Booked::Same("2026-01-02".to_owned()));
        assert_eq!(booked(rack, "a.heat", "34cd"), Booked::Other("2026-01-02".to_owned()));
        assert_eq!(booked(rack, "b.heat", "34cd"), Booked::No);
        assert_eq!(steel_line("steel own = like W1\n", "steel own  = like W1"), Ok(String::new()));
        assert!(steel_line("steel own = like W1\n", "steel own = like W2").is_err());
    }
}
