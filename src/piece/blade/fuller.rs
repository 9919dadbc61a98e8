//! A fuller: a round groove along a blade, ground or forged.

use super::bevel::Sides;
use super::curve::arc;
use super::outline::Run;
use super::station::{Knots, Limit, Station};
use crate::quantity::root;

/// A fuller.
#[derive(Clone, Copy, Debug)]
pub struct Fuller {
    /// From lip to lip, mm.
    pub across: f64,
    /// How deep below the line from lip to lip, mm.
    pub deep: f64,
    /// How far its middle lies below the spine, mm; along the middle of the flat where it is not said.
    pub below: Option<f64>,
    /// In which faces.
    pub sides: Sides,
}

impl Fuller {
    /// The heights of its lips in a section, mm.
    #[must_use]
    pub fn lips(&self, station: &Station) -> [f64; 2] {
        let middle = match self.below {
            Some(by) => station.spine().y - by,
            None => station.middle_of_flat(),
        };
        [middle - self.across / 2.0, middle + self.across / 2.0]
    }

    /// Whether a section has room for it.
    #[must_use]
    pub fn fits(&self, station: &Station) -> bool {
        let [low, high] = self.lips(station);
        low >= station.edge().y - 1e-9
            && high <= station.spine().y + 1e-9
            && self.limits(station).iter().all(Option::is_some)
    }

    /// What both faces are ground down to; `None` where a face falls away too steeply.
    fn limits(&self, station: &Station) -> [Option<Limit>; 2] {
        let [low, high] = self.lips(station).map(|y| (y, station.at(y)));
        let floor = |ends| arc(ends, -self.deep).map(Iterator::collect);
        let left = || floor([low, high].map(|(y, knot)| (y, knot.left)));
        let right = || floor([low, high].map(|(y, knot)| (y, knot.right)));
        match self.sides {
            Sides::Both => [left(), right()],
            Sides::Left => [left(), Some(Limit::new())],
            Sides::Right => [Some(Limit::new()), right()],
        }
    }

    /// A section with it ground in.
    #[must_use]
    pub fn ground(&self, station: &Station) -> Station {
        // Where it finds no room nothing is ground; who asks for it there was told.
        let knots = match self.limits(station) {
            [Some(left), Some(right)] => station.clipped(&[left, right]),
            _ => station.knots.clone(),
        };
        Station { knots, ..station.clone() }
    }

    /// What is left between both faces where it is thinnest, mm.
    #[must_use]
    pub fn web(&self, station: &Station) -> f64 {
        let [low, high] = self.lips(station);
        let ground = self.ground(station);
        let inside = ground.knots.iter().filter(|k| k.y >= low - 1e-9 && k.y <= high + 1e-9);
        inside.map(super::Knot::thick).fold(f64::INFINITY, f64::min)
    }

    /// A section with it pressed in from both sides, `share` of its depth: the steel under it makes the section wider, less what goes into length.
    /// The spine stays where it is.
    pub(super) fn forged(&self, old: &Station, share: f64, elongation: f64) -> Knots {
        let target = old.area() / (1.0 + elongation);
        let [_, high] = self.lips(old);
        let high = high.min(old.spine().y);
        let room = self.across.min(high - old.edge().y);
        let Some(floor) = arc([(0.0, 0.0), (self.across, 0.0)], self.deep * share) else {
            return old.knots.clone();
        };
        if share <= 0.0 || room <= 0.0 {
            return old.knots.clone();
        }
        let floor = Run(floor.collect());
        // A strip of the old section, so many mm tall below its upper lip, becomes as tall as the fuller is wide.
        let with = |took: f64| -> Knots {
            let strip = |y: f64| (y - (high - took)) / took;
            let inside = |y: f64| y > high - took + 1e-10 && y < high - 1e-10;
            let own = old.knots.iter().map(|k| k.y).filter(|y| inside(*y)).map(strip);
            let mut shares: Vec<f64> = floor.0.iter().map(|(x, _)| x / self.across).chain(own).collect();
            shares.sort_by(f64::total_cmp);
            shares.dedup_by(|a, b| (*a - *b).abs() < 1e-12);
            let pressed = shares.iter().map(|s| {
                let knot = old.at(high - took + took * s);
                let by = 1.0 - 2.0 * floor.at(s * self.across) / knot.thick();
                knot.thinned(by, high - self.across + self.across * s)
            });
            let lower = self.across - took;
            let under = old.knots.iter().filter(|k| k.y <= high - took - 1e-10);
            let under = under.map(|k| super::Knot { y: k.y - lower, ..*k });
            under.chain(pressed).chain(old.knots.iter().filter(|k| k.y >= high + 1e-10).copied()).collect()
        };
        let area = |took: f64| Station { knots: with(took), ..old.clone() }.area();
        // The more steel goes under it, the less is left beside it. From a hair on: of none nothing is pressed.
        with(root((1e-6 * room, room), |took| area(took) - target))
    }
}
