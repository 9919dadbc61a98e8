//! From where a piece is looked at: which point of its makeup lies at a place of the picture.

use super::ridge;
use crate::piece::blade::Station;
use crate::piece::{Bar, Blade, Makeup, Relief};

/// A side of a piece, or a cut through it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Side {
    /// The face that lies on top.
    Top,
    /// The face below, seen from below.
    Bottom,
    /// The edge, seen from there.
    Edge,
    /// The back, seen from there.
    Back,
    /// The tip end, seen from beyond it.
    End,
    /// A cut across, seen from the tip.
    Across,
    /// Both faces in one picture, the one on top above.
    Blade,
}

impl Side {
    /// All of them.
    pub const ALL: [Side; 7] =
        [Side::Top, Side::Bottom, Side::Edge, Side::Back, Side::End, Side::Across, Side::Blade];

    /// As one writes it, and how the piece then lies in the picture.
    #[must_use]
    pub fn told(self) -> (&'static str, &'static str) {
        match self {
            Side::Top => ("top", "The face that lies on top: heel left, back up"),
            Side::Bottom => ("bottom", "The face below: heel left, edge up"),
            Side::Edge => ("edge", "The edge: heel left, top up"),
            Side::Back => ("back", "The back: heel left, top down"),
            Side::End => ("end", "The tip end: edge left, top up"),
            Side::Across => ("across", "A cut across, seen from the tip: edge left, top up"),
            Side::Blade => {
                ("blade", "Both faces, as `top` and `bottom` show them, with outline and bevel lines")
            }
        }
    }
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

/// Room between both faces of a blade, as a share of how far one goes down the picture (project figure).
const BETWEEN: f64 = 0.125;

/// A piece as it is looked at.
pub struct Sight<'a> {
    bar: &'a Bar,
    blade: Option<&'a Blade>,
    relief: Option<&'a Relief>,
    view: View,
    /// Where both faces are shown: the one on top, and the one below.
    both: Option<Box<[Sight<'a>; 2]>>,
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
    /// One below the other, and where the lower one begins.
    Both(Box<[Column<'a>; 2]>, f64),
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
        if side == Side::Blade {
            let [top, bottom] =
                [Side::Top, Side::Bottom].map(|side| Sight::new(makeup, bar, View { side, ..view }));
            let (top, bottom) = (top?, bottom?);
            let ([long, tall], corner) = (top.size, top.corner);
            let size = [long, tall * (2.0 + BETWEEN)];
            return Ok(Sight { bar, blade, relief, view, both: Some(Box::new([top, bottom])), size, corner });
        }
        let (size, corner) = match (side, blade) {
            (Side::Top, None) => ([l, w], [t - under, w, 0.0]),
            (Side::Bottom, None) => ([l, w], [under, 0.0, 0.0]),
            (Side::Edge, None) => ([l, t], [t, under, 0.0]),
            (Side::Back, None) => ([l, t], [0.0, w - under, 0.0]),
            (Side::End, None) => ([w, t], [t, 0.0, l - under]),
            (Side::Across, None) => ([w, t], [t, 0.0, at]),
            (Side::Top | Side::Bottom, Some(blade)) => {
                let (low, high) = blade.heights();
                let start = blade.start();
                let top = side == Side::Top;
                ([blade.tip() - start, high - low], [0.0, if top { high } else { low }, start])
            }
            (Side::Across, Some(blade)) => {
                let section = blade.section(at);
                ([section.width(), bar.thick], [bar.thick / 2.0, section.edge().y, at])
            }
            (Side::Blade, _) => bug!("a face that is both"),
            (Side::Edge | Side::Back | Side::End, Some(_)) => {
                return Err(
                    "a shaped blade is seen from `top`, from `bottom`, `across`, or as `blade`".to_owned()
                );
            }
        };
        let (from, deep) = match side {
            Side::Top | Side::Bottom | Side::Blade => ("face", t),
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
        Ok(Sight { bar, blade, relief, view, both: None, size, corner })
    }

    /// Along which way the columns follow each other, and the rows.
    #[must_use]
    pub fn axes(&self) -> [&'static str; 2] {
        match self.view.side {
            Side::Top | Side::Blade => ["+length", "-width"],
            Side::Bottom => ["+length", "+width"],
            Side::Edge => ["+length", "-thickness"],
            Side::Back => ["+length", "+thickness"],
            Side::End | Side::Across => ["+width", "-thickness"],
        }
    }

    /// Whether outline and bevel lines are drawn.
    #[must_use]
    pub fn lined(&self) -> bool {
        self.both.is_some()
    }

    /// What the size of dots goes by, mm: how far it goes to the right, or a quarter of how far down, so that a picture has no more
    /// dots than four times its width squared.
    #[must_use]
    pub fn extent(&self) -> f64 {
        let [wide, tall] = self.size;
        wide.max(tall / 4.0)
    }

    /// How large what is looked at is, mm: of both faces one.
    #[must_use]
    pub fn shown(&self) -> [f64; 2] {
        self.both.as_ref().map_or(self.size, |both| {
            let [top, _] = &**both;
            top.size
        })
    }

    /// The line down the picture at a place from its left, mm; `None` beside the piece.
    pub fn column(&'a self, x: f64) -> Option<Column<'a>> {
        if let Some(both) = &self.both {
            let [top, bottom] = &**both;
            return Some(Column::Both(
                Box::new([top.column(x)?, bottom.column(x)?]),
                top.size[1] * (1.0 + BETWEEN),
            ));
        }
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
            Side::Blade => bug!("a face that is both"),
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

    /// The height of a blade that lies at a place from the picture's top, mm, and whether its face on top is seen.
    fn height(&self, y: f64) -> (f64, bool) {
        let [_, from, _] = self.corner;
        let top = self.view.side == Side::Top;
        (if top { from - y } else { from + y }, top)
    }

    /// Where lines run along the faces of a blade at a place from the picture's left, mm from its top.
    #[must_use]
    pub fn ridges(&self, x: f64) -> Vec<f64> {
        if let Some(both) = &self.both {
            let [top, bottom] = &**both;
            let lower = top.size[1] * (1.0 + BETWEEN);
            let below = bottom.ridges(x).into_iter().map(|y| y + lower);
            return top.ridges(x).into_iter().chain(below).collect();
        }
        let Some(blade) = self.blade else { return Vec::new() };
        let ([_, from, start], top) = (self.corner, self.view.side == Side::Top);
        let down = |height: f64| if top { from - height } else { height - from };
        ridge::ridges(blade, start + x, top).into_iter().map(down).collect()
    }

    /// Whether a blade changes its section between two places from the picture's left faster than a dot could show: two of its stations
    /// stand there.
    #[must_use]
    pub fn steps(&self, from: f64, to: f64) -> bool {
        let between = |x: f64| from < x && x <= to;
        self.blade
            .is_some_and(|blade| blade.stations.iter().filter(|s| between(s.x - self.corner[2])).count() > 1)
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
            Column::Both(both, lower) => {
                let [top, bottom] = &**both;
                if y < *lower { top.point(y) } else { bottom.point(y - lower) }
            }
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
                let (height, top) = sight.height(y);
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

impl Column<'_> {
    /// How the face slopes across the piece at a place from the picture's top, mm a mm; `None` beside the piece.
    #[must_use]
    pub fn slope(&self, y: f64) -> Option<f64> {
        match self {
            Column::Both(both, lower) => {
                let [top, bottom] = &**both;
                if y < *lower { top.slope(y) } else { bottom.slope(y - lower) }
            }
            Column::Face(station, sight) => {
                self.point(y)?;
                let (height, top) = sight.height(y);
                let mut pairs = station.knots.iter().zip(station.knots.iter().skip(1));
                let (a, b) = pairs.find(|(_, b)| b.y >= height)?;
                Some(ridge::slope(a, b, top))
            }
            plain => plain.point(y).map(|_| 0.0),
        }
    }
}
