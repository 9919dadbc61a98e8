//! Hardness of a piece: that of each layer that hardens, by its steel and the carbon that it has by then.

use crate::piece::{Bar, Makeup, PartName, SteelCarbon};
use crate::steel::laws::hardening::{Hrc, Untold, hardens, layer};

use crate::spec::{Reading, Steels};

/// Least and most hardness of the layers that harden, HRC, and how far the figures may be off.
///
/// # Errors
/// Why none can be told.
pub fn hardness(
    bar: &Bar,
    makeup: &Makeup,
    steels: &Steels,
    part: Option<PartName>,
) -> Result<(Reading, f64), Untold> {
    let hard = bar.past.hard.ok_or(Untold::Soft)?;
    let grade = |id: crate::piece::SteelId| steels.find(id);
    let start = |id| grade(id).map_or(0.0, |g| g.composition.c);
    let carbon = SteelCarbon::of(makeup, bar.node, &bar.past, &start, part);
    let (mut all, mut band): (Option<Reading>, f64) = (None, 0.0);
    for one in carbon {
        let Some(grade) = grade(one.steel) else { continue };
        if !hardens(&grade.composition.with_carbon(one.mean)) {
            continue;
        }
        for carbon in [one.least, one.mean, one.most] {
            let layer = layer(&grade.composition.with_carbon(carbon), hard.from_c, hard.temper_c, hard.hours);
            let Hrc { hrc, band: own } = layer?;
            band = band.max(own);
            all = Reading::and(all, (hrc, hrc));
        }
    }
    all.map(|reading| (reading, band)).ok_or(Untold::Never)
}
