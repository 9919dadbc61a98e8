//! What a blade is to cost whoever orders it, and on which days it is made.

use chrono::{Days, NaiveDate};

use crate::quantity::{Number, told_minutes};
use crate::replay::{Build, Cost, Hours, Plan, cost, minutes_by_step};
use crate::study::solve::odds::Odds;

/// Hours of a day's work where the shop states none (common practice, from memory).
const DAY_H: f64 = 8.0;

/// Builds that are made for nothing before one is good.
#[derive(Clone, Debug, PartialEq)]
pub struct Remakes {
    /// The chance that a build meets all targets.
    pub odds: f64,
    /// How far that chance may be off: two standard errors.
    pub off: f64,
    /// In the mean over many orders: `1 / odds - 1`, with the odds at the low end of what they may be; rounded up to the hundredth.
    pub builds: f64,
    /// What they cost: steel, hours, fuel.
    pub amount: f64,
    /// The minutes that go into them.
    pub minutes: f64,
}

/// A quote.
#[derive(Clone, Debug, PartialEq)]
pub struct Quote {
    /// Steel, hours and fuel of one build.
    pub build: Cost,
    /// What the smith puts on lines of his own.
    pub own: Vec<(String, f64)>,
    /// Builds that miss; nothing where no figure has a tolerance, or no target can be missed.
    pub remakes: Option<Remakes>,
    /// All of these.
    pub costs: f64,
    /// What is laid on them: the share, and what it comes to.
    pub margin: Option<(f64, f64)>,
    /// Costs and margin.
    pub price: f64,
    /// The tax: its share, and what it comes to.
    pub tax: Option<(f64, f64)>,
    /// Price and tax.
    pub total: f64,
    /// What is asked before the work begins: its share, and what it comes to.
    pub deposit: Option<(f64, f64)>,
}

/// Prices what a build comes to. `None` where no build of those that were drawn met its targets: no number of re-makes can be told.
#[must_use]
pub fn quote(plan: &Plan, build: &Build, hours: &Hours, odds: Option<&Odds>) -> Option<Quote> {
    let (shop, values) = (&plan.ground.shop, build.values());
    // Priced from the hours as they are told: whoever reads it can work it again.
    let priced = |price: Option<_>, minutes: f64| {
        price.map(|price| cents(values.get::<Number>(price) * told_minutes(minutes) / 60.0))
    };
    let mut one = cost(plan, &build.bench, hours);
    one.steel = cents(one.steel);
    one.labour = priced(shop.hour_price, hours.total());
    one.fuel = shop.an_hours_fuel(values).map(|price| cents(price * told_minutes(hours.fire) / 60.0));
    let own: Vec<(String, f64)> =
        shop.costs.iter().map(|(what, q)| (what.clone(), cents(values.get(*q)))).collect();
    let remakes = match odds {
        None => None,
        Some(odds) => {
            let off = 2.0 * odds.all_error;
            let low = if odds.all == 1.0 { 1.0 } else { odds.all - off };
            if low <= 0.0 {
                return None;
            }
            let builds = ((1.0 / low - 1.0) * 100.0).ceil() / 100.0;
            let (amount, minutes) = (cents(builds * one.worked()), builds * hours.total());
            Some(Remakes { odds: odds.all, off, builds, amount, minutes })
        }
    };
    let costs = one.worked()
        + own.iter().map(|(_, amount)| amount).sum::<f64>()
        + remakes.as_ref().map_or(0.0, |r| r.amount);
    let costs = cents(costs);
    let part = |share: Option<_>, of: f64| share.map(|q| (values.get(q), cents(values.get(q) * of)));
    let margin = part(shop.margin, costs);
    let price = cents(costs + margin.map_or(0.0, |(_, amount)| amount));
    let tax = part(shop.tax, price);
    let total = cents(price + tax.map_or(0.0, |(_, amount)| amount));
    Some(Quote {
        build: one,
        own,
        remakes,
        costs,
        margin,
        price,
        tax,
        total,
        deposit: part(shop.deposit, total),
    })
}

/// To the hundredth, as money is paid: so the lines of a quote add up to its total.
pub fn cents(amount: f64) -> f64 {
    (amount * 100.0).round() / 100.0
}

/// One day of the work.
#[derive(Clone, Debug, PartialEq)]
pub struct Day {
    /// The date, where one is known.
    pub date: Option<NaiveDate>,
    /// The first and the last step of that day, from nought.
    pub steps: [usize; 2],
    /// Minutes of work.
    pub minutes: f64,
}

/// The days of a job. Each counts as one of work: nobody said which are free.
#[derive(Clone, Debug, PartialEq)]
pub struct Schedule {
    /// Hours that are worked in each.
    pub hours: f64,
    /// Whether the shop states them.
    pub stated: bool,
    /// The days, in order.
    pub days: Vec<Day>,
    /// Whether more days are needed than there are between the order and the delivery.
    pub late: bool,
}

/// The most days that are laid out one by one (project figure): a build of more is no build of one blade.
const MOST_DAYS: usize = 1000;

/// Lays the steps of a build over days of work: so that it is done the day before `deliver`, else from the day after `ordered`.
/// `None` where it takes more days than are laid out, or a date goes beyond the calendar.
#[must_use]
pub fn schedule(
    plan: &Plan,
    build: &Build,
    ordered: Option<NaiveDate>,
    deliver: Option<NaiveDate>,
) -> Option<Schedule> {
    let stated = plan.ground.shop.hours_a_day;
    let hours = stated.map_or(DAY_H, |q| build.values().get(q));
    let whole = hours * 60.0;
    let mut days: Vec<Day> = Vec::new();
    let mut left = 0.0;
    for (index, mut minutes) in minutes_by_step(plan, build.values(), &build.ledger).into_iter().enumerate() {
        while minutes > 0.0 {
            if left <= 0.0 {
                if days.len() >= MOST_DAYS {
                    return None;
                }
                days.push(Day { date: None, steps: [index; 2], minutes: 0.0 });
                left = whole;
            }
            let day = days.last_mut()?;
            let now = minutes.min(left);
            day.steps = [day.steps[0], index];
            day.minutes += now;
            (minutes, left) = (minutes - now, left - now);
        }
    }
    let count = days.len() as u64;
    let first = match (deliver, ordered) {
        (Some(deliver), _) => Some(deliver.checked_sub_days(Days::new(count))?),
        (None, Some(ordered)) => Some(ordered.checked_add_days(Days::new(1))?),
        (None, None) => None,
    };
    for (day, later) in days.iter_mut().zip(0..) {
        day.date = match first {
            Some(first) => Some(first.checked_add_days(Days::new(later))?),
            None => None,
        };
    }
    let late = ordered.zip(first).is_some_and(|(ordered, first)| first <= ordered);
    Some(Schedule { hours, stated: stated.is_some(), days, late })
}
