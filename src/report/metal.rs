//! What the steel of the finished pieces is by now: carbon in each layer, nickel and manganese, skin, hardness.

use crate::piece::{Bar, LotId, SteelCarbon};
use crate::quantity::{Kind, show, trim_number};
use crate::spec::{Reading, Spot, band_words, hardness};
use crate::steel::Grade;
use crate::steel::laws::decarb::to_nine_tenths_mm;
use crate::steel::laws::hardening::LEAST_HRC;

use super::Page;
use super::table::table;

/// One steel of a piece at the end.
pub struct Layer<'a> {
    /// The steel.
    pub grade: &'a Grade,
    /// Its carbon by now.
    pub carbon: SteelCarbon,
}

/// The steels of a piece, with the carbon that each has by now.
#[must_use]
pub fn layers<'a>(page: &Page<'a>, lot: LotId) -> Vec<Layer<'a>> {
    let Some(lot) = page.build.lot(lot) else { return Vec::new() };
    let steels = &page.plan.ground.steels;
    let start = |id| steels[id].composition.c;
    let carbon = SteelCarbon::of(&page.build.bench.makeup, lot.bar.node, &lot.bar.past, &start, None);
    carbon.into_iter().map(|carbon| Layer { grade: &steels[carbon.steel], carbon }).collect()
}

/// The table of layers, and what is known of skin and hardness.
#[must_use]
pub fn metal(page: &Page, wide: usize) -> String {
    let (mut rows, mut notes, mut moved) = (Vec::new(), String::new(), false);
    for id in &page.build.standing {
        let name = page.plan.ground.lot_name(*id);
        let Some(lot) = page.build.lot(*id) else { continue };
        let layers = layers(page, *id);
        // Bars of one steel that never saw a fire have nothing to tell.
        if lot.bar.past.lost == [0.0; 2] && layers.len() < 2 {
            continue;
        }
        for layer in &layers {
            let s = &layer.grade.composition;
            let c = layer.carbon;
            let percent = |x: f64| format!("{} %", trim_number(x, 2));
            let wide = percent(c.least) != percent(c.most);
            let from = if wide { format!("{} .. ", trim_number(c.least, 2)) } else { String::new() };
            let range = from + &percent(if wide { c.most } else { c.mean });
            moved |= (c.mean - s.c).abs() > 0.005;
            rows.push(vec![
                name.to_owned(),
                layer.grade.name.clone(),
                show(c.share, Kind::RATIO, page.units),
                percent(s.c),
                range,
                percent(s.ni),
                percent(s.mn),
            ]);
        }
        notes += &skin(page, name, &lot.bar);
        if lot.bar.past.hard.is_some() {
            let told =
                hardness(&lot.bar, &page.build.bench.makeup, &page.plan.ground.steels, None, None, None);
            notes += &match told {
                Ok(told) => format!(
                    "  {name}: {} at the surface, {}; in the middle {}\n",
                    span(told.surface.hrc),
                    band_words(told.surface.hrc.least, told.surface.hrc.most, told.surface.band),
                    told.middle.map(|told| told.hrc).map_or_else(
                        || "unknown: suppliers quench as thick as this, the formula does not reach so deep"
                            .to_owned(),
                        span
                    ),
                ),
                Err(untold) => {
                    let (makeup, steels) = (&page.build.bench.makeup, &page.plan.ground.steels);
                    let edge = hardness(&lot.bar, makeup, steels, None, None, Some(Spot::Edge));
                    let edge = edge.ok().filter(|_| lot.bar.blade.is_some()).map(|told| told.surface);
                    let (edge, rest) = edge.map_or((String::new(), ""), |edge| {
                        let band = band_words(edge.hrc.least, edge.hrc.most, edge.band);
                        (format!("{} at the edge, {band}; ", span(edge.hrc)), " of the rest")
                    });
                    let why = crate::study::why_untold(page.plan, &untold);
                    let about = untold.about.map_or(String::new(), |about| {
                        let [least, most] = about.map(|hrc| trim_number(hrc, 0));
                        format!("; a few rows of 1045, 4140 and 5160 say about {least} .. {most} HRC")
                    });
                    format!("  {name}: {edge}hardness{rest} not told: {why}{about}\n")
                }
            };
        }
    }
    if rows.is_empty() {
        return String::new();
    }
    let head = ["steel at the end", "", "share", "carbon at first", "carbon now", "nickel", "manganese"];
    let mut text = format!("\n{}", table(head, rows, 2, wide));
    if moved {
        text += "  carbon evens out between layers in the fire, and what faces lost before they were welded is missing (by content; Agren 1986); nickel and manganese stay, and make the contrast\n";
    }
    text + &notes
}

/// A skin thinner than this is not told, mm (project figure).
const THIN: f64 = 0.02;

/// How deep faces and edges have lost carbon, and what to grind off; the law is known to a fifth, so no more than two digits.
fn skin(page: &Page, name: &str, bar: &Bar) -> String {
    let told = |(half, size): (f64, f64)| {
        let about = |mm: f64| {
            let step = 10f64.powf(mm.log10().floor() - 1.0).max(0.01);
            page.mm((mm / step).round() * step)
        };
        let deep = to_nine_tenths_mm(half, 0.5 * size);
        if half < THIN {
            return None;
        }
        if deep >= 0.5 * size {
            let text = "have lost carbon right through to the middle (estimate): thicker stock, or fewer and shorter heats";
            return Some(text.to_owned());
        }
        let (half, deep) = (about(half), about(deep));
        Some(format!(
            "have lost half of their carbon about {half} deep, and a tenth about {deep} deep (estimates, within 20 %): grind off {deep} where it is to be hard"
        ))
    };
    let [faces, edges] = bar.past.lost;
    // What was ground to a bevel is not told apart.
    let flats =
        if bar.blade.is_some() { "flats (and bevels, less what was ground off there)" } else { "faces" };
    match (told((faces, bar.thick)), told((edges, bar.wide))) {
        (Some(both), Some(edges)) if both == edges => format!("  {name}: its {flats} and edges {both}\n"),
        (faces, edges) => {
            let line =
                |(what, text): (&str, Option<String>)| Some(format!("  {name}: its {what} {}\n", text?));
            [(flats, faces), ("edges", edges)].into_iter().filter_map(line).collect()
        }
    }
}

/// Least and most, whole HRC; under 20 the scale does not reach.
fn span(reading: Reading) -> String {
    let [least, most] = [reading.least, reading.most].map(|hrc| trim_number(hrc, 0));
    let from = if least == most { String::new() } else { format!("{least} .. ") };
    let soft = if reading.least <= LEAST_HRC { " or less" } else { "" };
    format!("{from}{most} HRC{soft}")
}
