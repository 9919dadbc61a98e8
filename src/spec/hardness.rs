//! Hardness of a piece: that of each layer that hardens, by its steel, the carbon that it has by then, the section and the quench.

use crate::piece::blade::Station;
use crate::piece::{Bar, Makeup, PartName, Region, SteelCarbon, SteelId};
use crate::quantity::trim_number;
use crate::steel::laws::hardening::{Hrc, LEAST_HRC, Quench, Untold, hardens, layer};
use crate::steel::laws::quench::Depth;
use crate::steel::laws::tempering::tempered_hrc;

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
    /// The carbon that this steel has there by then, %.
    pub carbon: f64,
    /// What it is straight from the quench, where only the temper has no law.
    pub quenched: Option<Hrc>,
    /// About what it came out at in the rows of a few such steels, HRC, where only the temper has no law.
    pub about: Option<[f64; 2]>,
}

/// Carbon of steels like 1045, 4140 and 5160, %, and how far their tempers lie under those of plain steel of [`PLAIN_CARBON`], HRC (rows of the open data set that the
/// fit of tempering was made from).
const POORER: std::ops::Range<f64> = 0.40..0.74;
const UNDER_PLAIN: [f64; 2] = [7.0, 4.0];
const PLAIN_CARBON: f64 = 0.8;

impl NotTold {
    /// Nobody hardened it.
    pub const SOFT: NotTold =
        NotTold { why: Untold::Soft, steel: None, carbon: 0.0, quenched: None, about: None };
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
    let none = |why| NotTold { why, ..NotTold::SOFT };
    let hard = bar.past.hard.ok_or(none(Untold::Soft))?;
    let start = |id| steels.find(id).map_or(0.0, |g| g.composition.c);
    let seen = seen(bar, makeup, hard.section, stretch, spot);
    let carbon = match &seen.parts {
        Some(parts) => SteelCarbon::within(makeup, bar.node, &bar.past, &start, (part, parts)),
        None => SteelCarbon::of(makeup, bar.node, &bar.past, &start, part),
    };
    let quenches: Vec<Quench> =
        seen.sections.iter().map(|section| Quench::new(hard.from_c, hard.medium, *section)).collect();
    let (mut surface, mut middle, mut unknown): (Option<Told>, Option<Told>, _) = (None, None, false);
    let and = |so_far: Option<Told>, Hrc { hrc, band }: Hrc| {
        let hrc = Reading::and(so_far.map(|t| t.hrc), None, (hrc.round(), hrc.round()))?;
        Some(Told { hrc, band: so_far.map_or(0.0, |t| t.band).max(band.ceil()) })
    };
    for one in &carbon {
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
                    carbon,
                    quenched: at(Depth::Surface, (0.0, 0.0)).ok().filter(|_| why == Untold::NoTemper),
                    about: Some(s.c)
                        .filter(|c| why == Untold::NoTemper && POORER.contains(c))
                        .and_then(|_| tempered_hrc(PLAIN_CARBON, hard.temper_c, hard.hours))
                        .map(|plain| UNDER_PLAIN.map(|under| plain - under)),
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

/// A band over which "give or take" says too little: the figure is a guess between two ends, HRC (project figure).
const WIDE_HRC: f64 = 8.0;
/// The hardest that carbon steel gets, HRC (65 at 0.69 % carbon and all martensite by ASTM A255, and 2 more; project figure).
const HARDEST_HRC: f64 = 67.0;

/// How far a hardness from `least` to `most` may be off, HRC, in words behind it.
#[must_use]
pub fn band_words(least: f64, most: f64, band: f64) -> String {
    let whole = |hrc: f64| trim_number(hrc, 0);
    if band <= WIDE_HRC {
        return format!("give or take {}", whole(band.ceil()));
    }
    let (low, high) = ((least - band).max(LEAST_HRC), (most + band).min(HARDEST_HRC));
    format!("by a law that hardly holds here: perhaps {} .. {}", whole(low.floor()), whole(high.ceil()))
}

/// What of a piece is looked at.
struct Seen {
    /// Of a blade the thinnest and the thickest section, thickness and width in mm.
    sections: Vec<[f64; 2]>,
    /// The parts of the makeup that lie there; all of it where no spot is named.
    parts: Option<Vec<Region>>,
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
    let mut parts = matches!(spot, Some(Spot::Spine | Spot::Edge)).then(Vec::new);
    if shaped.is_none() && parts.is_none() {
        return Seen { sections: vec![quenched], parts };
    }
    let blade = makeup.shape(bar);
    let [from, to] = stretch.unwrap_or([0.0, bar.long]);
    let own = blade.stations.iter().filter(|s| s.x > from && s.x < to).cloned();
    let sections: Vec<_> = own.chain([blade.section(from), blade.section(to)]).collect();
    // The edge is where a bevel runs down to it, if one does: a ricasso has none, and in the plunge it is on its way.
    let over = |s: &Station| s.edge().thick().max(FINE_MM) / s.thickest().thick().max(FINE_MM);
    let least = sections.iter().map(over).fold(f64::INFINITY, f64::min);
    let only = spot == Some(Spot::Edge) && least < BEVELLED;
    let (mut thin, mut thick) = ([f64::INFINITY; 2], [0.0; 2]);
    for station in sections.iter().filter(|s| !only || over(s) <= PLUNGING * least) {
        let (edges, spine) = ([station.edge(), station.spine()], station.thickest());
        let knots = match spot {
            // Of two edges both.
            Some(Spot::Edge) if station.two_edged() => &edges[..],
            Some(Spot::Edge) => &edges[..1],
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
            if let Some(there) = &mut parts {
                there.push(blade.part_at(station, knot, LEAST_MM));
            }
        }
    }
    Seen { sections: if shaped.is_some() { vec![thin, thick] } else { vec![quenched] }, parts }
}

/// An edge thinner than this share of the spine above it has a bevel; one over so many times the thinnest share lies in the plunge; edges
/// finer than so many mm count as alike (project figures).
const BEVELLED: f64 = 0.5;
const PLUNGING: f64 = 3.0;
const FINE_MM: f64 = 0.5;

/// The least thickness that is looked at, mm: a point has none.
const LEAST_MM: f64 = 0.1;
