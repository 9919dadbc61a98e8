//! Where austenite forms on heating: Ac1 and Ac3, by Andrews. C, from per cent by weight.
//!
//! Published sets differ by 15 to 35 C: never trust a figure closer than that. From about 0.6 % C on, Ac3 of these formulas
//! falls below Ac1 and means nothing: use Ac1 and a margin.

use crate::steel::grades::composition::Composition;

/// Elements that only these formulas ask for, % by weight.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Traces {
    /// Copper.
    pub cu: f64,
    /// Phosphorus.
    pub p: f64,
    /// Aluminium.
    pub al: f64,
    /// Arsenic.
    pub arsenic: f64,
    /// Titanium.
    pub ti: f64,
}

impl Traces {
    /// None of them.
    pub(crate) const NONE: Self = Self { cu: 0.0, p: 0.0, al: 0.0, arsenic: 0.0, ti: 0.0 };
}

/// Ac1, C: Andrews, J. Iron Steel Inst. 203 (1965) 721 (carrier).
pub(crate) fn ac1_c(s: &Composition, t: &Traces) -> f64 {
    723.0 - 10.7 * s.mn - 16.9 * s.ni + 29.1 * s.si + 16.9 * s.cr + 290.0 * t.arsenic + 6.38 * s.w
}

/// Ac3, C: Andrews 1965 (carrier). For less than 0.6 % C.
///
/// Several copies lose the bracket at the end and with it the signs of phosphorus, aluminium, arsenic and titanium:
/// these steady ferrite and must raise Ac3.
pub(crate) fn ac3_c(s: &Composition, t: &Traces) -> f64 {
    910.0 - 203.0 * s.c.sqrt() - 15.2 * s.ni + 44.7 * s.si + 104.0 * s.v + 31.5 * s.mo + 13.1 * s.w
        - (30.0 * s.mn + 11.0 * s.cr + 20.0 * t.cu
            - 700.0 * t.p
            - 400.0 * t.al
            - 120.0 * t.arsenic
            - 400.0 * t.ti)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_steadies_ferrite_raises_ac3() {
        // Metallurgy, and the independent mill set: aluminium, titanium and phosphorus raise Ac3. Copies that
        // lose the bracket of Andrews lower it, and have 784.0 C for this steel in place of 763.1 C.
        let s = Composition { cr: 0.95, mo: 0.20, ..Composition::plain(0.40, 0.85, 0.25) };
        let base = ac3_c(&s, &Traces::NONE);
        for more in [
            Traces { p: 0.02, ..Traces::NONE },
            Traces { al: 0.02, ..Traces::NONE },
            Traces { arsenic: 0.02, ..Traces::NONE },
            Traces { ti: 0.02, ..Traces::NONE },
        ] {
            assert!(ac3_c(&s, &more) > base);
        }
        assert!(ac3_c(&s, &Traces { cu: 0.2, ..Traces::NONE }) < base);
    }
}
