//! Reading a figure off a shaped blade, station by station.

use crate::piece::blade::{Blade, Met, Side, Station};
use crate::piece::{Bar, Makeup, PartName, bands_between};
use crate::quantity::Values;
use crate::source::{Code, Diagnostic};

use crate::spec::{Reading, Test, What, Zone};

/// Places looked at within a zone besides the blade's own stations.
const BETWEEN: u32 = 8;

impl Test {
    /// The fault of a width without a zone.
    #[must_use]
    pub fn no_zone(&self) -> Diagnostic {
        Code::ZoneMissing
            .says("a blade has no width at its point, so this can only be asked from somewhere to somewhere")
            .at(self.span, "no zone is named")
            .help("name it: `width >= 45 mm from heel to 30 mm from tip`, or `at heel`")
    }

    /// Whether it asks for a width where the blade comes to a point: at the point there is none.
    #[must_use]
    pub fn zone_missing(&self, bar: &Bar, makeup: &Makeup) -> bool {
        let pointed = |blade: &Blade| blade.stations.last().is_some_and(|s| s.width() < 1e-6);
        self.what == What::Width
            && matches!(self.zone, Zone::Everywhere)
            && makeup.blade(bar).is_some_and(pointed)
    }
}

/// The reading of a shaped blade, or of what only a blade has; `None` where a plain bar tells.
pub(super) fn read(
    test: &Test,
    [from, to]: [f64; 2],
    values: &Values,
    bar: &Bar,
    makeup: &Makeup,
) -> Option<Option<Reading>> {
    let of_blades = matches!(test.what, What::Spine | What::Edge | What::Balance | What::Tang | What::Shows);
    if bar.blade.is_none() && !of_blades && test.behind.is_none() {
        return None;
    }
    let blade = makeup.shape(bar);
    let met = |part: PartName| Met { makeup, node: bar.node, part };
    let over = |read: &dyn Fn(&Station) -> Option<(f64, f64)>| over(&blade, from, to, read);
    // Where the part is not met there is nothing of it.
    let over_part =
        |read: &dyn Fn(&Station) -> Option<(f64, f64)>| over(&|s| Some(read(s).unwrap_or((0.0, 0.0))));
    let one = |value: f64| Some((value, value));
    let reading = match (test.what, test.part) {
        (What::Balance, _) => Some(Reading::one(blade.balance())),
        (What::Tang, _) => Some(Reading::one(-blade.start().min(0.0))),
        (What::Shows, Some(part)) => over(&|station| {
            let sides =
                |from: &Station| [Side::Left, Side::Right].map(|side| met(part).shows(&blade, from, side));
            ends(station.from_edges().flat_map(|from| sides(&from)))
        }),
        (What::Spine | What::Thickness, Some(part)) => {
            over_part(&|station| met(part).through(&blade, station, &station.thickest()))
        }
        (What::Edge, Some(part)) => over_part(&|station| {
            let each = station.from_edges().map(|from| met(part).through(&blade, &from, &from.edge()));
            ends(each.flat_map(|told| told.map_or([0.0; 2], |(least, most)| [least, most])))
        }),
        (What::Width, Some(part)) => over_part(&|station| met(part).wide(&blade, station)),
        (What::Share, Some(part)) => Some(Reading::one(met(part).share(&blade))),
        (What::Volume, Some(part)) => Some(Reading::one(met(part).share(&blade) * bar.volume())),
        (What::Mass, Some(part)) => {
            let share = makeup.share_of(bar.node, part)?;
            let density = makeup.mass_of(bar.node, part, 1.0) / share;
            Some(Reading::one(met(part).share(&blade) * bar.volume() * density * bar.past.light))
        }
        (What::Thickness, None) => match test.behind {
            Some(by) => {
                let by = values.get(by);
                over(&|station| ends(station.from_edges().map(|from| from.at(from.edge().y + by).thick())))
            }
            None => over(&|station| one(station.thickness())),
        },
        (What::Spine, None) => over(&|station| one(station.thickest().thick())),
        (What::Edge, None) => over(&|station| ends(station.from_edges().map(|from| from.edge().thick()))),
        (What::Width, None) => over(&|station| one(station.width())),
        (What::Bands, None) => {
            let heel = blade.section(0.0);
            let knot = heel.thickest();
            let place = |z: f64| (0.5 + z / knot.full - blade.off).clamp(0.0, 1.0);
            let stretch = (place(-knot.left), place(knot.right));
            let bands = bands_between(makeup, bar.node, stretch, [knot.across, heel.along], knot.full);
            Some(Reading::one(bands as f64))
        }
        _ => return None,
    };
    Some(reading)
}

/// Least and most of several figures: of what a blade with two edges has twice.
fn ends(figures: impl Iterator<Item = f64>) -> Option<(f64, f64)> {
    figures.fold(None, |so_far, v| {
        let (least, most) = so_far.unwrap_or((v, v));
        Some((f64::min(least, v), f64::max(most, v)))
    })
}

/// Least and most of something over a stretch of the blade.
fn over(blade: &Blade, from: f64, to: f64, read: &dyn Fn(&Station) -> Option<(f64, f64)>) -> Option<Reading> {
    let own = blade.stations.iter().map(|s| s.x).filter(|x| *x > from && *x < to);
    let between = (0..=BETWEEN).map(|i| from + (to - from) * f64::from(i) / f64::from(BETWEEN));
    let places: Vec<f64> = if from < to { own.chain(between).collect() } else { vec![from] };
    let one = |so_far, x: f64| match read(&blade.section(x)) {
        Some(told) => Reading::and(so_far, (from < to).then_some(x), told),
        None => so_far,
    };
    places.into_iter().fold(None, one)
}
