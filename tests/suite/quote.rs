//! The quote: its lines by hand, its days, and what the customer does not see.

use crate::common::{heatbook, told};
use serde_json::Value;

const PRICED: &str = "examples/loose-galley.heat";

/// A bar that is sawn once, priced: 7.85 g/cm3 (1084, ASM as in the table of steels), hours by the rates stated.
const SAWN: &str = "shop {
  price of 1084 €30 per kg
  price of labour €60
  cost \"belts\" €7
  margin 50 %
  tax 20 %
  deposit 40 %
  set up 60 min
  handling 30 min
  hours 1 per day
}
stock a = 1 bar of 1084, 10 x 40 x 100 mm
cut a 10 mm off each end
target a {
  length >= 70 mm
}
";

fn money(quote: &Value, at: &str) -> f64 {
    quote.pointer(at).and_then(Value::as_f64).unwrap_or_else(|| panic!("nothing at {at}: {quote}"))
}

#[test]
fn the_lines_of_a_quote_by_hand() {
    let quote = told(&["quote", "-", "--format", "json"], SAWN).json();
    let line = |what: &str| {
        let lines = quote["lines"].as_array().unwrap();
        lines.iter().find(|l| l["what"] == what).unwrap_or_else(|| panic!("{what}: {quote}"))["amount"]
            .as_f64()
            .unwrap()
    };
    // 40 cm3 at 7.85 g/cm3 are 314 g; an hour of setting up and half an hour for the saw.
    assert_eq!([line("steel"), line("hours"), line("belts")], [9.42, 90.0, 7.0]);
    // Half of 106.42, then a fifth of 159.63.
    assert_eq!([line("margin"), money(&quote, "/price")], [53.21, 159.63]);
    assert_eq!([money(&quote, "/tax"), money(&quote, "/total")], [31.93, 191.56]);
    assert_eq!([money(&quote, "/deposit"), money(&quote, "/rest")], [76.62, 114.94]);
    // An hour and a half at an hour a day.
    let days = quote["days"].as_array().unwrap();
    assert_eq!(days.iter().map(|d| d["hours"].as_f64().unwrap()).collect::<Vec<_>>(), [1.0, 0.5]);
    let notes = quote["notes"].to_string();
    assert!(notes.contains("re-makes are not in it") && notes.contains("no price for fuel"), "{notes}");
}

#[test]
fn re_makes_are_priced_by_the_odds() {
    let quote = heatbook(&["quote", PRICED, "--format", "json"]).json();
    let odds = heatbook(&["odds", PRICED, "--samples", "10000", "--format", "json"]).json();
    let (all, error) = (money(&odds, "/all"), money(&odds, "/all_error"));
    assert!((0.05..0.999).contains(&all), "{all}");
    let lines = quote["lines"].as_array().unwrap();
    let of = |what: &str| lines.iter().find(|l| l["what"] == what).unwrap()["amount"].as_f64().unwrap();
    let one = of("steel") + of("hours") + of("fuel");
    // To the hundredth of a build, rounded up, as the line tells it.
    let builds = ((1.0 / (all - 2.0 * error) - 1.0) * 100.0).ceil() / 100.0;
    assert!((of("re-makes") - builds * one).abs() < 0.006, "{} for {builds} of {one}", of("re-makes"));
}

#[test]
fn days_end_before_the_delivery_and_begin_after_the_order() {
    let dates = |more: &[&str]| {
        let quote = told(&[&["quote", "-", "--format", "json"], more].concat(), SAWN).json();
        let days = quote["days"].as_array().unwrap();
        let dates: Vec<String> = days.iter().map(|d| d["date"].as_str().unwrap().to_owned()).collect();
        (dates, quote["late"].as_bool().unwrap())
    };
    let both = |a: &str, b: &str| vec![a.to_owned(), b.to_owned()];
    // 2028 is a leap year.
    assert_eq!(dates(&["--deliver", "2028-03-01"]), (both("2028-02-28", "2028-02-29"), false));
    assert_eq!(dates(&["--date", "2027-02-27"]), (both("2027-02-28", "2027-03-01"), false));
    let order = |deliver| dates(&["--date", "2026-11-27", "--deliver", deliver]);
    assert_eq!(order("2026-11-30"), (both("2026-11-28", "2026-11-29"), false));
    assert_eq!(order("2026-11-29"), (both("2026-11-27", "2026-11-28"), true));
    let bad = told(&["quote", "-", "--date", "2026-13-45"], SAWN);
    assert!(bad.code == 2 && bad.err.contains("year-month-day"), "{}", bad.err);
}

#[test]
fn the_customer_sees_the_price_and_nothing_behind_it() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("offer.html");
    let written =
        heatbook(&["quote", PRICED, "--customer", "--order", "<31>", "--out", path.to_str().unwrap()]);
    assert!(written.err.contains("written into"), "{}", written.err);
    let page = std::fs::read_to_string(&path).unwrap();
    let (_, page) = page.split_once("</style>").unwrap();
    let [text, json] =
        ["table", "json"].map(|form| heatbook(&["quote", PRICED, "--customer", "--format", form]).out);
    for said in [page, &text, &json] {
        for secret in ["belts", "margin", "re-make", "labour", "hours", "loose-galley", " h at the fire"] {
            let lines = said.lines().filter(|l| !l.contains("hours_a_day"));
            assert!(!lines.into_iter().any(|l| l.contains(secret)), "{secret}: {said}");
        }
    }
    assert!(page.contains("&lt;31&gt;") && !page.contains("<31>"), "{page}");
    let total = money(&serde_json::from_str(&json).unwrap(), "/total");
    assert!(page.contains(&format!("{total:.2}")) && text.contains(&format!("{total:.2}")), "{total}");
    // Over another file nothing is written.
    let other = folder.path().join("recipe.heat");
    std::fs::write(&other, SAWN).unwrap();
    let refused = heatbook(&["quote", PRICED, "--out", other.to_str().unwrap()]);
    assert!(refused.err.contains("is no quote"), "{}", refused.err);
    assert_eq!(std::fs::read_to_string(&other).unwrap(), SAWN);
}

#[test]
fn without_a_price_there_is_no_quote() {
    let said = told(&["quote", "-"], "stock a = 1 bar of 1084, 10 x 40 x 100 mm\n");
    assert!(said.code == 2 && said.err.contains("the shop states no price"), "{}", said.err);
    for (entry, told_of) in
        [("deposit 40 %", "deposit 120 %"), ("hours 1 per", "hours 30 per"), ("margin 50 %", "margin -5 %")]
    {
        let said = told(&["quote", "-"], &SAWN.replace(entry, told_of));
        assert!(said.code == 1 && said.err.contains("help: write"), "{told_of}: {}", said.err);
    }
}

/// What a quote's target says of hours and cost: by hand 90 min, and 9.42 for steel, 90 for hours and 7 for belts.
fn asked(lines: &str) -> String {
    SAWN.replace("length >= 70 mm", &format!("length >= 70 mm\n  {lines}"))
}

#[test]
fn hours_and_cost_of_the_whole_build_are_targets() {
    let lines = |text: &str| {
        let told = told(&["run", "-", "--format", "json"], text).json();
        let of = |what: &str| {
            let all = told["targets"].as_array().unwrap();
            let line = all.iter().find(|t| t["what"] == what).unwrap_or_else(|| panic!("{what}: {told}"));
            (line["got"].as_f64(), line["met"].as_bool().unwrap())
        };
        [of("hours"), of("cost")]
    };
    let [hours, cost] = lines(&asked("hours <= 1.5 h\n  cost <= €106.42"));
    assert_eq!(hours, (Some(90.0), true));
    assert!((cost.0.unwrap() - 106.42).abs() < 5e-3, "{cost:?}");
    assert_eq!(lines(&asked("hours <= 89 min\n  cost <= €106.40")).map(|(_, met)| met), [false; 2]);
    // A quote has them for the smith, and nothing of them for the customer.
    let text = asked("hours <= 2 h\n  cost <= €200");
    let smith = told(&["quote", "-"], &text).out;
    assert!(smith.contains("about 1 h 30 min") && smith.contains("about €110 "), "{smith}");
    let customer = told(&["quote", "-", "--customer"], &text).out;
    assert!(!customer.contains("hours") && !customer.contains("€110"), "{customer}");
    // So has the sheet, with the margin.
    let sheet = told(&["sheet", "-"], &text).out;
    assert!(sheet.contains(">30 min to spare</data>") && sheet.contains(">€90 to spare</data>"), "{sheet}");
}

/// No more digits than hours and fuel have; what they are rounded to never looks met where it is missed, nor missed where it is met.
#[test]
fn money_and_hours_are_told_to_the_two_digits_that_are_known() {
    let said = |lines: &str| told(&["check", "-"], &asked(lines)).all();
    for (line, told_of) in [
        ("cost <= €106.40", "about €110"),
        ("cost <= €109", "about €100"),
        ("cost >= €110", "about €100"),
        ("cost >= €107", "about €100"),
        ("cost >= €106", "about €110"),
        // To the cent what it comes to: met, and told on that side.
        ("cost <= €106.42", "about €100"),
    ] {
        let all = said(line);
        assert!(all.contains(told_of), "{line}: {all}");
    }
    let all = said("cost <= €106.40");
    assert!(all.contains("misses its cost: about €110, €4 over"), "{all}");
    let run = told(&["run", "-"], SAWN).out;
    assert!(run.contains("cost: about €110 (steel €9.42, hours €90, lines of your own €7.00)"), "{run}");
    // What stands in a quote can be worked again from what stands beside it.
    let quote = heatbook(&["quote", PRICED]).out;
    assert!(quote.contains("hours: 4 h 20 min (") && quote.contains("€182.00"), "{quote}");
    assert!(quote.contains("hours and fuel are known to two digits"), "{quote}");
}

#[test]
fn what_is_missed_of_hours_says_which_step_takes_most_and_what_was_run() {
    let text = "shop {\n  forge gas, 1200 C\n  press 25 tonf, flat die 40 mm\n}\n\
                stock a = 1 bar of 1084, 20 x 40 x 100 mm\ndraw a to 12 mm thick, 40 mm wide, heats 8\n\
                target a {\n  thickness 11 .. 13 mm\n  hours <= 80 min\n}\n";
    let missed = told(&["check", "-", "--format", "json"], text).json();
    let fault =
        missed["faults"].as_array().unwrap().iter().find(|f| f["code"] == "heatbook::target_missed").unwrap();
    assert!(fault.to_string().contains("this step takes most of the time"), "{fault}");
    // What is offered meets every line.
    let edit = &fault["edits"][0];
    let at = |of: &str| usize::try_from(edit[of].as_u64().unwrap()).unwrap();
    let line = text.lines().nth(at("line") - 1).unwrap();
    let other =
        [&line[..at("column") - 1], edit["text"].as_str().unwrap(), &line[at("end_column") - 1..]].concat();
    let mended = told(&["check", "-"], &text.replace(line, &other));
    assert!(mended.code == 0 && line != other, "{other}: {}", mended.all());
}

#[test]
fn a_cost_is_told_only_where_all_of_it_has_a_price() {
    let said = |text: &str| told(&["check", "-"], text);
    let bare = said(&asked("cost <= €200").replace("  price of labour €60\n", ""));
    assert!(bare.code != 0 && bare.all().contains("the shop has no price for an hour"), "{}", bare.all());
    let other = said(&asked("cost <= $200"));
    assert!(other.all().contains("two_currencies"), "{}", other.all());
    assert!(said(&asked("width >= €20")).all().contains("wrong_kind"));
    assert!(said(&asked("hours of a <= 2 h")).all().contains("of_the_whole"));
    let on_the_way = said(&SAWN.replace("target a {", "expect a: hours <= 2 h\ntarget a {"));
    assert!(on_the_way.all().contains("of_the_whole"), "{}", on_the_way.all());
}

#[test]
fn bars_of_the_odds_are_as_long_as_the_chances() {
    let dir = tempfile::tempdir().unwrap();
    let path = dir.path().join("odds.svg");
    let told =
        heatbook(&["odds", PRICED, "--samples", "4000", "--svg", path.to_str().unwrap(), "--format", "json"]);
    let (odds, svg) = (told.json(), std::fs::read_to_string(&path).unwrap());
    let mut chances: Vec<f64> =
        odds["lines"].as_array().unwrap().iter().map(|l| l["chance"].as_f64().unwrap()).collect();
    chances.push(money(&odds, "/all"));
    let part = |line: &str, what: &str| -> f64 {
        let rest = line.split(&format!(" {what}=\"")).nth(1).unwrap_or_else(|| panic!("{what}: {line}"));
        rest.split('"').next().unwrap().parse().unwrap()
    };
    let bars: Vec<(f64, f64)> = svg
        .lines()
        .filter(|l| l.contains("class=\"chance\""))
        .map(|l| (part(l, "data-value"), part(l, "width")))
        .collect();
    assert_eq!(bars.iter().map(|b| b.0).collect::<Vec<_>>(), chances);
    // The whole axis is 320 px long.
    assert!(bars.iter().all(|(chance, px)| (px - 320.0 * chance).abs() < 1e-3), "{bars:?}");
}
