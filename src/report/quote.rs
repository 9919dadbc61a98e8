//! The quote: what a blade costs whoever orders it, how that comes about, and on which days it is made.

use std::fmt::Write as _;

use schemars::JsonSchema;
use serde::Serialize;

use crate::quantity::{show_count, show_hours as hours, trim_number};
use crate::replay::HOURS_SOURCE;
use crate::study::{Quote, Schedule, cents};

use super::answer::{Answer, Table};
use super::table::table;
use super::tame::tame;
use super::verdict::{of_order, verdict};
use super::{Page, SIZES_ONLY};

/// What is said of an order by whoever takes it.
#[derive(Clone, Default)]
pub struct Order {
    /// Its number.
    pub number: Option<String>,
    /// What the customer asks for, in words of their own.
    pub words: Option<String>,
    /// When it was placed.
    pub date: Option<String>,
    /// When it is to be delivered.
    pub deliver: Option<String>,
}

/// A quote, for the smith or for the customer.
pub struct QuotePage<'a> {
    /// The build.
    pub page: Page<'a>,
    /// What it costs.
    pub quote: &'a Quote,
    /// Its days.
    pub schedule: Option<&'a Schedule>,
    /// The order.
    pub order: &'a Order,
    /// How many builds were drawn for the odds.
    pub samples: usize,
    /// Whether the customer reads it: then nothing of how the price comes about stands on it.
    pub customer: bool,
}

#[derive(Serialize, JsonSchema)]
pub struct QuoteJson<'a> {
    pub(super) file: &'a str,
    pub(super) met: bool,
    pub(super) customer: bool,
    pub(super) order: Option<&'a str>,
    pub(super) words: Option<&'a str>,
    pub(super) date: Option<&'a str>,
    pub(super) deliver: Option<&'a str>,
    pub(super) currency: Option<&'static str>,
    /// What is asked of the blade, and what the run comes to.
    pub(super) spec: Vec<SpecJson>,
    /// How the price comes about; empty for the customer.
    pub(super) lines: Vec<LineJson>,
    pub(super) price: f64,
    /// A share of the price.
    pub(super) tax_share: Option<f64>,
    pub(super) tax: Option<f64>,
    pub(super) total: f64,
    /// A share of the total.
    pub(super) deposit_share: Option<f64>,
    pub(super) deposit: Option<f64>,
    pub(super) rest: f64,
    /// What has no price and is in no line.
    pub(super) unpriced: Vec<String>,
    pub(super) hours_a_day: Option<f64>,
    /// The days of the work; empty for the customer.
    pub(super) days: Vec<DayJson>,
    /// Whether more days are needed than there are until the delivery; nothing for the customer.
    pub(super) late: Option<bool>,
    /// What was assumed or left out, a sentence each.
    pub(super) notes: Vec<String>,
}

#[derive(Serialize, JsonSchema)]
pub struct SpecJson {
    pub(super) piece: String,
    /// Of an order, for how many pieces.
    pub(super) wanted: Option<u32>,
    pub(super) asked: String,
    pub(super) comes_to: String,
    pub(super) met: bool,
}

#[derive(Serialize, JsonSchema)]
pub struct LineJson {
    pub(super) what: String,
    pub(super) amount: f64,
    pub(super) how: String,
}

#[derive(Serialize, JsonSchema)]
pub struct DayJson {
    pub(super) date: Option<String>,
    /// The numbers of its first and its last step, as the sheet has them.
    pub(super) from_step: usize,
    pub(super) to_step: usize,
    /// The words of that last step.
    pub(super) to: String,
    pub(super) hours: f64,
}

fn percent(share: f64) -> String {
    format!("{} %", trim_number(share * 100.0, 1))
}

/// Said where the days do not reach.
pub(super) const TOO_LATE: &str =
    "too late: there are fewer days between the order and the delivery than the work takes";

impl QuotePage<'_> {
    fn lines(&self) -> Vec<LineJson> {
        let (page, quote) = (&self.page, self.quote);
        let shop = &page.plan.ground.shop;
        let job = page.hours();
        let mut made = Vec::new();
        let mut line = |what: &str, amount: f64, how: String| {
            made.push(LineJson { what: what.to_owned(), amount, how });
        };
        if !shop.steel_prices.is_empty() {
            let alike: Vec<String> =
                quote.build.alike.iter().map(|(own, of)| format!("{own} at the price of {of}")).collect();
            line("steel", quote.build.steel, alike.join(", "));
        }
        let at = |q| page.build.values().get(q);
        if let Some((amount, price)) = quote.build.labour.zip(shop.hour_price) {
            let how = format!(
                "{} ({} at the fire, {} at the bench), {} an hour",
                hours(job.total()),
                hours(job.fire),
                hours(job.bench()),
                page.money(at(price))
            );
            line("hours", amount, how);
        }
        if let Some((amount, price)) = quote.build.fuel.zip(shop.an_hours_fuel(page.build.values())) {
            line("fuel", amount, format!("{}, {} an hour", hours(job.fire), page.money(price)));
        }
        for (what, amount) in &quote.own {
            line(what, *amount, String::new());
        }
        if let Some(remakes) = &quote.remakes {
            let drawn = show_count(self.samples as u64, "build");
            let how = if remakes.builds > 0.0 {
                let (met, again) = (percent(remakes.odds), trim_number(remakes.builds, 2));
                let off = percent(remakes.off);
                format!(
                    "{met} (+- {off}) of {drawn} with figures drawn within their tolerances meet all targets: at the low end {again} to be made again for each that is good, {}",
                    hours(remakes.minutes)
                )
            } else {
                format!("of {drawn} with figures drawn within their tolerances none missed a target")
            };
            line("re-makes", remakes.amount, how);
        }
        if let Some((share, amount)) = quote.margin {
            let how = format!("{} of {}", percent(share), page.money(quote.costs));
            line("margin", amount, how);
        }
        made
    }

    fn notes(&self) -> Vec<String> {
        let (page, quote) = (&self.page, self.quote);
        if self.customer {
            return vec![SIZES_ONLY.to_owned()];
        }
        let mut made = Vec::new();
        let shop = &page.plan.ground.shop;
        let unpriced = &quote.build.unpriced;
        if let Some(first) = unpriced.first() {
            let all = unpriced.join(", ");
            // A price by the bar may stand there: powder has a price of its own only as a steel of its own.
            let how = match first.strip_suffix(" powder") {
                Some(steel) => format!(
                    "name a steel of its own for it, `steel {steel}-powder = like {steel}`, and its price by weight"
                ),
                None => format!("write `price of {first} 9 per kg` in the shop"),
            };
            made.push(format!("no price for {all}: {how}"));
        }
        if !quote.build.billets.is_empty() {
            let all = quote.build.billets.join(", ");
            made.push(format!("{all} is not in it: no entry of a shop prices welded bars"));
        }
        if shop.hour_price.is_none() {
            made.push("no price for an hour: write `price of labour 40` in the shop".to_owned());
        }
        if shop.an_hours_fuel(page.build.values()).is_none() {
            made.push(format!("no price for fuel: write `{}` in the shop", shop.fuel_lacks()));
        }
        if shop.hour_price.is_some() || shop.fuel_price.is_some() {
            let rough = "hours and fuel are known to two digits, and the price is as rough as they are: round it before you say it";
            made.push(rough.to_owned());
        }
        if quote.remakes.is_none() {
            made.push("re-makes are not in it: no figure has a tolerance, so nobody can tell how often a build misses".to_owned());
        }
        if shop.margin.is_none() {
            made.push("no margin is laid on it: write `margin 25 %` in the shop".to_owned());
        }
        let assumed = page.hours().assumed;
        if !assumed.is_empty() {
            made.push(format!("assumed, {HOURS_SOURCE}: {}", assumed.join(", ")));
        }
        if let Some(schedule) = self.schedule {
            if !schedule.stated {
                let hours = trim_number(schedule.hours, 1);
                made.push(format!("assumed, {HOURS_SOURCE}: {hours} hours of work in a day; write `hours 6 per day` in the shop"));
            }
            made.push(
                "each day counts as one of work; a re-made build, handle, sheath and post are in no day"
                    .to_owned(),
            );
        } else {
            made.push(
                "no days are told: the work takes more of them than 1,000, or than the calendar has"
                    .to_owned(),
            );
        }
        made.push(SIZES_ONLY.to_owned());
        made
    }

    fn days(&self) -> Vec<DayJson> {
        let Some(schedule) = self.schedule.filter(|_| !self.customer) else { return Vec::new() };
        let day = |day: &crate::study::Day| {
            let [from, to] = day.steps;
            DayJson {
                date: day.date.map(|date| date.to_string()),
                from_step: from + 1,
                to_step: to + 1,
                to: self.page.files.words(self.page.step(to).span),
                hours: day.minutes / 60.0,
            }
        };
        schedule.days.iter().map(day).collect()
    }

    fn spec(&self) -> Vec<SpecJson> {
        // What the work may take is between the smith and the shop.
        let lines =
            self.page.build.lines.iter().filter(|line| !(self.customer && line.test.what.of_the_build()));
        let lines = lines.map(|line| {
            let judged = line.judged.as_ref();
            let [_, asked, comes_to, _] = verdict(&self.page, &line.test, judged);
            let met = judged.is_some_and(|j| j.met);
            let target = self.page.target(line);
            let wanted = target.count.map(|(wanted, _)| wanted);
            SpecJson { piece: target.piece.clone(), wanted, asked, comes_to, met }
        });
        lines.collect()
    }
}

impl<'a> Answer for QuotePage<'a> {
    type Json = QuoteJson<'a>;
    const SCHEMA: &'static str = "heatbook-quote-2";

    fn text(&self, wide: usize) -> String {
        let (page, quote) = (&self.page, self.json());
        let mut text = String::new();
        let of = quote.order.map_or(String::new(), |order| format!(" {}", tame(order)));
        let _ = writeln!(text, "{}{of}", if self.customer { "offer" } else { "quote" });
        if !self.customer {
            let _ = writeln!(text, "recipe: {}", tame(page.name));
        }
        for (what, said) in [("asked for", quote.words), ("date", quote.date), ("delivery", quote.deliver)] {
            if let Some(said) = said {
                let _ = writeln!(text, "{what}: {}", tame(said));
            }
        }
        text += "\n";
        let rows = quote.spec.iter().map(|s| {
            let met = if s.met { "met" } else { "MISSED" };
            let mut row = vec![of_order(&s.piece, s.wanted), s.asked.clone()];
            if !self.customer {
                row.extend([s.comes_to.clone(), met.to_owned()]);
            }
            row
        });
        if !quote.spec.is_empty() {
            let head: &[&str] =
                if self.customer { &["piece", "as agreed"] } else { &["piece", "as agreed", "comes to", ""] };
            text += &table(head.iter().copied(), rows, head.len(), wide);
            text += "\n";
        }
        let mut rows: Vec<[String; 2]> = Vec::new();
        let mut row = |what: &str, amount: f64| rows.push([tame(what), page.money(amount)]);
        for line in &quote.lines {
            row(&line.what, line.amount);
        }
        row("price", quote.price);
        if let Some((share, amount)) = quote.tax_share.zip(quote.tax) {
            row(&format!("tax, {}", percent(share)), amount);
            row("to pay", quote.total);
        }
        if let Some((share, amount)) = quote.deposit_share.zip(quote.deposit) {
            row(&format!("deposit, {}, before the work begins", percent(share)), amount);
            row("on delivery", quote.rest);
        }
        text += &table(["", "amount"], rows.into_iter().map(Vec::from), 1, wide);
        let how = quote.lines.iter().filter(|line| !line.how.is_empty());
        let how: String = how.map(|line| format!("  {}: {}\n", tame(&line.what), line.how)).collect();
        if !how.is_empty() {
            let _ = write!(text, "\nhow it comes about\n{how}");
        }
        if !quote.days.is_empty() {
            let rows = quote.days.iter().enumerate().map(|(i, day)| {
                let when = day.date.clone().unwrap_or_else(|| format!("day {}", i + 1));
                let steps = if day.from_step == day.to_step {
                    format!("step {}", day.from_step)
                } else {
                    format!("steps {} to {}", day.from_step, day.to_step)
                };
                vec![when, hours(day.hours * 60.0), steps, day.to.clone()]
            });
            let days = show_count(quote.days.len() as u64, "day");
            let _ = writeln!(text, "\nthe work: {days}");
            text += &table(["", "hours", "", "as far as"], rows, 2, wide);
            if quote.late == Some(true) {
                let _ = writeln!(text, "{TOO_LATE}");
            }
        }
        text += "\n";
        for note in &quote.notes {
            let _ = writeln!(text, "{note}");
        }
        text
    }

    fn json(&self) -> QuoteJson<'a> {
        let (quote, order, shop) = (self.quote, self.order, &self.page.plan.ground.shop);
        let own = !self.customer;
        let part = |share: Option<(f64, f64)>| {
            share.map_or((None, None), |(share, amount)| (Some(share), Some(amount)))
        };
        let ((tax_share, tax), (deposit_share, deposit)) = (part(quote.tax), part(quote.deposit));
        QuoteJson {
            file: if own { self.page.name } else { "" },
            met: self.page.verdict.met,
            customer: self.customer,
            order: order.number.as_deref(),
            words: order.words.as_deref(),
            date: order.date.as_deref(),
            deliver: order.deliver.as_deref(),
            currency: shop.currency.map(|(sign, _)| sign),
            spec: self.spec(),
            lines: if own { self.lines() } else { Vec::new() },
            price: quote.price,
            tax_share,
            tax,
            total: quote.total,
            deposit_share,
            deposit,
            rest: cents(quote.total - deposit.unwrap_or(0.0)),
            unpriced: if own { quote.build.unpriced.clone() } else { Vec::new() },
            hours_a_day: self.schedule.filter(|_| own).map(|s| s.hours),
            days: self.days(),
            late: self.schedule.filter(|_| own).map(|s| s.late),
            notes: self.notes(),
        }
    }

    fn csv(&self) -> Option<Table> {
        Some(Table::of("what amount how", self.lines()))
    }
}
