//! The three commissions: from order to delivery, their page, and the templates drawn of them.

use std::fs;

use crate::common::{check, close, heatbook, page_is_true, work};
use dxf::Drawing;
use dxf::entities::EntityType;
use heatbook::piece::PartName;
use heatbook::piece::blade::{Met, Side};

fn told(args: &[&str]) -> (i32, String) {
    let said = heatbook(args);
    (said.code, said.all())
}

fn recipe(name: &str) -> String {
    fs::read_to_string(format!("examples/commissions/{name}.heat")).unwrap()
}

#[test]
fn two_are_delivered_and_one_fails_in_a_zone_only() {
    for name in ["sandwich", "composite"] {
        let worked = check(&recipe(name));
        assert!(worked.verdict.met, "{name}: {:?}", worked.faults());
        assert!(worked.build.balance.error < 1e-9);
    }
    let chopper = work(&recipe("chopper"));
    let missed: Vec<_> = chopper.build.lines.iter().filter(|l| l.judged.is_none_or(|j| !j.met)).collect();
    assert_eq!(missed.len(), 1);
    let words = chopper.findings(heatbook::report::Style::Plain);
    assert!(words.contains("misses its width"), "{words}");
    assert!(words.contains("takes most of the width at 171.6 mm from the heel"), "{words}");
    // The same zone met, the same recipe passes: nothing else fails.
    let wider = recipe("chopper").replace("to 1.6 in wide", "to 1.7 in wide");
    assert!(check(&wider).verdict.met);
}

/// Every output on the page is what the program says.
#[test]
fn the_page_is_true() {
    let [commands, looked] = page_is_true("examples/commissions/README.md");
    assert!(commands >= 4 && looked >= 20, "{commands} commands, {looked} lines");
}

/// Sheets of paper that are laid on each other by 10 mm show all of the drawing, at true scale, with crosses that meet.
#[test]
fn a_template_is_tiled_on_paper() {
    let dir = tempfile::tempdir().unwrap();
    let [html, svg] =
        ["card.html", "card.svg"].map(|name| dir.path().join(name).to_str().unwrap().to_owned());
    let file = "examples/commissions/chopper.heat";
    // ISO 216 and ANSI/ASME Y14.1, less 10 mm at each border.
    for (paper, sides) in [("a4", [190.0, 277.0]), ("letter", [195.9, 259.4])] {
        let _ = fs::remove_file(&svg);
        let (code, said) = told(&["template", file, "--tiles", &html, "--paper", paper, "--svg", &svg]);
        assert_eq!(code, 0, "{said}");
        let view = |text: &str| -> Vec<f64> {
            let from = text.split("viewBox=\"").nth(1).unwrap().split('"').next().unwrap();
            from.split_whitespace().map(|f| f.parse().unwrap()).collect()
        };
        let whole = view(&fs::read_to_string(&svg).unwrap());
        let text = fs::read_to_string(&html).unwrap();
        let pages: Vec<&str> = text.split("<svg").skip(1).collect();
        assert!(pages.len() > 1, "{}", pages.len());
        let (mut right, mut below): (f64, f64) = (0.0, 0.0);
        for page in &pages {
            let [x, y, wide, tall] = view(page)[..] else { panic!("{page}") };
            assert!(
                page.contains(&format!("width=\"{wide}mm\""))
                    && page.contains(&format!("height=\"{tall}mm\""))
            );
            let mut mine = [wide, tall];
            mine.sort_by(f64::total_cmp);
            assert_eq!(mine, sides, "{paper}");
            // Each begins on the drawing's corner, or where another one ends, 10 mm before that.
            assert!(x == 0.0 || (x % (wide - 10.0)).abs() < 1e-3, "{x} of {wide}");
            (right, below) = (right.max(x + wide), below.max(y + tall));
        }
        assert!(right >= whole[2] && below >= whole[3], "{right} x {below} of {whole:?}");
    }
    let other = dir.path().join("other.html");
    fs::write(&other, "<p>mine</p>").unwrap();
    let (code, said) = told(&["template", file, "--tiles", other.to_str().unwrap()]);
    assert!(code == 2 && said.contains("is no template"), "{said}");
}

/// The drawing is the blade at true scale: its outline has the area of the blade's, read back from both files.
#[test]
fn templates_are_at_true_scale() {
    let dir = tempfile::tempdir().unwrap();
    let path = |name: &str| dir.path().join(name).to_str().unwrap().to_owned();
    let (svg, dxf) = (path("card.svg"), path("card.dxf"));
    let file = "examples/commissions/sandwich.heat";
    let (code, said) = told(&["template", file, "--svg", &svg, "--dxf", &dxf]);
    assert_eq!(code, 0, "{said}");
    assert!(said.contains("lay a rule on the drawing's bar"), "{said}");
    let blade = check(&recipe("sandwich")).shape();
    let area = |points: &[[f64; 2]]| {
        let next = points.iter().cycle().skip(1);
        points.iter().zip(next).map(|(a, b)| a[0] * b[1] - b[0] * a[1]).sum::<f64>().abs() / 2.0
    };
    // SVG: a unit of the drawing is a mm on paper.
    let text = fs::read_to_string(&svg).unwrap();
    let attribute = |name: &str| {
        let from = text.find(&format!(" {name}=\"")).unwrap() + name.len() + 3;
        text[from..].split('"').next().unwrap().to_owned()
    };
    let view = attribute("viewBox");
    let sizes: Vec<&str> = view.split_whitespace().collect();
    assert_eq!(attribute("width"), format!("{}mm", sizes[2]));
    assert_eq!(attribute("height"), format!("{}mm", sizes[3]));
    let outline = text.split(" d=\"").nth(1).unwrap().split('"').next().unwrap();
    let figures: Vec<f64> = outline
        .split(|c: char| !(c.is_ascii_digit() || c == '.' || c == '-'))
        .filter_map(|f| f.parse().ok())
        .collect();
    let points: Vec<[f64; 2]> = figures.chunks_exact(2).map(|c| [c[0], c[1]]).collect();
    close(area(&points), blade.side_area(), 1e-5);
    assert!(text.contains("100 mm: print at 100 %"));
    // DXF: read by the library that others read it with too.
    let drawing = Drawing::load_file(&dxf).unwrap();
    let lines: Vec<Vec<[f64; 2]>> = drawing
        .entities()
        .filter_map(|e| match &e.specific {
            EntityType::Polyline(line) => {
                Some(line.vertices().map(|v| [v.location.x, v.location.y]).collect())
            }
            _ => None,
        })
        .collect();
    close(area(&lines[0]), blade.side_area(), 1e-5);
    let bar = lines.iter().find(|l| l.len() == 2 && l[0][1] == l[1][1]).unwrap();
    assert!((bar[1][0] - bar[0][0] - 100.0).abs() < 1e-9);
    let layers: Vec<&str> = drawing.layers().map(|l| l.name.as_str()).collect();
    for entity in drawing.entities() {
        assert!(layers.contains(&entity.common.layer.as_str()), "{}", entity.common.layer);
    }
    for named in ["OUTLINE", "SECTIONS", "BEVEL", "CORE", "STATIONS", "BAR", "TEXT"] {
        assert!(drawing.entities().any(|e| e.common.layer == named), "nothing in {named}");
    }
    // The core's lines run where it ends on the faces.
    let (worked, bar) = (check(&recipe("sandwich")), check(&recipe("sandwich")).bar());
    let core = worked.plan.ground.parts.iter().position(|name| name == "core").unwrap();
    let met = Met { makeup: &worked.build.bench.makeup, node: bar.node, part: PartName(core as u32) };
    let mut looked = 0;
    for entity in drawing.entities().filter(|e| e.common.layer == "CORE") {
        let EntityType::Polyline(line) = &entity.specific else { panic!("no polyline") };
        for [x, y] in line.vertices().map(|v| [v.location.x, v.location.y]) {
            let section = blade.section(x);
            let up =
                [Side::Left, Side::Right].map(|side| section.edge().y + met.shows(&blade, &section, side));
            assert!(up.iter().any(|up| (up - y).abs() < 0.01), "{y} at {x}: {up:?}");
            looked += 1;
        }
    }
    assert!(looked > 50, "{looked}");
    assert_eq!(drawing.header.default_drawing_units, dxf::enums::Units::Millimeters);
    // In inches the file says so, and is as large.
    let inches = path("inches.dxf");
    heatbook(&["template", file, "--dxf", &inches, "--units", "in"]);
    let drawing = Drawing::load_file(&inches).unwrap();
    assert_eq!(drawing.header.default_drawing_units, dxf::enums::Units::Inches);
    let outline = drawing.entities().find(|e| e.common.layer == "OUTLINE").unwrap();
    let EntityType::Polyline(outline) = &outline.specific else { panic!("no polyline") };
    let points: Vec<[f64; 2]> =
        outline.vertices().map(|v| [v.location.x * 25.4, v.location.y * 25.4]).collect();
    close(area(&points), blade.side_area(), 1e-4);
    // Same input, same bytes; and no drawing is written over another.
    let (svg_2, dxf_2) = (path("again.svg"), path("again.dxf"));
    heatbook(&["template", file, "--svg", &svg_2, "--dxf", &dxf_2]);
    assert_eq!(fs::read(&svg).unwrap(), fs::read(&svg_2).unwrap());
    assert_eq!(fs::read(&dxf).unwrap(), fs::read(&dxf_2).unwrap());
    let (code, said) = told(&["template", file, "--svg", &svg]);
    assert!(code == 2 && said.contains("it is there already"), "{said}");
    let (code, said) = told(&["template", "examples/ferry-galley.heat"]);
    assert!(code == 2 && said.contains("no such blade"), "{said}");
}

/// A ground bevel that costs the width can be forged instead: offered, and true.
#[test]
fn forging_the_bevels_rescues_a_narrow_blade() {
    let text = "shop {\n  scale none\n  press 40 tonf, flat die 40 mm\n}\nstock b = 1 bar of 1084, 5 x 40 x 200 mm\n\
                bevel b edge 1 mm, height 20 mm, ground\ntarget b {\n  width >= 44 mm everywhere\n  spine >= 4 mm at heel\n}\n";
    let dir = tempfile::tempdir().unwrap();
    let path = dir.path().join("narrow.heat");
    fs::write(&path, text).unwrap();
    let (code, said) = told(&["rescue", path.to_str().unwrap()]);
    assert!(code == 0 && said.contains("forge the bevels instead of grinding them"), "{said}");
}
