//! A picture, dot by dot: the steel at each dot's middle, and the mean brightness of what lies under the dot.

use std::sync::atomic::{AtomicUsize, Ordering};

use super::sight::{Column, Sight};
use crate::bug::caught;
use crate::piece::SteelId;
use crate::piece::field::{Field, Known};

/// Samples a dot is parted into, each way, where more than one steel lies under it or near it.
const FINE: usize = 4;
/// Which fine row is looked at in each fine column at first: none twice.
const FIRST: [usize; FINE] = [1, 3, 0, 2];
/// Columns that a core works at a time.
const STRIP: usize = 16;
/// The most dots of a picture (project figure).
pub const MOST: f64 = 2e7;

/// What a picture shows.
pub struct Picture {
    /// The side of a dot, mm.
    pub dot: f64,
    /// Dots across and down.
    pub dots: [usize; 2],
    /// Row by row from above: the steel at each dot's middle, `None` beside the piece.
    pub steels: Vec<Option<SteelId>>,
    /// Likewise the mean brightness of what of the piece lies under a dot, 0 to 1, and how much of the dot that is.
    pub tones: Vec<(f32, f32)>,
    /// How often the field was asked.
    pub asked: usize,
}

/// Takes a picture.
///
/// # Errors
/// Why it would be too fine.
pub fn take(
    sight: &Sight,
    field: &Field,
    tone: &(dyn Fn(SteelId) -> f64 + Sync),
    dot: f64,
    cores: usize,
) -> Result<Picture, String> {
    let dots = sight.size.map(|mm| (mm / dot - 1e-9).ceil().max(1.0));
    let [across, down] = dots;
    if across.is_nan() || across * down > MOST {
        return Err(format!(
            "dots of {dot} mm are too fine: the picture would have more than {MOST} of them"
        ));
    }
    let [across, down] = dots.map(|n| n as usize);
    let camera = Camera { sight, field, tone, dot, down, asked: AtomicUsize::new(0) };
    let first = strips(across, cores, |x| camera.first(x));
    let mixed = |x: usize, y: usize| {
        let near = |v: usize| v.saturating_sub(1)..=v + 1;
        near(x).any(|x| {
            first.get(x).is_some_and(|column| near(y).any(|y| column.get(y).is_some_and(|d| d.mixed)))
        })
    };
    let tones = strips(across, cores, |x| {
        let mut fine = None;
        let column = first.get(x).map_or(&[][..], Vec::as_slice);
        column
            .iter()
            .enumerate()
            .map(|(y, dot)| {
                if !mixed(x, y) {
                    return dot.tone;
                }
                let columns = fine.get_or_insert_with(|| camera.columns(x));
                camera.whole(columns, x, y)
            })
            .collect()
    });
    let rows = || (0..down).flat_map(|y| (0..across).map(move |x| (x, y)));
    let steels = rows().map(|(x, y)| first.get(x).and_then(|c| c.get(y)).and_then(|d| d.steel)).collect();
    let tones =
        rows().map(|(x, y)| tones.get(x).and_then(|c| c.get(y)).copied().unwrap_or((0.0, 0.0))).collect();
    Ok(Picture { dot, dots: [across, down], steels, tones, asked: camera.asked.into_inner() })
}

/// A dot looked at a few times.
struct First {
    steel: Option<SteelId>,
    mixed: bool,
    tone: (f32, f32),
}

/// A line of the picture from above to below, and what is known of its place.
struct Line<'a> {
    column: Option<Column<'a>>,
    known: Known,
}

struct Camera<'a> {
    sight: &'a Sight<'a>,
    field: &'a Field,
    tone: &'a (dyn Fn(SteelId) -> f64 + Sync),
    dot: f64,
    down: usize,
    asked: AtomicUsize,
}

impl<'a> Camera<'a> {
    fn column(&self, x: f64) -> Line<'a> {
        Line { column: self.sight.column(x * self.dot), known: Known::default() }
    }

    /// The fine columns under a column of dots. Each lies somewhere in its share of the width, so that no regular pattern comes of
    /// lines as fine as the dots.
    fn columns(&self, x: usize) -> [Line<'a>; FINE] {
        std::array::from_fn(|i| {
            let share = (i as f64 + scattered(x * FINE + i)) / FINE as f64;
            self.column(x as f64 + share)
        })
    }

    fn steel(&self, line: &mut Line, y: f64) -> Option<SteelId> {
        Some(self.field.follow(line.column.as_ref()?.point(y * self.dot)?, &mut line.known))
    }

    /// A place inside a fine row of a dot, in dots from the top.
    fn row(x: usize, y: usize, i: usize, row: usize) -> f64 {
        y as f64 + (row as f64 + scattered(((x << 22) ^ y) * FINE * FINE + i * FINE + row)) / FINE as f64
    }

    fn first(&self, x: usize) -> Vec<First> {
        let mut columns = self.columns(x);
        let mut middle = self.column(x as f64 + 0.5);
        self.asked.fetch_add(self.down * (FINE + 1), Ordering::Relaxed);
        (0..self.down)
            .map(|y| {
                let steel = self.steel(&mut middle, y as f64 + 0.5);
                let mut looks = columns
                    .iter_mut()
                    .zip(FIRST)
                    .enumerate()
                    .map(|(i, (column, row))| self.steel(column, Self::row(x, y, i, row)));
                let mixed = looks.any(|other| other != steel);
                let tone = steel.map_or((0.0, 0.0), |steel| ((self.tone)(steel) as f32, 1.0));
                First { steel, mixed, tone }
            })
            .collect()
    }

    /// The mean under a dot.
    fn whole(&self, columns: &mut [Line; FINE], x: usize, y: usize) -> (f32, f32) {
        self.asked.fetch_add(FINE * FINE, Ordering::Relaxed);
        let (mut sum, mut seen) = (0.0, 0.0);
        for (i, column) in columns.iter_mut().enumerate() {
            for row in 0..FINE {
                if let Some(steel) = self.steel(column, Self::row(x, y, i, row)) {
                    sum += (self.tone)(steel);
                    seen += 1.0;
                }
            }
        }
        if seen == 0.0 { (0.0, 0.0) } else { ((sum / seen) as f32, (seen / (FINE * FINE) as f64) as f32) }
    }
}

/// A number from 0 up to 1 for a number, without a pattern: the same each time (the finisher of a published hash, splitmix64).
fn scattered(of: usize) -> f64 {
    let mut z = (of as u64).wrapping_add(0x9e37_79b9_7f4a_7c15);
    z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
    z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
    ((z ^ (z >> 31)) >> 11) as f64 / (1u64 << 53) as f64
}

/// Works each column on some cores; what comes out does not hang on how many.
fn strips<T: Send>(columns: usize, cores: usize, work: impl Fn(usize) -> Vec<T> + Sync) -> Vec<Vec<T>> {
    let next = AtomicUsize::new(0);
    let worker = || {
        let mut mine = Vec::new();
        loop {
            let from = next.fetch_add(STRIP, Ordering::Relaxed);
            if from >= columns {
                return mine;
            }
            mine.extend((from..(from + STRIP).min(columns)).map(|x| (x, work(x))));
        }
    };
    let mut all: Vec<(usize, Vec<T>)> = std::thread::scope(|scope| {
        let threads: Vec<_> = (0..cores.max(1)).map(|_| scope.spawn(|| caught(worker))).collect();
        let done = threads.into_iter().flat_map(|thread| {
            let worked = thread.join().unwrap_or_else(|other| std::panic::resume_unwind(other));
            worked.unwrap_or_else(|bug| bug.again())
        });
        done.collect()
    });
    all.sort_by_key(|(x, _)| *x);
    all.into_iter().map(|(_, column)| column).collect()
}

#[cfg(test)]
mod tests {
    use super::scattered;

    #[test]
    fn the_hash_is_the_published_one() {
        // The first two numbers of splitmix64 from the seed 0, as published with it (from memory), their upper 53 bits.
        const STEP: usize = 0x9e37_79b9_7f4a_7c15;
        for (of, word) in [(0, 0xe220_a839_7b1d_cdaf_u64), (STEP, 0x6e78_9e6a_a1b9_65f4)] {
            assert_eq!(scattered(of), (word >> 11) as f64 / 9_007_199_254_740_992.0);
        }
    }
}
