//! From where a piece is looked at: which point of its makeup lies at a place of the picture.

use crate::piece::blade::Station;
use crate::piece::{Bar, Blade, Makeup, Relief};

/// A side of a piece, or a cut through it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Side {
    /// The face that lies on top: heel left, back up.
    Top,
    /// The face below, seen from below: heel left, edge up.
    Bottom,
    /// The edge, seen from there: heel left, top up.
    Edge,
    /// The back, seen from there: heel left, top down.
    Back,
    /// The tip end, seen from beyond it: edge left, top up.
    End,
    /// A cut across, seen from the tip: edge left, top up.
    Across,
}

/// What is looked at.
#[derive(Clone, Copy, Debug)]
pub struct View {
    /// From where.
    pub side: Side,
    /// A cut that deep below what is seen from there, mm.
    pub under: f64,
    /// The place of a cut across, mm from the heel end.
    pub at: f64,
}

/// A piece as it is looked at.
pub struct Sight<'a> {
    bar: &'a Bar,
    blade: Option<&'a Blade>,
    relief: Option<&'a Relief>,
    view: View,
    /// How far the picture goes to the right and down, mm.
    pub size: [f64; 2],
    /// Where its upper left corner lies: thickness, width and length, mm, from the lowest, the edge and the heel.
    pub corner: [f64; 3],
}

/// A line of the picture from above to below.
pub enum Column<'a> {
    /// Of a plain bar: thickness, width and length at its upper end and at its lower end.
    Plain([f64; 3], [f64; 3], f64),
    /// Likewise, of a bar with hollows.
    Hollow([f64; 3], [f64; 3], &'a Sight<'a>),
    /// Of a face of a blade.
    Face(Box<Station>, &'a Sight<'a>),
    /// Of a section of a blade, so many mm from its edge.
    Section(Box<Station>, f64, &'a Sight<'a>),
}

impl<'a> Sight<'a> {
    /// Looks at a piece.
    ///
    /// # Errors
    /// Why it cannot be looked at so.
    pub fn new(makeup: &'a Makeup, bar: &'a Bar, view: View) -> Result<Sight<'a>, String> {
        let (blade, relief) = (makeup.blade(bar), makeup.relief(bar));
        let [t, w, l] = bar.sizes();
        let View { side, under, at } = view;
        let (size, corner) = match (side, blade) {
            (Side::Top, None) => ([l, w], [t - under, w, 0.0]),
            (Side::Bottom, None) => ([l, w], [under, 0.0, 0.0]),
            (Side::Edge, None) => ([l, t], [t, under, 0.0]),
            (Side::Back, None) => ([l, t], [0.0, w - under, 0.0]),
            (Side::End, None) => ([w, t], [t, 0.0, l - under]),
            (Side::Across, None) => ([w, t], [t, 0.0, at]),
            (Side::Top | Side::Bottom, Some(blade)) => {
                let (low, high) = heights(blade);
                let start = blade.start();
                let top = side == Side::Top;
                ([blade.tip() - start, high - low], [0.0, if top { high } else { low }, start])
            }
            (Side::Across, Some(blade)) => {
                let section = blade.section(at);
                ([section.width(), bar.thick], [bar.thick / 2.0, section.edge().y, at])
            }
            (Side::Edge | Side::Back | Side::End, Some(_)) => {
                return Err("a shaped blade is seen from `top`, from `bottom`, or `across`".to_owned());
            }
        };
        let (from, deep) = match side {
            Side::Top | Side::Bottom => ("face", t),
            Side::Edge | Side::Back => ("side", w),
            Side::End => ("end", l),
            Side::Across => ("cut", 0.0),
        };
        if side == Side::Across {
            let (start, tip) = blade.map_or((0.0, l), |b| (b.start(), b.tip()));
            if !(start..=tip).contains(&at) {
                return Err(format!(
                    "a cut at {at:.4} mm is not on the piece, which goes from {start:.4} to {tip:.4} mm"
                ));
            }
        } else if !(0.0..=deep).contains(&under) {
            return Err(format!(
                "{under:.4} mm under the {from} is not in the piece, which is {deep:.4} mm that way"
            ));
        }
        Ok(Sight { bar, blade, relief, view, size, corner })
    }

    /// Along which way the columns follow each other, and the rows.
    #[must_use]
    pub fn axes(&self) -> [&'static str; 2] {
        match self.view.side {
            Side::Top => ["+length", "-width"],
            Side::Bottom => ["+length", "+width"],
            Side::Edge => ["+length", "-thickness"],
            Side::Back => ["+length", "+thickness"],
            Side::End | Side::Across => ["+width", "-thickness"],
        }
    }

    /// The line down the picture at a place from its left, mm; `None` beside the piece.
    pub fn column(&'a self, x: f64) -> Option<Column<'a>> {
        let [wide, tall] = self.size;
        if !(0.0..=wide).contains(&x) {
            return None;
        }
        let [t, w, l] = self.bar.sizes();
        if let Some(blade) = self.blade {
            return Some(match self.view.side {
                Side::Across => Column::Section(Box::new(blade.section(self.view.at)), x, self),
                _ => Column::Face(Box::new(blade.section(self.corner[2] + x)), self),
            });
        }
        let under = self.view.under;
        let (upper, lower) = match self.view.side {
            Side::Top => ([1.0 - under / t, 1.0, x / l], [1.0 - under / t, 0.0, x / l]),
            Side::Bottom => ([under / t, 0.0, x / l], [under / t, 1.0, x / l]),
            Side::Edge => ([1.0, under / w, x / l], [0.0, under / w, x / l]),
            Side::Back => ([0.0, 1.0 - under / w, x / l], [1.0, 1.0 - under / w, x / l]),
            Side::End => ([1.0, x / w, 1.0 - under / l], [0.0, x / w, 1.0 - under / l]),
            Side::Across => ([1.0, x / w, self.view.at / l], [0.0, x / w, self.view.at / l]),
        };
        Some(match self.relief {
            Some(_) => Column::Hollow(upper, lower, self),
            None => Column::Plain(upper, lower, tall),
        })
    }

    /// Where a point of a bar with hollows is met: on a face at the floor of a hollow; `None` where nothing stands.
    fn met(&self, [through, across, along]: [f64; 3]) -> Option<[f64; 3]> {
        let Some(relief) = self.relief else { return Some([through, across, along]) };
        let [thick, wide, long] = relief.size;
        let [top, bottom] = relief.depths(along * long, across * wide).map(|deep| deep / thick);
        let through = match self.view.side {
            Side::Top => through.min(1.0 - top),
            Side::Bottom => through.max(bottom),
            _ => through,
        };
        (bottom <= through && through <= 1.0 - top).then_some([through, across, along])
    }

    fn off(&self) -> f64 {
        self.blade.map_or(0.0, |b| b.off)
    }
}

impl Column<'_> {
    /// The point of the makeup at a place from the picture's top, mm; `None` beside the piece.
    #[must_use]
    pub fn point(&self, y: f64) -> Option<[f64; 3]> {
        match self {
            Column::Plain([a, b, c], [p, q, r], tall) => {
                let s = y / tall;
                (0.0..=1.0).contains(&s).then(|| [a + (p - a) * s, b + (q - b) * s, c + (r - c) * s])
            }
            Column::Hollow([a, b, c], [p, q, r], sight) => {
                let s = y / sight.size[1];
                let point =
                    (0.0..=1.0).contains(&s).then(|| [a + (p - a) * s, b + (q - b) * s, c + (r - c) * s]);
                point.and_then(|point| sight.met(point))
            }
            Column::Face(station, sight) => {
                let [_, from, _] = sight.corner;
                let top = sight.view.side == Side::Top;
                let height = if top { from - y } else { from + y };
                if height < station.edge().y || height > station.spine().y {
                    return None;
                }
                let knot = station.at(height);
                let z = if top { knot.right - sight.view.under } else { sight.view.under - knot.left };
                (-knot.left <= z && z <= knot.right).then(|| {
                    [(0.5 + z / knot.full - sight.off()).clamp(0.0, 1.0), knot.across, station.along]
                })
            }
            Column::Section(station, x, sight) => {
                let knot = station.at(station.edge().y + x);
                let z = sight.corner[0] - y;
                (-knot.left <= z && z <= knot.right).then(|| {
                    [(0.5 + z / knot.full - sight.off()).clamp(0.0, 1.0), knot.across, station.along]
                })
            }
        }
    }
}

/// The lowest and the highest place of a blade's side, mm.
fn heights(blade: &Blade) -> (f64, f64) {
    blade.stations.iter().fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), s| {
        (low.min(s.edge().y), high.max(s.spine().y))
    })
}
