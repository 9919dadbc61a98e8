//! What the language server answers, over real pipes: each kind of question once. (`tests/editor` asks many more, by a client
//! that is not ours.)

use crate::client::{Client, Session, URI};
use serde_json::{Value, json};

const TEXT: &str = "\
let finish = 0.4 mm
recipe slab(bars: count = 4, skin: length = 1 mm) {
  stock dark = bars bars of 1084, 3 x 40 x 120 mm
  stock bright = 3 bars of 15N20, 1.5 x 40 x 120 mm
  stack p = alternate dark, bright
  weld p at 1230 C, thinning 15 %, heats 3
  grind p edges skin
  give p
}
stock p = 2 bars of 1084, 3 x 40 x 120 mm
stock blade = slab(bars = 4)
draw blade to 7 mm thick, heats 2
grind blade faces finish
";

#[test]
fn hover_tells_of_verbs_clauses_steels_pieces_and_figures() {
    let mut session = Session::new(TEXT);
    assert!(session.hover("draw blade", 1).contains("**draw**: draws a bar out"));
    assert!(session.hover("heats 2", 1).contains("how many trips through the fire"));
    assert!(session.hover("15N20", 1).contains("Ni 1.95 %"));
    assert!(
        session.hover("blade to 7", 1).contains("after this step: 7 x "),
        "{}",
        session.hover("blade to 7", 1)
    );
    assert!(session.hover("faces finish", 8).contains("0.4 mm"));
    session.change(&format!("{TEXT}target blade {{\n  hardness of middle >= 40 HRC\n}}\n"));
    assert!(session.hover("middle >=", 1).contains("in the middle of the section"));
    // A word of the language is told of as `explain` tells of it.
    for (words, behind, topic, name) in [
        ("draw blade", 1, "verb", "draw"),
        ("let finish", 1, "line", "let"),
        ("recipe slab", 1, "line", "recipe"),
        ("hardness of", 1, "target", "hardness"),
    ] {
        let told = session.hover(words, behind);
        let pages = heatbook::manual::find(&format!("{topic} {name}"));
        let [page] = pages.as_slice() else { panic!("{name}") };
        assert!(told.contains(&page.doc), "{told}");
        for text in page.parts.iter().map(|part| &part.doc).chain(page.facts.iter().map(|(_, text)| text)) {
            assert!(text.lines().all(|line| told.contains(line)), "{text}: {told}");
        }
        assert!(
            told.ends_with(&format!("`heatbook explain {topic} {name}` tells what can go wrong")),
            "{told}"
        );
    }
    assert!(session.hover("= slab(", 3).contains("recipe slab(bars: count = 4, skin: length = 1 mm)"));
}

/// A recipe in inches is told of in inches: samples, rules of thumb, what a unit is.
#[test]
fn hover_speaks_the_recipes_unit() {
    let text = "stock bar = 1 bar of 1084, 1/2 x 1 1/2 x 8 in\n\
        draw bar to 10 cm long, heats 2, with flat die 2 in\ntarget bar {\n  thickness >= 1/8 in\n}\n";
    let mut session = Session::new(text);
    for (words, behind) in [
        ("draw bar", 1),
        ("stock bar", 1),
        ("flat die", 1),
        ("heats 2", 1),
        ("cm long", 0),
        ("thickness >=", 1),
    ] {
        let told = session.hover(words, behind);
        assert!(!told.is_empty(), "nothing is told of {words}");
        let metric = |word: &str| matches!(word, "mm" | "C" | "kN" | "kg");
        let parts = told.split(|c: char| !c.is_alphanumeric());
        assert!(!parts.clone().any(metric), "{words}: {told}");
    }
    assert!(session.hover("cm long", 0).contains("25/64 in"), "{}", session.hover("cm long", 0));
    assert_eq!(session.hover("in\ntarget", 0), "**in**, a length");
}

#[test]
fn completion_goes_by_the_words_before_it() {
    for (line, there, absent) in [
        ("", "draw", "width"),
        ("draw ", "blade", "dark"),
        ("draw blade to 9 ", "mm", "heats"),
        ("draw blade to 9 mm ", "thick", "thinning"),
        ("draw blade to 9 mm thick, ", "heats", "blade"),
        ("stock n = ", "slab", "blade"),
        ("stock n = 3 bars of ", "1084", "blade"),
        ("stock n = slab(", "skin", "1084"),
        ("target blade {\n  ", "width", "draw"),
        ("target blade {\n  thickness of ", "dark", "middle"),
        ("target blade {\n  hardness of ", "middle", "width"),
        ("shop {\n  ", "kerf", "draw"),
    ] {
        let mut session = Session::new(&format!("{TEXT}{line}"));
        let end = if line.is_empty() { "faces finish\n" } else { line };
        let offers = session.offers(end);
        assert!(offers.iter().any(|o| o == there), "{line:?}: {offers:?}");
        assert!(offers.iter().all(|o| o != absent), "{line:?}: {offers:?}");
    }
}

#[test]
fn names_keep_to_their_scope_and_are_renamed_whole() {
    let mut session = Session::new(TEXT);
    let line = |answer: &Value| answer["result"][0]["range"]["start"]["line"].as_u64();
    assert_eq!(line(&session.ask("definition", "faces finish", 7, json!({}))), Some(0));
    assert_eq!(line(&session.ask("definition", "give p", 5, json!({}))), Some(4));
    let with = json!({ "context": { "includeDeclaration": true } });
    let inside = session.ask("references", "give p", 5, with.clone());
    assert_eq!(inside["result"].as_array().unwrap().len(), 4);
    let outside = session.ask("references", "stock p", 6, with);
    assert_eq!(outside["result"].as_array().unwrap().len(), 1);
    let renamed = session.ask("rename", "skin: length", 0, json!({ "newName": "depth" }));
    assert_eq!(session.applied(&renamed["result"]), TEXT.replace("skin", "depth"));
    for (new, why) in [("weld", "a verb"), ("blade", "already"), ("9", "no name")] {
        let refused = session.ask("rename", "stock p", 6, json!({ "newName": new }));
        assert!(refused["error"]["message"].as_str().unwrap().contains(why), "{refused}");
    }
    let ready = session.ask("prepareRename", "let finish", 6, json!({}));
    assert_eq!(ready["result"]["placeholder"], "finish");
}

#[test]
fn a_part_of_several_pieces_is_not_renamed_by_guess() {
    let text = format!(
        "{TEXT}stock dark = 1 bar of 1084, 3 x 40 x 120 mm\ntarget blade {{\n  thickness of dark >= 1 mm\n}}\n"
    );
    let mut session = Session::new(&text);
    let refused = session.ask("rename", "of dark", 4, json!({ "newName": "other" }));
    assert!(
        refused["error"]["message"].as_str().unwrap().contains("it cannot be told which is meant"),
        "{refused}"
    );
}

#[test]
fn a_mend_is_offered_and_does_mend() {
    let mut session = Session::new(TEXT);
    let range = |s: &Session, words: &str| json!({ "start": s.place(words, 0), "end": s.place(words, 1) });
    let context = json!({ "diagnostics": [] });
    for (right, wrong) in [
        ("thick, heats", "thik, heats"),
        ("grind blade", "grind blad"),
        ("0.4 mm", "0,4 mm"),
        ("15N20", "15N2O"),
    ] {
        let slip = TEXT.replacen(right, wrong, 1);
        let found = session.change(&slip);
        assert!(found.iter().any(|f| f["severity"] == 1), "{wrong}: {found:?}");
        // The words at fault may stand a little behind the first letter.
        let mut more = json!({ "range": range(&session, wrong), "context": context });
        more["range"]["end"] = session.place(wrong, wrong.len());
        let actions = session.ask("codeAction", wrong, 0, more);
        let mended = session.applied(&actions["result"][0]["edit"]);
        assert_eq!(mended, TEXT, "{actions}");
    }
    // A target that is missed: the figure that the search finds, written exactly.
    let missed = format!("{TEXT}target blade {{\n  thickness >= 7.5 mm\n}}\n");
    session.change(&missed);
    let more = json!({ "range": range(&session, "thickness >="), "context": context });
    let actions = session.ask("codeAction", "thickness >=", 0, more);
    let action = &actions["result"][0];
    assert_eq!(action["diagnostics"][0]["code"], "target_missed", "{actions}");
    let mended = session.applied(&action["edit"]);
    let left = session.change(&mended);
    assert!(left.iter().all(|f| f["code"] != "target_missed"), "{mended}\n{left:?}");
}

#[test]
fn symbols_hints_and_house_style() {
    let mut session = Session::new(&TEXT.replace("let finish = ", "let  finish  = "));
    let symbols = session.ask("documentSymbol", "let", 0, json!({}));
    let names: Vec<&str> =
        symbols["result"].as_array().unwrap().iter().map(|s| s["name"].as_str().unwrap()).collect();
    assert_eq!(names, ["finish", "slab", "stock p", "stock blade", "draw blade", "grind blade"]);
    let whole =
        json!({ "range": { "start": { "line": 0, "character": 0 }, "end": { "line": 99, "character": 0 } } });
    let hints = session.ask("inlayHint", "let", 0, whole);
    let drawn = hints["result"].as_array().unwrap().iter().find(|h| h["position"]["line"] == 11).unwrap();
    assert!(drawn["label"].as_str().unwrap().starts_with("7 x "), "{drawn}");
    let edits =
        session.ask("formatting", "let", 0, json!({ "options": { "tabSize": 2, "insertSpaces": true } }));
    let edit = json!({ "changes": { URI: edits["result"] } });
    assert_eq!(session.applied(&edit), heatbook::language::format(&session.text, 0).unwrap());
}

/// In a build log, behind `at`: the recipe's steps that are not read yet; on a label, the step it speaks of, and the way there. What is found is what `check` finds.
#[test]
fn a_build_log_knows_the_steps_of_its_recipe() {
    let folder = tempfile::tempdir().unwrap();
    let recipe = "stock b = 1 bar of 1084, 20 x 40 x 150 mm\ndraw b to 12 mm thick, heats 3\ncut b 8 mm off each end\ndraw b to 9 mm thick, heats 3\n\
        target b {\n  width >= 60 mm everywhere\n}\n";
    std::fs::write(folder.path().join("r.heat"), recipe).unwrap();
    let log = "build of \"r.heat\"\nat draw 1: 12.1 mm thick, 44 mm wide\n";
    std::fs::write(folder.path().join("l.heat"), log).unwrap();
    let uri = format!("file://{}", folder.path().join("l.heat").display());
    let mut client = Client::start(&["utf-8"]);
    client.open(&uri, log);
    let codes = |found: &[Value]| -> Vec<String> {
        let mut codes: Vec<String> = found.iter().map(|f| f["code"].as_str().unwrap().to_owned()).collect();
        codes.sort();
        codes
    };
    let checked = crate::common::called(folder.path(), &["check", "l.heat", "--format", "json"], "").json();
    let of = |kind: &str| checked[kind].as_array().unwrap().clone();
    let told: Vec<Value> = of("faults").into_iter().chain(of("warnings")).collect();
    let bare = |code: &Value| code["code"].as_str().unwrap().trim_start_matches("heatbook::").to_owned();
    let mut told: Vec<String> = told.iter().map(bare).collect();
    told.sort();
    assert_eq!(codes(&client.findings(&uri, 1)), told);
    assert!(told.contains(&"target_missed".to_owned()), "{told:?}");

    let ask = |client: &mut Client, what: &str, line: u32, character: u32| {
        let position = json!({ "line": line, "character": character });
        let params = json!({ "textDocument": { "uri": uri }, "position": position });
        client.ask(&format!("textDocument/{what}"), params)["result"].clone()
    };
    let hover = ask(&mut client, "hover", 1, 5)["contents"]["value"].as_str().unwrap().to_owned();
    assert!(hover.contains("draw b to 12 mm thick, heats 3") && hover.contains("as foretold"), "{hover}");
    for (line, character, leads) in [(1, 5, 1), (0, 12, 0)] {
        let there = ask(&mut client, "definition", line, character);
        assert!(there[0]["uri"].as_str().unwrap().ends_with("r.heat"), "{there}");
        assert_eq!(there[0]["range"]["start"]["line"], leads, "{there}");
    }
    let mut labels = |version: i64, more: &str| -> Vec<String> {
        let text = format!("{log}{more}");
        client.change(&uri, version, &text);
        client.findings(&uri, version);
        let made = ask(&mut client, "completion", 2, more.len() as u32);
        made.as_array().unwrap().iter().map(|o| o["label"].as_str().unwrap().to_owned()).collect()
    };
    assert_eq!(labels(2, "at "), ["cut 1", "draw 2"]);
    assert_eq!(labels(3, "at draw "), ["2"]);
    assert_eq!(labels(4, ""), ["at", "on", "note"]);
    let sizes = labels(5, "at draw 2: 9 mm ");
    assert!(sizes.iter().any(|s| s == "thick"), "{sizes:?}");
}

#[test]
fn the_name_under_the_cursor_is_marked_wherever_it_stands() {
    let mut session = Session::new(TEXT);
    let answer = session.ask("documentHighlight", "dark = bars", 1, json!({}));
    let marks = answer["result"].as_array().unwrap();
    // Given in the third line, used in the fifth: 2 is read, 3 is written (the protocol's numbers).
    let told =
        |mark: &Value| (mark["range"]["start"]["line"].as_u64().unwrap(), mark["kind"].as_u64().unwrap());
    assert_eq!(marks.iter().map(told).collect::<Vec<_>>(), [(2, 3), (4, 2)], "{answer}");
    assert!(session.ask("documentHighlight", "draw blade", 1, json!({}))["result"].is_null());
}

#[test]
fn blocks_long_lines_and_comments_fold() {
    let text = "# one\n# two\nshop {\n  kerf 2 mm\n}\nstock b = 2 bars of 1084,\n  3 x 40 x 120 mm\n# three\nturn b\n";
    let mut session = Session::new(text);
    let answer = session.ask("foldingRange", "shop", 0, json!({}));
    let mut folds: Vec<(u64, u64, bool)> = answer["result"]
        .as_array()
        .unwrap()
        .iter()
        .map(|f| (f["startLine"].as_u64().unwrap(), f["endLine"].as_u64().unwrap(), f["kind"] == "comment"))
        .collect();
    folds.sort_unstable();
    assert_eq!(folds, [(0, 1, true), (2, 3, false), (5, 6, false)], "{answer}");
}

#[test]
fn used_files_are_led_to() {
    let folder = tempfile::tempdir().unwrap();
    let write = |name: &str, text: &str| std::fs::write(folder.path().join(name), text).unwrap();
    write("own words.heat", "let own = 40 mm\n");
    let recipe = "use \"own words.heat\"\nstock b = 1 bar of 1084, 4 mm x own x 120 mm\n";
    write("a.heat", recipe);
    let log = "build of \"a.heat\"\non 2026-03-02\n";
    write("log.heat", log);
    let top = std::fs::canonicalize(folder.path()).unwrap();
    let mut client = Client::start(&["utf-8"]);
    for (name, text, leads) in [("a.heat", recipe, "own%20words.heat"), ("log.heat", log, "a.heat")] {
        let uri = format!("file://{}/{name}", top.display());
        client.open(&uri, text);
        let answer = client.ask("textDocument/documentLink", json!({ "textDocument": { "uri": uri } }));
        let links = answer["result"].as_array().unwrap();
        assert_eq!(links.len(), 1, "{answer}");
        assert_eq!(links[0]["target"], format!("file://{}/{leads}", top.display()), "{answer}");
        assert_eq!(links[0]["range"]["start"]["line"], 0);
    }
}
