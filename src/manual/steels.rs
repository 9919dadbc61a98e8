//! The pages of steels and of laws: what the tables of `steel` know of each.

use super::codes::codes;
use super::page::{Broken, Example, Page, Part, Topic};
use super::sample::Sample;
use crate::quantity::{significant, trim_number};
use crate::steel::catalogue::law::{Input, Law};
use crate::steel::grades::window;
use crate::steel::grades::window::Limit;
use crate::steel::grades::{self, Grade};
use crate::steel::laws::solidus;
use crate::steel::mark::Mark;

/// A page for each steel of the table.
pub fn grades() -> Vec<Page> {
    grades::all().iter().map(grade).collect()
}

fn grade(grade: &Grade) -> Page {
    let mut page = Page::new(Topic::Steel, &grade.name, &grade.designation);
    page.also = grade.names().skip(1).filter(|n| *n != grade.name).map(str::to_owned).collect();
    page.fact("also", grade.aliases.join(", "));
    page.fact("standard", &grade.standard);
    let contents = grade.composition.listed().map(|(e, v)| format!("{e} {}", trim_number(v, 3)));
    page.fact("nominal", format!("{} % by weight", contents.collect::<Vec<_>>().join(", ")));
    let limits = grade.limits.iter().filter_map(|(element, l)| {
        let figure = |v: f64| trim_number(v, 3);
        Some(match (l.min, l.max) {
            (Some(min), Some(max)) => format!("{element} {} to {}", figure(min), figure(max)),
            (None, Some(max)) => format!("{element} up to {}", figure(max)),
            (Some(min), None) => format!("{element} from {}", figure(min)),
            (None, None) => return None,
        })
    });
    page.fact("limits", limits.collect::<Vec<_>>().join(", "));
    page.fact("how sure", &grade.composition_mark);
    page.fact("density", format!("{} kg/m3 ({})", trim_number(grade.density_kg_m3, 1), grade.density_mark));
    let window = window::of(grade);
    page.fact("forge up to", shown(window.highest));
    page.fact("forge down to", shown(window.lowest));
    page.fact("may burn from", shown(window.burning));
    let melts = solidus::of_c(&grade.composition);
    if melts.is_finite() {
        page.fact("melts from", format!("about {} C", significant(melts, 3)));
    }
    page.fact("source", &grade.source);
    page.fact("note", &grade.note);
    page.codes = codes().iter().filter(|c| c.comes_from_place("steels")).collect();
    let word = crate::study::grade(grade);
    page.example =
        Some(Example::Recipe(Sample::of(format!("stock bar = 1 bar of {word}, 5 x 40 x 150 mm\n"))));
    page.broken = page.codes.first().copied().and_then(Broken::of);
    page
}

fn shown(limit: Option<Limit>) -> String {
    let figure =
        |l: &Limit| if l.mark == Mark::Memory { significant(l.t_c, 3) } else { trim_number(l.t_c, 0) };
    limit.map_or(String::new(), |l| format!("{} C ({}; {})", figure(&l), l.from, l.mark.words()))
}

/// A page for each law.
pub fn laws() -> Vec<Page> {
    crate::steel::laws().map(law).collect()
}

fn law(law: &'static Law) -> Page {
    let mut page = Page::new(Topic::Law, law.name, law.title);
    page.fact("gives", format!("{} {}", law.gives, in_unit(law.unit)).trim_end().to_owned());
    page.fact("formula", law.formula);
    page.fact("holds for", law.validity);
    page.fact("source", law.source);
    page.fact("how sure", law.mark.words());
    page.parts = law.inputs.iter().map(input).collect();
    let values: Vec<f64> = law.inputs.iter().enumerate().map(|(at, input)| sample(at, input)).collect();
    let figures = law.inputs.iter().zip(&values).map(|(i, v)| format!(" {}={}", i.key, figure(*v)));
    page.example =
        Some(Example::Command(format!("heatbook law {}{}", law.name, figures.collect::<String>())));
    let comes_to = law.of(&values);
    if comes_to.is_finite() {
        page.fact("the example", format!("{} = {} {}", law.gives, law.shown(comes_to), law.unit).trim_end());
    }
    page
}

fn in_unit(unit: &str) -> String {
    if unit.is_empty() { String::new() } else { format!("({unit})") }
}

fn input(input: &'static Input) -> Part {
    let default = input.default.map_or("must be told".to_owned(), |d| format!("else {}", figure(d)));
    let takes = format!("{} to {} {}", figure(input.low), figure(input.high), input.unit);
    Part {
        word: input.key,
        forms: vec![format!("{}=…", input.key)],
        takes: takes.trim_end().to_owned(),
        doc: format!("{}; {default}", input.what),
    }
}

/// A figure inside the law's limits, of everyday size; what stands later is a little less, as sizes after a step are.
fn sample(at: usize, input: &Input) -> f64 {
    if let Some(usual) = input.default {
        return usual;
    }
    let (low, high) = (input.low, input.high);
    let wide = low > 0.0 && high / low > 20.0;
    let middle = if wide { (low * high).sqrt() } else { f64::midpoint(low, high) };
    let less = middle * (1.0 - 0.08 * at as f64);
    let digits = 10f64.powf(less.abs().log10().floor() - 1.0);
    let round = (less / digits).round() * digits;
    if (low..=high).contains(&round) { round } else { middle }
}

/// Five significant digits, as a command line takes them.
fn figure(value: f64) -> String {
    if value == 0.0 || !value.is_finite() {
        return value.to_string();
    }
    let size = value.abs().log10().floor();
    trim_number(value, (4.0 - size).clamp(0.0, 12.0) as usize)
}
