//! The hours of a job: at the fire, which a run counts, and at the bench, by the shop's rates.

use crate::forge::{Fire, Form, Hazard};
use crate::piece::Cause;
use crate::quantity::{Mass, Q, Time, Units, Values, show, trim_number};

use super::ledger::Ledger;
use super::plan::{Plan, Planned};

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

/// The rates of a shop, and the usual ones where it states none.
struct Rates {
    set_up: f64,
    handling: f64,
    treatment: f64,
    grinding: f64,
}

impl Rates {
    fn of(plan: &Plan, values: &Values) -> Rates {
        let shop = &plan.ground.shop;
        let minutes = |stated: Option<Q<Time>>, usual: f64| stated.map_or(usual, |q| values.get(q));
        Rates {
            set_up: minutes(shop.set_up, SET_UP_MIN),
            handling: minutes(shop.handling, HANDLING_MIN),
            treatment: minutes(shop.treatment, TREATMENT_MIN),
            grinding: shop.grinding.map_or(GRINDING_G_PER_MIN, |q: Q<Mass>| values.get(q)),
        }
    }

    fn ground(&self, grams: f64) -> f64 {
        if grams > 0.0 { grams / self.grinding } else { 0.0 }
    }
}

/// What a step keeps somebody at the bench for.
#[derive(PartialEq)]
enum Bench {
    Nothing,
    Cold,
    Treatment,
}

impl Bench {
    fn of(step: &Planned) -> Bench {
        let word = step.word;
        match word.form {
            Form::Work | Form::Stack => {}
            _ => return Bench::Nothing,
        }
        if word.fire == Fire::Quench || word.hazards.contains(&Hazard::Oven) {
            Bench::Treatment
        } else if word.fire == Fire::None {
            Bench::Cold
        } else {
            Bench::Nothing
        }
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
    let rates = Rates::of(plan, values);
    let count = |bench: Bench| plan.steps.iter().filter(|s| Bench::of(s) == bench).count();
    let (cold, treated) = (count(Bench::Cold), count(Bench::Treatment));
    made.set_up = rates.set_up;
    made.handling = cold as f64 * rates.handling;
    made.treatment = treated as f64 * rates.treatment;
    made.grinding = rates.ground(ground_g);
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

/// The minutes of each step of a build, in order; setting up counts to the first.
#[must_use]
pub fn minutes_by_step(plan: &Plan, values: &Values, ledger: &Ledger) -> Vec<f64> {
    let rates = Rates::of(plan, values);
    let steps = plan.steps.iter().enumerate().map(|(index, step)| {
        let fire = ledger.effort_in(index).map_or(0.0, |e| e.minutes);
        let bench = match Bench::of(step) {
            Bench::Nothing => 0.0,
            Bench::Cold => rates.handling,
            Bench::Treatment => rates.treatment,
        };
        let set_up = if index == 0 { rates.set_up } else { 0.0 };
        set_up + fire + bench + rates.ground(ledger.lost_in(index, Cause::Ground))
    });
    steps.collect()
}
