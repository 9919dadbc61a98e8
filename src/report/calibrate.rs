//! A shop's own figures, with a block to paste.

use std::fmt::Write as _;

use schemars::JsonSchema;
use serde::Serialize;

use crate::forge::ToolKind;
use crate::quantity::{Kind, Units, show, show_count, trim_number};
use crate::study::{Aside, Calibration, Fitted};

use super::answer::{Answer, Table};
use super::tame::tame;

/// A shop's own figures.
pub struct CalibratePage<'a> {
    /// The figures.
    pub made: &'a Calibration,
    /// How many builds they are from.
    pub builds: usize,
    /// Where each reading stands that was set aside: file and line.
    pub aside: &'a [String],
    /// The file of the build that keeps the search from beginning.
    pub unworked: Option<&'a str>,
    /// The reader's units.
    pub units: Units,
}

#[derive(Serialize, JsonSchema)]
pub struct CalibrateJson {
    builds: usize,
    readings: usize,
    too_little: bool,
    /// The build that cannot be worked with any figures that the search begins with.
    unworked: Option<String>,
    figures: Vec<FittedJson>,
    /// How far readings lay from what was foretold, 1 being as near as a calliper can tell: with the figures as they are.
    before: Option<f64>,
    /// The same with these.
    after: Option<f64>,
    /// The same, each build foretold from the others.
    left_out: Option<f64>,
    /// Half of the band that holds a size at the end of the next build with 95 %: of thickness, mm; of width and length, as a share of it.
    next_thickness_mm: Option<f64>,
    next_width: Option<f64>,
    next_length: Option<f64>,
    /// Whether one scale for all heats was left out, as the builds are foretold no nearer with it.
    scale_no_better: bool,
    /// The heats that were measured: °C out of the fire, and minutes each, in it and at the work.
    heats_c: Option<[f64; 2]>,
    heats_min: Option<[f64; 2]>,
    /// Readings that were set aside.
    aside: Vec<AsideJson>,
    /// What to paste into a recipe; nothing where that would not foretell the next build any better.
    shop: Option<String>,
}

#[derive(Serialize, JsonSchema)]
pub struct AsideJson {
    place: String,
    what: &'static str,
    /// mm, or g.
    foretold: f64,
    read: f64,
}

/// A figure, and half of the interval that holds it with 95 %; nothing where the readings do not tell it.
#[derive(Serialize, JsonSchema)]
pub struct FittedJson {
    figure: &'static str,
    tool: Option<&'static str>,
    unit: &'static str,
    value: Option<f64>,
    half: Option<f64>,
}

impl Answer for CalibratePage<'_> {
    type Json = CalibrateJson;
    const SCHEMA: &'static str = "heatbook-calibrate-4";

    fn text(&self, _: usize) -> String {
        let CalibratePage { made, builds, units, .. } = *self;
        let readings = show_count(made.readings as u64, "reading");
        let mut text = format!("from {} and {readings}\n", show_count(builds as u64, "build"));
        if let Some(file) = self.unworked {
            let _ = writeln!(
                text,
                "`{}` cannot be worked with any of the figures that the search begins with (0.7 to 2 times the spread of the published law, 0.05 mm of scale), so nothing is fitted: leave it out, or see what `heatbook check` says of its recipe without the shop's `spread` and `scale`",
                tame(file)
            );
            return text;
        }
        if made.too_little {
            text += "that is too little to tell anything: measure thickness, width and length after welds and draws, in several builds\n";
            return text;
        }
        for aside in self.asides() {
            let kind = if aside.what == "mass" { Kind::MASS } else { Kind::LENGTH };
            let (read, foretold) = (show(aside.read, kind, units), show(aside.foretold, kind, units));
            let _ = writeln!(
                text,
                "set aside: {}, {} {read}, foretold {foretold}: more than 8 times as far off as the others, and more than a tenth of spread and scale would make; look for a slip",
                aside.place, aside.what
            );
        }
        let [scale, thinning, grinding] = made.others();
        let mm = |v: f64| show(v, Kind::LENGTH, units);
        let told = |name: &str, figure: Option<Fitted>, shown: &dyn Fn(f64) -> String| match figure {
            Some(f) => format!("  {name}: {} +- {}\n", shown(f.value), shown(f.half)),
            None => format!("  {name}: cannot be told from these readings\n"),
        };
        let spreads: Vec<_> = made.spreads().collect();
        if spreads.is_empty() {
            text += &told("spread", None, &percent);
        }
        for (tool, figure) in &spreads {
            text += &told(
                &format!("spread with {}, of the published law's", tool.word()),
                Some(*figure),
                &percent,
            );
        }
        text += &if made.scale_no_better {
            "  scale: one figure for all heats foretells the builds no nearer than the recipe's own\n"
                .to_owned()
        } else {
            told("scale, off each face and heat", scale, &mm)
        };
        text += &told("welds thinner than asked, of the stack", thinning, &|v| {
            format!("{} %", trim_number(v * 100.0, 2))
        });
        text += &told("ground more than asked, each side", grinding, &mm);
        text += "+- holds the figure with 95 %\n";
        match (self.shop(), made.better()) {
            (Some(shop), _) => {
                let _ = writeln!(text, "\nto paste into the recipe's shop:\n{shop}");
            }
            (None, Some(false)) => {
                text += "\nnothing to paste: each build is foretold worse from the others than by the figures as they are\n";
            }
            (None, _) => text += "\nnothing to paste: these readings do not tell any figure closely enough\n",
        }
        if let Some(f) = thinning.filter(|f| f.value.abs() > f.half) {
            let word = if f.value > 0.0 { "thinner" } else { "thicker" };
            let come = format!("your welds come out {} % {word}", trim_number(f.value.abs() * 100.0, 1));
            let _ = writeln!(text, "{come} than asked: ask for that much less or more");
        }
        if let Some(f) = grinding.filter(|f| f.value.abs() > f.half) {
            let word = if f.value > 0.0 { "more" } else { "less" };
            let by = mm(f.value.abs());
            let _ = writeln!(text, "you grind {by} {word} off each side than the recipe says");
        }
        if let (Some(before), Some(after)) = (made.before, made.after) {
            let (before, after) = (trim_number(before, 2), trim_number(after, 2));
            text += "\nhow far readings lay from what was foretold (1: as near as a calliper can tell): ";
            let _ = writeln!(text, "{before} with the figures as they are, {after} with these");
        }
        if let (Some(before), Some(left)) = (made.before.filter(|b| *b > 0.0), made.left_out) {
            let better = 100.0 * (1.0 - left / before);
            let word = if better >= 0.0 { "nearer" } else { "further off" };
            let (left, better) = (trim_number(left, 2), trim_number(better.abs(), 0));
            let _ = writeln!(
                text,
                "each build foretold from the others: {left} ({better} % {word} than as they are)"
            );
            let [thickness, width, length, _] = made.next;
            let share = |what: &str, band: Option<f64>| Some(format!("{what} within {}", percent(band?)));
            let thickness = thickness.map(|band| format!("thickness within {}", mm(band)));
            let bands = [thickness, share("width", width), share("length", length)];
            let bands: Vec<String> = bands.into_iter().flatten().collect();
            if !bands.is_empty() && made.better() == Some(true) {
                let _ = writeln!(
                    text,
                    "at the end of the next build like these, 95 % of the sizes: {}",
                    bands.join(", ")
                );
            }
        } else {
            text += "with so few readings it cannot be shown whether the next build is foretold any better\n";
        }
        text
    }

    fn json(&self) -> CalibrateJson {
        let made = self.made;
        let [thickness, width, length, _] = made.next;
        CalibrateJson {
            builds: self.builds,
            readings: made.readings,
            too_little: made.too_little,
            unworked: self.unworked.map(str::to_owned),
            figures: self.figures(),
            before: made.before,
            after: made.after,
            left_out: made.left_out,
            next_thickness_mm: thickness,
            next_width: width,
            next_length: length,
            scale_no_better: made.scale_no_better,
            heats_c: made.heats.map(|[(low, high), _]| [low, high]),
            heats_min: made.heats.map(|[_, (low, high)]| [low, high]),
            aside: self.asides(),
            shop: self.shop(),
        }
    }

    fn csv(&self) -> Option<Table> {
        Some(Table::of("figure tool unit value half", self.figures()))
    }
}

fn percent(share: f64) -> String {
    format!("{} %", trim_number(share * 100.0, 1))
}

impl CalibratePage<'_> {
    fn figures(&self) -> Vec<FittedJson> {
        let fitted = |figure, tool, unit, fitted: Option<Fitted>| {
            let (value, half) = (fitted.map(|f| f.value), fitted.map(|f| f.half));
            FittedJson { figure, tool, unit, value, half }
        };
        let spreads = self
            .made
            .spreads()
            .map(|(tool, f)| fitted("spread_factor", Some(tool.word()), "fraction", Some(f)));
        let others = [("scale", "mm"), ("thinning", "fraction"), ("grinding", "mm")];
        let others = others.into_iter().zip(self.made.others());
        spreads.chain(others.map(|((figure, unit), f)| fitted(figure, None, unit, f))).collect()
    }

    /// In which heats the scale was measured, as a comment: it holds for those.
    fn measured_in(&self) -> String {
        let Some([(cold, hot), (short, long)]) = self.made.heats else { return String::new() };
        let at = |c: f64| show(c, Kind::TEMPERATURE, self.units);
        let temperatures = if at(cold) == at(hot) { at(hot) } else { format!("{} to {}", at(cold), at(hot)) };
        let minutes = |min: f64| trim_number(min, 0);
        let minutes = if minutes(short) == minutes(long) {
            minutes(long)
        } else {
            format!("{} to {}", minutes(short), minutes(long))
        };
        format!(
            "  # measured in heats at {temperatures}, {minutes} min each with the work; for others it is not known\n"
        )
    }

    fn asides(&self) -> Vec<AsideJson> {
        let words = ["thickness", "width", "length", "mass"];
        let told = |(aside, place): (&Aside, &String)| {
            let what = words.get(aside.what).copied()?;
            Some(AsideJson { place: place.clone(), what, foretold: aside.foretold, read: aside.read })
        };
        self.made.aside.iter().zip(self.aside).filter_map(told).collect()
    }

    /// The shop's entries that the readings tell, and by which the next build is foretold better.
    fn shop(&self) -> Option<String> {
        if self.made.better() == Some(false) {
            return None;
        }
        let spread =
            |(tool, f): (ToolKind, Fitted)| format!("  spread {} with {}", percent(f.value), tool.word());
        let scale = self.made.known_scale().map(|f| {
            let (figure, unit) = match self.units {
                Units::Metric => (trim_number(f.value, 3), "mm"),
                Units::Inch => (trim_number(f.value / 25.4, 5), "in"),
            };
            format!("{}  scale {figure} {unit} per heat", self.measured_in())
        });
        let lines: Vec<String> = self.made.known_spreads().map(spread).chain(scale).collect();
        (!lines.is_empty()).then(|| format!("shop {{\n{}\n}}", lines.join("\n")))
    }
}
