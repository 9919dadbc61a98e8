//! The hours at the fire: what each step asks of smith and machine, what they come to, what they hang on.

use std::fmt::Write as _;

use crate::forge::Effort;
use crate::quantity::{
    Kind, LB, US_TONF, Units, on_its_side, show, show_about_c, show_hours as hours, significant, trim_number,
    two_digit_step, two_digits,
};

use crate::replay::HOURS_SOURCE;

use super::Page;
use super::table::table;

/// Propane that one gas burner takes in an hour, g: 1 to 2 lb (common practice), its middle.
const GAS_G_PER_HOUR: f64 = 680.0;

/// Fuel that a time at the fire takes, g, and whether the rate is assumed; nothing where nobody knows.
#[must_use]
pub fn fuel_g(page: &Page, minutes: f64) -> Option<(f64, bool)> {
    let shop = &page.plan.ground.shop;
    if let Some(q) = shop.fuel {
        return Some((page.build.values().get(q) * minutes / 60.0, false));
    }
    (shop.burns == Some("gas")).then_some((GAS_G_PER_HOUR * minutes / 60.0, true))
}

/// Heats, hours and fuel in one line, and the table behind them.
#[must_use]
pub fn fire(page: &Page, wide: usize) -> String {
    let efforts = &page.build.ledger.efforts;
    if efforts.is_empty() {
        // Bench work alone is told where somebody asks what it costs.
        let cost = cost(page);
        return if cost.is_empty() { cost } else { job(page) + &cost };
    }
    let (heats, minutes) = page.build.ledger.totals();
    let mut text = format!("heats: {heats} in all, {}", hours(minutes));
    if minutes > 0.0 {
        let _ = write!(text, " ({} an hour)", significant(f64::from(heats) / (minutes / 60.0), 2));
    }
    match fuel_g(page, minutes) {
        Some((grams, assumed)) => {
            let of = page.plan.ground.shop.burns.unwrap_or("fuel");
            // By common practice, to the two digits that it is worth.
            let about = match page.units {
                Units::Metric => page.g(two_digits(grams)),
                Units::Inch => format!("{} lb", significant(grams / LB, 2)),
            };
            let _ = write!(text, ", about {about} of {of}");
            if assumed {
                let _ = write!(text, " (one burner, {} an hour, common practice)", page.g(GAS_G_PER_HOUR));
            }
        }
        None => {
            let like = if page.units == Units::Inch { "1.5 lb" } else { "0.7 kg" };
            let _ = write!(text, "; fuel not told: state it in the shop, as in `fuel {like} per hour`");
        }
    }
    text += "\n";
    text += &job(page);
    text += &cost(page);
    text += &hang(page);
    text += "\n";
    text + &rows(page, wide) + &mark(page)
}

/// A force, kN, in a unit and to the two digits that it is worth (flow stress and friction are known to a tenth at best, project figure); on the side of a
/// press's rating where it is.
fn force_shown(page: &Page, kn: f64, unit: f64) -> f64 {
    let machines = &page.plan.ground.shop.machines;
    let rated = machines.iter().filter_map(|m| Some(page.build.values().get(m.force?) / unit));
    on_its_side(kn / unit, two_digit_step(kn / unit), None, rated)
}

/// The hours of the job in one line, and the rates that they lean on in another.
fn job(page: &Page) -> String {
    let job = page.hours();
    let parts = [
        ("set up", job.set_up),
        ("handling", job.handling),
        ("grinding and bevels", job.grinding),
        ("heat treatment", job.treatment),
    ];
    let parts: Vec<String> = parts
        .into_iter()
        .filter(|(_, minutes)| *minutes > 0.0)
        .map(|(what, minutes)| format!("{what} {}", hours(minutes)))
        .collect();
    let (all, fire, bench) = (hours(job.total()), hours(job.fire), hours(job.bench()));
    let mut text =
        format!("job: about {all}: {fire} at the fire, {bench} at the bench ({})\n", parts.join(", "));
    if !job.assumed.is_empty() {
        let rates = job.assumed.join(", ");
        let _ = writeln!(text, "  no rates of your own for {rates} ({HOURS_SOURCE}): state them in the shop");
    }
    text
}

/// What it costs by the shop's prices, in one line; nothing where it states none.
fn cost(page: &Page) -> String {
    let Some(cost) = page.cost() else { return String::new() };
    let (amount, about) = (|v: f64| page.money(v), |v: f64| page.plan.ground.shop.about(v));
    let mut parts = vec![format!("steel {}", amount(cost.steel))];
    parts.extend(cost.labour.map(|v| format!("hours {}", about(v))));
    parts.extend(cost.fuel.map(|v| format!("fuel {}", about(v))));
    parts.extend(Some(cost.own).filter(|v| *v != 0.0).map(|v| format!("lines of your own {}", amount(v))));
    let mut text = format!("cost: {} ({})", page.whole_cost(&cost), parts.join(", "));
    for (own, of) in &cost.alike {
        let _ = write!(text, "; {own} at the price of {of}, which it is like");
    }
    if !cost.billets.is_empty() {
        let _ = write!(text, "; without {}: no entry of a shop prices welded bars", cost.billets.join(", "));
    }
    if !cost.unpriced.is_empty() {
        let _ = write!(text, "; without {}, which the shop has no price for", cost.unpriced.join(", "));
    }
    text + "\n"
}

/// What the heats and hours hang on, largest first.
fn hang(page: &Page) -> String {
    let efforts = &page.build.ledger.efforts;
    let fire: f64 = efforts.iter().map(|(_, e)| e.minutes).sum();
    let counted: u32 = efforts.iter().filter(|(_, e)| e.counted).map(|(_, e)| e.heats).sum();
    let all: u32 = efforts.iter().map(|(_, e)| e.heats).sum();
    let machine = efforts.iter().any(|(_, e)| e.strokes.is_some());
    let mut on = Vec::new();
    if counted > 0 && machine {
        let share = trim_number(100.0 * f64::from(counted) / f64::from(all.max(1)), 0);
        on.push(format!("{share} % of the heats are counted: they hang on strokes a minute, the bite, and how long the steel stays hot"));
    } else if counted > 0 {
        let better = "state a machine in the shop for better ones";
        on.push(format!("heats left out are counted by log strain: {better}"));
    } else {
        on.push("the heats are the recipe's own".to_owned());
    }
    let work: f64 = efforts.iter().map(|(_, e)| e.seconds.unwrap_or(0.0) * f64::from(e.heats) / 60.0).sum();
    if fire > 0.0 {
        let share = trim_number(100.0 * work / fire, 0);
        on.push(format!("{share} % of the time is work, the rest is waiting for the fire"));
    }
    format!("  {}\n", on.join("; "))
}

fn rows(page: &Page, wide: usize) -> String {
    let rows = page.build.ledger.efforts.iter().map(|(step, effort)| row(page, *step, effort));
    let head = "|at the fire|heats|minutes|from|stop at|work|strokes|bite|peak force|energy";
    table(head.split('|'), rows, 2, wide)
}

fn row(page: &Page, step: usize, effort: &Effort) -> Vec<String> {
    let planned = page.step(step);
    let what = format!("{} {}", planned.word.word, planned.piece);
    let heat = |t: f64| show(t, Kind::TEMPERATURE, page.units);
    let force = |kn: f64| match page.units {
        Units::Metric => format!("{} kN", significant(force_shown(page, kn, 1.0), 2)),
        Units::Inch => format!("{} US tonf", significant(force_shown(page, kn, US_TONF), 2)),
    };
    // 1 ft-lbf is 1.3558179 J (0.3048 m and 4.4482216 N, both exact).
    let energy = |kj: f64| match page.units {
        Units::Metric => format!("{} kJ", significant(kj, 2)),
        Units::Inch => format!("{} ft-lbf", trim_number(two_digits(kj / 1.355_817_9e-3), 0)),
    };
    // What a press moves is known no better than its force; to the safe side.
    let bite = |mm: f64| {
        let to = match page.units {
            Units::Metric => two_digit_step(mm),
            Units::Inch => 25.4 / 16.0,
        };
        page.mm(if effort.shortened && mm >= to { (mm / to).floor() * to } else { mm })
    };
    vec![
        (step + 1).to_string(),
        what,
        if effort.counted { format!("{} *", effort.heats) } else { effort.heats.to_string() },
        trim_number(effort.minutes, 0),
        heat(effort.from_c),
        effort.stop_c.map_or(String::new(), |stop| show_about_c(stop, page.units)),
        match effort.seconds {
            _ if effort.stop_c.is_none() => String::new(),
            Some(seconds) => format!("{} s", trim_number(seconds, 0)),
            None => "cannot be told".to_owned(),
        },
        effort.strokes.map_or(String::new(), |n| trim_number(n, 0)),
        effort.bite.map_or(String::new(), bite),
        effort.force_kn.map_or(String::new(), force),
        effort.energy_kj.map_or(String::new(), energy),
    ]
}

/// Why the seconds of a heat cannot be told.
pub const UNTOLD: &str = "the piece leaves the fire no hotter than where it should go back";

/// Said behind the table: what its marks and words mean.
#[must_use]
fn mark(page: &Page) -> String {
    let efforts = &page.build.ledger.efforts;
    let counted = if efforts.iter().any(|(_, e)| e.counted) { "* counted, not stated; " } else { "" };
    let mut text = format!("{counted}work: seconds of forging in a heat, in the mean\n");
    if efforts.iter().any(|(_, e)| e.seconds.is_none()) {
        let _ = writeln!(text, "cannot be told: {UNTOLD}; its forging is in no figure of minutes or hours");
    }
    text
}
