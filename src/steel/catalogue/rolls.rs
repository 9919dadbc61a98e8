//! Spread in flat rolling after nine laws that no run leans on: width after a pass, in mm, NaN for a pass that thickens.
//!
//! With the one of Wusatowski they differ by about a third of the width gained; that is the honest doubt of any of them.

use crate::quantity::halve;
use crate::steel::laws::rolls::Pass;

/// Hill, letter to A. W. McCrum, 1955. Helmi and Alexander are said to have fitted 0.525 for the 0.5 in the exponent: from
/// memory, not used.
pub(crate) fn hill_mm(pass: Pass) -> f64 {
    pass.width_with_mm(0.5 * (-0.5 * pass.width_mm / pass.contact_mm()).exp())
}

/// Sparling 1961. Its corrections for roll and bar surface, grade, temperature and rate are left at 1.
pub(crate) fn sparling_mm(pass: Pass) -> f64 {
    let shape = 2.395 * pass.width_mm.powf(0.9)
        / (pass.radius_mm.powf(0.55) * pass.before_mm.powf(0.1) * pass.draft_mm().powf(0.25));
    pass.width_with_mm(0.981 * (-0.6735 * shape).exp())
}

/// Roux 1939. The carrier's code has `(w0/w0)^(2/3)` where its pages have `(w0/h0)^(2/3)`: a slip, the pages are followed.
pub(crate) fn roux_mm(pass: Pass) -> f64 {
    let draft = pass.draft_mm();
    if draft == 0.0 {
        return pass.width_mm;
    }
    let r = draft / pass.before_mm;
    let off = 0.35 - r;
    let a = (1.0 + 5.0 * off * off) * (1.0 / r - 1.0).sqrt();
    let rolls = (2.0 * pass.radius_mm / pass.before_mm).powf(0.75);
    let drag = (1.0 - draft / pass.before_mm) + 3.0 * a / rolls;
    let slender = pass.width_mm / pass.before_mm;
    let b = (slender - 1.0) * slender.powf(2.0 / 3.0);
    pass.width_mm + draft / drag * slender / (1.0 + 0.57 * b)
}

/// Marini 1941; `friction` between roll and steel, plain number. NaN where it is too low to take the pass, too.
pub(crate) fn marini_mm(pass: Pass, friction: f64) -> f64 {
    let b = (pass.draft_mm() / pass.radius_mm).sqrt();
    let a = b / (2.0 * friction);
    if a >= 1.0 {
        return f64::NAN;
    }
    let Pass { width_mm: w, before_mm: h0, after_mm: h1, radius_mm: r } = pass;
    let drag = w * (h0 + h1) / 2.0 * (1.0 + a) / (1.0 - a) * 0.91 * (w + 3.0 * h0) / (4.0 * h0);
    w + 2.0 * pass.draft_mm() * w * (r - h0 / 2.0) * b / (h1 * w + drag + 2.0 * h1 * r * b)
}

/// El-Kalay and Sparling 1968 under light scale and smooth rolls, constants from memory.
pub(crate) fn el_kalay_sparling_mm(pass: Pass) -> f64 {
    let slender = (pass.width_mm / pass.before_mm).powf(0.643);
    let size = (pass.before_mm / pass.radius_mm).powf(0.386);
    let reduction = (pass.draft_mm() / pass.before_mm).powf(-0.104);
    pass.width_with_mm(0.851 * (-1.766 * slender * size * reduction).exp())
}

/// Helmi and Alexander 1968, constants from memory.
pub(crate) fn helmi_alexander_mm(pass: Pass) -> f64 {
    let squat = pass.before_mm / pass.width_mm;
    let long = pass.width_mm / pass.contact_mm();
    pass.width_with_mm(0.95 * squat.powf(1.1) * (-0.707 * long * squat.powf(0.971)).exp())
}

/// Beese, from memory.
pub(crate) fn beese_mm(pass: Pass) -> f64 {
    let squat = pass.before_mm / pass.width_mm;
    pass.width_with_mm(0.61 * squat.powf(1.3) * (-0.32 * pass.before_mm / pass.contact_mm()).exp())
}

/// Shibahara, from memory.
pub(crate) fn shibahara_mm(pass: Pass) -> f64 {
    let m = pass.width_mm / pass.before_mm;
    let long = (pass.width_mm / pass.contact_mm()).powf(0.016 * m);
    let size = (pass.before_mm / pass.radius_mm).powf(0.015 * m);
    pass.width_with_mm((-1.64 * m.powf(0.376) * long * size).exp())
}

/// Ekelund, from memory, at a temperature in C: `w1^2 - w0^2 = 8 m L dh - 4 m (h0+h1) L ln(w1/w0)`, solved for the width. NaN
/// where it cannot be solved: a pass that thickens, or friction too low for it.
pub(crate) fn ekelund_mm(pass: Pass, temp_c: f64) -> f64 {
    // Steel rolls on hot steel.
    let friction = 1.05 - 0.0005 * temp_c;
    let contact = pass.contact_mm();
    let sum = pass.before_mm + pass.after_mm;
    let m = (1.6 * friction * contact - 1.2 * pass.draft_mm()) / sum;
    let push = 8.0 * m * contact * pass.draft_mm();
    if !(m >= 0.0 && push.is_finite() && pass.width_mm > 0.0) {
        return f64::NAN;
    }
    // Both terms grow with the width, so the root is the only one, and lies between no spread and no drag.
    let w0 = pass.width_mm;
    let over = |w: f64| w * w - w0 * w0 + 4.0 * m * sum * contact * (w / w0).ln() - push;
    let (high, low) = halve(((w0 * w0 + push).sqrt(), w0), 60, |w| over(w) > 0.0);
    0.5 * (low + high)
}

#[cfg(test)]
mod tests {
    use super::*;

    // Algebra: no draft, no spread, in every law that allows it; a pass that thickens is no pass.
    #[test]
    fn no_draft_no_spread() {
        let idle = Pass { width_mm: 50.0, before_mm: 30.0, after_mm: 30.0, radius_mm: 150.0 };
        let backwards = Pass { after_mm: 31.0, ..idle };
        let marini = |pass| marini_mm(pass, 0.35);
        let laws: [&dyn Fn(Pass) -> f64; 7] =
            [&roux_mm, &hill_mm, &sparling_mm, &shibahara_mm, &beese_mm, &helmi_alexander_mm, &marini];
        for law in laws {
            assert!((law(idle) - 50.0).abs() < 1e-9, "{}", law(idle));
            assert!(law(backwards).is_nan());
        }
        assert!(ekelund_mm(backwards, 1100.0).is_nan());
        assert!(marini_mm(Pass { after_mm: 20.0, ..idle }, 0.05).is_nan());
    }
}
