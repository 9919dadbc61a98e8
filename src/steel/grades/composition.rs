//! What a steel is made of, as far as the laws ask.

/// Nominal composition in per cent by weight; the rest is iron and what the laws do not ask for.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Composition {
    /// Carbon.
    pub c: f64,
    /// Manganese.
    pub mn: f64,
    /// Silicon.
    pub si: f64,
    /// Chromium.
    pub cr: f64,
    /// Nickel.
    pub ni: f64,
    /// Vanadium.
    pub v: f64,
    /// Tungsten.
    pub w: f64,
    /// Molybdenum.
    pub mo: f64,
}

impl Composition {
    /// The symbols of the contents, in the order in which they are listed.
    pub(crate) const SYMBOLS: [&'static str; 8] = ["C", "Mn", "Si", "Cr", "Ni", "V", "W", "Mo"];

    /// The contents in the order of their symbols.
    #[must_use]
    pub(crate) fn contents(&self) -> [f64; 8] {
        [self.c, self.mn, self.si, self.cr, self.ni, self.v, self.w, self.mo]
    }

    /// Symbol and content of what there is of it.
    pub(crate) fn listed(&self) -> impl Iterator<Item = (&'static str, f64)> + use<> {
        Self::SYMBOLS.into_iter().zip(self.contents()).filter(|(_, share)| *share > 0.0)
    }

    /// A plain steel of carbon, manganese and silicon only.
    #[cfg(test)]
    pub(crate) const fn plain(c: f64, mn: f64, si: f64) -> Self {
        Self { c, mn, si, cr: 0.0, ni: 0.0, v: 0.0, w: 0.0, mo: 0.0 }
    }

    /// The same steel with another carbon content, as carbon moves between layers.
    #[must_use]
    pub(crate) const fn with_carbon(self, c: f64) -> Self {
        Self { c, ..self }
    }

    /// Nickel rather than steel: more than half nickel (project figure).
    pub(crate) fn is_nickel(&self) -> bool {
        self.ni > 50.0
    }

    /// Stainless: at least 10.5 % chromium (the limit of EN 10088-1, from memory).
    ///
    /// High-carbon chromium tool steel such as D2 passes this test too, so ask for a named grade first.
    pub(crate) fn is_stainless(&self) -> bool {
        self.cr >= 10.5
    }

    /// Stainless that stays austenitic, told by at least 6 % nickel (project figure: the table has
    /// either under 1 % or over 8 %).
    pub(crate) fn is_austenitic(&self) -> bool {
        self.is_stainless() && self.ni >= 6.0
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn kinds_are_told_apart() {
        let nickel = Composition { ni: 99.0, ..Composition::default() };
        let plain = Composition::plain(0.84, 0.75, 0.25);
        assert!(nickel.is_nickel() && !plain.is_nickel());
        assert!(!plain.is_stainless() && !plain.is_austenitic());
        assert_eq!(plain.with_carbon(0.5).c, 0.5);
        assert_eq!(plain.with_carbon(0.5).mn, 0.75);
    }
}
