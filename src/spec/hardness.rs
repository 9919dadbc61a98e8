//! Hardness of a piece: that of each layer that hardens, by its steel, the carbon that it has by then, the section and the quench.

use crate::piece::{Bar, Makeup, PartName, SteelCarbon, SteelId};
use crate::steel::laws::hardening::{Hrc, Quench, Untold, hardens, layer};
use crate::steel::laws::quench::Depth;

use crate::spec::{Reading, Steels};

/// Least and most hardness of the layers that harden, whole HRC: no law here knows tenths.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Hardness {
    /// At the surface, under any skin that lost its carbon.
    pub surface: Reading,
    /// How far the surface's figures may be off, HRC.
    pub band: f64,
    /// In the middle; none where the formula fails a thickness that is hardened every day.
    pub middle: Option<Reading>,
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

/// Hardness of a bar, or of a part of it; of a blade between two places from the heel, mm, where a stretch is given.
///
/// # Errors
/// Why none can be told.
pub fn hardness(
    bar: &Bar,
    makeup: &Makeup,
    steels: &Steels,
    part: Option<PartName>,
    stretch: Option<[f64; 2]>,
) -> Result<Hardness, NotTold> {
    let none = |why| NotTold { why, steel: None, quenched: None };
    let hard = bar.past.hard.ok_or(none(Untold::Soft))?;
    let start = |id| steels.find(id).map_or(0.0, |g| g.composition.c);
    let carbon = SteelCarbon::of(makeup, bar.node, &bar.past, &start, part);
    let sections = sections(bar, makeup, hard.section, stretch);
    let (mut surface, mut band, mut middle, mut unknown) = (None, 0.0f64, None, false);
    for one in carbon {
        let Some(grade) = steels.find(one.steel) else { continue };
        if !hardens(&grade.composition.with_carbon(one.mean)) {
            continue;
        }
        for section in &sections {
            let quench = Quench { from_c: hard.from_c, medium: hard.medium, section: *section };
            for carbon in [one.least, one.mean, one.most] {
                let s = grade.composition.with_carbon(carbon);
                let at = |depth, temper| layer(&s, &quench, depth, temper);
                let temper = (hard.temper_c, hard.hours);
                let untold = |why| NotTold {
                    why,
                    steel: Some(one.steel),
                    quenched: at(Depth::Surface, (0.0, 0.0)).ok().filter(|_| why == Untold::NoTemper),
                };
                let Hrc { hrc, band: own } = at(Depth::Surface, temper).map_err(untold)?;
                band = band.max(own);
                surface = Reading::and(surface, None, (hrc.round(), hrc.round()));
                match at(Depth::Middle, temper) {
                    Ok(inside) => {
                        middle = Reading::and(middle, None, (inside.hrc.round(), inside.hrc.round()))
                    }
                    Err(_) => unknown = true,
                }
            }
        }
    }
    let surface = surface.ok_or(none(Untold::Never))?;
    Ok(Hardness { surface, band: band.ceil(), middle: middle.filter(|_| !unknown) })
}

/// The thickest and the thinnest section, thickness and width in mm: of a plain bar as it was quenched, of a blade as it is now.
fn sections(bar: &Bar, makeup: &Makeup, quenched: [f64; 2], stretch: Option<[f64; 2]>) -> Vec<[f64; 2]> {
    let Some(blade) = makeup.blade(bar) else { return vec![quenched] };
    let [from, to] = stretch.unwrap_or([0.0, bar.long]);
    let own = blade.stations.iter().filter(|s| s.x > from && s.x < to).cloned();
    let (mut thin, mut thick) = ([f64::INFINITY; 2], [0.0; 2]);
    for station in own.chain([blade.section(from), blade.section(to)]) {
        for knot in &station.knots {
            // Whatever burnt or was ground away is not there to be hard.
            let size = [knot.thick().max(LEAST_MM), station.width().max(LEAST_MM)];
            let [thinnest, thickest] = [thin[0], thick[0]];
            if size[0] < thinnest {
                thin = size;
            }
            if size[0] > thickest {
                thick = size;
            }
        }
    }
    vec![thin, thick]
}

/// The least thickness that is looked at, mm: a point has none.
const LEAST_MM: f64 = 0.1;
