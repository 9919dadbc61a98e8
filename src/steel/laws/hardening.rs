//! Which steels harden, from what heat, and how hard they come out: the laws of hardness put together for one layer.

use crate::steel::grades::composition::Composition;
use crate::steel::laws::critical::{Traces, ac1_c, ac3_c};
use crate::steel::laws::hardness::as_quenched_hrc;
use crate::steel::laws::tempering::tempered_hrc;

/// The least carbon that a hardness is told for, %: where the curve of ASTM A255 begins.
pub(crate) const LEAST_CARBON: f64 = 0.10;
/// From this carbon on Ac1 and a margin stand for Ac3, % (the reference: Andrews' Ac3 is for less).
const RICH: f64 = 0.6;
/// That margin, C: the 15 to 35 C by which published formulas differ (rounded up).
const MARGIN: f64 = 35.0;
/// So far above the heat that it needs a steel counts as overheated, C (project figure).
const TOO_FAR: f64 = 110.0;
/// The same where it is only to be normalised: smiths begin at 870 to 900 C (common practice).
const TOO_FAR_TO_NORMALISE: f64 = 200.0;
/// Alloy from which on a steel hardens by its data sheet and not by carbon, % of Cr, Mo, V and W (project figure).
const ALLOYED: f64 = 2.0;
/// Alloy from which on the fits of tempering do not hold, %: 52100 and 5160 lie up to 7 HRC off.
const TEMPERED_BY_CARBON: f64 = 0.5;
/// Half of the band of a hardness straight from the quench, HRC: rich steel, and poor (the reference's 1 and 5).
const BAND_QUENCHED: [f64; 2] = [1.0, 5.0];
/// Half of the band of a tempered hardness, HRC: the largest miss of the fit over its rows, 2.8 (own fit; rms 0.98).
const BAND_TEMPERED: f64 = 2.8;

/// Why no hardness can be told.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Untold {
    /// It was never quenched, or forged since.
    Soft,
    /// No layer of it hardens.
    Never,
    /// Quenched from below its critical heat.
    TooCold,
    /// No published figure for its carbon or alloy at that temper.
    NoLaw,
}

impl Untold {
    /// In a smith's words.
    #[must_use]
    pub(crate) fn why(self) -> &'static str {
        match self {
            Untold::Soft => "it is not hardened at the end",
            Untold::Never => "no steel in it hardens",
            Untold::TooCold => "it was quenched too cold to harden",
            Untold::NoLaw => "no published figure covers this steel and temper",
        }
    }
}

/// A hardness with its honest band.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Hrc {
    /// HRC.
    pub hrc: f64,
    /// How far it may be off, HRC.
    pub band: f64,
}

fn alloy(s: &Composition) -> f64 {
    s.cr + s.mo + s.v + s.w
}

/// Whether quenching makes it hard: enough carbon, neither nickel nor austenitic.
#[must_use]
pub(crate) fn hardens(s: &Composition) -> bool {
    s.c >= LEAST_CARBON && !s.is_nickel() && !s.is_austenitic()
}

/// Whether its heat treatment follows its data sheet and no formula of ours.
#[must_use]
pub(crate) fn by_data_sheet(s: &Composition) -> bool {
    alloy(s) > ALLOYED
}

/// Where it begins to turn to austenite, C (Andrews 1965).
#[must_use]
pub(crate) fn begins_c(s: &Composition) -> f64 {
    ac1_c(s, &Traces::NONE)
}

/// The heat that it needs before a quench, C: Andrews' Ac3 for poor steel; Ac1 and 35 C for rich.
#[must_use]
pub(crate) fn needs_c(s: &Composition) -> f64 {
    let rich = begins_c(s) + MARGIN;
    if s.c < RICH { ac3_c(s, &Traces::NONE).max(rich) } else { rich }
}

/// From where on it counts as overheated, for a quench or for normalising, C (project figure).
#[must_use]
pub(crate) fn too_hot_c(s: &Composition, quench: bool) -> f64 {
    needs_c(s) + if quench { TOO_FAR } else { TOO_FAR_TO_NORMALISE }
}

/// Hardness of a layer quenched from a heat and tempered (0 hours: not tempered).
///
/// # Errors
/// Why none can be told.
pub(crate) fn layer(s: &Composition, from_c: f64, temper_c: f64, hours: f64) -> Result<Hrc, Untold> {
    if !hardens(s) {
        return Err(Untold::Never);
    }
    if from_c < begins_c(s) && !by_data_sheet(s) {
        return Err(Untold::TooCold);
    }
    let quenched = as_quenched_hrc(s.c).ok_or(Untold::Never)?;
    if hours <= 0.0 {
        let [rich, poor] = BAND_QUENCHED;
        return Ok(Hrc { hrc: quenched, band: if s.c >= 0.6 { rich } else { poor } });
    }
    if alloy(s) > TEMPERED_BY_CARBON {
        return Err(Untold::NoLaw);
    }
    let hrc = tempered_hrc(s.c, temper_c, hours).ok_or(Untold::NoLaw)?;
    Ok(Hrc { hrc, band: BAND_TEMPERED })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::steel::grades;

    fn of(name: &str) -> Composition {
        grades::find(name).unwrap().composition
    }

    #[test]
    fn measured_tempers_lie_inside_the_band() {
        // Measured rows (open data set of Hollomon and Jaffe 1945, Grange and Baughman 1956): 1080, 1 h; 0.89 % C, 2.5 h.
        for (t, hrc) in [(204.4, 61.3), (260.0, 59.5), (315.6, 56.7)] {
            let got = layer(&of("1080"), 815.0, t, 1.0).unwrap();
            assert!((got.hrc - hrc).abs() <= got.band, "{t}: {got:?}");
        }
        let rich = Composition::plain(0.89, 0.3, 0.2);
        for (t, hrc) in [(150.0, 63.5), (200.0, 61.5), (250.0, 58.5), (300.0, 54.0)] {
            let got = layer(&rich, 800.0, t, 2.5).unwrap();
            assert!((got.hrc - hrc).abs() <= got.band, "{t}: {got:?}");
        }
        // As quenched: 0.74 % C 66.5, 0.98 % C 66.5, 0.56 % C 63.0 (Hollomon and Jaffe 1945, same set).
        for (c, hrc) in [(0.74, 66.5), (0.98, 66.5), (0.56, 63.0)] {
            let got = layer(&Composition::plain(c, 0.6, 0.2), 830.0, 0.0, 0.0).unwrap();
            assert!((got.hrc - hrc).abs() <= got.band, "{c}: {got:?}");
        }
    }

    #[test]
    fn what_no_law_covers_is_not_told() {
        assert_eq!(layer(&of("304"), 1050.0, 0.0, 0.0), Err(Untold::Never));
        assert_eq!(layer(&of("nickel"), 815.0, 0.0, 0.0), Err(Untold::Never));
        assert_eq!(layer(&of("1084"), 700.0, 200.0, 1.0), Err(Untold::TooCold));
        assert_eq!(layer(&of("5160"), 830.0, 200.0, 1.0), Err(Untold::NoLaw));
        assert_eq!(layer(&of("1045"), 840.0, 200.0, 1.0), Err(Untold::NoLaw));
    }

    #[test]
    fn a_hotter_temper_is_softer() {
        let all: Vec<f64> = (100..=400)
            .step_by(10)
            .map(|t| layer(&of("1084"), 815.0, f64::from(t), 1.0).unwrap().hrc)
            .collect();
        assert!(all.windows(2).all(|w| w[1] <= w[0]));
    }
}
