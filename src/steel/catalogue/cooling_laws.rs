//! The laws of [`crate::steel::laws::cooling`] as they are asked for by name.

use crate::steel::catalogue::inputs::{at, must, or};
use crate::steel::catalogue::law::{Input, Law, Mark};
use crate::steel::laws::cooling::{Cooling, flat_mm};

const WIDTH: Input = must("width", "mm", "width of a long bar", 0.1, 1000.0);
const THICKNESS: Input = must("thickness", "mm", "its thickness", 0.1, 1000.0);
const EMISSIVITY: Input = or("emissivity", "", "emissivity of the surface", 0.01, 1.0, 0.8);
const CONVECTION: Input = or("convection", "W/m2K", "heat transfer to still air", 0.0, 1000.0, 25.0);
const AIR: Input = or("air", "C", "temperature of the shop", -30.0, 60.0, 20.0);
const FROM: Input = must("from", "C", "temperature at the start", 20.0, 1300.0);
const TO: Input = must("to", "C", "temperature at the end", 20.0, 1300.0);

const SOURCE: &str = "lumped cooling as in the textbooks of Incropera, Cengel and Holman (worked copies), with the \
    specific heat of EN 1993-1-2; emissivity 0.8 from memory, convection 25 W/m2K project figure";
const VALIDITY: &str = "Biot number under 0.1; long bar; no contact with anvil, tongs or dies";

/// Reads width, thickness, and from place `rest` emissivity, convection and air.
fn body(x: &[f64], rest: usize) -> Cooling {
    Cooling {
        emissivity: at(x, rest),
        convection_w_m2k: at(x, rest + 1),
        surroundings_c: at(x, rest + 2),
        ..Cooling::in_still_air(flat_mm(at(x, 0), at(x, 1)))
    }
}

/// The laws of this file.
pub const LAWS: &[Law] = &[
    Law {
        name: "cooling-time",
        title: "time that a bar takes to cool in still air",
        formula: "integral of rho (V/A) c(T) / (h (T - Ta) + eps sigma (T^4 - Ta^4)), V/A = w t / (2 (w + t))",
        inputs: &[WIDTH, THICKNESS, FROM, TO, EMISSIVITY, CONVECTION, AIR],
        gives: "time",
        unit: "s",
        validity: VALIDITY,
        source: SOURCE,
        mark: Mark::Carrier,
        eval: |x| body(x, 4).time_s(at(x, 2), at(x, 3)),
    },
    Law {
        name: "cooling-after",
        title: "temperature of a bar after a time in still air",
        formula: "the temperature at which cooling-time gives that time",
        inputs: &[
            WIDTH,
            THICKNESS,
            FROM,
            must("time", "s", "time in the air", 0.0, 86400.0),
            EMISSIVITY,
            CONVECTION,
            AIR,
        ],
        gives: "temperature",
        unit: "C",
        validity: VALIDITY,
        source: SOURCE,
        mark: Mark::Carrier,
        eval: |x| body(x, 4).temperature_after_c(at(x, 2), at(x, 3)),
    },
    Law {
        name: "cooling-by-radiation",
        title: "time to cool by radiation alone, constant specific heat",
        formula: "rho (V/A) c/(4 eps sigma Ts^3) [ln|(Ts+T)/(Ts-T)| + 2 atan(T/Ts)] from start to end, in kelvin",
        inputs: &[
            WIDTH,
            THICKNESS,
            FROM,
            TO,
            EMISSIVITY,
            AIR,
            or("capacity", "J/kgK", "specific heat", 1.0, 5000.0, 650.0),
        ],
        gives: "time",
        unit: "s",
        validity: "an upper bound on the time: convection left out; 650 J/kgK holds above 900 C",
        source: "closed form of the radiation equation, checked against its integral; printed number of it not seen",
        mark: Mark::Carrier,
        eval: |x| {
            let body = Cooling {
                emissivity: at(x, 4),
                surroundings_c: at(x, 5),
                ..Cooling::in_still_air(flat_mm(at(x, 0), at(x, 1)))
            };
            body.radiation_only_s(at(x, 6), at(x, 2), at(x, 3))
        },
    },
    Law {
        name: "biot",
        title: "how evenly hot a bar is while it cools in air",
        formula: "(h + h_rad) (V/A) / lambda",
        inputs: &[
            WIDTH,
            THICKNESS,
            must("temperature", "C", "temperature of the bar", 20.0, 1300.0),
            EMISSIVITY,
            CONVECTION,
            AIR,
        ],
        gives: "Biot number: under 0.1 the bar is about even",
        unit: "",
        validity: "long bar in still air",
        source: SOURCE,
        mark: Mark::Carrier,
        eval: |x| body(x, 3).biot(at(x, 2)),
    },
];
