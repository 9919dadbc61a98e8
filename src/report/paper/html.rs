//! The bench sheet as a page of HTML: for the wall at arm's length, for a phone, for a reader that speaks.

use std::fmt::Write as _;

use crate::quantity::{Kind, Units, show_about_c, show_count, significant, trim_number};

use super::data::{PieceJson, SheetJson, SizesJson, StepJson, TargetJson};
use super::markup::{figure, list, own, sized};
use crate::report::chart::{along_svg, layers_svg, steel_svg, svg};
use crate::report::tame::markup as text;
use crate::report::verdict::of_order;

/// How a sheet of ours begins: only over such a file another is written.
pub const OURS: &str = "<!doctype html>\n<!-- a bench sheet of heatbook -->\n";

/// Black on white, and the page's own letters: nothing is fetched. Figures for A4 and Letter, mm and pt, by eye (project figures).
const STYLE: &str = "\
:root{color-scheme:light}
*{box-sizing:border-box}
body{margin:0 auto;padding:1rem;max-width:60rem;font:1.125rem/1.4 sans-serif;color:#000;background:#fff;overflow-wrap:anywhere}
a{color:inherit}
h1{font-size:1.6rem;margin:0 0 .5rem}
h2{font-size:1.3rem;margin:1.5rem 0 .5rem;border-bottom:2px solid #000}
h3{font-size:1.2rem;margin:0 0 .3rem}
p{margin:.3rem 0}
ul{margin:.3rem 0;padding-left:1.3rem}
ol{list-style:none;margin:0;padding:0}
ol>li{border:1px solid #000;padding:.6rem;margin:0 0 .6rem;break-inside:avoid}
table{width:100%;border-collapse:collapse;table-layout:fixed;margin:.4rem 0}
caption{text-align:left;font-weight:bold;padding:.2rem 0;break-after:avoid}
tr,.notes{break-inside:avoid}
thead{display:table-header-group}
tbody tr:first-child{break-before:avoid}
#targets+table th:first-child{width:40%}
th,td{border:1px solid #000;padding:.3rem;text-align:left;vertical-align:top}
th{background:#eee}
figure{margin:.6rem 0;break-inside:avoid}
svg{display:block;width:100%;height:auto;max-width:45rem}
td.box{height:2.2rem}
.read th{overflow-wrap:normal}
.read th:first-child{width:16%}
.mind{border-left:.5rem solid #000;padding-left:.5rem}
.verdict{font-weight:bold}
pre{margin:.3rem 0;white-space:pre-wrap;font-size:1rem}
.line{border-bottom:1px solid #000;height:2.2rem}
@media (max-width:30rem){body{padding:.4rem}ol>li{padding:.4rem}table{font-size:.8rem}th,td{padding:.15rem}.read th{font-size:.7rem}figure{overflow-x:auto}figure svg{min-width:40rem}}
@media print{body{max-width:none;padding:0;font-size:12pt;line-height:1.25}td.box,.line{height:8mm}h2{break-after:avoid;margin:.6rem 0 .3rem}ol>li{padding:.25rem .5rem;margin-bottom:.3rem}h3,p,ul,table,figure{margin:.15rem 0}th,td{padding:.1rem .3rem}th{print-color-adjust:exact}}
@page{margin:12mm}
";

/// Lines to write on: with so many a sheet of a step or two is one sheet of paper.
const LINES: usize = 4;

/// A page under its title; `begin` goes as far as its `<html>`, `more` belongs to its head.
pub fn frame(begin: &str, title: &str, more: &str, under: &str) -> String {
    format!(
        "{begin}<head>\n<meta charset=\"utf-8\">\n\
         <meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n\
         <title>{}</title>\n<style>\n{STYLE}</style>\n{more}</head>\n<body>\n<main>\n{under}</main>\n</body>\n</html>\n",
        text(title)
    )
}

/// The page.
pub fn page(sheet: &SheetJson, patterns: &[String], units: Units) -> String {
    let title = format!("bench sheet: {}", sheet.file);
    frame(&format!("{OURS}<html lang=\"en\">\n"), &title, "", &body(sheet, patterns, units, ""))
}

/// What stands on it; `first` comes right behind the verdict.
pub fn body(sheet: &SheetJson, patterns: &[String], units: Units, first: &str) -> String {
    let mut html = String::new();
    html += &head(sheet);
    html += first;
    html += &before(sheet, units);
    let _ = writeln!(html, "<h2 id=\"steps\">steps</h2>\n{}\n<ol>", legend(sheet, units));
    for (i, step) in sheet.steps.iter().enumerate() {
        html += &one(step, i, sheet, units);
    }
    html += "</ol>\n";
    html += &targets(&sheet.targets);
    let faces = patterns.iter().map(|svg| figured(svg));
    section(&mut html, "pattern", "the pattern, as an ideal hand would make it", &faces.collect::<String>());
    let drawn = sheet.charts.iter().map(|chart| svg(chart, units));
    let drawn = drawn.chain(sheet.along.as_ref().map(|widths| along_svg(widths, units)));
    let drawn = drawn.chain(sheet.layers.as_ref().map(|layers| layers_svg(layers, units)));
    let drawn = drawn.chain([steel_svg(&sheet.steel, units)]);
    let drawn = drawn.map(|svg| figured(&svg));
    section(&mut html, "charts", "where it went", &drawn.collect::<String>());
    html += &behind(sheet, units);
    html
}

/// A drawing; where the window is narrower than its letters can be read, it can be moved along, with the keys too.
fn figured(svg: &str) -> String {
    format!("<figure tabindex=\"0\">\n{svg}</figure>\n")
}

fn head(sheet: &SheetJson) -> String {
    let verdict = match (sheet.met, sheet.targets.is_empty()) {
        (true, true) => "it can be worked, and there is no target to meet",
        (true, false) => "the recipe makes its spec",
        (false, _) => "the recipe does not make its spec as written: see its targets below",
    };
    let mut html = format!("<h1>{}</h1>\n<p class=\"verdict\">{verdict}</p>\n", own(sheet.file));
    if sheet.heats > 0 {
        let heats = figure("/heats", f64::from(sheet.heats), &show_count(u64::from(sheet.heats), "heat"));
        let _ = writeln!(html, "<p>{heats} in all, about {}</p>", minutes("/minutes", sheet.minutes));
    }
    let _ = writeln!(html, "<p>built by ____________ on ____________</p>\n<p>{}</p>", text(sheet.said));
    html
}

fn minutes(place: &str, minutes: f64) -> String {
    // Below half a minute a whole number would say nothing.
    let shown = if minutes < 10.0 { trim_number(minutes, 1) } else { significant(minutes, 2) };
    figure(place, minutes, &format!("{shown} min"))
}

/// What is wanted before the fire is lit.
fn before(sheet: &SheetJson, units: Units) -> String {
    let mut html = String::new();
    let buy = sheet.buy.iter().enumerate().map(|(i, buy)| {
        let at = |field: &str| format!("/buy/{i}/{field}");
        let (name, steel) = (own(buy.name), own(&buy.steel));
        let all = sized(at("mass_g"), buy.mass_g, Kind::MASS, units);
        let Some(each) = &buy.each else { return format!("{name}: {all} of {steel}") };
        let sizes = sizes(&at("each"), each, units);
        let bars = show_count(u64::from(buy.bars), "bar");
        let bars = figure(at("bars"), f64::from(buy.bars), &bars);
        let each = sized(at("each_g"), buy.each_g, Kind::MASS, units);
        format!("{name}: {bars} of {steel}, {sizes}; {each} each, {all} in all")
    });
    section(&mut html, "buy", "cut list", &list(buy));
    section(&mut html, "tools", "machines of the shop", &list(sheet.tools.iter().map(|tool| own(tool))));
    html
}

/// A heading and what stands under it; nothing where nothing does.
fn section(html: &mut String, id: &str, head: &str, under: &str) {
    if !under.is_empty() {
        let _ = write!(html, "<h2 id=\"{id}\">{head}</h2>\n{under}");
    }
}

/// Thickness, width and length in one breath.
fn sizes(place: &str, sizes: &SizesJson, units: Units) -> String {
    let all =
        [("thickness_mm", sizes.thickness_mm), ("width_mm", sizes.width_mm), ("length_mm", sizes.length_mm)];
    let all = all.map(|(field, mm)| sized(format!("{place}/{field}"), mm, Kind::LENGTH, units));
    all.join(" x ")
}

/// What the columns and the bold words of a step mean, said once.
fn legend(sheet: &SheetJson, units: Units) -> String {
    let hot = sized("/hot_at_c", sheet.hot_at_c, Kind::TEMPERATURE, units);
    let mut html = format!(
        "<p>sizes and weight of one bar; cold, and hot as a calliper reads them at {hot}; what was read goes into the box</p>\n"
    );
    if sheet.steps.iter().any(|s| !s.stops.is_empty()) {
        html += "<p>stop block: the die gap of a heat, if that heat ends at the heat said beside it; a hotter finish ends thinner when it is cold</p>\n";
    }
    if sheet.steps.iter().any(|s| s.spare_g.is_some()) {
        html += "<p>to spare: steel in the piece above what the target's least sizes or weight need</p>\n";
    }
    html
}

fn one(step: &StepJson, i: usize, sheet: &SheetJson, units: Units) -> String {
    let at = |field: &str| format!("/steps/{i}/{field}");
    let mut html = String::new();
    for note in &step.notes {
        let _ = writeln!(html, "<p>note: {}</p>", own(note));
    }
    let _ = writeln!(
        html,
        "<h3>{}. {}</h3>",
        figure(at("n"), step.n as f64, &step.n.to_string()),
        own(&step.words)
    );
    for caution in step.cautions.iter().filter(|c| c.full) {
        let _ = writeln!(
            html,
            "<p class=\"mind\"><strong>{}</strong>: {}</p>",
            text(caution.work),
            text(caution.mind)
        );
    }
    let others: Vec<&str> = step.cautions.iter().filter(|c| !c.full).map(|c| c.work).collect();
    if !others.is_empty() {
        let _ = writeln!(
            html,
            "<p class=\"mind\">mind: {} (<a href=\"#cautions\">cautions</a>)</p>",
            text(&others.join("; "))
        );
    }
    if let Some(mark) = step.mark {
        let _ = writeln!(html, "<p>{}</p>", text(mark));
    }
    html += &fire(step, &at, units);
    for (k, piece) in step.pieces.iter().enumerate() {
        let place = |field: &str| at(&format!("pieces/{k}/{field}"));
        let log = step.log.as_deref().filter(|_| k == 0);
        html += &match step.boxes {
            true => readings((piece, log), &place, sheet, units),
            false => lies(piece, &place, units),
        };
    }
    let mut last = Vec::new();
    if step.lost_g > 0.0 {
        last.push(format!("lost here: {}", sized(at("lost_g"), step.lost_g, Kind::MASS, units)));
    }
    if let Some(spare) = step.spare_g {
        last.push(format!("to spare: {}", sized(at("spare_g"), spare, Kind::MASS, units)));
    }
    if !last.is_empty() {
        let _ = writeln!(html, "<p>{}</p>", last.join("; "));
    }
    format!("<li>\n{html}</li>\n")
}

/// Heats, minutes, and where they begin and end.
fn fire(step: &StepJson, at: &dyn Fn(&str) -> String, units: Units) -> String {
    if step.heats == 0 {
        return String::new();
    }
    let heat = |field: &str, c: f64| sized(at(field), c, Kind::TEMPERATURE, units);
    let heats = show_count(u64::from(step.heats), "heat");
    let mut words = figure(at("heats"), f64::from(step.heats), &heats);
    if step.counted {
        words += " (counted, not stated)";
    }
    if step.pieces.iter().map(|p| p.bars).sum::<u32>() > 1 {
        words += " for all bars";
    }
    if let Some(long) = step.minutes {
        let _ = write!(words, ", about {}", minutes(&at("minutes"), long));
    }
    if let Some(from) = step.from_c {
        let _ = write!(words, "; out of the fire at {}", heat("from_c", from));
    }
    if let Some(stop) = step.stop_c {
        let _ = write!(words, ", back into it at {}", figure(at("stop_c"), stop, &show_about_c(stop, units)));
    }
    let mut html = format!("<p>{words}</p>\n");
    for (k, stop) in step.stops.iter().enumerate() {
        let place = |field: &str| at(&format!("stops/{k}/{field}"));
        let [hot, cold] = [("hot_mm", stop.hot_mm), ("cold_mm", stop.cold_mm)]
            .map(|(field, mm)| sized(place(field), mm, Kind::LENGTH, units));
        let ends = figure(place("at_c"), stop.at_c, &show_about_c(stop.at_c, units));
        let _ = writeln!(
            html,
            "<p><strong>stop block, {}: {hot}</strong> (the last heat ends at {ends}; {cold} when it is cold)</p>",
            stop.of
        );
        if !stop.before.is_empty() {
            let gaps = stop.before.iter().enumerate().map(|(n, gap)| {
                let hot = sized(place(&format!("before/{n}/hot_mm")), gap.hot_mm, Kind::LENGTH, units);
                format!("{}: {hot}", n + 1)
            });
            let gaps: Vec<String> = gaps.collect();
            let _ =
                writeln!(html, "<p>stop block, {}, in the heats before: {}</p>", stop.of, gaps.join("; "));
        }
    }
    html
}

/// A piece that nobody works yet, in one line.
fn lies(piece: &PieceJson, at: &dyn Fn(&str) -> String, units: Units) -> String {
    let mass = sized(at("mass_g"), piece.mass_g, Kind::MASS, units);
    let bars = match piece.bars {
        1 => String::new(),
        bars => {
            let shown = show_count(u64::from(bars), "bar");
            format!("{}, each ", figure(at("bars"), f64::from(bars), &shown))
        }
    };
    let state = if piece.loose { ", loose" } else { "" };
    let name = own(piece.name);
    format!("<p>{name}: {bars}{}, {mass}{state}</p>\n", sizes(&at("cold"), &piece.cold, units))
}

/// What to see on the calliper, and a box for what was seen.
fn readings(
    (piece, log): (&PieceJson, Option<&str>),
    at: &dyn Fn(&str) -> String,
    sheet: &SheetJson,
    units: Units,
) -> String {
    let heel = if piece.shaped { ", at the heel" } else { "" };
    let all = [("thickness", heel, "thickness_mm"), ("width", heel, "width_mm"), ("length", "", "length_mm")];
    let state = if piece.loose { " (loose)" } else { "" };
    let named = match piece.bars {
        1 => own(piece.name),
        bars => {
            format!("{}, each of {}", own(piece.name), figure(at("bars"), f64::from(bars), &bars.to_string()))
        }
    };
    let log = log.map_or(String::new(), |log| format!("; in a log: <code>at {}</code>", text(log)));
    let heads = all.map(|(size, place, _)| format!("<th scope=\"col\">{size}{place}</th>"));
    let mut html = format!(
        "<table class=\"read\">\n<caption>{named}{state}{log}</caption>\n<tr><th scope=\"col\">size</th>{}<th scope=\"col\">weight</th></tr>\n",
        heads.concat()
    );
    let mass = sized(at("mass_g"), piece.mass_g, Kind::MASS, units);
    let mut row = |head: &str, of: &str, sizes: &SizesJson| {
        let sizes = [sizes.thickness_mm, sizes.width_mm, sizes.length_mm];
        let cells = all.iter().zip(sizes).map(|((_, _, field), mm)| {
            format!("<td>{}</td>", sized(at(&format!("{of}/{field}")), mm, Kind::LENGTH, units))
        });
        let cells: String = cells.collect();
        let _ = writeln!(html, "<tr><th scope=\"row\">{head}</th>{cells}<td>{mass}</td></tr>");
    };
    row("cold", "cold", &piece.cold);
    if let Some(hot) = &piece.hot {
        let heat = sized("/hot_at_c", sheet.hot_at_c, Kind::TEMPERATURE, units);
        row(&format!("hot, {heat}"), "hot", hot);
    }
    let boxes = "<td class=\"box\"></td>".repeat(all.len() + 1);
    let _ = writeln!(html, "<tr><th scope=\"row\">read</th>{boxes}</tr>\n</table>");
    html
}

fn targets(targets: &[TargetJson]) -> String {
    if targets.is_empty() {
        return String::new();
    }
    let mut html = String::from(
        "<h2 id=\"targets\">targets</h2>\n<table>\n<caption>what was asked, and what the run comes to</caption>\n\
         <thead><tr><th scope=\"col\">asked</th><th scope=\"col\">comes to</th><th scope=\"col\">margin</th><th scope=\"col\">read</th></tr></thead>\n<tbody>\n",
    );
    for (i, target) in targets.iter().enumerate() {
        let said = |field: &str, value: Option<f64>, words: &str| match value {
            Some(value) => figure(format!("/targets/{i}/{field}"), value, words),
            None => text(words),
        };
        let way = if target.expect { " (on the way)" } else { "" };
        let mark = if target.met { "met" } else { "MISSED" };
        let _ = writeln!(
            html,
            "<tr><th scope=\"row\">{}{way}: {}</th><td>{}</td><td>{mark}{}{}</td><td class=\"box\"></td></tr>",
            own(&of_order(target.piece, target.wanted)),
            own(&target.asked),
            said("got", target.got, &target.got_text),
            if target.margin_text.is_empty() { "" } else { ", " },
            said("margin", target.margin, &target.margin_text)
        );
    }
    html + "</tbody>\n</table>\n"
}

/// What is left over, what was assumed, what to mind, and lines for notes.
fn behind(sheet: &SheetJson, units: Units) -> String {
    let mut html = String::new();
    let rack = sheet.rack.iter().enumerate().map(|(i, rack)| {
        let at = |field: &str| format!("/rack/{i}/{field}");
        let bars = show_count(u64::from(rack.bars), "bar");
        let bars = figure(at("bars"), f64::from(rack.bars), &bars);
        let mass = sized(at("mass_g"), rack.mass_g, Kind::MASS, units);
        format!("{}: {bars}, {}; {mass} in all", own(rack.name), sizes(&at("each"), &rack.each, units))
    });
    section(&mut html, "rack", "on the rack behind it", &list(rack));
    let assumed = sheet.assumed.iter();
    let assumed = assumed.map(|a| format!("{}: {} ({})", text(a.what), text(&a.value), text(&a.source)));
    section(&mut html, "assumed", "what the recipe leaves unsaid", &list(assumed));
    let warned = sheet.warnings.iter().enumerate().map(|(i, w)| match w.line {
        Some(line) => {
            let line = figure(format!("/warnings/{i}/line"), f64::from(line), &line.to_string());
            format!("line {line}: {}", text(w.message))
        }
        None => text(w.message),
    });
    section(&mut html, "warnings", "warnings", &list(warned));
    let cautions = sheet.cautions.iter().map(|c| text(c));
    section(&mut html, "cautions", "cautions", &list(cautions));
    html += "<div class=\"notes\">\n<h2 id=\"notes\">notes</h2>\n";
    for _ in 0..LINES {
        html += "<div class=\"line\"></div>\n";
    }
    html + "</div>\n"
}
