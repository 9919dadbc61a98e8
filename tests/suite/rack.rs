//! What a build leaves over: written as stock, taken by the next build, and used to rescue one that is too narrow.

use std::fs;

use crate::common::{called, check, heatbook, ways, work};
use heatbook::quantity::Units;
use heatbook::study::rack;

const BUILD: &str = "\
steel old-file = like W1, carbon 1.15 %
stock dark = 7 bars of 1084, 4 x 40 x 200 mm
stock bright = 6 bars of 15N20, 2 x 40 x 200 mm
stock spare = 2 bars of old-file, 5 x 30 x 100 mm
stock more = 1 bar of old-file, 3 x 30 x 100 mm
stock rod = 1 round of 1095, 12 x 300 mm
cut rod at 200 mm into long-end, short-end
stack billet = alternate dark, bright
weld billet at 1150 C, thinning 15 %
draw billet to 20 mm thick, heats 4
cut billet at 260 mm into blade, rest
cut blade 8 mm off each end
target blade {
  width >= 50 mm
}
";

#[test]
fn what_is_left_can_be_drawn_on() {
    let first = work(BUILD);
    let kept = rack(&first.plan, &first.build, BUILD, Units::Metric);
    let names: Vec<&str> = kept.iter().map(|k| k.name.as_str()).collect();
    assert_eq!(names, ["spare", "more", "long-end", "short-end", "rest", "blade-offcut-1"]);
    let mut next = "steel old-file = like W1, carbon 1.15 %\n".to_owned();
    for lot in &kept {
        next += &(lot.line(&format!("{}-again", lot.name)).unwrap() + "\n");
    }
    let second = work(&next);
    assert_eq!(second.faults(), Vec::<&str>::new(), "{next}");
    for lot in &kept {
        let again = format!("{}-again", lot.name);
        let is = |id: &&heatbook::piece::LotId| second.plan.ground.lot_name(**id) == again;
        let made = second.build.lot(*second.build.standing.iter().find(is).unwrap()).unwrap();
        for (was, now) in lot.bar.sizes().into_iter().zip(made.bar.sizes()) {
            assert!((was - now).abs() <= 0.005, "{again}: {was} against {now}");
        }
        // Sizes stand to 0.01 mm: the shortest is 6 mm long.
        assert!((made.bar.mass / lot.bar.mass - 1.0).abs() < 0.002, "{again}");
        let bands = |w: &crate::common::Worked, bar: &heatbook::piece::Bar| {
            heatbook::piece::bands(&w.build.bench.makeup, bar.node, bar.thick)
        };
        assert_eq!(bands(&first, &lot.bar), bands(&second, &made.bar), "{again}");
        let share = |w: &crate::common::Worked, bar: &heatbook::piece::Bar| {
            w.build.bench.makeup.mix(bar.node).map(|(_, share)| share).fold(0.0, f64::max)
        };
        assert!((share(&first, &lot.bar) - share(&second, &made.bar)).abs() < 0.02, "{again}");
        assert_eq!(made.count, lot.count, "{again}");
        let layers = |w: &crate::common::Worked, bar: &heatbook::piece::Bar| {
            heatbook::piece::layers_text(&w.build.bench.makeup, bar.node)
        };
        assert_eq!(layers(&first, &lot.bar), layers(&second, &made.bar), "{again}");
        let outside = |w: &crate::common::Worked, bar: &heatbook::piece::Bar| {
            let faces = w.build.bench.makeup.outside(bar.node, bar.thick);
            faces.map(|s| s.map(|s| w.plan.ground.steels[s].name.clone()))
        };
        assert_eq!(outside(&first, &lot.bar), outside(&second, &made.bar), "{again}");
        for (was, now) in lot.bar.past.lost.into_iter().zip(made.bar.past.lost) {
            // The deeper of both, rounded up.
            assert!(
                now >= was - 1e-9 && now <= lot.bar.past.lost[0].max(lot.bar.past.lost[1]) + 0.01,
                "{again}"
            );
        }
    }
    // It lies there: no heat, no scale, nothing that anybody explains away.
    assert_eq!(second.build.balance.lost, 0.0);
    assert_eq!(second.build.ledger.efforts.iter().map(|e| e.1.heats).sum::<u32>(), 0);
}

#[test]
fn too_many_layers_are_said_so() {
    let mut many = String::from(
        "stock a = 2 bars of 1084, 10 x 40 x 200 mm\nstock b = 1 bar of 15N20, 10 x 40 x 200 mm\nstack p = alternate a, b\nweld p at 1150 C, thinning 10 %\n",
    );
    for _ in 0..4 {
        many += "draw p to 10 mm thick\ncut p into 4\nstack p = p\nweld p at 1150 C, thinning 10 %\n";
    }
    let made = work(&many);
    assert_eq!(made.faults(), Vec::<&str>::new());
    let kept = rack(&made.plan, &made.build, &many, Units::Metric);
    assert!(kept[0].stock.as_ref().unwrap_err().contains("do not go round"), "{:?}", kept[0].stock);
}

#[test]
fn an_offcut_rescues_a_narrow_billet() {
    // Once from a piece that stands about, once from an offcut on the rack.
    for (cut, name) in
        [("cut blade at 200 mm into blade, rest", "rest"), ("cut blade to 200 mm long", "blade-offcut-1")]
    {
        rescued(cut, name);
    }
}

fn rescued(cut: &str, left: &str) {
    let narrow = format!(
        "stock blade = 1 bar of 1084, 12 x 40 x 420 mm\n{cut}\ndraw blade to 11 mm thick, heats 2\n\
         target blade {{\n  thickness >= 9 mm\n  width >= 60 mm\n  length >= 180 mm\n}}\n"
    );
    let made = work(&narrow);
    let (text, base) = (narrow.as_str(), 0);
    let ways = ways(&made, text);
    let from_rack = ways
        .ways
        .iter()
        .find(|w| w.met && w.title == format!("lay {left} at its side, from what is left over"))
        .expect("a way");
    assert!(from_rack.steel.abs() < 1e-9, "the steel is there already");
    let mended = from_rack.written_into(text, base).unwrap();
    let again = check(&mended);
    assert!(again.verdict.met, "{:?}: {mended}", again.faults());
}

/// A build that leaves an offcut of its bar, and nothing else that no target asks for.
fn cropped(name: &str) -> String {
    format!(
        "stock {name} = 1 bar of 1084, 6 x 40 x 200 mm\ncut {name} to 120 mm long, keep {name}-rest\n\
         target {name} {{\n  length >= 100 mm\n}}\n"
    )
}

#[test]
fn a_rack_is_kept_from_build_to_build() {
    let folder = tempfile::tempdir().unwrap();
    let at = folder.path();
    let write = |name: &str, text: &str| fs::write(at.join(name), text).unwrap();
    let shelf = || fs::read_to_string(at.join("rack.heat")).unwrap();
    let book = |file: &str, more: &[&str]| {
        called(at, &[&["rack", file, "--into", "rack.heat", "--on", "2026-03-02"], more].concat(), "")
    };
    write("a.heat", &cropped("a"));
    let said = book("a.heat", &[]);
    assert_eq!((said.code, said.out.as_str(), said.err.as_str()), (0, "", "`a-rest` lies on the rack\n"));
    let first = shelf();
    assert!(first.contains("# from a.heat, 2026-03-02: 1 bar, "), "{first}");
    assert!(first.contains("\nstock a-rest = 1 bar of 1084, 6 x 40 x 78 mm\n"), "{first}");
    // Once, however often it is said; another text of the same build is asked about.
    let again = book("a.heat", &[]);
    assert_eq!(again.err, "`a.heat` was booked on 2026-03-02: nothing is changed\n");
    assert_eq!((again.code, shelf()), (0, first.clone()));
    write("a.heat", &format!("{}# once more\n", cropped("a")));
    let other = book("a.heat", &[]);
    assert!(other.code == 2 && other.err.contains("say `--again`"), "{}", other.all());
    assert_eq!(shelf(), first);
    assert_eq!(book("a.heat", &["--again"]).code, 0);
    assert!(shelf().contains("stock a-rest-2 = 1 bar of 1084, 6 x 40 x 78 mm\n"), "{}", shelf());
    // A flaw that is noted goes along with its lot.
    let noted = shelf().replace(
        "stock a-rest = 1 bar of 1084, 6 x 40 x 78 mm\n",
        "stock a-rest = 1 bar of 1084, 6 x 40 x 78 mm\nnote \"a-rest: a cold shut\"\n",
    );
    write("rack.heat", &noted);
    let taking =
        "stock b = a-rest from rack\ncut b to 60 mm long, keep end\ntarget b {\n  length >= 50 mm\n}\n";
    write("b.heat", taking);
    let none = called(at, &["check", "b.heat"], "");
    assert!(none.code == 1 && none.err.contains("`--rack FILE` names a file"), "{}", none.all());
    let ran = called(at, &["run", "b.heat", "--rack", "rack.heat", "--format", "json"], "");
    assert_eq!(ran.json()["pieces"]["b"]["length_mm"], 60.0, "{}", ran.all());
    let sheet = called(at, &["run", "b.heat", "--rack", "rack.heat"], "");
    assert!(!sheet.out.contains("to buy") && sheet.out.contains("a cold shut"), "{}", sheet.all());
    let took = book("b.heat", &["--scrap", "20 mm"]);
    assert_eq!(took.code, 0, "{}", took.all());
    let left = shelf();
    assert!(!left.contains("stock a-rest =") && !left.contains("a cold shut\"\n\nnote"), "{left}");
    assert!(
        left.contains("stock a-rest-2 = ") && left.contains("took a-rest; left nothing; scrap "),
        "{left}"
    );
    assert!(took.err.contains("`a-rest` was used, and is off the rack"), "{}", took.err);
    // It is gone: nothing takes it twice.
    let gone = called(at, &["check", "b.heat", "--rack", "rack.heat"], "");
    assert!(gone.code == 1 && gone.err.contains("there is no `a-rest` on the rack"), "{}", gone.all());
    assert_eq!(
        book("b.heat", &["--scrap", "20 mm"]).err,
        "`b.heat` was booked on 2026-03-02: nothing is changed\n"
    );
    // The file is a recipe like others, in the house style.
    assert_eq!(called(at, &["check", "rack.heat"], "").code, 0);
    assert_eq!(called(at, &["fmt", "--check", "rack.heat"], "").code, 0, "{left}");
    let listed = called(at, &["rack", "rack.heat", "--by", "size"], "");
    assert!(listed.out.contains("a-rest-2") && listed.out.contains("6 x 40 x 78 mm"), "{}", listed.all());
    assert_eq!(called(at, &["rack", "rack.heat", "--steel", "15n20"], "").out, "");
}

#[test]
fn one_name_in_the_recipe_and_on_the_rack_is_a_fault() {
    let folder = tempfile::tempdir().unwrap();
    let write = |name: &str, text: &str| fs::write(folder.path().join(name), text).unwrap();
    write("rack.heat", "stock end = 1 bar of 1084, 6 x 40 x 78 mm\n");
    write(
        "r.heat",
        "stock a = 1 bar of 1084, 6 x 40 x 200 mm\ncut a to 120 mm long, keep end\nstock b = end from rack\n",
    );
    let said =
        called(folder.path(), &["check", "r.heat", "--rack", "rack.heat", "--error-format", "plain"], "");
    assert!(said.code == 1 && said.err.contains("there are two `end` on the rack"), "{}", said.all());
    assert!(called(folder.path(), &["check", "r.heat"], "").code == 0);
    write("r.heat", "stock b = end from rack\nstock c = end from rack\n");
    let twice = called(folder.path(), &["check", "r.heat", "--rack", "rack.heat"], "");
    assert!(twice.code == 1 && twice.err.contains("was taken from the rack already"), "{}", twice.all());
    write("rack.heat", "stock end = 1 bar of 1084, 6 x 40 x 78 mm\ndraw end to 5 mm thick\n");
    let work = called(folder.path(), &["check", "r.heat", "--rack", "rack.heat"], "");
    assert!(work.code == 1 && work.err.contains("only says what lies on the rack"), "{}", work.all());
}

#[test]
fn many_at_once_lose_nothing() {
    let folder = tempfile::tempdir().unwrap();
    let at = folder.path();
    let names: Vec<String> = ["a", "b", "c", "d", "e", "f"].map(|n| format!("{n}-bar")).into();
    names.iter().for_each(|name| fs::write(at.join(format!("{name}.heat")), cropped(name)).unwrap());
    std::thread::scope(|scope| {
        for name in &names {
            scope.spawn(move || {
                let said = called(at, &["rack", &format!("{name}.heat"), "--into", "rack.heat"], "");
                assert_eq!(said.code, 0, "{}", said.all());
            });
        }
    });
    let shelf = fs::read_to_string(at.join("rack.heat")).unwrap();
    for name in &names {
        assert_eq!(shelf.matches(&format!("stock {name}-rest = ")).count(), 1, "{shelf}");
        assert_eq!(shelf.matches(&format!(": {name}.heat; ")).count(), 1, "{shelf}");
    }
    let left: Vec<_> = fs::read_dir(at).unwrap().map(|f| f.unwrap().file_name()).collect();
    assert!(left.iter().all(|f| !f.to_string_lossy().starts_with(".heatbook")), "{left:?}");
}

#[test]
fn what_lies_on_the_rack_rescues_and_is_written_in() {
    let folder = tempfile::tempdir().unwrap();
    let at = folder.path();
    let narrow = "stock blade = 1 bar of 1084, 12 x 40 x 200 mm\ndraw blade to 11 mm thick, heats 2\n\
                  target blade {\n  thickness >= 9 mm\n  width >= 60 mm\n  length >= 180 mm\n}\n";
    let rack = "stock rest = 1 bar of 1084, 12 x 40 x 218 mm\n";
    fs::write(at.join("r.heat"), narrow).unwrap();
    fs::write(at.join("rack.heat"), rack).unwrap();
    let ask = |more: &[&str]| called(at, &[&["rescue", "r.heat"], more].concat(), "");
    assert!(!ask(&["--format", "json"]).out.contains("lay rest at its side"), "nothing is asked of the rack");
    let said = ask(&["--rack", "rack.heat", "--format", "json"]);
    let ways = said.json()["ways"].as_array().unwrap().clone();
    let way = ways.iter().find(|w| w["title"] == "lay rest at its side, from what is left over");
    let way = way.unwrap_or_else(|| panic!("{}", said.out));
    assert!(way["met"] == true && way["steel_g"].as_f64().unwrap().abs() < 1e-9, "{way}");
    let wrote = ask(&["--rack", "rack.heat", "--write"]);
    assert_eq!(wrote.code, 0, "{}", wrote.all());
    let mended = fs::read_to_string(at.join("r.heat")).unwrap();
    // What stood there stands there still; what is put in meets the target.
    let mut lines = mended.lines();
    assert!(narrow.lines().all(|line| lines.any(|other| other == line)), "{mended}");
    assert!(mended.lines().count() > narrow.lines().count(), "{mended}");
    let again = called(at, &["check", "r.heat", "--rack", "rack.heat"], "");
    assert_eq!(again.code, 0, "{}", again.all());
    assert_eq!(fs::read_to_string(at.join("rack.heat")).unwrap(), rack);
}

/// A shelf with a bar that is too short, one that serves, and one of another steel.
const SHELF: &str = "\
stock short = 1 bar of 1084, 10 x 40 x 60 mm
stock long = 1 bar of 1084, 10 x 40 x 300 mm
stock fitting = 1 bar of 1084, 10 x 40 x 260 mm
stock other = 1 bar of 15N20, 10 x 40 x 200 mm
";

const WANTED: &str = "\
stock b = 1 bar of 1084, 10 mm x 40 mm x ?   # as long as it takes
draw b to 6 mm thick, 40 mm wide, heats 3
cut b to ? in 100 .. 200 mm long
target b {
  length >= 150 mm
  thickness >= 5 mm
}
";

/// Asked with a rack, `fill` takes what lies there first: the lightest bar of that steel that serves, named, and written in on request.
#[test]
fn fill_takes_from_the_rack_what_serves() {
    let dir = tempfile::tempdir().unwrap();
    let path = |name: &str, text: &str| {
        let path = dir.path().join(name);
        fs::write(&path, text).unwrap();
        path.to_str().unwrap().to_owned()
    };
    let (shelf, recipe) = (path("rack.heat", SHELF), path("r.heat", WANTED));
    let bought = heatbook(&["fill", &recipe]);
    assert!(bought.code == 0 && !bought.out.contains("rack"), "{}", bought.all());
    let said = heatbook(&["fill", &recipe, "--rack", &shelf, "--format", "json"]);
    let json = said.json();
    assert_eq!(json["from_rack"][0]["name"], "fitting", "{json}");
    assert_eq!(json["from_rack"][0]["write"], "stock b = fitting from rack");
    assert_eq!((json["from_rack"].as_array().unwrap().len(), json["objective"].as_f64()), (1, Some(0.0)));
    // What is bought is told apart from what lies there: 260 mm of 10 x 40 mm.
    assert!(
        (json["from_rack_g"].as_f64().unwrap() - 816.4).abs() < 0.1
            && json["objective"].as_f64().unwrap().to_bits() == 0,
        "{json}"
    );
    // The `?` of the line that buys no more is gone, the other is answered.
    assert_eq!(json["answers"].as_array().unwrap().len(), 1);
    let text = heatbook(&["fill", &recipe, "--rack", &shelf, "--write"]).all();
    let text = text.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(text.contains("is `stock b = fitting from rack`, 1 bar of 1084"), "{text}");
    assert!(text.contains("steel bought: 0 g; from the rack 816.4 g"), "{text}");
    let written = fs::read_to_string(&recipe).unwrap();
    assert!(written.starts_with("stock b = fitting from rack   # as long as it takes\n"), "{written}");
    assert!(!written.contains('?'), "{written}");
    assert_eq!(heatbook(&["check", &recipe, "--rack", &shelf]).code, 0);
    // Without a `?` too; and where nothing serves, that is said, and bars are bought.
    let plain =
        path("plain.heat", &WANTED.replace("x ?", "x 170 mm").replace("? in 100 .. 200 mm", "160 mm"));
    let said = heatbook(&["fill", &plain, "--rack", &shelf]);
    assert!(said.code == 0 && said.out.contains("`stock b = fitting from rack`"), "{}", said.all());
    let poor = path("poor.heat", SHELF.split_inclusive('\n').next().unwrap());
    let said = heatbook(&["fill", &recipe.replace("r.heat", "plain.heat"), "--rack", &poor]);
    assert!(said.code == 2 && said.err.contains("nothing on the rack was found to serve"), "{}", said.all());
    let recipe = path("again.heat", WANTED);
    let said = heatbook(&["fill", &recipe, "--rack", &poor]);
    assert!(
        said.code == 0 && said.out.contains("nothing that lies on the rack was found to serve"),
        "{}",
        said.all()
    );
}

const TWISTED: &str = "\
stock dark = 4 bars of 1084, 3 x 30 x 150 mm
stock bright = 3 bars of 15N20, 2 x 30 x 150 mm
stack rod = alternate dark, bright
weld rod
draw rod to 14 mm square
twist rod 5 turns, grips 20 mm
";

/// What a pattern has moved is stock again, with all that a line can keep; where its layers lie is said to be unknown, and what is left of
/// it is written so again.
#[test]
fn a_twisted_piece_keeps_what_a_line_can_keep() {
    for (more, hard) in [("", false), ("harden rod from 815 C in oil\n", true)] {
        let build = format!("{TWISTED}{more}");
        let made = work(&build);
        let kept = rack(&made.plan, &made.build, &build, Units::Metric);
        let line = kept[0].line("rod").unwrap();
        assert!(line.ends_with("patterned \"twist 1\""), "{line}");
        let taken = format!("{line}\ncut rod to 100 mm long, keep end\n");
        let again = work(&taken);
        assert_eq!(again.faults(), Vec::<&str>::new(), "{taken}");
        let bar_of = |w: &crate::common::Worked, name: &str| {
            let is = |id: &&heatbook::piece::LotId| w.plan.ground.lot_name(**id) == name;
            let mut lots = w.build.standing.iter().chain(&w.build.racked);
            w.build.lot(*lots.find(is).unwrap()).unwrap().bar
        };
        let (was, now) = (made.bar_of("rod"), bar_of(&again, "end"));
        let makeup = (&made.build.bench.makeup, &again.build.bench.makeup);
        assert!(makeup.0.patterned(was.node) && makeup.1.patterned(now.node));
        assert_eq!((makeup.0.layers(was.node), makeup.1.layers(now.node)), (7, 7));
        let outside = |w: &crate::common::Worked, bar: &heatbook::piece::Bar| {
            let faces = w.build.bench.makeup.outside(bar.node, bar.thick);
            faces.map(|s| s.map(|s| w.plan.ground.steels[s].name.clone()))
        };
        assert_eq!(outside(&made, &was), outside(&again, &now));
        assert!(was.past.lost[0] > 0.1 && now.past.lost[0] >= was.past.lost[0]);
        assert_eq!((was.past.hard.is_some(), now.past.hard.is_some()), (hard, hard));
        let weight = |bar: &heatbook::piece::Bar| bar.mass / bar.volume();
        assert!((weight(&was) / weight(&now) - 1.0).abs() < 1e-3, "{line}");
        let said = |what: &str| again.build.ledger.assumed.iter().find(|a| a.what == what);
        assert!(said("pattern of stock").unwrap().value.contains("`twist 1`"));
        assert!(said("carbon of layered stock").is_some());
        // What is left of it, twisted once more, tells both.
        let more = format!("{line}\ndraw rod to 12 mm square\ntwist rod 2 turns, grips 20 mm\n");
        let once_more = work(&more);
        if !hard {
            let kept = rack(&once_more.plan, &once_more.build, &more, Units::Metric);
            assert!(kept[0].line("rod").unwrap().ends_with("patterned \"twist 1; twist 1\""));
        }
    }
}

/// By way of the rack's file too; its picture says that it is none, and no rescue and no `fill` lays it where flat layers are meant.
#[test]
fn a_patterned_bar_lies_on_the_rack() {
    let dir = tempfile::tempdir().unwrap();
    let write = |name: &str, text: &str| fs::write(dir.path().join(name), text).unwrap();
    let ask = |args: &[&str]| called(dir.path(), args, "");
    write("rod.heat", TWISTED);
    assert_eq!(ask(&["rack", "--into", "rack.heat", "rod.heat"]).code, 0);
    let lying = fs::read_to_string(dir.path().join("rack.heat")).unwrap();
    assert!(lying.contains("1084 outside, ") && lying.contains("patterned \"twist 1\""), "{lying}");
    assert_eq!(ask(&["fmt", "--check", "rack.heat"]).code, 0, "{lying}");
    write("r.heat", "stock b = rod from rack\ndraw b to 10 mm square\n");
    let said = ask(&["check", "r.heat", "--rack", "rack.heat"]);
    assert!(said.code == 0 && said.out.contains("pattern of stock"), "{}", said.all());
    let drawn = ask(&["picture", "r.heat", "--rack", "rack.heat", "b", "--format", "json"]);
    assert!(drawn.all().contains("where they lie is not told"), "{}", drawn.all());
    let flat = "stock b = 1 bar of layered 1084, 15N20, 7 layers, 67 % of 1084, 1084 outside, 13.8 x 13.8 x 380 mm\n\
                target b {\n  length >= 300 mm\n}\n";
    write("flat.heat", flat);
    let filled = ask(&["fill", "flat.heat", "--rack", "rack.heat"]);
    assert!(
        filled.code == 2 && filled.err.contains("nothing on the rack was found to serve"),
        "{}",
        filled.all()
    );
}

/// What no line can keep is said: open hollows are no bar, and an octagon is not kept.
#[test]
fn what_a_line_of_stock_cannot_keep_is_said() {
    let build = "stock a = 1 bar of 1084, 20 x 20 x 200 mm\ndraw a to 14 mm octagon, heats 3\n\
                 stock b = 1 bar of 1084, 12 x 40 x 200 mm\ndrill b 6 mm holes, 2 mm deep, every 15 mm\n";
    let made = work(build);
    let kept = rack(&made.plan, &made.build, build, Units::Metric);
    assert_eq!(kept[0].unkept, Some("an octagon, written as the square of as much steel"));
    let why = kept[1].stock.as_ref().unwrap_err();
    assert!(why.starts_with("its hollows stand open"), "{why}");
    let dir = tempfile::tempdir().unwrap();
    fs::write(dir.path().join("o.heat"), build).unwrap();
    let said = called(dir.path(), &["rack", "o.heat"], "").out;
    assert!(said.contains("g: an octagon, written as the square of as much steel."), "{said}");
    let booked = called(dir.path(), &["rack", "o.heat", "--into", "rack.heat"], "");
    let lying = fs::read_to_string(dir.path().join("rack.heat")).unwrap();
    assert!(
        lying.contains("; an octagon, written") && booked.err.contains("cannot be written as stock"),
        "{}",
        booked.all()
    );
}
