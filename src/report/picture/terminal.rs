//! A picture in letters: half blocks in colour or grey, two dots a letter, or plain characters.

use std::fmt::Write as _;

use super::raster::grey;

/// What a terminal can show.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Ink {
    /// Any colour.
    True,
    /// 24 greys of a palette of 256.
    Greys,
    /// None.
    Plain,
}

/// Characters from dark to bright, on a dark ground.
const PLAIN: [char; 10] = [' ', '.', ':', '-', '=', '+', '*', '#', '%', '@'];

/// Draws dots of a brightness, and of how much of each the piece takes.
pub(super) fn drawn(wide: usize, tones: &[(f32, f32)], ink: Ink) -> String {
    let rows: Vec<&[(f32, f32)]> = tones.chunks(wide).collect();
    let mut text = String::new();
    for pair in rows.chunks(2) {
        let (upper, lower) = (pair.first().copied().unwrap_or(&[]), pair.get(1).copied().unwrap_or(&[]));
        let mut line = String::new();
        for (x, above) in upper.iter().enumerate() {
            let halves =
                [Some(*above), lower.get(x).copied()].map(|dot| dot.filter(|d| d.1 >= 0.5).map(|d| d.0));
            line += &match ink {
                Ink::Plain => plain(halves),
                ink => block(halves, ink),
            };
        }
        if ink == Ink::Plain {
            text += line.trim_end();
        } else {
            text += &line;
        }
        text.push('\n');
    }
    text
}

/// A letter of two dots, one above the other.
fn plain(halves: [Option<f32>; 2]) -> String {
    let seen: Vec<f32> = halves.into_iter().flatten().collect();
    if seen.is_empty() {
        return " ".to_owned();
    }
    let mean = seen.iter().sum::<f32>() / seen.len() as f32;
    let at = (mean * PLAIN.len() as f32) as usize;
    PLAIN.get(at.clamp(1, PLAIN.len() - 1)).map_or(String::new(), char::to_string)
}

fn block(halves: [Option<f32>; 2], ink: Ink) -> String {
    let colour = |layer: u8, tone: f32| match ink {
        // The greys of the palette of 256 are 232 to 255.
        Ink::Greys => format!("\u{1b}[{layer};5;{}m", 232 + u16::from(grey(tone)) * 23 / 255),
        _ => {
            let g = grey(tone);
            format!("\u{1b}[{layer};2;{g};{g};{g}m")
        }
    };
    let mut letter = String::new();
    let sign = match halves {
        [None, None] => return " ".to_owned(),
        [Some(above), Some(below)] => {
            let _ = write!(letter, "{}{}", colour(38, above), colour(48, below));
            '▀'
        }
        [Some(above), None] => {
            letter += &colour(38, above);
            '▀'
        }
        [None, Some(below)] => {
            letter += &colour(38, below);
            '▄'
        }
    };
    letter + &format!("{sign}\u{1b}[0m")
}
