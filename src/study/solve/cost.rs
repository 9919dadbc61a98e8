//! What a build costs, in whatever currency the shop states its prices in.

use crate::forge::Per;
use crate::piece::SteelId;
use crate::replay::{Bench, Plan};

use crate::study::solve::hours::Hours;

/// The cost of a build, as far as prices are stated.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Cost {
    /// Steel.
    pub steel: f64,
    /// Steels that have no price.
    pub unpriced: Vec<String>,
    /// Layered bars, by their steels: what a billet costs that somebody has welded, no price of a steel says.
    pub billets: Vec<String>,
    /// Steels of the recipe's own at the price of what they are like: each with that one.
    pub alike: Vec<(String, String)>,
    /// Hours, at the fire and at the bench; nothing where an hour has no price.
    pub labour: Option<f64>,
    /// Fuel; nothing where it has no price.
    pub fuel: Option<f64>,
    /// Whether any price is stated at all.
    pub stated: bool,
}

impl Cost {
    /// All that has a price.
    #[must_use]
    pub fn total(&self) -> f64 {
        self.steel + self.labour.unwrap_or(0.0) + self.fuel.unwrap_or(0.0)
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
        match shop.price_of(steel) {
            Some((price, per, of)) => {
                made.steel += bench.values.get(price)
                    * match per {
                        Per::Grams(grams) => lot.mass() / grams,
                        Per::Bar => f64::from(lot.count),
                    };
                let pair = (plan.ground.steels[steel].name.clone(), plan.ground.steels[of].name.clone());
                if of != steel && !made.alike.contains(&pair) {
                    made.alike.push(pair);
                }
            }
            None => {
                let name = plan.ground.steels[steel].name.as_str();
                if made.unpriced.iter().all(|n| n != name) {
                    made.unpriced.push(name.to_owned());
                }
            }
        }
    }
    made.labour = shop.hour_price.map(|price| bench.values.get(price) * hours.total() / 60.0);
    made.fuel = shop.fuel_price.map(|price| bench.values.get(price) * hours.fire / 60.0);
    made
}
