//! What every chart is drawn with: its frame, its axes, and words that keep clear of what is drawn.

use std::fmt::Write as _;

use crate::report::tame::{markup as text, tame};

/// How wide a chart is, px.
pub const WIDE: f64 = 720.0;
/// Letters of a chart and of what is said small in it, px.
pub const LETTERS: f64 = 14.0;
pub const SMALL: f64 = 12.0;
/// How wide a letter is in its own height, no narrower than most faces have it: plain ones, and bold ones (project figures).
const PLAIN: f64 = 0.64;
const BOLD: f64 = 0.7;

/// How wide words are, px.
pub fn long(words: &str, size: f64) -> f64 {
    words.chars().count() as f64 * size * PLAIN
}

/// As much of some words as has room, px.
pub fn fitted(words: &str, room: f64, size: f64) -> String {
    let many = (room / (size * PLAIN)).max(1.0) as usize;
    let words = tame(words);
    if words.chars().count() <= many {
        return words;
    }
    words.chars().take(many.saturating_sub(1)).chain(['\u{2026}']).collect()
}

/// The begin of a chart, on white, under its title.
pub fn begin(tall: f64, left: f64, title: &str) -> String {
    format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {WIDE} {tall}\" role=\"img\" aria-label=\"{}\" \
         font-family=\"sans-serif\" font-size=\"{LETTERS}\">\n<rect width=\"{WIDE}\" height=\"{tall}\" fill=\"white\"/>\n\
         <text x=\"{left}\" y=\"20\" font-weight=\"bold\">{}</text>\n",
        text(title),
        text(&fitted(title, (WIDE - left - 8.0) * PLAIN / BOLD, LETTERS))
    )
}

/// Round figures from the first at or above `low` up to `high`: steps of 1, 2 or 5 with noughts, about so many.
pub fn round_between(low: f64, high: f64, many: f64) -> Vec<f64> {
    let step = between((high - low) / many);
    let first = (low / step - 1e-9).ceil();
    let last = (high / step + 1e-9).floor();
    let steps = (last - first).clamp(0.0, 1000.0) as u32;
    (0..=steps).map(|i| (first + f64::from(i)) * step).filter(|mark| *mark <= high + step * 1e-9).collect()
}

/// 1, 2 or 5 with noughts, no less than this.
pub fn between(rough: f64) -> f64 {
    let unit = 10f64.powf(rough.max(1e-9).log10().floor());
    let steps = [1.0, 2.0, 5.0].into_iter().find(|n| n * unit >= rough * (1.0 - 1e-9));
    steps.unwrap_or(10.0) * unit
}

/// Words that can be read over a line: once broad in white, and over that in black.
pub fn clear((x, y): (f64, f64), anchor: &str, words: &str) -> String {
    let at = format!("<text x=\"{x:.3}\" y=\"{y:.3}\" text-anchor=\"{anchor}\" font-size=\"{SMALL}\"");
    format!(
        "{at} fill=\"white\" stroke=\"white\" stroke-width=\"4\" aria-hidden=\"true\">{words}</text>\n{at}>{words}</text>\n"
    )
}

/// The words of a line that a target draws, right of it; each as high as has room under the one before, from the lowest up.
pub fn ends(ends: &mut [(f64, String)], left: f64) -> String {
    /// Words of a line apart from each other, px.
    const APART: f64 = 15.0;
    ends.sort_by(|a, b| b.0.total_cmp(&a.0));
    let mut ends: Vec<&(f64, String)> = ends.iter().collect();
    ends.dedup_by(|a, b| a.0.to_bits() == b.0.to_bits() && a.1 == b.1);
    let (mut made, mut free) = (String::new(), f64::INFINITY);
    for (at, said) in ends {
        free = (*at + 5.0).min(free - APART);
        let said = text(&fitted(said, WIDE - left - 2.0, SMALL));
        let _ = writeln!(made, "<text x=\"{left}\" y=\"{free:.3}\" font-size=\"{SMALL}\">{said}</text>");
    }
    made
}

/// What is drawn so far, so that words keep clear of it.
pub struct Drawn {
    /// Left, top, right and foot of what may be written on.
    pub within: [f64; 4],
    /// A line, and the points on it.
    pub points: Vec<[f64; 2]>,
    /// Where something else stands that words hide nothing of.
    pub boxes: Vec<[f64; 4]>,
    /// Heights of lines that words may stand on where nothing else is free.
    pub levels: Vec<f64>,
}

impl Drawn {
    /// Writes words beside a point where most is free; nothing where they would lie on other words.
    pub fn beside(&mut self, [x, y]: [f64; 2], words: &str) -> Option<String> {
        let wide = long(words, SMALL);
        let around = [
            (x, y - 8.0, "middle"),
            (x, y + 18.0, "middle"),
            (x + 5.0, y - 7.0, "start"),
            (x - 5.0, y - 7.0, "end"),
            (x + 5.0, y + 17.0, "start"),
            (x - 5.0, y + 17.0, "end"),
            (x + 9.0, y + 4.0, "start"),
            (x - 9.0, y + 4.0, "end"),
        ];
        let found = around.into_iter().map(|(x, y, anchor)| {
            let left = match anchor {
                "start" => x,
                "end" => x - wide,
                _ => x - wide / 2.0,
            };
            let own = [left, y - 0.75 * SMALL, left + wide, y + 0.22 * SMALL];
            (self.worth(own), (x, y, anchor), own)
        });
        let (worth, (x, y, anchor), own) = found.min_by(|a, b| a.0.total_cmp(&b.0))?;
        if worth >= HIDES {
            return None;
        }
        self.boxes.push(own);
        Some(clear((x, y), anchor, words))
    }

    /// What words there would lie on: the more, the worse.
    fn worth(&self, [left, top, right, foot]: [f64; 4]) -> f64 {
        let [l, t, r, f] = self.within;
        let over = |[a, b, c, d]: &[f64; 4]| *a < right && left < *c && *b < foot && top < *d;
        let hidden = left < l || right > r || top < t || foot > f || self.boxes.iter().any(over);
        let on = |[x, y]: &[f64; 2]| {
            (left - 4.0..=right + 4.0).contains(x) && (top - 4.0..=foot + 4.0).contains(y)
        };
        // Twenty places of each stretch stand for it: words are broader than what lies between two.
        let crossed = self.points.windows(2).filter(|pair| {
            let [a, b] = pair else { return false };
            let at = |share: f64| [a[0] + (b[0] - a[0]) * share, a[1] + (b[1] - a[1]) * share];
            (0..=20).any(|i| on(&at(f64::from(i) / 20.0)))
        });
        let level = self.levels.iter().filter(|y| (top..=foot).contains(*y)).count();
        let single = self.points.len() == 1 && self.points.iter().any(on);
        crossed.count() as f64 * 4.0
            + level as f64
            + if hidden { HIDES } else { 0.0 }
            + if single { 4.0 } else { 0.0 }
    }
}

/// Words on words.
const HIDES: f64 = 1000.0;
