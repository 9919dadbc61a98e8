//! A long bar in a fire: how long until its middle is hot, and how hot the middle is after a time.
//!
//! The mean of the section takes up heat by radiation and moving gas as in [`crate::steel::laws::cooling`]; the skin runs ahead of the mean
//! and the middle behind it by what a steady flow asks: a third and a sixth of half the thickness over the conductivity in a wide flat, a third and a
//! third in a square (exact for even flow; textbook), the lag taken once and what the hotter skin keeps out to the first order. How far the edges help the middle of a
//! flat, and between flat and square, are straight lines (project figures). Against finite differences in two dimensions (tests/oracle, heating.csv, 3 to
//! 100 mm): within 15 %. The fire is not pulled down by the steel here.

use crate::quantity::halve;
use crate::steel::constants::{KELVIN, STEFAN_BOLTZMANN};
use crate::steel::laws::conductivity::conductivity_w_mk;
use crate::steel::laws::cooling::Cooling;
use crate::steel::laws::heat_capacity::heat_capacity_j_kgk;

/// Heat transfer by the moving gas of a fire, W/m2K: between still air and a blast (from memory).
const GAS_W_M2K: f64 = 30.0;

fn fire(fire_c: f64, mm: f64) -> Cooling {
    Cooling { convection_w_m2k: GAS_W_M2K, surroundings_c: fire_c, ..Cooling::in_still_air(mm) }
}

/// How much faster the outside takes heat for each K that the fire is above it, 1/m: change of flow over conductivity.
fn held_back_per_m(fire: &Cooling, t_c: f64) -> f64 {
    let radiated = 4.0 * fire.emissivity * STEFAN_BOLTZMANN * (t_c + KELVIN).powi(3);
    (fire.convection_w_m2k + radiated) / conductivity_w_mk(t_c)
}

/// What a section is to its fire, mm: volume over surface as its middle sees it, and how far skin and middle lie from the mean.
fn section([one, other]: [f64; 2]) -> [f64; 3] {
    let (half, flat) = (one.min(other) / 2.0, one.min(other) / one.max(other));
    let within = half / (1.0 + flat * (0.75 + 0.25 * flat));
    [within, half / 3.0, half / 6.0 * (1.0 + flat)]
}

/// How long the middle of a section takes from one heat to another, for any section.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Through {
    /// Of a body of one heat throughout, for each mm of volume over surface, min.
    even: f64,
    /// What skin and middle add to it, for each mm further that they lie from the mean, min.
    skin: f64,
    middle: f64,
}

impl Through {
    /// From `from_c` to `to_c` in a fire of `fire_c`, C; no time where it is as hot before.
    #[must_use]
    pub fn of(fire_c: f64, from_c: f64, to_c: f64) -> Self {
        if from_c.max(20.0) >= to_c || to_c >= fire_c {
            return Self::default();
        }
        let fire = fire(fire_c, 1.0);
        let kept = |t| heat_capacity_j_kgk(t) * held_back_per_m(&fire, t) / 1000.0;
        let lag = fire.density_kg_m3 * heat_capacity_j_kgk(to_c) / conductivity_w_mk(to_c) * 1e-6;
        Through {
            even: fire.time_s(from_c, to_c) / 60.0,
            skin: fire.time_with(kept, from_c, to_c) / 60.0,
            middle: lag / 60.0,
        }
    }

    /// The same, and from there on.
    fn then(&self, next: Through) -> Through {
        Through { even: self.even + next.even, skin: self.skin + next.skin, middle: next.middle }
    }

    /// Minutes for a section of two sizes, mm.
    #[must_use]
    pub fn minutes(&self, sizes: [f64; 2]) -> f64 {
        let [within, skin, middle] = section(sizes);
        within * (self.even + skin * self.skin + middle * self.middle)
    }
}

/// Halvings that bring a temperature within a tenth of a degree: the law holds to 15 % of the time.
const TO_A_TENTH: u32 = 14;

/// Temperature, C, of the middle of a section of two sizes, mm, after so many minutes in a fire: a tenth of a degree too low at most.
#[must_use]
pub fn middle_c(fire_c: f64, from_c: f64, minutes: f64, sizes: [f64; 2]) -> f64 {
    // From where the halves tried so far have come to, so that no stretch is summed up twice.
    let (mut come, mut until) = (from_c, Through::default());
    let holds = |middle| {
        let there = until.then(Through::of(fire_c, come, middle));
        let holds = there.minutes(sizes) < minutes;
        if holds {
            (come, until) = (middle, there);
        }
        holds
    };
    halve((from_c, fire_c), TO_A_TENTH, holds).0
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::steel::testing::within;

    // Section 5.2 of the reference on the fire, computed there for a body of one heat: square of 25 mm, minutes from 20 C to 1100 C.
    #[test]
    fn even_bodies_computed() {
        for (fire_c, minutes) in [(1150.0, 4.8), (1200.0, 3.7), (1250.0, 3.1), (1300.0, 2.6)] {
            within(Through::of(fire_c, 20.0, 1100.0).even * 6.25, minutes, 0.06);
        }
        assert_eq!(Through::of(1200.0, 900.0, 800.0), Through::default());
        assert_eq!(Through::of(1200.0, 20.0, 1200.0), Through::default());
    }

    // There and back: as far as the time to the middle's heat says.
    #[test]
    fn the_middle_is_as_hot_as_its_time_says_computed() {
        for to in [400.0, 850.0, 1100.0] {
            let minutes = Through::of(1200.0, 20.0, to).minutes([30.0, 60.0]);
            within(middle_c(1200.0, 20.0, minutes, [60.0, 30.0]), to, 0.1);
        }
    }
}
