//! The program's answer held against the second interpreter's, step by step.

use super::metal::{Bar, Refused};
use super::run::{CAUSES, Lot, Second};
use super::slips::Slip;
use super::tree::{Recipe, Step};
use crate::common::work;
use serde_json::Value;

/// How close is close.
const RELATIVE: f64 = 1e-9;

/// What a comparison saw.
#[derive(Debug)]
pub struct Agreed {
    /// Steps worked, with every `repeat` written out.
    pub steps: usize,
    /// Why the last step was refused by both, if it was.
    pub refused: Option<Refused>,
}

fn near(what: &str, got: &Value, want: f64, least: f64) -> Result<(), String> {
    let got = got.as_f64().ok_or_else(|| format!("{what}: the program tells {got}"))?;
    if (got - want).abs() <= RELATIVE * want.abs().max(least) {
        Ok(())
    } else {
        Err(format!("{what}: the program has {got}, the second interpreter {want}"))
    }
}

fn same_lot(what: &str, got: &Value, lot: &Lot) -> Result<(), String> {
    let bar: &Bar = &lot.bars[0];
    let mut shown = bar.shown();
    if let Some([thick, wide]) = lot.packed {
        (shown[0], shown[1]) = (thick, wide);
    }
    let figures = [
        ("thickness_mm", shown[0]),
        ("width_mm", shown[1]),
        ("length_mm", shown[2]),
        ("volume_mm3", bar.volume()),
        ("mass_g", bar.mass()),
        ("bars", lot.bars.len() as f64),
        ("layers", bar.layers as f64),
        ("bands", bar.bands() as f64),
    ];
    for (name, want) in figures {
        near(&format!("{what} {name}"), &got[name], want, 0.0)?;
    }
    if got["loose"] != Value::Bool(lot.loose.is_some()) {
        return Err(format!("{what}: loose is {}", got["loose"]));
    }
    Ok(())
}

/// Works a recipe both ways. An error says where they part.
pub fn compare(recipe: &Recipe, slip: Option<Slip>) -> Result<Agreed, String> {
    let text = recipe.text();
    let json = work(&text).json();
    compare_with(recipe, &json, slip)
}

/// Holds a recipe against the program's answer to it.
pub fn compare_with(recipe: &Recipe, json: &Value, slip: Option<Slip>) -> Result<Agreed, String> {
    let mut second = Second::new(&recipe.shop, slip);
    let steps = recipe.written_out();
    let faults = json["faults"].as_array().map_or(0, Vec::len);
    for (i, step) in steps.iter().enumerate() {
        let told = &json["steps"][i];
        let here = format!("step {} ({})", i + 1, told["verb"].as_str().unwrap_or("untold"));
        if matches!(step, Step::Harden { .. } | Step::Temper { .. }) {
            // How far hardening makes a bar grow is not told here: taken from the thickness, held against the rest.
            let mut trial = second.clone();
            let name = trial.step(step).map_err(|e| format!("{here}: refused: {e:?}"))?.name;
            let by =
                told["after"]["thickness_mm"].as_f64().unwrap_or(0.0) / trial.lots[&name].bars[0].shown()[0];
            if (by - 1.0).abs() > 0.01 {
                return Err(format!("{here}: grows by {by}"));
            }
            second.growth.resize(second.steps, 1.0);
            second.growth.push(by);
        }
        match second.step(step) {
            Err(refused) => {
                return if faults == 0 || told["done"] == Value::Bool(true) && refused != Refused::Missed {
                    Err(format!("{here}: the second interpreter refuses ({refused:?}), the program does not"))
                } else {
                    Ok(Agreed { steps: i, refused: Some(refused) })
                };
            }
            Ok(done) => {
                if told["done"] != Value::Bool(true) {
                    let why: Vec<String> = json["faults"]
                        .as_array()
                        .map(|f| f.iter().map(|f| format!("{} line {}", f["message"], f["line"])).collect())
                        .unwrap_or_default();
                    return Err(format!(
                        "{here}: the program refuses ({why:?}), the second interpreter does not"
                    ));
                }
                same_lot(&here, &told["after"], &second.lots[&done.name])?;
                for (cause, want) in CAUSES.iter().zip(done.booked) {
                    near(&format!("{here} booked as {cause}"), &told["booked_g"][cause], want, 1.0)?;
                }
            }
        }
    }
    if faults > 0 {
        return Err(format!("the program finds faults: {}", json["faults"]));
    }
    let pieces = json["pieces"].as_object().map_or(0, serde_json::Map::len);
    if pieces != second.lots.len() {
        return Err(format!("the program has {pieces} pieces, the second interpreter {}", second.lots.len()));
    }
    for (name, lot) in &second.lots {
        same_lot(&format!("`{name}` in the end"), &json["pieces"][name], lot)?;
    }
    let rack = json["rack"].as_array().map_or(0, Vec::len);
    if rack != second.rack.len() {
        return Err(format!(
            "{rack} on the program's rack, {} on the second interpreter's",
            second.rack.len()
        ));
    }
    for (name, lot) in &second.rack {
        let told = json["rack"].as_array().and_then(|r| r.iter().find(|r| r["name"] == **name));
        let told = told.ok_or_else(|| format!("no `{name}` on the program's rack"))?;
        same_lot(&format!("`{name}` on the rack"), told, lot)?;
    }
    let balance = &json["balance"];
    let (standing, racked) = second.weighed();
    near("mass in", &balance["in_g"], second.taken, 0.0)?;
    near("mass of the pieces", &balance["pieces_g"], standing, 1.0)?;
    near("mass on the rack", &balance["rack_g"], racked, 1.0)?;
    for (cause, want) in CAUSES.iter().zip(second.lost) {
        near(&format!("all booked as {cause}"), &balance["lost_g"][cause], want, 1.0)?;
    }
    let all = standing + racked + second.lost.iter().sum::<f64>();
    if slip.is_none() && (all - second.taken).abs() > RELATIVE * second.taken {
        return Err(format!("the second interpreter's own balance is off: {} in, {all} told", second.taken));
    }
    Ok(Agreed { steps: steps.len(), refused: None })
}
