//! The tang: what lies behind the heel.

use super::{Blade, Knot, Station};

impl Blade {
    /// The steel behind the heel drawn to a bar of this width and thickness and `long` mm; its volume is the caller's.
    #[must_use]
    pub fn drawn_tang(&self, wide: f64, thick: f64, long: f64) -> Blade {
        let (end, heel) = (self.section(self.start()), self.behind_heel());
        let drawn = |x: f64, old: &Station| {
            let middle = f64::midpoint(old.edge().y, old.spine().y);
            let squeeze = thick / old.thickness();
            let narrow = wide / old.width();
            let knot = |k: &Knot| Knot {
                y: middle + (k.y - middle) * narrow,
                left: thick / 2.0,
                right: thick / 2.0,
                full: k.full * squeeze,
                across: k.across,
            };
            Station {
                x,
                along: old.along,
                knots: [knot(&old.edge()), knot(&old.spine())].into_iter().collect(),
            }
        };
        // The tang's middle line runs straight back from the heel.
        let at_heel = drawn(0.0, &heel);
        let mut at_end = drawn(-long, &end);
        let shift = at_heel.edge().y - at_end.edge().y;
        at_end.knots.iter_mut().for_each(|k| k.y += shift);
        let blade = self.ahead_of_heel();
        Blade { stations: [at_end, at_heel].into_iter().chain(blade).collect(), off: self.off }
    }

    /// The section right behind the heel.
    fn behind_heel(&self) -> Station {
        let there = self.stations.iter().find(|s| s.x.abs() <= super::SAME);
        there.cloned().unwrap_or_else(|| self.section(0.0))
    }

    /// The stations from the heel on; of two at the heel the blade's own.
    fn ahead_of_heel(&self) -> Vec<Station> {
        let mut part = self.clone();
        part.keep(0.0, self.tip());
        part.stations
    }

    /// What lies behind the heel ground to a width, and to a thickness where one is given, running into the blade over `shoulder`.
    pub fn ground_tang(&mut self, wide: f64, thick: Option<f64>, shoulder: f64) {
        let start = self.start();
        let heel = self.ahead_of_heel();
        let middle = {
            let at = self.section(0.0);
            f64::midpoint(at.edge().y, at.spine().y)
        };
        let mut tang = self.clone();
        tang.keep(start, 0.0);
        let run_out = (-shoulder).max(start / 2.0);
        tang.stand(run_out);
        if let Some(thick) = thick {
            let full = tang.section(0.0).spine().thick();
            tang.thin((start, thick), (run_out, thick));
            tang.thin((run_out, thick), (0.0, full.max(thick)));
        }
        for station in tang.stations.iter_mut() {
            station.narrow(middle - wide / 2.0, middle + wide / 2.0);
        }
        self.stations = tang.stations.into_iter().chain(heel).collect();
    }
}
