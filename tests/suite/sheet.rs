//! The bench sheet on paper: every figure is the JSON's, all words are text, and what it writes is no other file's end.

use std::collections::BTreeSet;
use std::fs;

use crate::common::{FIRST, called, heatbook, told};
use serde_json::Value;

const RECIPES: [&str; 5] = [
    "examples/ferry-galley.heat",
    "examples/too-narrow-ferryman.heat",
    "examples/commissions/composite.heat",
    "examples/lock-keeper/build.heat",
    "examples/coal-wharf/recipe.heat",
];

/// The figures of a page: where each stands in the JSON, its value there, and what is shown.
fn figures(html: &str) -> Vec<(&str, f64, &str)> {
    let figure = |rest: &'_ str| -> (usize, usize, usize) {
        let place = rest.find('"').unwrap();
        let value = rest[place..].find("value=\"").unwrap() + place + "value=\"".len();
        (place, value, rest.find("</data>").unwrap())
    };
    html.split("<data data-at=\"")
        .skip(1)
        .map(|rest| {
            let (place, value, end) = figure(rest);
            let (value, shown) = rest[value..end].split_once("\">").unwrap();
            (&rest[..place], value.parse().unwrap(), shown)
        })
        .collect()
}

/// Asserts that what is shown is the value to half of its last digit: in mm, g, C, min, or a bare count; where a heat ends, and hours, are known to tens.
#[track_caller]
fn shows(place: &str, shown: &str, value: f64) {
    let mut words = shown.split(' ');
    let figure = words.next().unwrap();
    let scale = match words.next() {
        Some("kg" | "cm3") => 1000.0,
        Some("%") => 0.01,
        _ => 1.0,
    };
    let digits = figure.split_once('.').map_or(0, |(_, digits)| digits.len());
    let read: f64 = figure.parse().unwrap_or_else(|_| panic!("{shown}"));
    let tens =
        place.ends_with("stop_c") || place.ends_with("at_c") || place.ends_with("minutes") && value >= 99.5;
    let half = 0.500_001 * 10f64.powi(-(digits as i32)) * scale * if tens { 10.0 } else { 1.0 };
    assert!(!tens || read % 10.0 == 0.0, "{shown} for {value}");
    // A margin is told without its sign, by `short` or `over`.
    assert!((read * scale - value.abs()).abs() <= half, "{shown} for {value}");
}

#[test]
fn every_figure_on_the_page_is_the_jsons() {
    for recipe in RECIPES {
        let page = heatbook(&["sheet", recipe, "--units", "mm"]);
        let json = heatbook(&["sheet", recipe, "--units", "mm", "--format", "json"]).json();
        let figures = figures(&page.out);
        assert!(figures.len() > 50, "{recipe}: {}", page.err);
        for (place, value, shown) in &figures {
            let there = json.pointer(place).unwrap_or_else(|| panic!("{recipe}: nothing at {place}"));
            assert_eq!(there.as_f64(), Some(*value), "{recipe}: {place}");
            shows(place, shown, *value);
        }
        // Nothing that the JSON says of a step is left out of the page.
        let places: BTreeSet<&str> = figures.iter().map(|f| f.0).collect();
        for (i, step) in json["steps"].as_array().unwrap().iter().enumerate() {
            assert!(places.contains(format!("/steps/{i}/n").as_str()), "{recipe}: {i}");
            for k in 0..step["pieces"].as_array().unwrap().len() {
                for field in ["cold/thickness_mm", "cold/width_mm", "cold/length_mm", "mass_g"] {
                    let place = format!("/steps/{i}/pieces/{k}/{field}");
                    assert!(places.contains(place.as_str()), "{recipe}: {place}");
                }
            }
            for field in ["spare_g", "minutes", "stop_c"].iter().filter(|f| !step[**f].is_null()) {
                let place = format!("/steps/{i}/{field}");
                let there = places.iter().any(|p| p.starts_with(&place)) || step["heats"] == 0;
                assert!(there, "{recipe}: {place}");
            }
        }
    }
}

#[test]
fn inches_stand_on_the_page_and_mm_in_the_json() {
    let page = heatbook(&["sheet", RECIPES[0], "--units", "in"]);
    let json = heatbook(&["sheet", RECIPES[0], "--units", "in", "--format", "json"]).json();
    for (place, value, shown) in figures(&page.out) {
        assert_eq!(json.pointer(place).and_then(Value::as_f64), Some(value), "{place}");
        // A target is told in the units that it is written in.
        assert!(place.starts_with("/targets") || !shown.ends_with(" mm"), "{place}: {shown}");
        assert!(!place.ends_with("_mm") || shown.contains(" in"), "{place}: {shown}");
    }
}

/// By hand: EN 1993-1-2 has steel 2e-5 t - 6.2e-3 longer above 860 C.
#[test]
fn a_stop_block_is_the_size_where_the_last_heat_ends() {
    let json = heatbook(&["sheet", RECIPES[0], "--format", "json"]).json();
    let steps = json["steps"].as_array().unwrap();
    let draw = steps.iter().find(|s| s["verb"] == "draw").unwrap();
    let stop = &draw["stops"][0];
    let (at, hot) = (stop["at_c"].as_f64().unwrap(), stop["hot_mm"].as_f64().unwrap());
    assert!((860.0..1200.0).contains(&at), "{at}");
    assert_eq!((stop["of"].as_str(), stop["at_c"].as_f64()), (Some("thickness"), draw["stop_c"].as_f64()));
    assert!((hot - 9.0 * (1.0 + 2e-5 * at - 6.2e-3)).abs() < 1e-9, "{hot} at {at}");
    // Every heat before it has its own, each a step of the same strain further down; all end at the same heat.
    let before: Vec<f64> =
        stop["before"].as_array().unwrap().iter().map(|g| g["hot_mm"].as_f64().unwrap()).collect();
    assert_eq!(before.len() as u64 + 1, draw["heats"].as_u64().unwrap());
    let ratios: Vec<f64> =
        before.iter().chain([&hot]).collect::<Vec<_>>().windows(2).map(|p| p[1] / p[0]).collect();
    assert!(ratios.iter().all(|r| *r < 1.0 && (r - ratios[0]).abs() < 0.01), "{before:?} {hot}");
    // A weld of bars side by side is pressed on its edges; a hammer has no stop block.
    let shop = |machine: &str| {
        format!(
            "shop {{\n  {machine}\n}}\nstock a = 2 bars of 1084, 20 x 20 x 120 mm\nstack b = a side by side\n\
             weld b at 1200 C, thinning 10 %\n"
        )
    };
    let stops = |machine: &str| {
        let said = told(&["sheet", "-", "--format", "json"], &shop(machine)).json();
        let weld = said["steps"].as_array().unwrap().last().unwrap()["stops"].clone();
        weld.as_array().unwrap().iter().map(|s| s["of"].as_str().unwrap().to_owned()).collect::<Vec<_>>()
    };
    assert_eq!(stops("press 60 tonf, flat die 40 mm"), ["width"]);
    // A round goes into one gap.
    let round = "shop {\n  press 25 tonf, flat die 40 mm\n}\nstock b = 1 bar of 1084, 16 x 16 x 200 mm\n\
                 draw b to 14 mm round\n";
    let said = told(&["sheet", "-", "--format", "json"], round).json();
    assert_eq!(said["steps"][1]["stops"][0]["of"], "across", "{}", said["steps"][1]["stops"]);
    assert_eq!(said["steps"][1]["stops"][0]["cold_mm"], 14.0);
    assert_eq!(stops("power hammer 60 kg, flat die 40 mm"), [""; 0]);
}

#[test]
fn each_piece_of_a_step_has_its_boxes() {
    let recipe = "stock b = 1 bar of 1084, 10 x 40 x 200 mm\ncut b at 50 mm into front, rest\n";
    let json = told(&["sheet", "-", "--format", "json"], recipe).json();
    let cut = &json["steps"][1];
    let pieces: Vec<(&str, f64)> = cut["pieces"]
        .as_array()
        .unwrap()
        .iter()
        .map(|p| (p["name"].as_str().unwrap(), p["cold"]["length_mm"].as_f64().unwrap()))
        .collect();
    assert_eq!(pieces.iter().map(|p| p.0).collect::<Vec<_>>(), ["front", "rest"]);
    assert_eq!(pieces[0].1, 50.0);
    let page = told(&["sheet", "-"], recipe).out;
    assert!(
        page.contains("<bdi>front</bdi>; in a log: <code>at cut 1</code>")
            && page.contains("<caption><bdi>rest</bdi></caption>"),
        "{page}"
    );
}

#[test]
fn what_is_laid_another_way_is_marked_and_what_maims_is_told_in_full() {
    let recipe = "stock b = 1 bar of 1084, 10 x 40 x 200 mm\nturn b\nflip b\ndraw b to 20 mm thick\n\
                  harden b from 815 C in oil\n";
    let json = told(&["sheet", "-", "--format", "json"], recipe).json();
    let steps = json["steps"].as_array().unwrap();
    let marked: Vec<bool> = steps.iter().map(|s| s["mark"].is_string()).collect();
    assert_eq!(marked, [false, true, true, false, false]);
    let page = told(&["sheet", "-"], recipe).out;
    assert!(page.contains("<strong>quench</strong>: oil flares"), "{page}");
    assert!(steps[3]["cautions"].as_array().unwrap().iter().all(|c| c["full"] == false));
}

/// Walks the tags of a page: each is closed in its turn.
#[track_caller]
fn closed(html: &str) {
    const ALONE: [&str; 2] = ["meta", "!doctype"];
    let mut open: Vec<&str> = Vec::new();
    for tag in html.split('<').skip(1) {
        let tag = tag.split('>').next().unwrap();
        let name = tag.split_whitespace().next().unwrap();
        if name.starts_with("!--") || ALONE.contains(&name) || tag.ends_with('/') {
            continue;
        }
        match name.strip_prefix('/') {
            Some(name) => assert_eq!(open.pop(), Some(name), "{html}"),
            None => open.push(name),
        }
    }
    assert!(open.is_empty(), "{open:?}");
}

#[test]
fn the_page_stands_alone_and_can_be_read_aloud() {
    for recipe in RECIPES {
        let page = heatbook(&["sheet", recipe]).out;
        closed(&page);
        // The name of a format, which nothing fetches.
        let page = page.replace("xmlns=\"http://www.w3.org/2000/svg\"", "");
        for outside in ["<script", "http:", "https:", "url(", "@import", "<link", " src="] {
            assert!(!page.contains(outside), "{recipe}: {outside}");
        }
        assert!(page.starts_with("<!doctype html>\n") && page.contains("<html lang=\"en\">"), "{recipe}");
        assert_eq!((page.matches("<h1").count(), page.matches("<title>").count()), (1, 1), "{recipe}");
        let heads = page.matches("<th ").count();
        assert!(heads > 10 && heads == page.matches("<th scope=").count(), "{recipe}");
        assert_eq!(page.matches("<table").count(), page.matches("<caption>").count(), "{recipe}");
        let ids: Vec<&str> = page.split(" id=\"").skip(1).map(|r| r.split('"').next().unwrap()).collect();
        let once: BTreeSet<&&str> = ids.iter().collect();
        assert_eq!(once.len(), ids.len(), "{recipe}: {ids:?}");
        let links = page.split("href=\"#").skip(1).map(|r| r.split('"').next().unwrap());
        links.for_each(|to| assert!(ids.contains(&to), "{recipe}: {to}"));
    }
}

#[test]
fn whatever_somebody_wrote_comes_out_as_text() {
    let evil = "</p><script>alert(1)</script>&amp;'\u{202e}\u{1b}[31m<!--";
    let long = "x".repeat(10_000);
    let recipe = format!(
        "steel \"<b>&\" = like 1084\nstock {long} = 1 bar of \"<b>&\", 10 x 40 x 200 mm\nnote \"{evil}\"\n\
         heat {long} at 1000 C # <i>\ntarget {long} {{\n  length >= 190 mm\n}}\n"
    );
    let folder = tempfile::tempdir().unwrap();
    let name = "<img src=x onerror=y>&.heat";
    fs::write(folder.path().join(name), recipe).unwrap();
    let said = called(folder.path(), &["sheet", name], "");
    let page = said.out;
    assert_eq!(said.code, 0, "{}", said.err);
    closed(&page);
    for tag in ["<script", "<b>", "<img", "<i>", "\u{202e}", "\u{1b}"] {
        assert!(!page.contains(tag), "{tag}");
    }
    for shown in
        ["&lt;script&gt;alert(1)&lt;/script&gt;&amp;amp;&#39;", "&lt;b&gt;&amp;", "&lt;img src=x", &long]
    {
        assert!(page.contains(shown), "{shown}");
    }
    let json = called(folder.path(), &["sheet", name, "--format", "json"], "").json();
    assert_eq!(json["steps"][1]["notes"][0], evil);
}

#[test]
fn the_pattern_of_a_layered_piece_stands_on_the_page_and_none_of_a_plain_one() {
    let layered = heatbook(&["sheet", "recipes/twist.heat"]).out;
    let section = layered.split("<h2 id=\"pattern\">").nth(1).expect("a pattern");
    let section = section.split("<h2 ").next().unwrap();
    assert_eq!(section.matches("data:image/png;base64,").count(), 1);
    assert!(section.contains("role=\"img\"") && section.contains("geometry, ideal hand"));
    closed(&layered);
    let plain = "stock rod = 1 bar of 1084, 10 x 20 x 100 mm\ndraw rod to 8 mm thick, heats 1\ntarget rod {\n  width >= 1 mm\n}\n";
    let plain = told(&["sheet", "-"], plain).out;
    assert!(plain.contains("<h2 id=\"charts\">") && !plain.contains("id=\"pattern\""));
}

#[test]
fn a_sheet_is_written_over_a_sheet_and_over_nothing_else() {
    let folder = tempfile::tempdir().unwrap();
    let call = |args: &[&str]| called(folder.path(), args, "");
    fs::write(folder.path().join("a.heat"), FIRST).unwrap();
    fs::write(folder.path().join("other.html"), "<!doctype html>\n<p>mine").unwrap();
    for _ in 0..2 {
        let said = call(&["sheet", "a.heat", "--out", "a.html"]);
        assert_eq!((said.code, said.out.as_str()), (0, ""), "{}", said.err);
        assert_eq!(fs::read_to_string(folder.path().join("a.html")).unwrap(), call(&["sheet", "a.heat"]).out);
    }
    for (file, was) in [("a.heat", FIRST), ("other.html", "<!doctype html>\n<p>mine")] {
        let said = call(&["sheet", "a.heat", "--out", file]);
        assert_eq!(said.code, 2);
        assert!(said.err.contains("is no bench sheet"), "{}", said.err);
        assert_eq!(fs::read_to_string(folder.path().join(file)).unwrap(), was);
    }
    // What cannot be worked has no sheet; what misses its target has one, and says so.
    let none = told(&["sheet", "-"], "stock b = 1 bar of 1084, 10 x 40 x 200 mm\ncut b to 300 mm long\n");
    assert_eq!((none.code, none.out.as_str()), (1, ""), "{}", none.err);
    let missed = told(
        &["sheet", "-"],
        "stock b = 1 bar of 1084, 10 x 40 x 200 mm\ntarget b {\n  length >= 300 mm\n}\n",
    );
    assert_eq!(missed.code, 1);
    assert!(missed.out.contains("does not make its spec") && missed.out.contains("MISSED"), "{}", missed.out);
}

/// The heights of what a chart draws: of each line or point of this kind its value and its place.
fn heights(svg: &str, tag: &str, place: &str) -> Vec<(f64, f64)> {
    let field = |rest: &str, name: &str| -> f64 {
        let from = rest.find(&format!("{name}=\"")).unwrap() + name.len() + 2;
        rest[from..].split('"').next().unwrap().parse().unwrap()
    };
    svg.split(tag).skip(1).map(|rest| (field(rest, "data-value"), field(rest, place))).collect()
}

#[test]
fn a_chart_is_true_to_its_figures() {
    for units in ["mm", "in"] {
        for of in ["width", "thickness", "length", "mass"] {
            let folder = tempfile::tempdir().unwrap();
            fs::write(folder.path().join("a.heat"), FIRST).unwrap();
            let args =
                ["chart", "a.heat", "--of", of, "--svg", "a.svg", "--units", units, "--format", "json"];
            let json = called(folder.path(), &args, "").json();
            let svg = fs::read_to_string(folder.path().join("a.svg")).unwrap();
            closed(&svg);
            // Two marks of the axis give the scale: every other thing lies on it, to a hundredth of a point.
            let marks = heights(&svg, "<line class=\"mark\"", "y1");
            let ((a, ya), (b, yb)) = (marks[0], *marks.last().unwrap());
            assert!(a == 0.0 && marks.len() >= 4 && marks.len() <= 12, "{marks:?}");
            let at = |value: f64| ya + (yb - ya) * (value - a) / (b - a);
            let points = heights(&svg, "<circle", "cy");
            let limits = heights(&svg, "<line class=\"limit\"", "y1");
            for (value, y) in marks.iter().chain(&points).chain(&limits) {
                assert!((at(*value) - y).abs() < 0.01, "{of}: {value} at {y}");
            }
            let told = json["points"].as_array().unwrap();
            let told: Vec<f64> = told.iter().map(|p| p["value"].as_f64().unwrap()).collect();
            assert_eq!(points.iter().map(|p| p.0).collect::<Vec<_>>(), told, "{of}");
            // Where it ends is what the run says.
            let run = called(folder.path(), &["run", "a.heat", "--format", "json"], "").json();
            let name = if of == "mass" { "mass_g".to_owned() } else { format!("{of}_mm") };
            let end = run["pieces"]["blade"][&name].as_f64().unwrap();
            assert!((told.last().unwrap() - end).abs() < 1e-9 * end, "{of}");
            let asked = &json["limits"][0];
            let ends: Vec<f64> = ["low", "high"].iter().filter_map(|e| asked[*e].as_f64()).collect();
            assert_eq!(limits.iter().map(|l| l.0).collect::<Vec<_>>(), ends, "{of}");
            let unit = if of == "mass" { ["g", "oz"] } else { ["mm", "in"] }[usize::from(units == "in")];
            assert!(
                svg.contains(&format!("after each step, {unit}\"")) || svg.contains(", kg\""),
                "{of} {units}"
            );
        }
    }
    let none = heatbook(&["chart", RECIPES[0], "--of", "width", "--piece", "blad"]);
    assert_eq!(none.code, 2);
    assert!(none.err.contains("there is no piece `blad`") && none.err.contains("`blade`"), "{}", none.err);
}

/// What a drawing says where a file is asked for, and what the answer says.
fn drawing(recipe: &str, args: &[&str]) -> (String, Value) {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("a.heat"), recipe).unwrap();
    let json = called(folder.path(), &[args, &["--svg", "a.svg", "--format", "json"]].concat(), "").json();
    let svg = fs::read_to_string(folder.path().join("a.svg")).unwrap();
    closed(&svg);
    (svg, json)
}

#[test]
fn the_width_along_a_blade_is_its_stations_and_what_is_asked_where() {
    // By hand: straight for 150 mm at 40 mm, the rest a belly; the tang is as wide as the bar was, and is not drawn.
    let blade = "stock b = 1 bar of 1084, 5 x 42 x 300 mm\nprofile b to 240 mm long, 40 mm wide, belly 90 mm\n\
                 target b {\n  width 39 mm .. 41 mm from heel to 150 mm\n  width >= 20 mm at 200 mm\n}\n";
    let (svg, json) = drawing(blade, &["chart", "a.heat", "--of", "along"]);
    let point = |p: &Value| [&p["at_mm"], &p["width_mm"]].map(|v| v.as_f64().unwrap());
    let points: Vec<[f64; 2]> = json["points"].as_array().unwrap().iter().map(point).collect();
    assert_eq!((points[0], points.last().unwrap()[0]), ([0.0, 40.0], 240.0));
    assert!(points.iter().all(|[x, wide]| *x > 150.0 || (wide - 40.0).abs() < 1e-9), "{points:?}");
    assert!(points.last().unwrap()[1] < 1e-6, "{points:?}");
    let stretch = |l: &Value| [&l["from_mm"], &l["to_mm"]].map(|v| v.as_f64().unwrap());
    let asked: Vec<[f64; 2]> = json["limits"].as_array().unwrap().iter().map(stretch).collect();
    assert_eq!(asked, [[0.0, 150.0], [200.0, 200.0]]);
    let limits = heights(&svg, "<line class=\"limit\"", "y1");
    assert_eq!(limits.iter().map(|l| l.0).collect::<Vec<_>>(), [39.0, 41.0, 20.0]);
    let marks = heights(&svg, "<line class=\"mark\"", "y1");
    let ((a, ya), (b, yb)) = (marks[0], *marks.last().unwrap());
    for (value, y) in limits.iter().chain(&heights(&svg, "<circle", "cy")) {
        assert!((ya + (yb - ya) * (value - a) / (b - a) - y).abs() < 0.01, "{value} at {y}");
    }
    // It stands on the sheet where a target asks so; a bar has no such chart.
    let sheet = told(&["sheet", "-", "--format", "json"], blade).json();
    assert_eq!(sheet["along"]["points"], json["points"]);
    assert!(told(&["sheet", "-"], blade).out.contains("width of b from heel to tip"));
    let none = heatbook(&["chart", RECIPES[0], "--of", "along"]);
    assert!(none.code == 2 && none.err.contains("`blade` is no blade"), "{}", none.err);
}

#[test]
fn why_as_a_chart_begins_each_bar_where_the_one_above_it_ended() {
    let (svg, json) = drawing(FIRST, &["why", "width", "blade", "a.heat"]);
    let bars = heights(&svg, "<rect class=\"change\"", " width");
    let changes: Vec<f64> =
        json["entries"].as_array().unwrap().iter().map(|e| e["change"].as_f64().unwrap()).collect();
    let figure = |of: &str| json[of].as_f64().unwrap();
    let (first, last) = (bars[0], *bars.last().unwrap());
    assert_eq!([first.0, last.0], [figure("from"), figure("to")]);
    let drawn: f64 = bars[1..bars.len() - 1].iter().map(|b| b.0).sum();
    assert!((drawn - changes.iter().sum::<f64>()).abs() < 1e-9 && bars.len() > 8, "{bars:?}");
    let per = first.1 / first.0;
    assert!(bars.iter().all(|(value, long)| (value.abs() * per - long).abs() < 0.01), "{bars:?}");
}

#[test]
fn a_sweep_as_a_picture_draws_its_limits_names_its_gaps_and_shows_what_is_constant() {
    let one = ["sweep", "a.heat", "--vary", "spread 1 wide = 52 mm .. 80 mm / 8"];
    let (svg, json) = drawing(FIRST, &one);
    let tries = json["tries"].as_array().unwrap();
    let (worked, gap): (Vec<&Value>, Vec<&Value>) = tries.iter().partition(|t| t["got"].is_array());
    assert!(!gap.is_empty() && worked.len() > 4, "{json}");
    // The first panel is the width's: a point for each try that could be worked, full where it is met.
    let points = heights(&svg, "<circle", "cy");
    let width: Vec<f64> = worked.iter().map(|t| t["got"][0]["value"].as_f64().unwrap()).collect();
    assert_eq!(points[..width.len()].iter().map(|p| p.0).collect::<Vec<_>>(), width);
    let met = worked.iter().filter(|t| t["got"][0]["met"] == true).count();
    let panel =
        svg.split("<circle").skip(1).take(width.len()).filter(|c| c.contains("fill=\"black\"")).count();
    assert_eq!(panel, met);
    let panels = points.len() / width.len();
    assert_eq!((svg.matches("class=\"gap\"").count(), panels), (panels, 3));
    for said in ["at 52 mm: ", "layers &gt;= 50: 52 throughout, met", "at least 58 mm", "spread 1 wide, mm"] {
        assert!(svg.contains(said), "{said}: {svg}");
    }
    // Two figures: as much of the map is grey as all is met.
    let two = [one.as_slice(), &["--vary", "dark thick = 2 mm .. 5 mm / 6"]].concat();
    let (svg, json) = drawing(FIRST, &two);
    let tries = json["tries"].as_array().unwrap();
    assert_eq!(tries.len(), 48);
    let area = |class: &str| -> f64 {
        let field = |rest: &str, name: &str| -> f64 {
            rest.split_once(name).unwrap().1.split('"').next().unwrap().parse().unwrap()
        };
        let begins = format!("<rect class=\"{class}\"");
        let cells = svg.split(&begins).skip(1);
        cells.map(|rest| field(rest, " width=\"") * field(rest, " height=\"")).sum()
    };
    let many = |of: &dyn Fn(&&Value) -> bool| tries.iter().filter(of).count() as f64;
    let (met, gaps) = (many(&|t| t["met"] == true), many(&|t| t["got"].is_null()));
    assert!(met > 0.0 && gaps > 0.0 && (area("met") / area("gap") - met / gaps).abs() < 1e-3, "{met} {gaps}");
    for said in [
        "a: ",
        "spread 1 wide up",
        "dark thick across",
        "layers &gt;= 50: 52 throughout, met",
        "width &gt;= 58 mm",
    ] {
        assert!(svg.contains(said), "{said}");
    }
}

#[test]
fn what_the_fire_took_adds_up_to_what_burnt_off_in_the_run() {
    let burnt = heatbook(&["chart", RECIPES[0], "--of", "fire", "--format", "json"]).json();
    let figure = |value: &Value| value.as_f64().unwrap();
    let steps = burnt["steps"].as_array().unwrap();
    let sum = |field: &str| steps.iter().map(|s| s[field].as_f64().unwrap_or(0.0)).sum::<f64>();
    assert!((sum("burnt_g") - figure(&burnt["burnt_g"])).abs() < 1e-9 && sum("burnt_g") > 1.0);
    let sheet = heatbook(&["sheet", RECIPES[0], "--format", "json"]).json();
    assert_eq!(
        (sum("heats"), figure(&burnt["taken_g"])),
        (figure(&sheet["heats"]), figure(&sheet["steel"]["taken_g"]))
    );
    let scale = sheet["steel"]["parts"].as_array().unwrap().iter().find(|p| p["what"] == "scale").unwrap();
    assert!((figure(&scale["mass_g"]) - figure(&burnt["burnt_g"])).abs() < 1e-9);
    let folder = tempfile::tempdir().unwrap();
    let svg = folder.path().join("a.svg");
    let said = heatbook(&["chart", RECIPES[0], "--of", "fire", "--svg", svg.to_str().unwrap()]);
    assert!(said.out.contains("burnt off of"), "{}", said.out);
    // A bar is as long as its steel is heavy.
    let bars = heights(&fs::read_to_string(svg).unwrap(), "rect class=\"step\"", "width");
    let most = bars.iter().map(|(grams, _)| *grams).fold(0.0, f64::max);
    assert_eq!(bars.len(), steps.len());
    assert!(bars.iter().all(|(grams, long)| (long - 250.0 * grams / most).abs() < 0.01), "{bars:?}");
}

#[test]
fn a_chart_of_a_build_holds_it_against_its_plan() {
    let log = "examples/lock-keeper/build.heat";
    let chart = heatbook(&["chart", log, "--of", "width", "--format", "json"]).json();
    let story = heatbook(&["replay", log, "--format", "json"]).json();
    let planned: Vec<f64> =
        chart["planned"].as_array().unwrap().iter().map(|p| p["value"].as_f64().unwrap()).collect();
    let piece = chart["piece"].as_str().unwrap();
    let chapters = story["builds"][0]["chapters"].as_array().unwrap();
    let told: Vec<f64> =
        chapters.iter().filter(|c| c["piece"] == piece).map(|c| c["planned"][1].as_f64().unwrap()).collect();
    // Pieces that it was before go by other names.
    assert!(!told.is_empty() && planned.ends_with(&told), "{planned:?} {told:?}");
    let folder = tempfile::tempdir().unwrap();
    let svg = folder.path().join("a.svg");
    let said = heatbook(&["chart", log, "--of", "width", "--svg", svg.to_str().unwrap()]);
    assert!(said.out.contains("by the plan"), "{}", said.out);
    let svg = fs::read_to_string(svg).unwrap();
    for (value, high) in heights(&svg, "rect class=\"planned\"", "y") {
        let mark = heights(&svg, "line class=\"mark\"", "y1");
        let (zero, one) = (mark[0], mark[1]);
        let at = zero.1 + (one.1 - zero.1) * (value - zero.0) / (one.0 - zero.0);
        assert!((high + 5.0 - at).abs() < 0.01, "{high} {at}");
    }
    assert!(svg.contains("by the plan"));
    let plain = heatbook(&["chart", RECIPES[0], "--of", "width", "--format", "json"]).json();
    assert_eq!(plain["planned"], serde_json::json!([]));
}

#[test]
fn the_charts_of_a_sheet_are_those_that_its_target_asks_of() {
    let json = heatbook(&["sheet", RECIPES[0], "--format", "json"]).json();
    let of: Vec<&str> =
        json["charts"].as_array().unwrap().iter().map(|c| c["of"].as_str().unwrap()).collect();
    assert_eq!(of, ["thickness", "width", "length", "mass"]);
    let page = heatbook(&["sheet", RECIPES[0]]).out;
    // And behind them the layers, and what became of the steel; before them the pattern.
    for each in ["<svg", "role=\"img\"", "aria-label=\""] {
        assert_eq!(page.matches(each).count(), 7, "{each}");
    }
    let plain = "stock b = 1 bar of 1084, 10 x 40 x 200 mm\ngrind b faces 1 mm\n";
    assert_eq!(told(&["sheet", "-"], plain).out.matches("<svg").count(), 1);
}

/// Written off the sheet's own boxes, the log changes nothing; written off a real build, it replays to what was read.
#[test]
fn a_log_from_the_boxes_replays_to_the_same_figures() {
    let recipe = "recipe bar(long: length = 200 mm) {\n  stock b = 1 bar of 1084, 10 x 40 mm x long\n  draw b to 9 mm thick, heats 1\n  give b\n}\n\
                  stock a = bar()\nrepeat 2 {\n  draw a to 8 mm thick, heats 1\n}\ncut a at 50 mm into front, rest\ngrind front faces 0.5 mm\n";
    let blade = "stock b = 1 bar of 1084, 5 x 42 x 300 mm\nprofile b to 240 mm long, 40 mm wide, belly 90 mm\n\
                 taper b from heel to tip, to 3 mm thick, ground\nbevel b edge 0.8 mm, height 24 mm, ground\ngrind b bevels 0.1 mm\n";
    for (recipe, units) in [(FIRST, "mm"), (recipe, "mm"), (FIRST, "in"), (blade, "mm")] {
        let folder = tempfile::tempdir().unwrap();
        fs::write(folder.path().join("a.heat"), recipe).unwrap();
        let call =
            |args: &[&str], input: &str| called(folder.path(), &[args, &["--units", units]].concat(), input);
        let sheet = call(&["sheet", "a.heat", "--format", "json"], "").json();
        let steps = sheet["steps"].as_array().unwrap();
        let boxed: Vec<&Value> = steps.iter().filter(|s| s["log"].is_string()).collect();
        assert!(boxed.len() >= 4, "{sheet}");
        let figure = |step: &Value, field: &str| step["pieces"][0].pointer(field).unwrap().as_f64().unwrap();
        let mut typed = String::new();
        for step in &boxed {
            for field in ["/cold/thickness_mm", "/cold/width_mm", "/cold/length_mm"] {
                typed += &format!("{:.2} mm\n", figure(step, field));
            }
            typed += &format!("{:.1} g\n", figure(step, "/mass_g"));
        }
        let said = call(&["log", "a.heat", "--out", "b.heat"], &typed);
        assert_eq!((said.code, said.out.as_str()), (0, ""), "{}", said.err);
        let run = |file: &str| call(&["run", file, "--format", "json"], "").json();
        let (plan, build) = (run("a.heat"), run("b.heat"));
        assert_eq!(plan["pieces"], build["pieces"]);
        assert_eq!(plan["rack"], build["rack"]);
        let chapters = call(&["replay", "b.heat", "--format", "json"], "").json();
        assert_eq!(chapters["builds"][0]["chapters"].as_array().unwrap().len(), boxed.len());
    }
    // A real build: the second box of the first draw is off; the run goes on from it.
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("a.heat"), FIRST).unwrap();
    let said = called(folder.path(), &["log", "a.heat"], "skip\n9.1\n38.9\n\n1.04\nend\n");
    assert_eq!(
        (said.code, said.out.as_str()),
        (0, "build of \"a.heat\"\nat draw 1: 9.1 mm thick, 38.9 mm wide, 1.04 kg\n"),
        "{}",
        said.err
    );
    fs::write(folder.path().join("b.heat"), said.out).unwrap();
    let replayed = called(folder.path(), &["replay", "b.heat", "--format", "json"], "").json();
    let now = &replayed["builds"][0]["chapters"][0]["now"];
    assert_eq!([&now[0], &now[1], &now[3]].map(|v| v.as_f64().unwrap()), [9.1, 38.9, 1040.0]);
}

#[test]
fn a_log_takes_figures_and_nothing_else() {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("a.heat"), FIRST).unwrap();
    fs::create_dir(folder.path().join("other")).unwrap();
    let call = |args: &[&str], input: &str| called(folder.path(), args, input);
    for (typed, why) in [
        ("\n\n3 kg\n", "line 3 of the readings: `3 kg` is no length"),
        ("31 mm thick\n", "line 1"),
        ("31 mm # x\n", "more than one figure"),
        ("0\n", "nothing to read off"),
        ("-3 mm\n", "nothing to read off"),
        ("\n\n\n", "nothing was read"),
        ("", "nothing was read"),
    ] {
        let said = call(&["log", "a.heat", "--out", "b.heat"], typed);
        assert_eq!((said.code, said.out.as_str()), (2, ""), "{typed:?}");
        assert!(said.err.contains(why), "{typed:?}: {}", said.err);
        assert!(!folder.path().join("b.heat").exists(), "{typed:?}");
    }
    for (args, why) in [
        (vec!["log", "a.heat", "--out", "a.heat"], "is there already"),
        (vec!["log", "a.heat", "--out", "other/b.heat"], "lies beside its recipe"),
        (vec!["log", "-"], "name the file"),
    ] {
        let said = call(&args, "20 mm\n");
        assert_eq!(said.code, 2, "{args:?}");
        assert!(said.err.contains(why), "{args:?}: {}", said.err);
    }
    assert_eq!(fs::read_to_string(folder.path().join("a.heat")).unwrap(), FIRST);
}

/// A sheet of so many steps is made in one go: what it holds grows with the steps, and no faster.
#[test]
fn a_long_sheet_is_as_long_as_its_steps() {
    let long = |rounds: usize| {
        let recipe = format!(
            "stock b = 1 bar of 1084, 30 x 40 x 200 mm\nrepeat {rounds} {{\n  grind b faces 0.05 mm\n  turn b\n  heat b at 900 C for 2 min\n  turn b\n}}\n\
             target b {{\n  length >= 100 mm\n}}\n"
        );
        let said = told(&["sheet", "-"], &recipe);
        (said.out.matches("<li>\n<h3>").count(), said.out.len(), said.err)
    };
    let [(few, short, _), (many, tall, err)] = [long(5), long(15)];
    assert_eq!((few, many), (21, 61), "{err}");
    assert!(tall < 4 * short && tall < 400_000, "{short} {tall}");
    // What takes longest on a sheet is its patterns: they have no more dots along than can be told apart, over however many steps.
    let crowded = heatbook(&["sheet", "recipes/raindrop.heat"]).out;
    let wide = crowded.split("<image ").skip(1).map(|rest| {
        let data = rest.split("base64,").nth(1).unwrap().split('"').next().unwrap();
        let png = base64::Engine::decode(&base64::engine::general_purpose::STANDARD, data).unwrap();
        u32::from_be_bytes(png[16..20].try_into().unwrap())
    });
    let wide: Vec<u32> = wide.collect();
    assert!(!wide.is_empty() && wide.iter().all(|dots| (200..=441).contains(dots)), "{wide:?}");
}

#[test]
fn layers_are_as_thick_as_they_are_and_steel_adds_up() {
    let draw = |recipe: &str, of: &str| {
        let folder = tempfile::tempdir().unwrap();
        fs::write(folder.path().join("a.heat"), recipe).unwrap();
        let args = ["chart", "a.heat", "--of", of, "--svg", "a.svg", "--format", "json"];
        let json = called(folder.path(), &args, "").json();
        let svg = fs::read_to_string(folder.path().join("a.svg")).unwrap();
        closed(&svg);
        (json, svg)
    };
    // 7 bars of 3 mm and 6 of 1.5 mm: 30 mm; pressed alike they stay two to one.
    let recipe = "shop {\n  scale none\n}\nstock d = 7 bars of 1084, 3 x 40 x 120 mm\nstock l = 6 bars of 15N20, 1.5 x 40 x 120 mm\n\
                  stack b = alternate d, l\nweld b at 1230 C, to 20 mm thick\ngrind b faces 1 mm\ntarget b {\n  layers >= 13\n}\n";
    let (json, svg) = draw(recipe, "layers");
    let bands = |of: &str| -> Vec<f64> {
        let layers = json[of]["layers"].as_array().unwrap().iter();
        layers.map(|l| l["thickness_mm"].as_f64().unwrap()).collect()
    };
    let (before, after) = (bands("before"), bands("after"));
    assert_eq!((before.len(), after.len(), json["before"]["n"].as_u64()), (13, 13, Some(3)), "{json}");
    let near = |got: &[f64], want: &[f64]| got.iter().zip(want).all(|(g, w)| (g - w).abs() < 1e-9);
    assert!(near(&before[..3], &[3.0, 1.5, 3.0]), "{before:?}");
    // 20 of 30 mm: 2 mm and 1 mm; the grinder took 1 mm of the outermost.
    assert!(near(&after[..3], &[1.0, 1.0, 2.0]), "{after:?}");
    let drawn = heights(&svg, "<rect class=\"layer\"", " height");
    for (value, high) in &drawn {
        let whole = if drawn.iter().position(|d| d == &(*value, *high)).unwrap() < 13 { 30.0 } else { 18.0 };
        assert!((high - 320.0 * value / whole).abs() < 0.01, "{value} {high}");
    }
    assert_eq!(drawn.iter().map(|d| d.0).collect::<Vec<_>>(), [before, after].concat());
    let (json, svg) = draw(FIRST, "steel");
    let parts: Vec<f64> =
        json["parts"].as_array().unwrap().iter().map(|p| p["mass_g"].as_f64().unwrap()).collect();
    let taken = json["taken_g"].as_f64().unwrap();
    assert!((parts.iter().sum::<f64>() - taken).abs() < 1e-9 * taken);
    for (grams, long) in heights(&svg, "<rect class=\"part\"", " width") {
        assert!((long - 440.0 * grams / taken).abs() < 0.01, "{grams} {long}");
    }
    // Layers that are not alike across the width are not drawn as if they were.
    let twisted = "stock b = 1 bar of 1084, 12 x 12 x 300 mm\nstock c = 1 bar of 15N20, 12 x 12 x 300 mm\n\
                   stack p = b, c side by side\nweld p at 1230 C, thinning 15 %\n";
    let (json, svg) = draw(twisted, "layers");
    assert!(json["after"].is_null() && svg.contains("cannot be drawn"), "{json}");
}

/// What a PDF shows: the strings that its pages set, as bytes.
fn shown_in(pdf: &[u8]) -> String {
    let text: String = pdf.iter().map(|byte| char::from(*byte)).collect();
    let shown =
        text.split(" Tj").filter_map(|part| part.rsplit_once("\n(").map(|(_, words)| words.to_owned()));
    shown.map(|words| words.trim_end_matches(')').replace("\\(", "(").replace("\\)", ")") + "\n").collect()
}

#[test]
fn a_sheet_as_pdf_says_what_the_page_says_and_can_be_searched() {
    let dir = tempfile::tempdir().unwrap();
    let path = dir.path().join("sheet.pdf");
    let args = ["sheet", RECIPES[0], "--pdf", path.to_str().unwrap(), "--paper", "letter"];
    let said = heatbook(&args);
    assert!(said.code == 0 && said.out.is_empty(), "{}", said.all());
    let pdf = std::fs::read(&path).unwrap();
    assert!(pdf.starts_with(b"%PDF-1.7\n") && pdf.ends_with(b"%%EOF"));
    let (shown, bytes) = (shown_in(&pdf), String::from_utf8_lossy(&pdf).into_owned());
    // Letter is 8.5 by 11 in.
    assert!(bytes.contains("/MediaBox [0 0 612 792]"), "{shown}");
    let json = heatbook(&["sheet", RECIPES[0], "--format", "json"]).json();
    for step in json["steps"].as_array().unwrap() {
        let begins: String = step["words"].as_str().unwrap().chars().take(30).collect();
        assert!(shown.contains(&begins), "{begins}: {shown}");
    }
    // Each figure of the page stands there too; lines may end between a figure and its unit.
    let html = heatbook(&["sheet", RECIPES[0]]).out;
    let all = shown.replace('\n', " ");
    for figure in html.split("</data>").filter_map(|part| part.rsplit_once('>').map(|(_, figure)| figure)) {
        assert!(figure.trim().is_empty() || all.contains(figure), "{figure}");
    }
    // Where each object lies is where its table says.
    let table = bytes
        .rsplit("startxref")
        .next()
        .unwrap()
        .trim()
        .split('\n')
        .next()
        .unwrap()
        .parse::<usize>()
        .unwrap();
    assert!(pdf[table..].starts_with(b"xref"));
    // Over an older sheet, and over nothing else.
    assert_eq!(heatbook(&args).code, 0);
    std::fs::write(&path, "%PDF-1.7\n%other").unwrap();
    assert_ne!(heatbook(&args).code, 0);
    assert_eq!(std::fs::read(&path).unwrap(), b"%PDF-1.7\n%other");
}

#[test]
fn a_pdf_of_whatever_somebody_wrote_is_as_long_as_its_words() {
    let dir = tempfile::tempdir().unwrap();
    let path = dir.path().join("s.pdf");
    let long = "wide".repeat(2500);
    let recipe = format!(
        "stock b = 1 bar of 1084, 10 x 40 x 200 mm\nnote \"(<script> & \u{202e}back \\\\ {long}\"\ngrind b faces 1 mm\n"
    );
    let said = told(&["sheet", "-", "--pdf", path.to_str().unwrap()], &recipe);
    assert_eq!(said.code, 0, "{}", said.all());
    let shown = shown_in(&std::fs::read(&path).unwrap());
    assert!(shown.contains("note: (<script> & "), "{shown}");
    // The word runs on over the sheets' feet.
    let words: String = shown.lines().filter(|line| !line.contains(", sheet ")).collect();
    assert_eq!(words.matches("wide").count(), 2500);
}
