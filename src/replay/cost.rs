//! What a build costs, in whatever currency the shop states its prices in.

use crate::forge::{Bought, Per};
use crate::piece::SteelId;
use crate::quantity::{Units, Values};
use crate::spec::{Judged, Test, What};

use super::bench::Bench;
use super::hours::{Hours, hours};
use super::plan::Plan;

/// The cost of a build, as far as prices are stated.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Cost {
    /// Steel.
    pub steel: f64,
    /// Steels that have no price.
    pub unpriced: Vec<String>,
    /// Layered bars, by their steels: what a billet costs that somebody has welded, no price of a steel says.
    pub billets: Vec<String>,
    /// Steels of the recipe's own at the price of what they are like, and powder at that of bars: each with that one.
    pub alike: Vec<(String, String)>,
    /// Hours, at the fire and at the bench; nothing where an hour has no price.
    pub labour: Option<f64>,
    /// Fuel; nothing where it has no price.
    pub fuel: Option<f64>,
    /// What the smith puts on lines of his own.
    pub own: f64,
    /// Whether any price is stated at all.
    pub stated: bool,
}

impl Cost {
    /// Steel, hours and fuel, as far as they have a price.
    #[must_use]
    pub fn worked(&self) -> f64 {
        self.steel + self.labour.unwrap_or(0.0) + self.fuel.unwrap_or(0.0)
    }

    /// All that has a price.
    #[must_use]
    pub fn total(&self) -> f64 {
        self.worked() + self.own
    }

    /// What is in the build and has no price, as one would say it; of so many minutes at the fire.
    #[must_use]
    pub fn lacks(&self, fire: f64) -> Vec<String> {
        let mut lacks: Vec<String> = self.unpriced.iter().chain(&self.billets).cloned().collect();
        let rest = [(self.labour.is_none(), "an hour"), (self.fuel.is_none() && fire > 0.0, "fuel")];
        lacks.extend(rest.into_iter().filter(|(none, _)| *none).map(|(_, what)| what.to_owned()));
        lacks
    }
}

/// The cost of what stands on a bench, and of the hours that went into it.
#[must_use]
pub fn cost(plan: &Plan, bench: &Bench, hours: &Hours) -> Cost {
    let shop = &plan.ground.shop;
    let mut made = Cost { stated: shop.prices_any(), ..Cost::default() };
    for (_, bought) in plan.bought() {
        let Some(lot) = bench.lots[bought] else { continue };
        let steels: Vec<SteelId> = bench.makeup.steels(lot.bar.node).collect();
        let [steel] = steels.as_slice() else {
            let names: Vec<&str> = steels.iter().map(|s| plan.ground.steels[*s].name.as_str()).collect();
            let name = format!("layered {}", names.join(" and "));
            if !made.billets.contains(&name) {
                made.billets.push(name);
            }
            continue;
        };
        let steel = *steel;
        let powder = plan.ground.lots[bought].bought == Bought::Powder;
        let called = |steel: SteelId| plan.ground.steels[steel].name.clone();
        let name = if powder { format!("{} powder", called(steel)) } else { called(steel) };
        // Nobody counts powder in bars.
        let priced = shop.price_of(steel).filter(|(_, per, _)| !(powder && matches!(per, Per::Bar)));
        match priced {
            Some((price, per, of)) => {
                made.steel += bench.values.get(price)
                    * match per {
                        Per::Grams(grams) => lot.mass() / grams,
                        Per::Bar => f64::from(lot.count),
                    };
                let pair = (name, called(of));
                if (of != steel || powder) && !made.alike.contains(&pair) {
                    made.alike.push(pair);
                }
            }
            None => {
                if made.unpriced.iter().all(|n| *n != name) {
                    made.unpriced.push(name);
                }
            }
        }
    }
    made.own = shop.costs.iter().map(|(_, q)| bench.values.get(*q)).sum();
    made.labour = shop.hour_price.map(|price| bench.values.get(price) * hours.total() / 60.0);
    made.fuel = shop.an_hours_fuel(&bench.values).map(|price| price * hours.fire / 60.0);
    made
}

/// What a build took of time and money, for the lines of a target that ask of the whole of it.
#[derive(Clone, Copy, Debug)]
pub struct Spent {
    minutes: f64,
    /// Nothing where a part of it has no price: less than all of it would be no answer.
    money: Option<f64>,
}

impl Spent {
    /// Of what stands on a bench, after so many minutes at the fire, and so many grams ground off.
    #[must_use]
    pub fn of(plan: &Plan, bench: &Bench, fire: f64, ground_g: f64) -> Spent {
        let hours = hours(plan, &bench.values, fire, ground_g, Units::Metric);
        let cost = cost(plan, bench, &hours);
        Spent { minutes: hours.total(), money: cost.lacks(fire).is_empty().then(|| cost.total()) }
    }

    /// Judges a line; nothing where it is of a piece.
    #[must_use]
    pub fn judge(&self, test: &Test, values: &Values) -> Option<Judged> {
        match test.what {
            What::Hours => Some(test.judge_figure(self.minutes, values)),
            What::Cost => Some(test.judge_figure(self.money.unwrap_or(f64::NAN), values)),
            _ => None,
        }
    }
}
