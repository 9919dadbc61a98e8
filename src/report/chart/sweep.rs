//! A sweep as a picture: of one figure a panel for each target that moves, of two a map of what is met where.

use std::fmt::Write as _;

use super::frame::{LETTERS, SMALL, WIDE, begin, ends, fitted, long, round_between};
use crate::quantity::{show, trim_number};
use crate::report::SweepPage;
use crate::report::tame::markup as text;
use crate::study::{Try, Vary};

/// The room for words on each side, px.
const LEFT: f64 = 84.0;
const RIGHT: f64 = 170.0;
const TOP: f64 = 40.0;
/// A panel with its head and its foot, and what of it is drawn on, px.
const PANEL: f64 = 250.0;
const HEAD: f64 = 24.0;
const FOOT: f64 = 44.0;
/// From one line of words below to the next, px.
const ROW: f64 = 18.0;
/// How high a map is, px.
const MAP: f64 = 360.0;
/// The lines of targets on a map, told apart by their strokes; so many, then the first again.
const DASHES: [&str; 6] = ["none", "8 3", "2 3", "9 3 2 3", "14 4", "5 2 1 2"];

impl SweepPage<'_> {
    /// The picture. `None` where one figure is varied, and no target moves with it.
    #[must_use]
    pub fn svg(&self) -> Option<String> {
        match self.vary {
            [one] => panels(self, one),
            [down, across] => Some(map(self, down, across)),
            _ => None,
        }
    }

    /// What a target comes to in a try, as it is.
    fn got(&self, one: &Try, line: usize) -> Option<(f64, bool)> {
        let (got, met) = *one.got.as_ref()?.get(line)?;
        Some((got?, met))
    }

    /// Whether a target comes to one figure wherever the recipe can be worked; that figure, and whether it is met.
    fn constant(&self, line: usize) -> Option<(f64, bool)> {
        let mut got = self.tries.iter().filter_map(|one| self.got(one, line));
        let first = got.next()?;
        got.all(|(value, _)| (value - first.0).abs() <= 1e-9 * first.0.abs()).then_some(first)
    }

    /// What is said below the picture: the targets that nothing moves.
    fn still(&self) -> impl Iterator<Item = String> + '_ {
        let one = |(line, test): (usize, &crate::spec::Test)| {
            let (value, met) = self.constant(line)?;
            let told = test.told_in(self.asked.units, self.asked.plan.units());
            let said = show(value, test.what.kind(), told);
            let mark = if met { "met" } else { "MISSED" };
            Some(format!("{}: {said} throughout, {mark}", self.words(test)))
        };
        self.tests.iter().enumerate().filter_map(one)
    }
}

/// Tries behind each other that cannot be worked, or have no such figure: the first, how many, and why.
fn gaps(sweep: &SweepPage, line: Option<usize>) -> Vec<(usize, usize, String)> {
    let mut made: Vec<(usize, usize, String)> = Vec::new();
    for (i, one) in sweep.tries.iter().enumerate() {
        let why = match (&one.got, line) {
            (None, _) => one.fault.clone().unwrap_or_else(|| "cannot be worked".to_owned()),
            (Some(_), Some(line)) if sweep.got(one, line).is_none() => "none of it".to_owned(),
            _ => continue,
        };
        match made.last_mut() {
            Some((from, many, was)) if *from + *many == i && *was == why => *many += 1,
            _ => made.push((i, 1, why)),
        }
    }
    made
}

fn below(made: &mut String, from: f64, rows: &[String]) {
    for (i, said) in rows.iter().enumerate() {
        let _ = writeln!(
            made,
            "<text x=\"12\" y=\"{:.3}\" font-size=\"{SMALL}\">{}</text>",
            from + ROW * i as f64,
            text(&fitted(said, WIDE - 20.0, SMALL))
        );
    }
}

fn panels(sweep: &SweepPage, vary: &Vary) -> Option<String> {
    let moves = |line: &usize| {
        sweep.constant(*line).is_none() && sweep.tries.iter().any(|one| sweep.got(one, *line).is_some())
    };
    let moving: Vec<usize> = (0..sweep.tests.len()).filter(moves).collect();
    if moving.is_empty() {
        return None;
    }
    let units = sweep.asked.units;
    let value = |i: usize| {
        let one = sweep.tries.get(i).and_then(|one| one.values.first());
        one.map_or(String::new(), |v| show(*v, vary.kind, units))
    };
    let mut rows = vec!["full: this target is met; hollow: it is missed".to_owned()];
    rows.extend(gaps(sweep, None).into_iter().map(|(from, many, why)| match many {
        1 => format!("at {}: {why}", value(from)),
        _ => format!("from {} to {}: {why}", value(from), value(from + many - 1)),
    }));
    rows.extend(sweep.still());
    let tall = TOP + PANEL * moving.len() as f64 + ROW * rows.len() as f64 + 8.0;
    let mut made = begin(tall, 12.0, &format!("{} varied", vary.address));
    for (i, line) in moving.iter().enumerate() {
        panel(sweep, vary, *line, TOP + PANEL * i as f64, &mut made);
    }
    below(&mut made, TOP + PANEL * moving.len() as f64 + 14.0, &rows);
    Some(made + "</svg>\n")
}

fn panel(sweep: &SweepPage, vary: &Vary, line: usize, top: f64, made: &mut String) {
    let Some(test) = sweep.tests.get(line) else { return };
    let kind = test.what.kind();
    let plotted = |value: f64| sweep.plotted(value, kind).0;
    let [(first, x_unit), (last, _)] = [vary.low, vary.high].map(|v| sweep.plotted(v, vary.kind));
    let (_, y_unit) = sweep.plotted(0.0, kind);
    let at = |one: &Try| one.values.first().map(|v| sweep.plotted(*v, vary.kind).0);
    let points: Vec<Option<(f64, f64, f64, bool)>> = sweep
        .tries
        .iter()
        .map(|one| sweep.got(one, line).and_then(|(got, met)| Some((at(one)?, plotted(got), got, met))))
        .collect();
    let seen = points.iter().flatten().map(|p| p.1);
    let (mut low, mut high) = seen.fold((f64::MAX, f64::MIN), |(a, b), v| (a.min(v), b.max(v)));
    let span = high - low;
    let (least, most) = sweep.limits(line);
    let limits: Vec<(f64, &str)> = [(least, "at least"), (most, "at most")]
        .into_iter()
        .filter_map(|(limit, word)| Some((limit?, word)))
        .collect();
    // A limit far off would flatten the line that is asked for: it is told, and not drawn.
    let (far_below, far_above) = (low - 2.0 * span, high + 2.0 * span);
    for (limit, _) in &limits {
        let drawn = plotted(*limit);
        if drawn > far_below && drawn < far_above {
            (low, high) = (low.min(drawn), high.max(drawn));
        }
    }
    let room = 0.08 * (high - low);
    (low, high) = (low - room, high + room);
    let (head, foot, right) = (top + HEAD, top + PANEL - FOOT, WIDE - RIGHT);
    let x = |v: f64| LEFT + (right - LEFT) * (v - first) / (last - first);
    let y = |v: f64| foot - (foot - head) * (v - low) / (high - low);
    let unit = |unit: &str| if unit.is_empty() { String::new() } else { format!(", {unit}") };
    let _ = writeln!(
        made,
        "<text x=\"{LEFT}\" y=\"{:.3}\" font-weight=\"bold\">{}</text>",
        top + 14.0,
        text(&fitted(&format!("{}{}", sweep.words(test), unit(y_unit)), right, LETTERS))
    );
    let middle = |i: usize| {
        let [a, b] = [i, i + 1].map(|i| sweep.tries.get(i).and_then(at));
        a.zip(b).map(|(a, b)| x((a + b) / 2.0))
    };
    for (from, many, _) in gaps(sweep, Some(line)) {
        let left = from.checked_sub(1).and_then(middle).unwrap_or(LEFT);
        let wide = middle(from + many - 1).unwrap_or(right) - left;
        let _ = writeln!(
            made,
            "<rect class=\"gap\" x=\"{left:.3}\" y=\"{head:.3}\" width=\"{wide:.3}\" height=\"{:.3}\" fill=\"#ddd\"/>",
            foot - head
        );
        let said = "not worked";
        if long(said, SMALL) < wide {
            let _ = writeln!(
                made,
                "<text x=\"{:.3}\" y=\"{:.3}\" text-anchor=\"middle\" font-size=\"{SMALL}\">{said}</text>",
                left + wide / 2.0,
                foot - 6.0
            );
        }
    }
    for mark in round_between(low, high, 4.0) {
        let (high, shown) = (y(mark), trim_number(mark, 4));
        let _ = writeln!(
            made,
            "<line class=\"mark\" data-value=\"{mark}\" x1=\"{LEFT}\" x2=\"{right}\" y1=\"{high:.3}\" y2=\"{high:.3}\" stroke=\"#bbb\"/>\n\
             <text x=\"{}\" y=\"{:.3}\" text-anchor=\"end\">{shown} {y_unit}</text>",
            LEFT - 6.0,
            high + 5.0
        );
    }
    for mark in round_between(first, last, 5.0) {
        let _ = writeln!(
            made,
            "<text x=\"{:.3}\" y=\"{:.3}\" text-anchor=\"middle\">{}</text>",
            x(mark),
            foot + 17.0,
            trim_number(mark, 4)
        );
    }
    let _ = writeln!(
        made,
        "<text x=\"{:.3}\" y=\"{:.3}\" text-anchor=\"middle\">{}</text>",
        (LEFT + right) / 2.0,
        foot + 35.0,
        text(&fitted(&format!("{}{}", vary.address, unit(x_unit)), right - LEFT, LETTERS))
    );
    let told = test.told_in(sweep.asked.units, sweep.asked.plan.units());
    let mut said = Vec::new();
    for (limit, word) in limits {
        let (drawn, words) = (plotted(limit), format!("{word} {}", show(limit, kind, told)));
        if drawn <= far_below || drawn >= far_above {
            let (at, way) = if drawn >= far_above { (head, "above") } else { (foot, "below") };
            said.push((at, format!("{words}: {way}")));
            continue;
        }
        let high = y(drawn);
        let _ = writeln!(
            made,
            "<line class=\"limit\" data-value=\"{limit}\" x1=\"{LEFT}\" x2=\"{right}\" y1=\"{high:.3}\" y2=\"{high:.3}\" stroke=\"black\" stroke-dasharray=\"7 4\"/>"
        );
        said.push((high, words));
    }
    *made += &ends(&mut said, right + 6.0);
    // A line never runs over what cannot be worked.
    for run in points.split(Option::is_none) {
        let line: Vec<String> =
            run.iter().flatten().map(|(a, v, ..)| format!("{:.3},{:.3}", x(*a), y(*v))).collect();
        if line.len() > 1 {
            let _ = writeln!(
                made,
                "<polyline points=\"{}\" fill=\"none\" stroke=\"black\" stroke-width=\"2\"/>",
                line.join(" ")
            );
        }
    }
    for (a, v, got, met) in points.iter().flatten() {
        let _ = writeln!(
            made,
            "<circle data-value=\"{got}\" cx=\"{:.3}\" cy=\"{:.3}\" r=\"3.5\" fill=\"{}\" stroke=\"black\"/>",
            x(*a),
            y(*v),
            if *met { "black" } else { "white" }
        );
    }
}

/// Two figures: grey where all is met, white where something is missed, and where it cannot be worked the letter of why; between
/// them the lines of the targets.
fn map(sweep: &SweepPage, down: &Vary, across: &Vary) -> String {
    let units = sweep.asked.units;
    let (columns, lines) = (across.points.max(2), down.points.max(2));
    let right = WIDE - RIGHT - 70.0;
    let (wide, tall) = ((right - LEFT) / columns as f64, MAP / lines as f64);
    let mut why: Vec<&str> = Vec::new();
    let mut rows: Vec<String> = Vec::new();
    for fault in sweep.tries.iter().filter(|one| one.got.is_none()) {
        let fault = fault.fault.as_deref().unwrap_or("cannot be worked");
        if !why.contains(&fault) {
            why.push(fault);
        }
    }
    // Beyond the letters all are told as one.
    let letter = |fault: &str| {
        let at = why.iter().position(|known| *known == fault).unwrap_or(why.len());
        char::from(b'a' + u8::try_from(at).unwrap_or(25).min(25))
    };
    let begun = match why.is_empty() {
        true => "grey: all targets are met; white: not all",
        false => "grey: all targets are met; white: not all; light grey with a letter: cannot be worked",
    };
    rows.push(begun.to_owned());
    rows.extend(why.iter().map(|fault| format!("{}: {fault}", letter(fault))));
    rows.extend(sweep.still());
    let top = TOP + 14.0;
    let foot = top + MAP;
    let full = foot + 48.0 + ROW * rows.len() as f64 + 8.0;
    let mut made = begin(full, 12.0, &format!("{} and {} varied", down.address, across.address));
    // The greatest stands above, as on any axis.
    let y = |row: usize| foot - tall * (row as f64 + 1.0);
    let x = |column: usize| LEFT + wide * column as f64;
    let state = |one: &Try| match (&one.got, one.met) {
        (None, _) => Some(letter(one.fault.as_deref().unwrap_or("cannot be worked"))),
        (Some(_), true) => Some('#'),
        (Some(_), false) => None,
    };
    for (row, tries) in sweep.tries.chunks(columns).enumerate() {
        let states: Vec<Option<char>> = tries.iter().map(state).collect();
        let mut column = 0;
        for run in states.chunk_by(|a, b| a == b) {
            let (left, long) = (x(column), wide * run.len() as f64);
            column += run.len();
            let Some(Some(is)) = run.first() else { continue };
            let (class, fill) = if *is == '#' { ("met", "#888") } else { ("gap", "#ddd") };
            let _ = writeln!(
                made,
                "<rect class=\"{class}\" x=\"{left:.3}\" y=\"{:.3}\" width=\"{long:.3}\" height=\"{tall:.3}\" fill=\"{fill}\"/>",
                y(row)
            );
            if *is != '#' && tall >= 11.0 && long >= 9.0 {
                let _ = writeln!(
                    made,
                    "<text x=\"{:.3}\" y=\"{:.3}\" text-anchor=\"middle\" font-size=\"11\">{is}</text>",
                    left + long / 2.0,
                    y(row) + tall / 2.0 + 4.0
                );
            }
        }
    }
    let _ = writeln!(
        made,
        "<rect x=\"{LEFT}\" y=\"{top}\" width=\"{:.3}\" height=\"{MAP}\" fill=\"none\" stroke=\"black\"/>",
        right - LEFT
    );
    let met = |row: usize, column: usize, line: usize| {
        let one = sweep.tries.get(row * columns + column)?;
        sweep.got(one, line).map(|(_, met)| met)
    };
    let mut key = top + 10.0;
    for (line, test) in sweep.tests.iter().enumerate() {
        let mut borders: Vec<[f64; 4]> = Vec::new();
        for row in 0..lines {
            for column in 0..columns {
                let own = met(row, column, line);
                let other = |met: Option<bool>| own.zip(met).is_some_and(|(a, b)| a != b);
                if column + 1 < columns && other(met(row, column + 1, line)) {
                    borders.push([x(column + 1), y(row), x(column + 1), y(row) + tall]);
                }
                if row + 1 < lines && other(met(row + 1, column, line)) {
                    borders.push([x(column), y(row), x(column) + wide, y(row)]);
                }
            }
        }
        if borders.is_empty() {
            continue;
        }
        let dash = DASHES.get(line % DASHES.len()).copied().unwrap_or("none");
        let dash = if dash == "none" { String::new() } else { format!(" stroke-dasharray=\"{dash}\"") };
        borders.push([right + 8.0, key, right + 38.0, key]);
        for [x1, y1, x2, y2] in borders {
            let _ = writeln!(
                made,
                "<line class=\"limit\" x1=\"{x1:.3}\" x2=\"{x2:.3}\" y1=\"{y1:.3}\" y2=\"{y2:.3}\" stroke=\"black\" stroke-width=\"2\"{dash}/>"
            );
        }
        let said = text(&fitted(&sweep.words(test), WIDE - right - 46.0, SMALL));
        let _ = writeln!(
            made,
            "<text x=\"{}\" y=\"{:.3}\" font-size=\"{SMALL}\">{said}</text>",
            right + 44.0,
            key + 4.0
        );
        key += ROW;
    }
    let every = (20.0 / tall).ceil().max(1.0) as usize;
    for (row, value) in down.values().enumerate().step_by(every) {
        let _ = writeln!(
            made,
            "<text x=\"{}\" y=\"{:.3}\" text-anchor=\"end\" font-size=\"{SMALL}\">{}</text>",
            LEFT - 6.0,
            y(row) + tall / 2.0 + 4.0,
            text(&fitted(&show(value, down.kind, units), LEFT - 8.0, SMALL))
        );
    }
    let every = (78.0 / wide).ceil().max(1.0) as usize;
    for (column, value) in across.values().enumerate().step_by(every) {
        let _ = writeln!(
            made,
            "<text x=\"{:.3}\" y=\"{:.3}\" text-anchor=\"middle\" font-size=\"{SMALL}\">{}</text>",
            x(column) + wide / 2.0,
            foot + 16.0,
            text(&fitted(&show(value, across.kind, units), 78.0, SMALL))
        );
    }
    let _ = writeln!(
        made,
        "<text x=\"{:.3}\" y=\"{:.3}\" text-anchor=\"middle\">{}</text>\n<text x=\"12\" y=\"{:.3}\">{}</text>",
        (LEFT + right) / 2.0,
        foot + 34.0,
        text(&fitted(&format!("{} across", across.address), right - LEFT, LETTERS)),
        top - 8.0,
        text(&fitted(&format!("{} up", down.address), right - 12.0, LETTERS))
    );
    below(&mut made, foot + 62.0, &rows);
    made + "</svg>\n"
}
