//! Lines drawn with dots of braille, two by four a letter: a plot that stands between other lines of text.

/// Letters across and down.
const ACROSS: usize = 60;
const DOWN: usize = 12;
/// The bit of each dot of a letter, row by row (Unicode, block Braille Patterns).
const BITS: [[u32; 2]; 4] = [[0x01, 0x08], [0x02, 0x10], [0x04, 0x20], [0x40, 0x80]];

/// Draws lines, each from point to point, x rising; with the ends of both axes.
pub(super) fn drawn(lines: &[Vec<(f64, f64)>]) -> String {
    let points = || lines.iter().flatten().copied().filter(|(x, y)| x.is_finite() && y.is_finite());
    let ends = |of: fn((f64, f64)) -> f64| {
        points().map(of).fold((f64::INFINITY, f64::NEG_INFINITY), |(a, b), v| (a.min(v), b.max(v)))
    };
    let ((left, right), (low, high)) = (ends(|p| p.0), ends(|p| p.1));
    if left >= right || low >= high {
        return String::new();
    }
    let mut canvas = [[0u32; ACROSS]; DOWN];
    for pair in lines.iter().flat_map(|line| line.windows(2)) {
        let [(x0, y0), (x1, y1)] = *pair else { continue };
        // More places than the longest line has dots: none is left out.
        for i in 0..=256 {
            let share = f64::from(i) / 256.0;
            let x = (x0 + (x1 - x0) * share - left) / (right - left) * (2 * ACROSS - 1) as f64;
            let y = (high - y0 - (y1 - y0) * share) / (high - low) * (4 * DOWN - 1) as f64;
            let (x, y) = (x.round() as usize, y.round() as usize);
            let bit = BITS.get(y % 4).and_then(|row| row.get(x % 2));
            let letter = canvas.get_mut(y / 4).and_then(|row| row.get_mut(x / 2));
            if let (Some(letter), Some(bit)) = (letter, bit) {
                *letter |= bit;
            }
        }
    }
    let mut text = String::new();
    for (row, letters) in canvas.iter().enumerate() {
        text.extend(letters.iter().filter_map(|bits| char::from_u32(0x2800 + bits)));
        text += &match row {
            0 => format!(" {high:.1}\n"),
            _ if row + 1 == DOWN => format!(" {low:.1}\n"),
            _ => "\n".to_owned(),
        };
    }
    let (left, right) = (format!("{left:.1}"), format!("{right:.1}"));
    text + &format!("{left}{right:>0$}\n", ACROSS.saturating_sub(left.len()))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_line_goes_through_its_points() {
        let text = drawn(&[vec![(0.0, 0.0), (1.0, 2.0)], vec![(0.0, 2.0), (1.0, 2.0)]]);
        let rows: Vec<Vec<char>> = text.lines().map(|l| l.chars().collect()).collect();
        assert_eq!(rows.len(), DOWN + 1);
        // The upper edge is full, its last letter has the end of the other line besides; that begins in the lowest dot, and
        // rises by two dots in five.
        assert!(rows[0][..ACROSS - 1].iter().all(|c| *c >= '\u{2809}'), "{text}");
        assert_eq!(rows[DOWN - 1][0], '\u{28e0}', "{text}");
        assert_eq!(rows[DOWN - 1][ACROSS - 1], '\u{2800}', "{text}");
        // Every column of the rising line has a dot somewhere below the edge.
        let marked = |x: usize| rows[1..DOWN].iter().any(|row| row[x] != '\u{2800}');
        assert!((0..ACROSS - 6).all(marked), "{text}");
        assert!(text.contains(" 2.0\n") && text.contains(" 0.0\n"), "{text}");
        assert!(text.ends_with("0.0                                                      1.0\n"), "{text}");
    }

    #[test]
    fn nothing_is_drawn_of_what_does_not_move() {
        assert_eq!(drawn(&[vec![(0.0, 1.0), (1.0, 1.0)]]), "");
        assert_eq!(drawn(&[vec![(0.0, f64::NAN)]]), "");
    }
}
