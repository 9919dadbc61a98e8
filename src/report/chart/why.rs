//! Where a size went, as bars: each begins where the one above it ended, with the step and the cause beside it.

use std::fmt::Write as _;

use super::frame::{LETTERS, SMALL, WIDE, begin, fitted};
use crate::quantity::{show, show_change};
use crate::report::WhyPage;
use crate::report::tame::markup as text;

impl WhyPage<'_> {
    /// The picture; the axis begins at nothing, px.
    #[must_use]
    pub fn svg(&self) -> String {
        const LEFT: f64 = 150.0;
        const RIGHT: f64 = 190.0;
        const ROW: f64 = 24.0;
        const TOP: f64 = 36.0;
        const BAR: f64 = 16.0;
        let (page, why) = (self.page, self.why);
        let (kind, units) = (why.what.kind(), page.units);
        // What a step does for one cause is one bar.
        let mut changes: Vec<(usize, &str, f64)> = Vec::new();
        for entry in &why.entries {
            match changes.last_mut() {
                Some((step, cause, change)) if *step == entry.step && *cause == entry.cause.word() => {
                    *change += entry.change;
                }
                _ => changes.push((entry.step, entry.cause.word(), entry.change)),
            }
        }
        let mut value = why.from;
        let ends = changes.iter().map(|(.., change)| {
            value += change;
            value
        });
        let most = ends.fold(why.from, f64::max);
        let per = if most > 0.0 { (WIDE - LEFT - RIGHT) / most } else { 0.0 };
        let place = self.at.map_or(String::new(), |at| format!(" at {at}"));
        let tall = TOP + ROW * (changes.len() as f64 + 2.0) + 8.0;
        let mut made =
            begin(tall, 8.0, &format!("where the {} of {}{place} went", why.what.word(), self.piece));
        let mut row = 0.0;
        let mut bar = |head: &str, [from, to]: [f64; 2], grey: &str, data: f64, said: &str| {
            let (y, left, right) = (TOP + ROW * row, LEFT + from.min(to) * per, LEFT + from.max(to) * per);
            row += 1.0;
            let _ = writeln!(
                made,
                "<text x=\"{}\" y=\"{:.3}\" text-anchor=\"end\" font-size=\"{SMALL}\">{}</text>\n\
                 <rect class=\"change\" data-value=\"{data}\" x=\"{left:.3}\" y=\"{y:.3}\" width=\"{:.3}\" height=\"{BAR}\" fill=\"{grey}\" stroke=\"black\"/>\n\
                 <text x=\"{:.3}\" y=\"{:.3}\" font-size=\"{SMALL}\">{}</text>",
                LEFT - 6.0,
                y + 13.0,
                text(&fitted(head, LEFT - 12.0, SMALL)),
                right - left,
                right + 6.0,
                y + 13.0,
                text(&fitted(said, (WIDE - right - 8.0).max(4.0 * LETTERS), SMALL))
            );
        };
        bar("stock", [0.0, why.from], "#555", why.from, &show(why.from, kind, units));
        let mut value = why.from;
        for (step, cause, change) in changes {
            let head = format!("{}. {}", step + 1, page.step(step).word.word);
            let said = format!("{}, {cause}", show_change(change, kind, units));
            bar(&head, [value, value + change], if change < 0.0 { "#bbb" } else { "#fff" }, change, &said);
            value += change;
        }
        bar("in the end", [0.0, why.to], "#555", why.to, &show(why.to, kind, units));
        made + "</svg>\n"
    }
}
