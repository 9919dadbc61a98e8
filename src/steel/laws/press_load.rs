//! Force of a press on one bite, and the largest bite that a force allows.
//!
//! Plane-strain slab with full sticking, `F = 2k w b (1 + b/(4h))`, `2k = 2 Y / sqrt(3)`: seen through textbook
//! companions (P. C. Sharma ch. 13). Where the bar is thicker
//! than the bite is long the tool only dents it: times `0.8 + 0.2 h/b` (given to Dieter, **from memory**), but the
//! pressure never passes `1 + pi/2` times `2k`, the slip-line limit of a dent in a very thick bar. The reference has the
//! factor in place of the slab's own term; the project multiplies the two, so that the force has no step at `h = b`.

use std::f64::consts::FRAC_PI_2;

/// `2k / Y` of a metal that yields after von Mises: `2 / sqrt(3)`, plain number.
pub(crate) const PLANE_STRAIN: f64 = 1.154_700_538_379_251_5;
/// Highest pressure over `2k` in a bar much thicker than the bite, plain number.
pub(crate) const DENT_LIMIT: f64 = 1.0 + FRAC_PI_2;

/// Pressure of a bite over `2k`, plain number; not finite for a bite of 0.
#[must_use]
pub(crate) fn pressure_ratio(bite_mm: f64, thickness_mm: f64) -> f64 {
    let slab = 1.0 + bite_mm / (4.0 * thickness_mm);
    if thickness_mm > bite_mm {
        let dented = slab * (0.8 + 0.2 * thickness_mm / bite_mm);
        if dented > DENT_LIMIT { DENT_LIMIT } else { dented }
    } else {
        slab
    }
}

/// Force in kN of one bite: flow stress in MPa, sizes in mm; `bite_mm` is the contact along the flow of metal, `width_mm`
/// across it. 0 for a bite of 0.
#[must_use]
pub(crate) fn bite_force_kn(flow_stress_mpa: f64, width_mm: f64, bite_mm: f64, thickness_mm: f64) -> f64 {
    if bite_mm == 0.0 {
        return 0.0;
    }
    PLANE_STRAIN * flow_stress_mpa * width_mm * bite_mm * pressure_ratio(bite_mm, thickness_mm) * 1e-3
}

/// Force in kN of a tool laid along the bar: the metal flows across, so the tool's width is the bite and its length the
/// width of the contact.
#[must_use]
pub(crate) fn along_force_kn(flow_stress_mpa: f64, tool_mm: f64, long_mm: f64, thickness_mm: f64) -> f64 {
    bite_force_kn(flow_stress_mpa, long_mm, tool_mm, thickness_mm)
}

/// The longest bite in mm that `force_kn` can press; [`bite_force_kn`] of it is the force. The answer is closed: the force
/// grows with the bite in each of the three ways of flowing. 0 for no force, NaN for a negative one.
#[must_use]
pub(crate) fn largest_bite_mm(force_kn: f64, flow_stress_mpa: f64, width_mm: f64, thickness_mm: f64) -> f64 {
    let h = thickness_mm;
    // What the bite would be at a pressure of 2k.
    let plain = force_kn * 1e3 / (PLANE_STRAIN * flow_stress_mpa * width_mm);
    if plain >= 1.25 * h {
        return 2.0 * h * ((1.0 + plain / h).sqrt() - 1.0);
    }
    let dent = plain / DENT_LIMIT;
    let between = h * ((0.5625 + 0.8 * plain / h).sqrt() - 0.85) / 0.4;
    if plain < 0.0 {
        return f64::NAN;
    }
    // The pressure is the lower of the two, so the bite is the longer; asked this way round, NaN goes through.
    if between <= dent { dent } else { between }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::steel::testing::{near, prints};

    // Slip-line theory (textbook): a dent in a very thick bar needs 1 + pi/2 = 2.57 of 2k.
    #[test]
    fn thick_bar_is_dented() {
        prints(pressure_ratio(1.0, 1000.0), 2.57, 2);
        near(pressure_ratio(40.0, 40.0), 1.25, 1e-15);
        near(pressure_ratio(40.0, 40.0 + 1e-9), 1.25, 1e-9);
        near(pressure_ratio(20.0, 40.0), 1.125 * 1.2, 1e-12);
    }

    // Computed: the closed answer put back into the force, in all three ways of flowing; and it grows with the force.
    #[test]
    fn largest_bite_gives_back_the_force_computed() {
        let mut last = 0.0;
        for step in 1..400 {
            let force = f64::from(step) * 5.0;
            let bite = largest_bite_mm(force, 90.0, 55.0, 35.0);
            near(bite_force_kn(90.0, 55.0, bite, 35.0), force, 1e-9);
            assert!(bite > last);
            last = bite;
        }
        assert!(largest_bite_mm(0.0, 90.0, 55.0, 35.0).abs() < 1e-15);
        assert!(largest_bite_mm(-1.0, 90.0, 55.0, 35.0).is_nan());
        near(along_force_kn(80.0, 12.0, 40.0, 9.0), bite_force_kn(80.0, 40.0, 12.0, 9.0), 1e-15);
    }
}
