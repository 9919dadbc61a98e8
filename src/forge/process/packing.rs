//! Where bars lie beside one another in a can or a bundle, and what becomes of them once their voids are closed.

use crate::piece::{Axis, Bar, NodeId, PartName, Section};
use crate::source::Span;

use crate::forge::process::bars::pile;
use crate::forge::{Cx, Outcome, Sink};

/// Sizes that differ by no more than this share are one.
const ALIKE: f64 = 1e-9;

/// A row of bars across a section, whose middle is at nothing: mm.
#[derive(Clone, Debug, PartialEq)]
pub struct Row {
    /// How high its middle lies.
    pub middle: f64,
    /// How tall its tallest bar is.
    pub tall: f64,
    /// The middles of its bars, from left to right, and how wide each is, as a calliper reads them.
    pub bars: Vec<(f64, f64)>,
}

/// Why bars do not lie in a can, by what was tried.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Crowded {
    /// This one is larger than the inside.
    Large(usize),
    /// So many rounds alike go in, each resting between two below it or right above one.
    Rounds(usize),
    /// Row by row in their order they come to this height, mm.
    Rows(f64),
}

/// Rods on a side of the hexagon that so many make: 7, 19, 37 and so on, the centred hexagonal numbers `3 n (n - 1) + 1`.
#[must_use]
pub fn hexagon_of(many: usize) -> Option<usize> {
    (2..=many).take_while(|side| centred(*side) <= many).find(|side| centred(*side) == many)
}

fn centred(side: usize) -> usize {
    3 * side * (side - 1) + 1
}

/// A hexagon of rounds of a diameter, mm: rows of one more each, and then of one less, half of sqrt 3 of a diameter above each other.
#[must_use]
pub fn hexagon(side: usize, across: f64) -> Vec<Row> {
    let counts = (side..2 * side).chain((side..2 * side - 1).rev());
    let row = |(i, n): (usize, usize)| {
        let up = i as f64 - (side as f64 - 1.0);
        let bars = (0..n).map(|j| ((j as f64 - (n as f64 - 1.0) / 2.0) * across, across)).collect();
        Row { middle: up * across * nest(), tall: across, bars }
    };
    counts.enumerate().map(row).collect()
}

/// The height of a row of rounds above the one that it rests in, as a share of their diameter.
fn nest() -> f64 {
    3f64.sqrt() / 2.0
}

/// The box that rows fill: height and width, mm.
#[must_use]
pub fn outline(rows: &[Row]) -> [f64; 2] {
    let reach = |of: &dyn Fn(&Row) -> f64| rows.iter().map(of).fold(0.0, f64::max);
    let tall = reach(&|row| row.middle + row.tall / 2.0) + reach(&|row| row.tall / 2.0 - row.middle);
    let right = |row: &Row| row.bars.last().map_or(0.0, |(x, wide)| x + wide / 2.0);
    let left = |row: &Row| row.bars.first().map_or(0.0, |(x, wide)| wide / 2.0 - x);
    [tall, reach(&right) + reach(&left)]
}

/// Bars in a box of this height and width, mm, in its middle: rounds alike as a hexagon where that many make one and it goes in, else
/// each between two of the row below, else right above one; others row by row in their order.
///
/// # Errors
/// Where they do not lie in it so.
pub fn pack(bars: &[Bar], inside: [f64; 2]) -> Result<Vec<Row>, Crowded> {
    let [high, broad] = inside.map(|mm| mm * (1.0 + ALIKE));
    let sizes: Vec<[f64; 2]> = bars.iter().map(|bar| [bar.calliper_thick(), bar.calliper_wide()]).collect();
    if let Some(large) = sizes.iter().position(|[tall, wide]| *tall > high || *wide > broad) {
        return Err(Crowded::Large(large));
    }
    let Some([across, _]) = sizes.first().copied() else { return Ok(Vec::new()) };
    let alike =
        |bar: &Bar| bar.section == Section::Round && (bar.calliper_thick() - across).abs() <= ALIKE * across;
    if bars.iter().all(alike) {
        return rounds(bars.len(), across, [high, broad]);
    }
    let (mut rows, mut left) = (Vec::new(), sizes.as_slice());
    while !left.is_empty() {
        let (mut wide, mut many) = (0.0, 0);
        for [_, own] in left {
            if wide + own > broad {
                break;
            }
            wide += own;
            many += 1;
        }
        let (row, rest) = left.split_at(many);
        let mut x = -wide / 2.0;
        let mut lay = |[_, own]: &[f64; 2]| {
            x += own;
            (x - own / 2.0, *own)
        };
        let tall = row.iter().map(|[tall, _]| *tall).fold(0.0, f64::max);
        rows.push(Row { middle: 0.0, tall, bars: row.iter().map(&mut lay).collect() });
        left = rest;
    }
    let tall: f64 = rows.iter().map(|row| row.tall).sum();
    if tall > high {
        return Err(Crowded::Rows(tall));
    }
    let mut low = -tall / 2.0;
    for row in &mut rows {
        row.middle = low + row.tall / 2.0;
        low += row.tall;
    }
    Ok(rows)
}

/// Rounds alike, of a diameter.
fn rounds(many: usize, across: f64, [high, broad]: [f64; 2]) -> Result<Vec<Row>, Crowded> {
    if let Some(rows) = hexagon_of(many).map(|side| hexagon(side, across)) {
        let [tall, wide] = outline(&rows);
        if tall <= high && wide <= broad {
            return Ok(rows);
        }
    }
    let most = (broad / across) as usize;
    // Moved by half a rod, a row holds as many, or one less.
    let beside = if (most as f64 + 0.5) * across <= broad { most } else { most - 1 };
    let nested = [most, beside];
    let up = |step: f64| ((high - across) / (step * across) + 1.0) as usize;
    let held = |rows: usize, [even, odd]: [usize; 2]| rows.div_ceil(2) * even + rows / 2 * odd;
    let ways = [(nested, nest()), ([most; 2], 1.0)];
    // Where only one lies in a row, nothing lies between two.
    let ways = ways.into_iter().filter(|([_, beside], _)| *beside > 0);
    let holds = |(counts, step): ([usize; 2], f64)| held(up(step), counts);
    let Some((counts, step)) = ways.clone().find(|way| holds(*way) >= many) else {
        return Err(Crowded::Rounds(ways.map(holds).max().unwrap_or(0)));
    };
    let moved = step < 1.0;
    let mut rows = Vec::new();
    let mut left = many;
    while left > 0 {
        let odd = rows.len() % 2;
        let Some(most_here) = counts.get(odd).copied() else { bug!("row {odd} of two") };
        let here = left.min(most_here);
        // A short row lies in the middle of its places.
        let first = (most_here - here) / 2;
        let lattice = if moved && odd == 1 { 0.5 } else { 0.0 };
        let x = |j: usize| (lattice + (first + j) as f64 + 0.5) * across;
        let bars = (0..here).map(|j| (x(j), across)).collect();
        rows.push(Row { middle: rows.len() as f64 * step * across, tall: across, bars });
        left -= here;
    }
    let half_tall = rows.last().map_or(0.0, |row| row.middle) / 2.0;
    let ends = |pick: fn(f64, f64) -> f64| {
        rows.iter().flat_map(|row| &row.bars).map(|(x, _)| *x).reduce(pick).unwrap_or(0.0)
    };
    let half_wide = f64::midpoint(ends(f64::min), ends(f64::max));
    for row in &mut rows {
        row.middle -= half_tall;
        row.bars.iter_mut().for_each(|(x, _)| *x -= half_wide);
    }
    Ok(rows)
}

/// What lies between bars.
#[derive(Clone, Copy, Debug)]
pub struct Between {
    /// Its makeup.
    pub node: NodeId,
    /// The name it goes in under.
    pub part: PartName,
    /// How much of the room it fills, 0 to 1.
    pub packed: f64,
}

/// Bars that lie in rows, with what lies between them.
#[derive(Clone, Copy, Debug)]
pub struct Packing<'a> {
    /// The bars, row by row.
    pub bars: &'a [(Bar, PartName)],
    /// Their rows.
    pub rows: &'a [Row],
    /// Height and width that they lie in, mm.
    pub inside: [f64; 2],
    /// What lies between them; nothing where that is void.
    pub between: Option<Between>,
    /// The name that goes by all of it.
    pub whole: PartName,
    /// How long it is, mm.
    pub long: f64,
}

/// A piece of a band, from its lower side to its upper: metal between bars, mm2; a bar; and such metal again.
struct Column {
    below: f64,
    bar: Option<(Bar, PartName)>,
    above: f64,
}

impl Column {
    fn area(&self) -> f64 {
        self.below + self.above + self.bar.map_or(0.0, |(bar, _)| bar.thick * bar.wide)
    }
}

impl Packing<'_> {
    /// Metal in the section, mm2.
    #[must_use]
    pub fn metal(&self) -> f64 {
        self.bands().iter().flatten().map(Column::area).sum()
    }

    /// It with its voids closed, to a thickness and a width, mm: band by band, in each column by column, in each from below to above,
    /// each takes the share of the size that it has of the metal there (the rearrangement of Knothe and Rosenblatt, as behind hollows).
    ///
    /// # Errors
    /// More layers or stacks than can be counted.
    pub fn close<S: Sink>(&self, cx: &mut Cx<S>, [thick, wide]: [f64; 2], site: Span) -> Outcome<Bar> {
        let bands = self.bands();
        let metal = self.metal();
        let mut laid: Vec<(Bar, PartName)> = Vec::new();
        for band in &bands {
            let here: f64 = band.iter().map(Column::area).sum();
            let tall = thick * here / metal;
            let mut row: Vec<(Bar, PartName)> = Vec::new();
            for column in band {
                let own = column.area();
                let across = wide * own / here;
                let between = |area: f64| {
                    let between = self.between.filter(|_| area > 0.0)?;
                    let sizes = [tall * area / own, across, self.long];
                    Some((Bar::plain(sizes, Section::Flat, between.node), between.part))
                };
                let bar = column.bar.map(|(bar, part)| {
                    let thick = tall * (bar.thick * bar.wide) / own;
                    (Bar { thick, wide: across, section: Section::Flat, ..bar }, part)
                });
                let parts: Vec<_> =
                    [between(column.below), bar, between(column.above)].into_iter().flatten().collect();
                row.push(self.laid(cx, Axis::Thickness, &parts, site)?);
            }
            laid.push(self.laid(cx, Axis::Width, &row, site)?);
        }
        Ok(self.laid(cx, Axis::Thickness, &laid, site)?.0)
    }

    /// Parts on each other along an axis; one alone is what it is.
    fn laid<S: Sink>(
        &self,
        cx: &mut Cx<S>,
        axis: Axis,
        parts: &[(Bar, PartName)],
        site: Span,
    ) -> Outcome<(Bar, PartName)> {
        if let [one] = parts {
            return Ok(*one);
        }
        Ok((pile(cx, axis, parts.iter().map(|(bar, part)| (bar, *part)), site)?, self.whole))
    }

    /// Its bands across the section, lowest first.
    fn bands(&self) -> Vec<Vec<Column>> {
        let [high, broad] = self.inside;
        let packed = self.between.map_or(0.0, |between| between.packed);
        // What is thinner than rounding leaves is none.
        let room = |tall: f64, wide: f64| {
            let none = tall <= ALIKE * high || wide <= ALIKE * broad;
            if none { 0.0 } else { tall * wide * packed }
        };
        let alone = |area: f64| (area > 0.0).then_some(Column { below: area, bar: None, above: 0.0 });
        let mut bands: Vec<Vec<Column>> = Vec::new();
        let (mut low, mut bars) = (-high / 2.0, self.bars.iter());
        for (k, row) in self.rows.iter().enumerate() {
            let [bottom, top] = [-0.5, 0.5].map(|half| row.middle + half * row.tall);
            if k == 0 {
                bands.extend(alone(room(bottom - low, broad)).map(|column| vec![column]));
                low = bottom;
            }
            // Rows that reach into each other are parted half-way.
            let up =
                self.rows.get(k + 1).map_or(top, |next| f64::midpoint(top, next.middle - next.tall / 2.0));
            let (mut band, mut left) = (Vec::new(), -broad / 2.0);
            for ((x, _), (bar, part)) in row.bars.iter().zip(bars.by_ref()) {
                // A round lies there as the square of equal area, no taller than its band.
                let half = (bar.thick / 2.0).min(row.middle - low).min(up - row.middle);
                let wide = bar.thick * bar.wide / (2.0 * half);
                band.extend(alone(room(up - low, x - wide / 2.0 - left)));
                let (below, above) = (row.middle - half - low, up - row.middle - half);
                band.push(Column {
                    below: room(below, wide),
                    bar: Some((*bar, *part)),
                    above: room(above, wide),
                });
                left = x + wide / 2.0;
            }
            band.extend(alone(room(up - low, broad / 2.0 - left)));
            bands.push(band);
            low = up;
        }
        bands.extend(alone(room(high / 2.0 - low, broad)).map(|column| vec![column]));
        bands
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::piece::{Makeup, SteelId};

    fn rods(many: usize, across: f64) -> Vec<Bar> {
        let side = across * Section::Round.side_per_size();
        let node = Makeup::default().solid(SteelId(0), 7.85e-3);
        vec![Bar::plain([side, side, 100.0], Section::Round, node); many]
    }

    fn middles(rows: &[Row]) -> Vec<[f64; 2]> {
        rows.iter().flat_map(|row| row.bars.iter().map(|(x, _)| [*x, row.middle])).collect()
    }

    /// Centred hexagonal numbers (OEIS A003215), and no other count makes a hexagon.
    #[test]
    fn hexagons_are_of_centred_hexagonal_numbers() {
        let made: Vec<usize> = (0..=130).filter(|many| hexagon_of(*many).is_some()).collect();
        assert_eq!(made, [7, 19, 37, 61, 91, 127]);
    }

    /// Plane geometry of the triangular lattice: no two rods nearer than a diameter, each inside has six at just that distance, the
    /// hexagon's corners three and its sides four. The hexagon through the middles of the outer rods holds whole rods, halves on its sides and
    /// thirds at its corners: they fill pi / sqrt 12 of it (Lagrange 1773: the densest lattice of discs).
    #[test]
    fn rods_of_a_hexagon_touch_their_neighbours() {
        for side in 2..=6 {
            let at = middles(&hexagon(side, 8.0));
            assert_eq!(at.len(), 3 * side * (side - 1) + 1);
            let mut touching = vec![0; at.len()];
            for (i, a) in at.iter().enumerate() {
                for (j, b) in at.iter().enumerate().filter(|(j, _)| *j != i) {
                    let apart = (a[0] - b[0]).hypot(a[1] - b[1]);
                    assert!(apart > 8.0 - 1e-9, "{i} {j}: {apart}");
                    touching[i] += usize::from(apart < 8.0 + 1e-9);
                }
            }
            let of = |n: usize| touching.iter().filter(|t| **t == n).count();
            let inside = 3 * (side - 1) * (side - 2) + 1;
            assert_eq!([of(3), of(4), of(6)], [6, 6 * (side - 2), inside], "{side}");
            let [tall, wide] = outline(&hexagon(side, 8.0));
            let (rods, a) = (inside as f64 + of(4) as f64 / 2.0 + of(3) as f64 / 3.0, (wide - 8.0) / 2.0);
            assert!((tall - 8.0 - 3f64.sqrt() * a).abs() < 1e-9);
            let filled = rods * std::f64::consts::PI * 16.0 / (1.5 * 3f64.sqrt() * a * a);
            assert!((filled - std::f64::consts::PI / 12f64.sqrt()).abs() < 1e-12, "{filled}");
        }
    }

    /// A box of 4 by 4 rods holds 16 right above each other and 14 nested (rows of 4 and 3 by turns), one of 4.5 by 4 holds five such rows,
    /// and one of 4.5 by 4.5 five rows of 4: counted by hand.
    #[test]
    fn rods_are_nested_where_that_holds_more() {
        let held =
            |inside: [f64; 2]| (1..60).take_while(|many| pack(&rods(*many, 1.0), inside).is_ok()).last();
        assert_eq!(held([4.0, 4.0]), Some(16));
        assert_eq!(held([4.5, 4.0]), Some(18));
        assert_eq!(held([4.5, 4.5]), Some(20));
        assert_eq!(pack(&rods(21, 1.0), [4.5, 4.5]), Err(Crowded::Rounds(20)));
        assert_eq!(held([1.0, 3.0]), Some(3));
        assert_eq!(held([3.0, 1.0]), Some(3));
        for (many, inside) in [(16, [4.0, 4.0]), (20, [4.5, 4.5]), (18, [4.5, 4.0]), (7, [9.0, 9.0])] {
            let at = middles(&pack(&rods(many, 1.0), inside).unwrap());
            assert_eq!(at.len(), many);
            for (i, a) in at.iter().enumerate() {
                assert!(
                    a[0].abs() + 0.5 < inside[1] / 2.0 + 1e-6 && a[1].abs() + 0.5 < inside[0] / 2.0 + 1e-6,
                    "{a:?}"
                );
                let near = |b: &[f64; 2]| (a[0] - b[0]).hypot(a[1] - b[1]);
                assert!(at.iter().enumerate().all(|(j, b)| i == j || near(b) > 1.0 - 1e-9), "{many} {a:?}");
            }
        }
    }
}
