//! The hours of a job: at the fire, which a run counts, and at the bench, by the shop's rates.

use crate::forge::{Fire, Form, Hazard};
use crate::quantity::{Mass, Q, Time, Units, Values, show, trim_number};
use crate::replay::Plan;

/// Minutes before and behind the work of a job (common practice, from memory).
const SET_UP_MIN: f64 = 40.0;
/// Minutes of a step that is worked cold (common practice, from memory).
const HANDLING_MIN: f64 = 5.0;
/// Minutes that somebody stands by for each quench and each temper (common practice, from memory).
const TREATMENT_MIN: f64 = 30.0;
/// Steel that a belt takes in a minute, g (common practice, from memory: coarse belts take more, finishing ones far less).
const GRINDING_G_PER_MIN: f64 = 30.0;

/// Where an assumed rate comes from.
pub const SOURCE: &str = "common practice, from memory";

/// Minutes of a job.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Hours {
    /// At the fire.
    pub fire: f64,
    /// Before and behind the work.
    pub set_up: f64,
    /// Of steps that are worked cold.
    pub handling: f64,
    /// At the grinder.
    pub grinding: f64,
    /// By the quench and the oven.
    pub treatment: f64,
    /// The rates that the shop does not state, as they would stand there.
    pub assumed: Vec<String>,
}

impl Hours {
    /// All of them.
    #[must_use]
    pub fn total(&self) -> f64 {
        self.fire + self.bench()
    }

    /// Those away from the fire.
    #[must_use]
    pub fn bench(&self) -> f64 {
        self.set_up + self.handling + self.grinding + self.treatment
    }
}

/// The hours of a job of so many minutes at the fire, in which so much steel is ground off, g.
#[must_use]
pub fn hours(plan: &Plan, values: &Values, fire: f64, ground_g: f64, units: Units) -> Hours {
    let shop = &plan.ground.shop;
    let mut made = Hours { fire, ..Hours::default() };
    if plan.steps.is_empty() {
        return made;
    }
    let treats = |hazards: &[Hazard]| hazards.iter().any(|h| matches!(h, Hazard::Quench | Hazard::Oven));
    let works = || plan.steps.iter().filter(|s| matches!(s.word.form, Form::Work | Form::Stack));
    let treated = works().filter(|s| treats(s.word.hazards)).count();
    let cold = works().filter(|s| s.word.fire == Fire::None && !treats(s.word.hazards)).count();
    let minutes = |stated: Option<Q<Time>>, usual: f64| stated.map_or(usual, |q| values.get(q));
    let rate = shop.grinding.map_or(GRINDING_G_PER_MIN, |q: Q<Mass>| values.get(q));
    made.set_up = minutes(shop.set_up, SET_UP_MIN);
    made.handling = cold as f64 * minutes(shop.handling, HANDLING_MIN);
    made.treatment = treated as f64 * minutes(shop.treatment, TREATMENT_MIN);
    made.grinding = if ground_g > 0.0 { ground_g / rate } else { 0.0 };
    let usual = |n: f64, what: &str| format!("{what} {} min", trim_number(n, 0));
    let unstated = [
        (shop.set_up.is_none(), usual(SET_UP_MIN, "set up")),
        (shop.handling.is_none() && cold > 0, usual(HANDLING_MIN, "handling")),
        (shop.treatment.is_none() && treated > 0, usual(TREATMENT_MIN, "heat treatment")),
        (shop.grinding.is_none() && ground_g > 0.0, {
            format!("grinding {} per min", show(GRINDING_G_PER_MIN, crate::quantity::Kind::MASS, units))
        }),
    ];
    made.assumed = unstated.into_iter().filter(|(left_out, _)| *left_out).map(|(_, rate)| rate).collect();
    made
}
