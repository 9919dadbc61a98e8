//! Hardness of a piece: that of each layer that hardens, by its steel, the carbon that it has by then, the section and the quench.

use crate::piece::{Bar, Makeup, PartName, SteelCarbon, SteelId};
use crate::steel::laws::hardening::{Hrc, Quench, Untold, hardens, layer};
use crate::steel::laws::quench::Depth;

use crate::spec::{Reading, Spot, Steels};

/// Least and most hardness of the layers that harden, whole HRC: no law here knows tenths.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Told {
    /// HRC.
    pub hrc: Reading,
    /// How far it may be off, HRC.
    pub band: f64,
}

/// Hardness on the faces and inside.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Hardness {
    /// At the surface, under any skin that lost its carbon.
    pub surface: Told,
    /// In the middle; none where the formula fails a thickness that is hardened every day.
    pub middle: Option<Told>,
}

impl Hardness {
    /// Where a target asks for it; `None` in a middle that no formula reaches.
    #[must_use]
    pub fn at(&self, spot: Option<Spot>) -> Option<Told> {
        if spot == Some(Spot::Middle) { self.middle } else { Some(self.surface) }
    }
}

/// Why a hardness is not told, and of which steel.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct NotTold {
    /// Why.
    pub why: Untold,
    /// Of which steel, where it is one's.
    pub steel: Option<SteelId>,
    /// What it is straight from the quench, where only the temper has no law.
    pub quenched: Option<Hrc>,
}

/// Hardness of a bar, or of a part of it; of a blade between two places from the heel, mm, where a stretch is given, at
/// its spine or its edge where `spot` is one of those.
///
/// # Errors
/// Why none can be told.
pub fn hardness(
    bar: &Bar,
    makeup: &Makeup,
    steels: &Steels,
    part: Option<PartName>,
    stretch: Option<[f64; 2]>,
    spot: Option<Spot>,
) -> Result<Hardness, NotTold> {
    let none = |why| NotTold { why, steel: None, quenched: None };
    let hard = bar.past.hard.ok_or(none(Untold::Soft))?;
    let start = |id| steels.find(id).map_or(0.0, |g| g.composition.c);
    let carbon = SteelCarbon::of(makeup, bar.node, &bar.past, &start, part);
    let seen = seen(bar, makeup, hard.section, stretch, spot);
    let quenches: Vec<Quench> =
        seen.sections.iter().map(|section| Quench::new(hard.from_c, hard.medium, *section)).collect();
    let (mut surface, mut middle, mut unknown): (Option<Told>, Option<Told>, _) = (None, None, false);
    let and = |so_far: Option<Told>, Hrc { hrc, band }: Hrc| {
        let hrc = Reading::and(so_far.map(|t| t.hrc), None, (hrc.round(), hrc.round()))?;
        Some(Told { hrc, band: so_far.map_or(0.0, |t| t.band).max(band.ceil()) })
    };
    for one in carbon.iter().filter(|one| seen.steels.as_ref().is_none_or(|there| there.contains(&one.steel)))
    {
        let Some(grade) = steels.find(one.steel) else { continue };
        if !hardens(&grade.composition.with_carbon(one.mean)) {
            continue;
        }
        for quench in &quenches {
            for carbon in [one.least, one.mean, one.most] {
                let s = grade.composition.with_carbon(carbon);
                let at = |depth, temper| layer(&s, quench, depth, temper);
                let temper = (hard.temper_c, hard.hours);
                let untold = |why| NotTold {
                    why,
                    steel: Some(one.steel),
                    quenched: at(Depth::Surface, (0.0, 0.0)).ok().filter(|_| why == Untold::NoTemper),
                };
                surface = and(surface, at(Depth::Surface, temper).map_err(untold)?);
                match at(Depth::Middle, temper) {
                    Ok(inside) => middle = and(middle, inside),
                    Err(_) if spot == Some(Spot::Middle) => return Err(untold(Untold::Thin)),
                    Err(_) => unknown = true,
                }
            }
        }
    }
    let surface = surface.ok_or(none(Untold::Never))?;
    Ok(Hardness { surface, middle: middle.filter(|_| !unknown) })
}

/// What of a piece is looked at.
struct Seen {
    /// Of a blade the thinnest and the thickest section, thickness and width in mm.
    sections: Vec<[f64; 2]>,
    /// The steels that are there; all of them where no spot is named.
    steels: Option<Vec<SteelId>>,
}

/// Sections of a plain bar are as it was quenched, of a blade as it is now.
fn seen(
    bar: &Bar,
    makeup: &Makeup,
    quenched: [f64; 2],
    stretch: Option<[f64; 2]>,
    spot: Option<Spot>,
) -> Seen {
    let shaped = makeup.blade(bar);
    let mut steels = matches!(spot, Some(Spot::Spine | Spot::Edge)).then(Vec::new);
    if shaped.is_none() && steels.is_none() {
        return Seen { sections: vec![quenched], steels };
    }
    let blade = makeup.shape(bar);
    let [from, to] = stretch.unwrap_or([0.0, bar.long]);
    let own = blade.stations.iter().filter(|s| s.x > from && s.x < to).cloned();
    let (mut thin, mut thick) = ([f64::INFINITY; 2], [0.0; 2]);
    for station in own.chain([blade.section(from), blade.section(to)]) {
        let (edge, spine) = (station.edge(), station.spine());
        let knots = match spot {
            Some(Spot::Edge) => std::slice::from_ref(&edge),
            Some(Spot::Spine) => std::slice::from_ref(&spine),
            _ => &station.knots,
        };
        for knot in knots {
            // Whatever burnt or was ground away is not there to be hard.
            let size = [knot.thick().max(LEAST_MM), station.width().max(LEAST_MM)];
            let [thinnest, thickest] = [thin[0], thick[0]];
            if size[0] < thinnest {
                thin = size;
            }
            if size[0] > thickest {
                thick = size;
            }
            if let Some(there) = &mut steels {
                there.extend(blade.steels_at(makeup, bar.node, (&station, knot), LEAST_MM));
            }
        }
    }
    Seen { sections: if shaped.is_some() { vec![thin, thick] } else { vec![quenched] }, steels }
}

/// The least thickness that is looked at, mm: a point has none.
const LEAST_MM: f64 = 0.1;
