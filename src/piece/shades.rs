//! What a piece looks like at a point of its field: each steel by itself, and along plain layers as far as carbon has evened out between
//! them.
//!
//! Carbon goes from layer to layer inside one pile of plain layers, sealed at its faces: what it trades there with other parts of the piece,
//! and what a skin has lost, is left out. Where a pile was laid more than once, the time in the fire of the first of them counts.

use std::collections::BTreeMap;

use super::axis::Axis;
use super::field::{Field, Landing, Layers, place};
use super::ids::{NodeId, SteelId};
use super::makeup::{Form, Makeup};
use super::past::Past;
use crate::steel::laws::diffusion::even_out;

/// A cell at the face of a layer, in ways that carbon has come, how much wider each is than the one before it, and the most of them to the
/// middle (project figures).
const NEAR: f64 = 0.2;
const WIDER: f64 = 1.3;
const CELLS: f64 = 40.0;
/// Neighbouring cells of one layer whose tones are closer are one: a grey of 255 is coarser.
const ONE_TONE: f64 = 1e-3;
/// Layers of one pile that are told in parts (project figure).
const MOST: usize = 5_000;
/// Places closer than this are one: the sums tell them no longer apart.
const ONE_PLACE: f64 = 1e-9;

/// What a steel looks like, 0 to 1, by its number and its carbon, %.
pub type Tone<'a> = &'a dyn Fn(SteelId, f64) -> f64;

/// What all steps of a field look like.
pub struct Shades(Vec<Row>);

/// What one step looks like along its layers.
#[derive(Default)]
struct Row {
    ends: Vec<f64>,
    cells: Vec<Cell>,
}

/// A stretch of one tone.
struct Cell {
    steel: SteelId,
    tone: f64,
    start: f64,
    /// The tones of all before it, times their lengths.
    before: f64,
}

impl Row {
    fn new(parts: impl Iterator<Item = (f64, SteelId, f64)>) -> Row {
        let mut row = Row::default();
        let (mut start, mut before) = (0.0, 0.0);
        for (end, steel, tone) in parts {
            row.ends.push(end);
            row.cells.push(Cell { steel, tone, start, before });
            before += tone * (end - start);
            start = end;
        }
        row
    }

    #[inline]
    fn cell(&self, along: f64) -> &Cell {
        let at = place(&self.ends, along);
        self.cells.get(at).unwrap_or_else(|| bug!("cell {at} of {}", self.cells.len()))
    }
}

impl Shades {
    /// By the steel alone.
    #[must_use]
    pub fn plain(field: &Field, tone: impl Fn(SteelId) -> f64) -> Shades {
        Shades::laid(field, |_, steel| vec![(1.0, tone(steel))])
    }

    /// By the steel and its carbon, as it is after a past in the fire; `start` is what each steel held as stock, %.
    #[must_use]
    pub fn etched(
        field: &Field,
        (makeup, node): (&Makeup, NodeId),
        past: &Past,
        start: &dyn Fn(SteelId) -> f64,
        tone: Tone,
    ) -> Shades {
        let mut search = Search { makeup, start, known: BTreeMap::new() };
        search.node(node, past.spent);
        let by_step: BTreeMap<usize, Evened> =
            search.known.into_iter().filter_map(|(node, told)| Some((field.step_of(node)?, told?))).collect();
        let tones = |(step, layer): (usize, usize), steel: SteelId| {
            let told = by_step.get(&step).and_then(|told| told.get(layer));
            let mut made: Vec<(f64, f64)> = Vec::new();
            for (share, carbon) in told.into_iter().flatten() {
                let tone = tone(steel, *carbon);
                match made.last_mut() {
                    Some((end, last)) if (*last - tone).abs() < ONE_TONE => *end += share,
                    last => {
                        let from = last.map_or(0.0, |(end, _)| *end);
                        made.push((from + share, tone));
                    }
                }
            }
            if made.is_empty() { vec![(1.0, tone(steel, start(steel)))] } else { made }
        };
        Shades::laid(field, tones)
    }

    /// `tones` says for a layer of a step where each tone in it ends, 0 to 1, and which it is.
    fn laid(field: &Field, tones: impl Fn((usize, usize), SteelId) -> Vec<(f64, f64)>) -> Shades {
        let row = |(step, (ends, steels)): (usize, (&[f64], &[SteelId]))| {
            let starts = std::iter::once(&0.0).chain(ends);
            let layers = starts.zip(ends).zip(steels).enumerate();
            Row::new(layers.flat_map(|(layer, ((start, end), steel))| {
                let made = tones((step, layer), *steel);
                let last = made.len().saturating_sub(1);
                made.into_iter().enumerate().map(move |(i, (share, tone))| {
                    let within = if i == last { *end } else { start + (end - start) * share };
                    (within, *steel, tone)
                })
            }))
        };
        Shades(field.rows().enumerate().map(row).collect())
    }

    #[inline]
    fn row(&self, step: usize) -> &Row {
        self.0.get(step).unwrap_or_else(|| bug!("no shades of step {step}"))
    }

    /// The steel at a point that has landed, and what it looks like.
    #[inline]
    #[must_use]
    pub fn at(&self, field: &Field, landing: &Landing) -> (SteelId, f64) {
        let (step, along) = field.end_of(landing);
        let cell = self.row(step).cell(along);
        (cell.steel, cell.tone)
    }

    /// What layers look like between two places along them, in the mean.
    #[inline]
    #[must_use]
    pub fn mean(&self, layers: &Layers, from: f64, to: f64) -> f64 {
        let row = self.row(layers.step());
        let until = |along: f64| {
            let cell = row.cell(along);
            (cell.before + cell.tone * (along - cell.start), cell.tone)
        };
        let ((from_sum, tone), (to_sum, _)) = (until(from), until(to));
        if (to - from).abs() < ONE_PLACE { tone } else { (to_sum - from_sum) / (to - from) }
    }

    /// What all of these places along layers look like, if they lie in one stretch.
    #[inline]
    #[must_use]
    pub fn one(&self, layers: &Layers, places: [f64; 4]) -> Option<f64> {
        let row = self.row(layers.step());
        let [a, b, c, d] = places;
        let (low, high) = (a.min(b).min(c.min(d)), a.max(b).max(c.max(d)));
        let at = place(&row.ends, low);
        // It ends behind all of them.
        let one = at + 1 == row.ends.len() || row.ends.get(at).is_some_and(|end| *end >= high);
        row.cells.get(at).filter(|_| one).map(|cell| cell.tone)
    }
}

/// Of each layer of a pile its cells, as shares of the layer, with their carbon, %.
type Evened = Vec<Vec<(f64, f64)>>;

/// What carbon has come to in the layers of each node.
struct Search<'a> {
    makeup: &'a Makeup,
    start: &'a dyn Fn(SteelId) -> f64,
    known: BTreeMap<NodeId, Option<Evened>>,
}

impl Search<'_> {
    /// `spent` is how far carbon has come since the node was laid, along each of its axes, mm2 as it was laid.
    fn node(&mut self, id: NodeId, spent: [f64; 3]) {
        if self.known.contains_key(&id) {
            return;
        }
        self.known.insert(id, None);
        match self.makeup.node(id).form {
            Form::Solid(_) => {}
            Form::View(view) => self.node(view.child, Axis::each(|axis| view.outer(axis).of(spent))),
            Form::Warped(child, _) => self.node(child, spent),
            Form::Pile(pile) => {
                let parts = self.makeup.parts_of(pile);
                for part in parts {
                    let past = self.makeup.past(part.past);
                    // What was as long as 1 when the part was laid itself had grown to its stretch when it was laid here.
                    let grown = |axis: Axis| axis.of(spent) / axis.of(past.stretch).powi(2);
                    self.node(part.node, Axis::each(|axis| axis.of(past.spent) + grown(axis)));
                }
                let steel = |node: NodeId| match self.makeup.node(node).form {
                    Form::Solid(steel) => Some(steel),
                    _ => None,
                };
                let layers: Option<Vec<(f64, f64)>> =
                    parts.iter().map(|part| Some((part.laid, (self.start)(steel(part.node)?)))).collect();
                let told = layers.and_then(|layers| evened(&layers, pile.axis.of(spent)));
                self.known.insert(id, told);
            }
        }
    }
}

/// Layers of so many mm and so much carbon, %, after `spent` mm2: the cells of each, as shares of it, with their carbon. Nothing where
/// nothing has evened out.
fn evened(layers: &[(f64, f64)], spent: f64) -> Option<Evened> {
    let (_, first) = layers.first()?;
    if spent <= 0.0 || layers.len() > MOST || layers.iter().all(|(_, carbon)| carbon == first) {
        return None;
    }
    let near = NEAR * spent.sqrt();
    let shares = |(mm, _): &(f64, f64)| -> Vec<f64> {
        let many =
            ((1.0 + (WIDER - 1.0) * mm / 2.0 / near).ln() / WIDER.ln()).ceil().clamp(1.0, CELLS) as i32;
        let whole = 2.0 * (WIDER.powi(many) - 1.0) / (WIDER - 1.0);
        (0..many).chain((0..many).rev()).map(|i| WIDER.powi(i) / whole).collect()
    };
    let shares: Vec<Vec<f64>> = layers.iter().map(shares).collect();
    let cells = layers.iter().zip(&shares);
    let row: Vec<(f64, f64)> = cells
        .flat_map(|((mm, carbon), shares)| shares.iter().map(move |share| (mm * share, *carbon)))
        .collect();
    let mut after = even_out(&row, spent, false).into_iter();
    Some(shares.into_iter().map(|shares| shares.into_iter().zip(after.by_ref()).collect()).collect())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::piece::{Part, PartName, PastId};

    const LEAN: SteelId = SteelId(0);
    const RICH: SteelId = SteelId(1);

    fn start(steel: SteelId) -> f64 {
        if steel == RICH { 1.0 } else { 0.0 }
    }

    fn laid(makeup: &mut Makeup, layers: &[(SteelId, f64)]) -> NodeId {
        let all: f64 = layers.iter().map(|(_, mm)| mm).sum();
        let parts: Vec<Part> = layers
            .iter()
            .map(|(steel, mm)| {
                let node = makeup.solid(*steel, 0.00785);
                Part { fraction: mm / all, node, name: PartName(0), laid: *mm, past: PastId::NONE }
            })
            .collect();
        makeup.pile(Axis::Thickness, &parts).unwrap()
    }

    fn soaked(mm2: f64) -> Past {
        let mut past = Past::NONE;
        past.soak(mm2, [1.0; 3], [1.0; 3]);
        past
    }

    #[test]
    fn layers_between_two_places_look_as_their_shares_do() {
        // A quarter of one steel, a half of another, a quarter of the first.
        let mut makeup = Makeup::default();
        let node = laid(&mut makeup, &[(RICH, 1.0), (LEAN, 2.0), (RICH, 1.0)]);
        let field = Field::new(&makeup, node);
        let shades = Shades::plain(&field, start);
        let layers = field.layers(&field.land([0.5; 3], &mut Default::default())).unwrap();
        for (from, to, mean) in [
            (0.0, 1.0, 0.5),
            (1.0, 0.0, 0.5),
            (0.25, 0.75, 0.0),
            (0.5, 1.0, 0.5),
            (0.125, 0.625, 0.25),
            (0.1, 0.1, 1.0),
            (0.5, 0.5, 0.0),
            (0.9, 1.1, 1.0),
        ] {
            assert!((shades.mean(&layers, from, to) - mean).abs() < 1e-12, "{from} to {to}");
        }
        assert_eq!(shades.one(&layers, [0.3, 0.7, 0.5, 0.26]), Some(0.0));
        assert_eq!(shades.one(&layers, [0.8, 0.9, 1.0, 1.1]), Some(1.0));
        assert_eq!(shades.one(&layers, [0.8, 0.9, 0.7, 0.9]), None);
    }

    #[test]
    fn between_thick_layers_carbon_runs_as_two_half_spaces_have_it() {
        // c = erfc(x / (2 sqrt(D t))) / 2 on the lean side (Crank 1975, 2.14); 20 mm on either side are without end for 0.09 mm2.
        let mut makeup = Makeup::default();
        let node = laid(&mut makeup, &[(RICH, 20.0), (LEAN, 20.0)]);
        let field = Field::new(&makeup, node);
        let past = soaked(0.09);
        let shades = Shades::etched(&field, (&makeup, node), &past, &start, &|_, carbon| carbon);
        for mm in [-1.0, -0.5, -0.2, 0.2, 0.5, 1.0] {
            let landing = field.land([0.5 + mm / 40.0, 0.5, 0.5], &mut Default::default());
            let (_, got) = shades.at(&field, &landing);
            let want = statrs::function::erf::erfc(mm / 0.6) / 2.0;
            assert!((got - want).abs() < 0.06, "{mm} mm: {got} for {want}");
        }
        // Nothing is made or lost: half of it all holds 1 %.
        let layers = field.layers(&field.land([0.5; 3], &mut Default::default())).unwrap();
        assert!((shades.mean(&layers, 0.0, 1.0) - 0.5).abs() < 1e-3);
    }

    #[test]
    fn a_stack_in_a_stack_counts_its_own_time_and_that_since() {
        // Laid 2 mm thick each, drawn to half, laid again: 0.01 mm2 there are 0.04 mm2 as they were laid first.
        let told = |inner: f64, outer: f64| {
            let mut makeup = Makeup::default();
            let node = laid(&mut makeup, &[(RICH, 2.0), (LEAN, 2.0)]);
            let mut past = soaked(inner);
            past.soak(0.0, [1.0; 3], [0.5, 1.0, 2.0]);
            let past = makeup.remember(&past);
            let part = Part { fraction: 0.5, node, name: PartName(0), laid: 2.0, past };
            let whole = makeup.pile(Axis::Thickness, &[part, part]).unwrap();
            let field = Field::new(&makeup, whole);
            let shades = Shades::etched(&field, (&makeup, whole), &soaked(outer), &start, &|_, c| c);
            shades.at(&field, &field.land([0.2, 0.5, 0.5], &mut Default::default())).1
        };
        assert!((told(0.04, 0.0) - told(0.0, 0.01)).abs() < 1e-9);
        assert!(told(0.04, 0.0) < 1.0 - 1e-3 && told(0.0, 0.0) == 1.0);
    }
}
