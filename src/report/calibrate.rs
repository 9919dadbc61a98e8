//! A shop's own figures, with a block to paste.

use std::fmt::Write as _;

use schemars::JsonSchema;
use serde::Serialize;

use crate::forge::ToolKind;
use crate::quantity::{Kind, Units, show, show_count, trim_number};
use crate::study::{Calibration, Fitted};

use super::answer::{Answer, Table};

/// A shop's own figures.
pub struct CalibratePage<'a> {
    /// The figures.
    pub made: &'a Calibration,
    /// How many builds they are from.
    pub builds: usize,
    /// The reader's units.
    pub units: Units,
}

#[derive(Serialize, JsonSchema)]
pub struct CalibrateJson {
    builds: usize,
    readings: usize,
    too_little: bool,
    figures: Vec<FittedJson>,
    /// How far readings lay from what was foretold, 1 being as near as a calliper can tell: with the figures as they are.
    before: Option<f64>,
    /// The same with these.
    after: Option<f64>,
    /// The same, each build foretold from the others.
    left_out: Option<f64>,
    /// What to paste into a recipe.
    shop: Option<String>,
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
    const SCHEMA: &'static str = "heatbook-calibrate-1";

    fn text(&self, _: usize) -> String {
        let CalibratePage { made, builds, units } = *self;
        let readings = show_count(made.readings as u64, "reading");
        let mut text = format!("from {} and {readings}\n", show_count(builds as u64, "build"));
        if made.too_little {
            text += "that is too little to tell anything: measure thickness, width and length after welds and draws, in several builds\n";
            return text;
        }
        let [scale, thinning, grinding] = made.others();
        let mm = |v: f64| show(v, Kind::LENGTH, units);
        let told = |name: &str, figure: Option<Fitted>, shown: &dyn Fn(f64) -> String| match figure {
            Some(f) => format!("  {name}: {} +- {}\n", shown(f.value), shown(f.half)),
            None => format!("  {name}: cannot be told from these readings\n"),
        };
        let spreads: Vec<_> = made.spreads().collect();
        if spreads.is_empty() {
            text += &told("spread", None, &|v| trim_number(v, 3));
        }
        for (tool, figure) in &spreads {
            text += &told(&format!("spread with {}", tool.word()), Some(*figure), &|v| trim_number(v, 3));
        }
        text += &told("scale, off each face and heat", scale, &mm);
        text += &told("welds thinner than asked, of the stack", thinning, &|v| {
            format!("{} %", trim_number(v * 100.0, 2))
        });
        text += &told("ground more than asked, each side", grinding, &mm);
        text += "+- holds the figure with 95 %\n";
        if let Some(shop) = self.shop() {
            let _ = writeln!(text, "\nto paste into the recipe's shop:\n{shop}");
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
        } else {
            text += "with so few readings it cannot be shown whether the next build is foretold any better\n";
        }
        text
    }

    fn json(&self) -> CalibrateJson {
        let made = self.made;
        CalibrateJson {
            builds: self.builds,
            readings: made.readings,
            too_little: made.too_little,
            figures: self.figures(),
            before: made.before,
            after: made.after,
            left_out: made.left_out,
            shop: self.shop(),
        }
    }

    fn csv(&self) -> Option<Table> {
        Some(Table::of("figure tool unit value half", self.figures()))
    }
}

impl CalibratePage<'_> {
    fn figures(&self) -> Vec<FittedJson> {
        let fitted = |figure, tool, unit, fitted: Option<Fitted>| {
            let (value, half) = (fitted.map(|f| f.value), fitted.map(|f| f.half));
            FittedJson { figure, tool, unit, value, half }
        };
        let spreads = self.made.spreads().map(|(tool, f)| fitted("spread", Some(tool.word()), "", Some(f)));
        let others = [("scale", "mm"), ("thinning", "fraction"), ("grinding", "mm")];
        let others = others.into_iter().zip(self.made.others());
        spreads.chain(others.map(|((figure, unit), f)| fitted(figure, None, unit, f))).collect()
    }

    /// The shop's entries that the readings tell.
    fn shop(&self) -> Option<String> {
        let [scale, ..] = self.made.others();
        let spread = |(tool, f): (ToolKind, Fitted)| {
            format!("  spread {} with {}", trim_number(f.value, 3), tool.word())
        };
        let scale = scale.map(|f| format!("  scale {} mm per heat", trim_number(f.value, 4)));
        let lines: Vec<String> = self.made.spreads().map(spread).chain(scale).collect();
        (!lines.is_empty()).then(|| format!("shop {{\n{}\n}}", lines.join("\n")))
    }
}
