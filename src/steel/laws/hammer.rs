//! Blows of a hammer: what one carries, what the anvil lets through.
//!
//! Mechanics is the textbook's. The energy of small self-contained hammers by ram mass and the efficiency of blows are
//! **from memory**: no readable source was found.

/// Ram in kg and energy of a full blow in J, small self-contained hammers. From memory, not verified.
pub(crate) const SMALL_HAMMERS: [(f64, f64); 4] =
    [(40.0, 500.0), (75.0, 1000.0), (150.0, 2500.0), (250.0, 5600.0)];

/// Energy in J of a ram of `ram_kg` that strikes at `speed_m_per_s`.
#[must_use]
pub(crate) fn blow_energy_j(ram_kg: f64, speed_m_per_s: f64) -> f64 {
    0.5 * ram_kg * speed_m_per_s * speed_m_per_s
}

/// Energy in J of a full blow of a small self-contained hammer, between the figures of [`SMALL_HAMMERS`] on logarithms
/// of both. NaN under 40 and over 250 kg. From memory.
#[must_use]
pub(crate) fn small_hammer_energy_j(ram_kg: f64) -> f64 {
    SMALL_HAMMERS
        .windows(2)
        .find_map(|pair| match pair {
            [(m0, e0), (m1, e1)] if (*m0..=*m1).contains(&ram_kg) => {
                let along = (ram_kg / m0).ln() / (m1 / m0).ln();
                Some(e0 * (e1 / e0).powf(along))
            }
            _ => None,
        })
        .unwrap_or(f64::NAN)
}

/// Share of a blow that goes into the work and not into the anvil, plain number: momentum of a dead blow.
#[must_use]
pub(crate) fn anvil_efficiency(anvil_kg: f64, ram_kg: f64) -> f64 {
    anvil_kg / (anvil_kg + ram_kg)
}
