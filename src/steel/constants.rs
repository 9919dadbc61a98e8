//! Constants of nature that the laws share.

/// Kelvin at 0 C.
pub(crate) const KELVIN: f64 = 273.15;
/// Gas constant, J/(mol K): the exact SI value.
pub(crate) const GAS: f64 = 8.314_462_618;
/// The gas constant as older papers round it, J/(mol K): their figures were made with it.
pub(crate) const GAS_ROUNDED: f64 = 8.314;
/// Stefan and Boltzmann's constant, W/(m2 K4).
pub(crate) const STEFAN_BOLTZMANN: f64 = 5.670_374_419e-8;
/// One kgf/mm2, in MPa: the unit of the older flow stress formulas (standard gravity, exact).
pub(crate) const MPA_PER_KGF_MM2: f64 = 9.80665;
