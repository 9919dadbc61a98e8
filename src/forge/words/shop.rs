//! The shop: its fire, its machine, and its own constants. What it does not state takes a default.

use crate::piece::SteelId;
use crate::quantity::{
    Force, Kind, LB, Length, Mass, Number, Q, Ratio, Temperature, Time, Values, trim_number, two_digits,
};
use crate::source::{Code, Diagnostic, Span};

use crate::forge::words::args::wrong_kind;
use crate::forge::words::args::{Arg, Slot};
use crate::forge::words::tool_kind::ToolKind;
use crate::vocabulary::{Sort, Term};

/// What a forge burns.
pub const FUELS: &[&str] = &["gas", "coal", "coke", "charcoal", "electric"];

/// What burns, as far as the skin goes.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Fire {
    /// Nothing said.
    #[default]
    Neutral,
    /// Rich in air.
    Oxidising,
    /// Rich in fuel.
    Reducing,
}

/// How the shop states its scale.
#[derive(Clone, Copy, Debug, Default)]
pub enum Scale {
    /// By common practice and the oxidation law.
    #[default]
    Law,
    /// So much off every face, each heat.
    Skin(Q<Length>),
    /// So much of the volume, each heat.
    Share(Q<Ratio>),
    /// None.
    None,
}

/// What kind of machine.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum MachineKind {
    /// A hydraulic press.
    Press,
    /// A power hammer.
    PowerHammer,
    /// A hand hammer.
    Hammer,
    /// A rolling mill.
    Rolls,
}

/// A machine of the shop.
#[derive(Clone, Copy, Debug)]
pub struct Machine {
    /// What it is.
    pub kind: MachineKind,
    /// Rated force of a press.
    pub force: Option<Q<Force>>,
    /// Ram or head of a hammer.
    pub ram: Option<Q<Mass>>,
    /// The tallest piece that fits into a press.
    pub opening: Option<Q<Length>>,
    /// Width of the die along the bar, face of a hammer, or diameter of the rolls.
    pub tool: Option<Q<Length>>,
    /// Strokes or blows a minute.
    pub rate: Option<Q<Number>>,
    /// The words.
    pub span: Span,
}

/// What a price of steel is for.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Per {
    /// So many grams.
    Grams(f64),
    /// One bar of stock.
    Bar,
}

/// The signs of currencies, in which a shop may write its prices.
pub const CURRENCIES: &[&str] = &["$", "€", "£"];

/// What the shop states.
#[derive(Debug, Default)]
pub struct Shop {
    /// The forge's temperature.
    pub forge: Option<Q<Temperature>>,
    /// The forge's fire.
    pub fire: Fire,
    /// How much of a bar its fire heats at a time.
    pub hot_zone: Option<Q<Length>>,
    /// How much of a bar the tongs cover: it is not worked in that heat.
    pub tongs: Option<Q<Length>>,
    /// What the fire burns in an hour.
    pub fuel: Option<Q<Mass>>,
    /// What it burns, as written.
    pub burns: Option<&'static str>,
    /// What steel costs: the steel, a price, and what it is for.
    pub steel_prices: Vec<(SteelId, Q<Number>, Per)>,
    /// The sign of the currency, and whether it stands before its figure.
    pub currency: Option<(&'static str, bool)>,
    /// Minutes before and behind the work of a job.
    pub set_up: Option<Q<Time>>,
    /// Minutes that a step takes that is worked cold, sawing and grinding apart.
    pub handling: Option<Q<Time>>,
    /// Minutes that somebody stands by for a quench or a temper.
    pub treatment: Option<Q<Time>>,
    /// Steel that the grinder takes in a minute.
    pub grinding: Option<Q<Mass>>,
    /// The recipe's own steels, each with the one that it is like.
    pub like: Vec<(SteelId, SteelId)>,
    /// What an hour costs.
    pub hour_price: Option<Q<Number>>,
    /// What an hour's fuel costs.
    pub fuel_price: Option<Q<Number>>,
    /// Of how many grams of fuel that is the price, where it goes by weight: an hour burns what `fuel` states.
    pub fuel_grams: Option<f64>,
    /// What each build costs besides: for what, and how much.
    pub costs: Vec<(String, Q<Number>)>,
    /// What is laid on all that it costs.
    pub margin: Option<Q<Ratio>>,
    /// What is owed to others of the price.
    pub tax: Option<Q<Ratio>>,
    /// What is asked before the work begins, of the whole.
    pub deposit: Option<Q<Ratio>>,
    /// Hours that are worked in a day.
    pub hours_a_day: Option<Q<Number>>,
    /// Its scale.
    pub scale: Scale,
    /// Its saw.
    pub kerf: Option<Q<Length>>,
    /// Its own spread coefficient, for tools across the bar.
    pub spread: Option<Q<Number>>,
    /// Its own spread coefficient for each tool, by the order of [`ToolKind::ALL`].
    pub spreads: [Option<Q<Number>>; 5],
    /// What its spread is of the published law's, for tools across the bar.
    pub spread_factor: Option<Q<Ratio>>,
    /// The same of each tool.
    pub spread_factors: [Option<Q<Ratio>>; 5],
    /// Its machines; the first is used where a step names none.
    pub machines: Vec<Machine>,
}

/// One entry of a shop block: its first word, and what stands behind it.
#[derive(Clone, Debug)]
pub struct Entry {
    /// `forge`, `press`, `kerf` …
    pub word: &'static str,
    /// The words of the whole entry.
    pub span: Span,
    /// Words and figures, in order.
    pub args: Vec<Arg>,
}

impl Entry {
    fn slots(&self) -> impl Iterator<Item = Slot> + '_ {
        self.args.iter().filter_map(|a| if let Arg::Slot(s) = a { Some(*s) } else { None })
    }

    /// What is wrong with its figures as they are written: a machine, a zone or a price that cannot be.
    ///
    /// What a step checks itself, such as the kerf, is left to the step; so is what is not known yet.
    #[must_use]
    pub fn unsound(&self, value: impl Fn(Slot) -> f64) -> Option<Diagnostic> {
        let (nothing, checked) = match self.word {
            "tongs" | "fuel" | "price" | "cost" | "margin" | "tax" | "deposit" | "set up" | "handling"
            | "heat treatment" => (true, false),
            "forge" | "kerf" | "scale" | "spread" => (true, true),
            _ => (false, false),
        };
        if checked {
            return None;
        }
        // More than that no arm swings (common practice).
        const ARM_G: f64 = 10_000.0;
        if let Some(heavy) = self.slots().next().filter(|slot| self.word == "hammer" && value(*slot) > ARM_G)
        {
            let fault =
                Code::NoSize.says("no arm swings so heavy a hammer").at(heavy.span, "of a hand hammer");
            return Some(fault.help("write `power hammer` before its weight, where a machine lifts it"));
        }
        let most = match self.word {
            "deposit" => Some((1.0, "a deposit is at most the whole of it", "100 %")),
            "hours" => Some((24.0, "a day has no more than 24 hours", "24")),
            _ => None,
        };
        if let Some((most, why, write)) = most
            && let Some(slot) = self.slots().find(|slot| value(*slot) > most)
        {
            let fault = Code::NoSize.says(why).at(slot.span, "this is more");
            return Some(fault.help(format!("write {write} or less")));
        }
        let bad = |v: f64| v < 0.0 || (v == 0.0 && !nothing);
        let slot = self.slots().find(|s| bad(value(*s)))?;
        Some(if nothing {
            Code::Negative
                .says("this figure cannot be below nothing")
                .at(slot.span, "it is negative")
                .help("write it without the minus")
        } else {
            let message = format!("a figure of `{}` must be above nothing", self.word);
            Diagnostic::new(Code::NoSize, message, slot.span, "this is nothing, or less")
                .help("write what stands on the machine, or leave the entry out")
        })
    }

    fn says(&self, word: &str) -> bool {
        self.args.iter().any(|a| matches!(a, Arg::Word(w, _) if *w == word))
    }
}

const fn stated(word: &'static str, form: &'static str, doc: &'static str) -> Term {
    Term::new(word, Sort::Entry).told(form, doc)
}

/// Every entry that a shop block takes.
pub const ENTRIES: &[Term] = &[
    stated(
        "forge",
        "forge gas, 1200 C",
        "what the forge burns, how hot it is, and whether its fire is oxidising or reducing",
    ),
    stated("hot zone", "hot zone 250 mm", "how much of a bar the fire heats at a time"),
    stated("tongs", "tongs 50 mm", "how much of a bar the tongs cover: it is not worked in that heat"),
    stated("fuel", "fuel 0.7 kg per hour", "what the fire burns in an hour"),
    stated(
        "price",
        "price of 1084 9 per kg",
        "what steel, an hour, or an hour's fuel costs, in whatever currency: also `price of 1084 $4 per lb`, `price of 1084 €12 per bar`, `price of labour 40`, and of fuel by its weight, `price of coal $0.40 per lb`, where `fuel` says how much an hour burns",
    ),
    stated("set up", "set up 40 min", "minutes before and behind the work of a job: cutting stock, lighting the forge, sweeping"),
    stated("handling", "handling 5 min", "minutes for each step that is worked cold, such as to stack, wire, saw or mark out"),
    stated("heat treatment", "heat treatment 30 min", "minutes that somebody stands by for each quench and each temper"),
    stated(
        "cost",
        "cost \"belts\" 12",
        "what each build costs besides steel, hours and fuel, on a line of its own: belts, flux, etchant, fittings, a sheath",
    ),
    stated("margin", "margin 25 %", "what a quote lays on all that the build costs"),
    stated("tax", "tax 20 %", "what a quote adds to the price for the state"),
    stated("deposit", "deposit 50 %", "the share of the whole that is asked before the work begins"),
    stated("hours", "hours 6 per day", "how long a day's work is, for the days of a quote"),
    stated("grinding", "grinding 30 g per min", "steel that the grinder takes in a minute, bevels too"),
    stated(
        "press",
        "press 25 tonf, flat die 40 mm, 15 strokes per min",
        "a press: its force, and perhaps its die, its opening and its strokes a minute",
    ),
    stated(
        "power hammer",
        "power hammer 40 kg, 180 blows per min",
        "a power hammer: the weight of its ram, and perhaps its die and its blows a minute",
    ),
    stated(
        "hammer",
        "hammer 1.5 kg, 40 blows per min",
        "a hand hammer: its weight, and perhaps its face and its blows a minute",
    ),
    stated("rolls", "rolls 120 mm", "a rolling mill: the diameter of its rolls"),
    stated("kerf", "kerf 2 mm", "what the saw takes with each cut").reserved(),
    stated(
        "scale",
        "scale 0.05 mm per heat",
        "the skin that a heat takes off every face, or the share of the bar, or `none`",
    ),
    stated(
        "spread",
        "spread 0.45",
        "the shop's own spread coefficient, for tools across the bar, or what it is of the published law's, as in `spread 90 %`; or of one tool, as in `spread 0.6 with peen`",
    )
    .reserved(),
];

impl Shop {
    /// The price of a steel, what it is for, and the steel that it is stated for: one of the recipe's own costs as
    /// much as what it is like, where it has no price itself.
    #[must_use]
    pub fn price_of(&self, steel: SteelId) -> Option<(Q<Number>, Per, SteelId)> {
        let mut asked = steel;
        // A steel is like one that stood before it: each is come to once.
        for _ in 0..=self.like.len() {
            if let Some((_, price, per)) = self.steel_prices.iter().find(|(id, ..)| *id == asked) {
                return Some((*price, *per, asked));
            }
            (_, asked) = *self.like.iter().find(|(own, _)| *own == asked)?;
        }
        None
    }

    /// What an hour's fuel costs: as stated, or by the weight that an hour burns; nothing where one of the two is not stated.
    #[must_use]
    pub fn an_hours_fuel(&self, values: &Values) -> Option<f64> {
        let price = values.get(self.fuel_price?);
        match self.fuel_grams {
            None => Some(price),
            Some(grams) => Some(price * values.get(self.fuel?) / grams),
        }
    }

    /// The entry that the price of fuel still lacks.
    #[must_use]
    pub fn fuel_lacks(&self) -> &'static str {
        if self.fuel_grams.is_some() { "fuel 0.7 kg per hour" } else { "price of gas 6 per hour" }
    }

    /// An amount of money, in the currency that its prices are written in.
    #[must_use]
    pub fn money(&self, amount: f64) -> String {
        match self.currency {
            Some((sign, true)) => format!("{sign}{amount:.2}"),
            Some((sign, false)) => format!("{amount:.2} {sign}"),
            None => trim_number(amount, 2),
        }
    }

    /// An amount of money that hours or fuel are in, which are known to two digits.
    #[must_use]
    pub fn about(&self, amount: f64) -> String {
        let amount = two_digits(amount);
        if amount.abs() < 1.0 {
            return self.money(amount);
        }
        match self.currency {
            Some((sign, true)) => format!("{sign}{amount:.0}"),
            Some((sign, false)) => format!("{amount:.0} {sign}"),
            None => trim_number(amount, 0),
        }
    }

    /// Whether it states what anything costs.
    #[must_use]
    pub fn prices_any(&self) -> bool {
        !self.steel_prices.is_empty() || self.hour_price.is_some() || self.fuel_price.is_some()
    }

    /// Reads one entry; what is wrong with it goes to `faults`.
    pub fn enter(&mut self, entry: &Entry, faults: &mut Vec<Diagnostic>) {
        match entry.word {
            "forge" => self.forge(entry, faults),
            "hot zone" => self.hot_zone = first(entry, faults),
            "tongs" => self.tongs = first(entry, faults),
            "fuel" => self.fuel = first(entry, faults),
            "price" => self.price(entry, faults),
            "set up" => self.set_up = first(entry, faults),
            "handling" => self.handling = first(entry, faults),
            "heat treatment" => self.treatment = first(entry, faults),
            "grinding" => self.grinding = first(entry, faults),
            "cost" => self.cost(entry, faults),
            "margin" => self.margin = first(entry, faults),
            "tax" => self.tax = first(entry, faults),
            "deposit" => self.deposit = first(entry, faults),
            "hours" => self.hours_a_day = first(entry, faults),
            "kerf" => self.kerf = first(entry, faults),
            "spread" => {
                let of = ToolKind::ALL.into_iter().find(|k| entry.says(k.word()));
                if entry.slots().any(|slot| slot.kind == Kind::RATIO) {
                    let place = of.and_then(|k| self.spread_factors.get_mut(k.index()));
                    *place.unwrap_or(&mut self.spread_factor) = first(entry, faults);
                    return;
                }
                let place = of.and_then(|k| self.spreads.get_mut(k.index()));
                *place.unwrap_or(&mut self.spread) = first(entry, faults);
            }
            "scale" => self.scale(entry, faults),
            "press" => self.machine(MachineKind::Press, entry, faults),
            "power hammer" => self.machine(MachineKind::PowerHammer, entry, faults),
            "hammer" => self.machine(MachineKind::Hammer, entry, faults),
            "rolls" => self.machine(MachineKind::Rolls, entry, faults),
            _ => {}
        }
    }

    fn price(&mut self, entry: &Entry, faults: &mut Vec<Diagnostic>) {
        let price = first(entry, faults);
        self.currency(entry, faults);
        let steel = entry.args.iter().find_map(|a| if let Arg::Steel(id) = a { Some(*id) } else { None });
        // Grams in a unit of weight: international pound of 1959.
        let units = [("lb", LB), ("oz", LB / 16.0), ("g", 1.0), ("kg", 1000.0)];
        let weight = units.into_iter().find(|(unit, _)| entry.says(unit)).map(|(_, grams)| grams);
        if let (Some(steel), Some(price)) = (steel, price) {
            let per = if entry.says("bar") { Per::Bar } else { Per::Grams(weight.unwrap_or(1000.0)) };
            self.steel_prices.push((steel, price, per));
        } else if ["an hour", "labour", "labor"].iter().any(|word| entry.says(word)) {
            self.hour_price = price;
        } else if steel.is_none() {
            self.fuel_price = price;
            self.fuel_grams = weight;
        }
    }

    fn cost(&mut self, entry: &Entry, faults: &mut Vec<Diagnostic>) {
        let price = first(entry, faults);
        self.currency(entry, faults);
        let what = entry.args.iter().find_map(|a| if let Arg::Text(what) = a { Some(what) } else { None });
        self.costs.extend(what.map(|what| what.text.clone()).zip(price));
    }

    /// All prices are in one currency: what it is called need not be said.
    fn currency(&mut self, entry: &Entry, faults: &mut Vec<Diagnostic>) {
        let figure = entry.slots().next().map(|slot| slot.span.start);
        for arg in &entry.args {
            let Arg::Word(sign, at) = arg else { continue };
            if !CURRENCIES.contains(sign) {
                continue;
            }
            match self.currency {
                Some((before, _)) if before != *sign => faults.push(
                    Code::TwoCurrencies
                        .says(format!("prices in `{sign}` and `{before}` cannot be added up"))
                        .at(*at, format!("the prices before it are in `{before}`"))
                        .help("write all prices of a shop in one currency"),
                ),
                _ => self.currency = Some((sign, figure.is_some_and(|figure| at.start < figure))),
            }
        }
    }

    fn forge(&mut self, entry: &Entry, faults: &mut Vec<Diagnostic>) {
        self.forge = entry.slots().next().and_then(|s| typed(s, "forge", faults));
        self.burns = FUELS.iter().copied().find(|fuel| entry.says(fuel));
        if entry.says("oxidising") {
            self.fire = Fire::Oxidising;
        } else if entry.says("reducing") {
            self.fire = Fire::Reducing;
        }
    }

    fn scale(&mut self, entry: &Entry, faults: &mut Vec<Diagnostic>) {
        self.scale = match entry.slots().next() {
            None => Scale::None,
            Some(slot) if slot.kind == Kind::RATIO => {
                Q::of(slot.slot, slot.kind).map_or(Scale::Law, Scale::Share)
            }
            Some(slot) => typed(slot, "scale", faults).map_or(Scale::Law, Scale::Skin),
        };
    }

    fn machine(&mut self, kind: MachineKind, entry: &Entry, faults: &mut Vec<Diagnostic>) {
        let mut machine =
            Machine { kind, force: None, ram: None, opening: None, tool: None, rate: None, span: entry.span };
        // What the next figure is of; the first is of the machine itself.
        let mut of = entry.word;
        for arg in &entry.args {
            let slot = match arg {
                Arg::Word(word, _) => {
                    of = word;
                    continue;
                }
                Arg::Slot(slot) => *slot,
                _ => continue,
            };
            match (of, kind) {
                ("opening", _) => machine.opening = typed(slot, of, faults),
                ("strokes", _) => machine.rate = typed(slot, of, faults),
                ("flat die" | "face", _) | (_, MachineKind::Rolls) => machine.tool = typed(slot, of, faults),
                (_, MachineKind::Press) => machine.force = typed(slot, of, faults),
                (_, MachineKind::Hammer | MachineKind::PowerHammer) => machine.ram = typed(slot, of, faults),
            }
        }
        self.machines.push(machine);
    }

    /// The machine that a step uses where it names no tool.
    #[must_use]
    pub fn machine_of(&self, kind: Option<MachineKind>) -> Option<&Machine> {
        match kind {
            None => self.machines.first(),
            Some(kind) => self.machines.iter().find(|m| m.kind == kind),
        }
    }
}

fn typed<K: crate::quantity::KindOf>(slot: Slot, of: &str, faults: &mut Vec<Diagnostic>) -> Option<Q<K>> {
    let q = Q::of(slot.slot, slot.kind);
    if q.is_none() {
        faults.push(wrong_kind(slot, K::KIND, of));
    }
    q
}

fn first<K: crate::quantity::KindOf>(entry: &Entry, faults: &mut Vec<Diagnostic>) -> Option<Q<K>> {
    entry.slots().next().and_then(|s| typed(s, entry.word, faults))
}
