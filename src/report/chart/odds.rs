//! The odds of a recipe as bars: the chance of each line of its targets, and of all at once.

use std::fmt::Write as _;

use crate::report::OddsPage;
use crate::report::answer::Answer as _;
use crate::report::odds::percent;
use crate::report::tame::markup as text;

use super::frame::{LETTERS, WIDE, begin, fitted};

/// The picture's room for words, px; a row of it, and the bar in that.
const LEFT: f64 = 250.0;
const RIGHT: f64 = 150.0;
const TOP: f64 = 44.0;
const ROW: f64 = 34.0;
const BAR: f64 = 16.0;
const FOOT: f64 = 40.0;

impl OddsPage<'_> {
    /// The picture: the axis goes from none to all, so that a bar is as long as what it stands for. Nothing where no figure has a
    /// tolerance.
    #[must_use]
    pub fn svg(&self) -> Option<String> {
        let odds = self.json();
        let lines = odds.lines.iter();
        let lines = lines.filter_map(|line| Some((line.asked.as_str(), line.chance?, line.error?)));
        let mut rows: Vec<(&str, f64, f64)> = lines.collect();
        rows.push(("all of them at once", odds.all?, odds.all_error?));
        let (room, tall) = (WIDE - LEFT - RIGHT, TOP + ROW * rows.len() as f64 + FOOT);
        let x = |chance: f64| LEFT + room * chance.clamp(0.0, 1.0);
        let title = format!("odds of each target, {} builds drawn", odds.samples);
        let mut made = begin(tall, 12.0, &title);
        let foot = tall - FOOT;
        for mark in [0.0, 0.25, 0.5, 0.75, 1.0] {
            let at = x(mark);
            let _ = writeln!(
                made,
                "<line x1=\"{at:.3}\" x2=\"{at:.3}\" y1=\"{TOP}\" y2=\"{foot}\" stroke=\"#ccc\"/>\n\
                 <text x=\"{at:.3}\" y=\"{}\" text-anchor=\"middle\">{}</text>",
                foot + 18.0,
                percent(mark)
            );
        }
        for (i, (asked, chance, error)) in rows.into_iter().enumerate() {
            let middle = TOP + ROW * (i as f64 + 0.5);
            let (low, high) = (x(chance - 2.0 * error), x(chance + 2.0 * error));
            let said = fitted(asked, LEFT - 20.0, LETTERS);
            let _ = writeln!(
                made,
                "<text x=\"12\" y=\"{0:.3}\">{1}</text>\n\
                 <rect class=\"chance\" data-value=\"{chance}\" x=\"{LEFT}\" y=\"{2:.3}\" width=\"{3:.3}\" height=\"{BAR}\" fill=\"#777\"/>\n\
                 <line class=\"error\" x1=\"{low:.3}\" x2=\"{high:.3}\" y1=\"{middle:.3}\" y2=\"{middle:.3}\" stroke=\"black\" stroke-width=\"3\"/>\n\
                 <text x=\"{4}\" y=\"{0:.3}\">{5} +- {6}</text>",
                middle + 5.0,
                text(&said),
                middle - BAR / 2.0,
                room * chance,
                WIDE - RIGHT + 10.0,
                percent(chance),
                percent(2.0 * error)
            );
        }
        let _ = writeln!(
            made,
            "<text x=\"12\" y=\"{:.3}\" font-size=\"12\">black: two standard errors each way</text>\n</svg>",
            tall - 6.0
        );
        Some(made)
    }
}
