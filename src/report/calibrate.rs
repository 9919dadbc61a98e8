//! A shop's own figures, with a block to paste.

use std::fmt::Write as _;

use crate::quantity::{Kind, Units, show, trim_number};
use crate::study::{Calibration, Fitted};

/// The calibration as text.
#[must_use]
pub fn calibrate_text(made: &Calibration, builds: usize, units: Units) -> String {
    let mut text = format!(
        "from {} and {}\n",
        crate::quantity::show_count(builds as u64, "build"),
        crate::quantity::show_count(made.readings as u64, "reading")
    );
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
    let lines: Vec<String> = spreads
        .iter()
        .map(|(tool, f)| format!("  spread {} with {}", trim_number(f.value, 3), tool.word()))
        .chain(scale.map(|f| format!("  scale {} mm per heat", trim_number(f.value, 4))))
        .collect();
    if !lines.is_empty() {
        let _ = writeln!(text, "\nto paste into the recipe's shop:\nshop {{\n{}\n}}", lines.join("\n"));
    }
    if let Some(f) = thinning.filter(|f| f.value.abs() > f.half) {
        let word = if f.value > 0.0 { "thinner" } else { "thicker" };
        let _ = writeln!(
            text,
            "your welds come out {} % {word} than asked: ask for that much less or more",
            trim_number(f.value.abs() * 100.0, 1)
        );
    }
    if let Some(f) = grinding.filter(|f| f.value.abs() > f.half) {
        let word = if f.value > 0.0 { "more" } else { "less" };
        let _ = writeln!(text, "you grind {} {word} off each side than the recipe says", mm(f.value.abs()));
    }
    let _ = writeln!(
        text,
        "\nhow far readings lay from what was foretold (1: as near as a calliper can tell): {} with the figures as they are, {} with these",
        trim_number(made.before, 2),
        trim_number(made.after, 2)
    );
    if let Some(left) = made.left_out {
        let better = 100.0 * (1.0 - left / made.before);
        let _ = writeln!(
            text,
            "each build foretold from the others: {} ({} % {} than as they are)",
            trim_number(left, 2),
            trim_number(better.abs(), 0),
            if better >= 0.0 { "nearer" } else { "further off" }
        );
    } else {
        text += "with so few readings it cannot be shown whether the next build is foretold any better\n";
    }
    text
}
