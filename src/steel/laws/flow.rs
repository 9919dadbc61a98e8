//! Which law gives the flow stress of a steel of the table, and what it gives.
//!
//! Its own Hensel-Spittel set where it has one; the measured table for austenitic stainless steel, and beyond its
//! ends the table's nearest edge with the temperature taken on by the paper's own law; Shida's formula by carbon for
//! the rest, held at the ends of its range. Nickel has no data here and is treated as carbon steel: the answer says so.

use crate::steel::grades::Grade;
use crate::steel::laws::flow_stress::{range, shida_mpa, shida_strain_factor, shida_with_factor_mpa};
use crate::steel::laws::hensel_spittel::{C45, stress_mpa};
use crate::steel::laws::stainless::{MEASURED, sinh_law_mpa};

/// Where a flow stress comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum From {
    /// Shida's formula, by carbon.
    Shida,
    /// The steel's own Hensel-Spittel set.
    OwnSet,
    /// Measured AISI 304.
    Measured304,
    /// No data: Shida's formula as for carbon steel.
    AsCarbonSteel,
}

impl From {
    /// Of a steel.
    #[must_use]
    pub(crate) fn of(grade: &Grade) -> From {
        let s = &grade.composition;
        if s.is_austenitic() {
            From::Measured304
        } else if s.is_nickel() || s.is_stainless() || s.ni > 1.0 || s.cr > 2.0 {
            From::AsCarbonSteel
        } else if matches!(grade.name.as_str(), "1045" | "C45U") {
            From::OwnSet
        } else {
            From::Shida
        }
    }
}

/// Flow stress, MPa, at a temperature (C), log strain and rate (1/s); each held inside the range of its law.
#[must_use]
pub(crate) fn stress(from: From, carbon_pct: f64, temp_c: f64, strain: f64, rate_per_s: f64) -> f64 {
    let held = |x: f64, (low, high): (f64, f64)| x.clamp(low, high);
    match from {
        From::Shida | From::AsCarbonSteel => shida_mpa(
            held(carbon_pct, range::CARBON_PCT),
            held(temp_c, (range::TEMP_C.0, 1300.0)),
            held(strain, (0.02, range::STRAIN.1)),
            held(rate_per_s, range::RATE_PER_S),
        ),
        // Range of the set: that of C15 in the same book, 820-1200 C and strain 0.04-1.5.
        From::OwnSet => stress_mpa(
            &C45,
            held(temp_c, (800.0, 1300.0)),
            held(strain, (0.04, 1.5)),
            held(rate_per_s, (0.01, 100.0)),
        ),
        From::Measured304 => {
            let rate = held(rate_per_s, (0.1, 15.0));
            let inside = held(temp_c, (950.0, 1050.0));
            let edge = MEASURED.at_mpa(inside, rate);
            let temp = held(temp_c, (850.0, 1300.0));
            if temp == inside { edge } else { edge * sinh_law_mpa(temp, rate) / sinh_law_mpa(inside, rate) }
        }
    }
}

/// The flow stress of one steel at one strain, made ready for many temperatures and rates.
#[derive(Clone, Copy, Debug)]
pub struct Ready {
    from: From,
    carbon_pct: f64,
    strain: f64,
    factor: f64,
}

impl Ready {
    /// Of a steel, at a log strain.
    #[must_use]
    pub(crate) fn of(grade: &Grade, strain: f64) -> Ready {
        let carbon_pct = grade.composition.c.clamp(range::CARBON_PCT.0, range::CARBON_PCT.1);
        let held = strain.clamp(0.02, range::STRAIN.1);
        Ready { from: From::of(grade), carbon_pct, strain, factor: shida_strain_factor(carbon_pct, held) }
    }

    /// Which law it follows.
    #[must_use]
    pub(crate) fn law(&self) -> From {
        self.from
    }

    /// Flow stress, MPa: the same figure as [`stress`].
    #[must_use]
    pub(crate) fn stress(&self, temp_c: f64, rate_per_s: f64) -> f64 {
        match self.from {
            From::Shida | From::AsCarbonSteel => shida_with_factor_mpa(
                self.carbon_pct,
                temp_c.clamp(range::TEMP_C.0, 1300.0),
                self.factor,
                rate_per_s.clamp(range::RATE_PER_S.0, range::RATE_PER_S.1),
            ),
            From::OwnSet | From::Measured304 => {
                stress(self.from, self.carbon_pct, temp_c, self.strain, rate_per_s)
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::steel::grades;
    use crate::steel::testing::near;

    fn of(name: &str, temp_c: f64) -> f64 {
        let grade = grades::find(name).unwrap();
        stress(From::of(grade), grade.composition.c, temp_c, 0.3, 1.0)
    }

    #[test]
    fn each_steel_has_its_law() {
        let from = |name: &str| From::of(grades::find(name).unwrap());
        assert_eq!(from("1084"), From::Shida);
        assert_eq!(from("C45U"), From::OwnSet);
        assert_eq!(from("304"), From::Measured304);
        for name in ["15N20", "nickel", "410", "D2"] {
            assert_eq!(from(name), From::AsCarbonSteel, "{name}");
        }
        // An entry of the measured table: 1000 C at 1 /s.
        near(of("304", 1000.0), 146.23, 1e-12);
    }

    #[test]
    fn made_ready_it_is_the_same_figure() {
        for name in ["1084", "15N20", "C45U", "304", "nickel", "W2"] {
            let grade = grades::find(name).unwrap();
            let ready = Ready::of(grade, 0.16);
            for (t, rate) in [(820.0, 0.05), (1015.0, 1.7), (1190.0, 300.0)] {
                let plain = stress(From::of(grade), grade.composition.c, t, 0.16, rate);
                assert_eq!(ready.stress(t, rate), plain, "{name} {t} {rate}");
            }
        }
    }

    #[test]
    fn hotter_is_softer() {
        // Shida's formula dips below its critical temperature (about 780 C at 0.84 % C): above it the rule holds.
        for name in ["1084", "1095", "15N20", "C45U", "304", "5160", "wrought-iron"] {
            let low = if name == "wrought-iron" { 950 } else { 860 };
            let all: Vec<f64> = (low..=1260).step_by(5).map(|t| of(name, f64::from(t))).collect();
            assert!(all.windows(2).all(|w| w[1] < w[0]), "{name}: {all:?}");
        }
    }
}
