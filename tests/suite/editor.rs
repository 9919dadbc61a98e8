//! The language server over real pipes: what is agreed, what is refused, and that nothing an editor types leaves it confused.

use std::fmt::Write as _;
use std::time::Instant;

use crate::client::Client;
use serde_json::{Value, json};

const URI: &str = "untitled:recipe.heat";

fn at(uri: &str, line: u32, character: u32) -> Value {
    json!({ "textDocument": { "uri": uri }, "position": { "line": line, "character": character } })
}

#[test]
fn columns_count_what_was_agreed() {
    // `note "é🔥" ` is 14 bytes (é has 2, 🔥 has 4) and 11 units of UTF-16 (1 and 2).
    let text = "# é🔥\nnote \"é🔥\" extra\n";
    for (offered, agreed) in [
        (vec!["utf-8", "utf-16"], "utf-8"),
        (vec!["utf-16"], "utf-16"),
        (vec![], "utf-16"),
        (vec!["utf-32", "utf-8"], "utf-8"),
    ] {
        let mut client = Client::start(&offered);
        assert_eq!(client.agreed["capabilities"]["positionEncoding"], agreed);
        client.open(URI, text);
        let found = client.findings(URI, 1);
        let column = if agreed == "utf-8" { 14 } else { 11 };
        let range = json!({
            "start": { "line": 1, "character": column }, "end": { "line": 1, "character": column + 5 },
        });
        assert_eq!(found[0]["range"], range, "{found:?}");
        // A comment in front of nothing, and a piece behind letters of several widths.
        let second =
            "note \"é🔥\"\nstock b = 1 bar of 1084, 3 x 40 x 120 mm # é🔥\nlet é = 2 mm\nlet w = é + wdith\n";
        client.change(URI, 2, second);
        let found = client.findings(URI, 2);
        let width = if agreed == "utf-8" { 2 } else { 1 };
        assert_eq!(found[0]["code"], "unknown_figure");
        assert_eq!(found[0]["range"]["start"]["character"], json!("let w = ".len() + width + " + ".len()));
        // The other way round: a hover at that column finds the name behind é.
        let hover = client.ask("textDocument/hover", at(URI, 3, 8));
        assert_eq!(hover["result"]["range"]["end"]["character"], json!(8 + width), "{hover}");
        client.ask("shutdown", Value::Null);
        client.tell("exit", Value::Null);
        assert_eq!(client.end(), (Some(0), String::new()));
    }
}

#[test]
fn what_is_not_known_is_refused_and_the_rest_goes_on() {
    let mut client = Client::silent();
    let early = client.ask("textDocument/hover", at(URI, 0, 0));
    assert_eq!(early["error"]["code"], -32002);
    let agreed = client.ask("initialize", json!({ "capabilities": {} }));
    assert!(agreed["result"]["capabilities"]["hoverProvider"].as_bool().unwrap());
    assert_eq!(client.ask("initialize", json!({ "capabilities": {} }))["error"]["code"], -32600);
    for method in ["textDocument/sharpen", "$/unheard", "workspace/symbol"] {
        let answer = client.ask(method, json!({ "anything": [1, 2] }));
        assert_eq!(answer["error"]["code"], -32601, "{answer}");
        assert!(answer["error"]["message"].as_str().unwrap().contains(method));
    }
    // Params that make no sense, a document that is not open, notifications of neither kind.
    assert_eq!(client.ask("textDocument/hover", json!({ "position": "here" }))["error"]["code"], -32602);
    assert_eq!(client.ask("textDocument/hover", at("file:///nowhere.heat", 9, 9))["result"], Value::Null);
    client.tell("textDocument/didOpen", json!({ "nothing": true }));
    client.tell("textDocument/unheard", json!(null));
    client.open(URI, "stock b = 1 bar of 1084, 3 x 40 x 120 mm\n");
    assert!(client.findings(URI, 1).is_empty());
    assert_eq!(client.ask("shutdown", Value::Null)["result"], Value::Null);
    assert_eq!(client.ask("textDocument/hover", at(URI, 0, 0))["error"]["code"], -32600);
    client.tell("exit", Value::Null);
    assert_eq!(client.end(), (Some(0), String::new()));
}

#[test]
fn a_malformed_message_ends_it_in_a_sentence() {
    let ends: [&[u8]; 6] = [
        b"Content-Length: 12\r\n\r\n{\"id\": nope}",
        b"Content-Length: 18446744073709551615\r\n\r\n{}",
        b"Content-Length: -4\r\n\r\n{}",
        b"GET / HTTP/1.1\r\n\r\n",
        b"Content-Length: 400\r\n\r\n{}",
        b"\xff\xfe\x00\x00\r\n\r\n",
    ];
    for bytes in ends {
        let mut client = Client::start(&[]);
        client.raw(bytes);
        let (code, said) = client.end();
        assert_eq!(code, Some(2), "{said}");
        assert_eq!(said.lines().count(), 1, "{said}");
        assert!(said.contains("the editor sent what is no message"), "{said}");
    }
    // An editor that goes without a word, and one that goes without `shutdown`.
    assert_eq!(Client::start(&[]).end().0, Some(1));
    let mut client = Client::start(&[]);
    client.tell("exit", Value::Null);
    assert_eq!(client.end().0, Some(1));
}

const KNOWN: &str = "\
shop {
  forge gas, 1200 C
  press 25 tonf, flat die 40 mm
}
let finish = 0.4 mm
recipe bar(bars: count = 4, dark: steel = 1084) {
  stock d = bars bars of dark, 3 x 40 x 120 mm
  stock l = 3 bars of 15N20, 1.5 x 40 x 120 mm
  stack p = alternate d, l
  weld p at 1230 C, thinning 15 %, heats 3
  give p
}
stock blade = bar()
draw blade to 7 mm thick, 40 mm wide, heats 4
grind blade faces finish
target blade {
  width >= 44 mm everywhere
  thickness of d >= 1 mm
  layers = 7
}
";

/// A generator of its own: the same edits on every machine (Marsaglia's xorshift, 64 bits).
struct Dice(u64);

impl Dice {
    fn roll(&mut self, sides: usize) -> usize {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        usize::try_from(self.0 % sides as u64).unwrap()
    }
}

fn edited(text: &str, dice: &mut Dice) -> String {
    const BITS: [&str; 32] = [
        "{",
        "}",
        "(",
        ")",
        "\"",
        "#",
        ",",
        "\n",
        "\r\n",
        " ",
        "=",
        "x",
        "?",
        "é",
        "🔥",
        "+-",
        "..",
        "1/0",
        "-offcut-1",
        "mm",
        "\u{feff}",
        "\0",
        "repeat 9999 {\n",
        "recipe bar(p: piece) {\n",
        "give p\n",
        "stock d = bar()\n",
        "target blade {\n",
        "use \"other.heat\"\n",
        "build of \"other.heat\"\n",
        "99999999999999999999",
        "of",
        "weld p\n",
    ];
    let letters: Vec<usize> = text.char_indices().map(|(i, _)| i).chain([text.len()]).collect();
    let from = letters[dice.roll(letters.len())];
    let bit = BITS[dice.roll(BITS.len())];
    match dice.roll(4) {
        0 => format!("{}{bit}{}", &text[..from], &text[from..]),
        1 => {
            let behind: Vec<usize> = letters.iter().copied().filter(|i| *i >= from).take(30).collect();
            let to = behind[dice.roll(behind.len())];
            format!("{}{}", &text[..from], &text[to..])
        }
        2 => {
            let lines: Vec<&str> = text.lines().collect();
            let line = if lines.is_empty() { "" } else { lines[dice.roll(lines.len())] };
            format!("{}\n{line}\n{}", &text[..from], &text[from..])
        }
        _ => format!("{}{bit}", &text[..from]),
    }
}

#[test]
fn two_thousand_random_edits_leave_nothing_behind() {
    let mut client = Client::start(&["utf-8"]);
    let mut dice = Dice(0x005e_ed0f_f12e);
    client.open(URI, KNOWN);
    let (mut text, mut version) = (KNOWN.to_owned(), 1);
    let asked = [
        "hover",
        "completion",
        "definition",
        "references",
        "prepareRename",
        "documentSymbol",
        "inlayHint",
        "formatting",
        "rename",
        "codeAction",
    ];
    for round in 0..2000 {
        text = if text.len() > 4000 || round % 40 == 0 { KNOWN.to_owned() } else { edited(&text, &mut dice) };
        version += 1;
        client.change(URI, version, &text);
        if round % 4 == 0 {
            // Any question at any place is answered, if only with a refusal.
            let what = asked[dice.roll(asked.len())];
            let (line, column) = (dice.roll(40), dice.roll(60));
            let place = json!({ "line": line, "character": column });
            let params = json!({
                "textDocument": { "uri": URI }, "position": place, "newName": "other",
                "range": { "start": { "line": 0, "character": 0 }, "end": place },
                "context": { "includeDeclaration": true, "diagnostics": [], "triggerKind": 1 },
                "options": { "tabSize": 2, "insertSpaces": true },
            });
            let answer = client.ask(&format!("textDocument/{what}"), params);
            assert!(answer.get("result").is_some() || answer["error"]["code"] == -32803, "{what}: {answer}");
        }
        if round % 100 == 0 {
            client.forget();
        }
    }
    client.change(URI, version + 1, KNOWN);
    let told = client.last_findings(URI, version + 1);
    let mut fresh = Client::start(&["utf-8"]);
    fresh.open(URI, KNOWN);
    assert_eq!(told, fresh.last_findings(URI, 1));
    let codes: Vec<&Value> = told.iter().map(|f| &f["code"]).collect();
    assert!(codes.contains(&&json!("target_missed")), "{codes:?}");
    // Mended, it has nothing left; closed, neither.
    client.change(URI, version + 2, "");
    assert!(client.last_findings(URI, version + 2).is_empty());
    client.tell("textDocument/didClose", json!({ "textDocument": { "uri": URI } }));
    client.ask("shutdown", Value::Null);
    client.tell("exit", Value::Null);
    assert_eq!(client.end(), (Some(0), String::new()));
}

/// A sound recipe of a thousand lines: bars welded, drawn, cropped, ground and judged, one after the other.
fn long_recipe() -> String {
    let mut text = String::from("shop {\n  forge gas, 1200 C\n  press 25 tonf, flat die 40 mm\n}\n");
    for i in 0.. {
        let _ = write!(
            text,
            "stock dark{i} = 4 bars of 1084, 3 x 40 x 120 mm\nstock bright{i} = 3 bars of 15N20, 1.5 x 40 x 120 mm\n\
             stack p{i} = alternate dark{i}, bright{i}\nweld p{i} at 1230 C, thinning 15 %, heats 3\n\
             draw p{i} to 9 mm thick, 40 mm wide, heats 4\ncut p{i} 8 mm off each end\ngrind p{i} faces 0.4 mm\n\
             target p{i} {{\n  width >= 36 mm everywhere\n  layers = 7\n}}\n"
        );
        if text.lines().count() >= 1000 {
            return text;
        }
    }
    text
}

#[test]
fn a_thousand_lines_are_checked_while_one_types() {
    let text = long_recipe();
    let mut client = Client::start(&["utf-8"]);
    client.open(URI, &text);
    let found = client.last_findings(URI, 1);
    assert!(found.iter().all(|f| f["severity"] == 2), "{found:?}");
    let missed = text.replacen("width >= 36 mm", "width >= 76 mm", 1);
    let mut version = 1;
    for (what, text) in [("sound", &text), ("one target missed", &missed)] {
        let mut took = Vec::new();
        for i in 0..15 {
            // A key in a comment, one in a figure, one that leaves the line at fault for a moment.
            let typed = match i % 3 {
                0 => format!("{text}# {i}\n"),
                1 => text.replacen("to 9 mm thick", &format!("to 9.{i} mm thick"), 1),
                _ => text.replacen("heats 4", "heats", 1),
            };
            let begun = Instant::now();
            version += 1;
            client.change(URI, version, &typed);
            client.findings(URI, version);
            took.push(begun.elapsed().as_secs_f64() * 1000.0);
        }
        took.sort_by(f64::total_cmp);
        let (middle, worst) = (took[took.len() / 2], took[took.len() - 1]);
        println!(
            "{what}: {} lines, a key to its findings: {middle:.1} ms, at worst {worst:.1} ms",
            text.lines().count()
        );
        // The aim is 20 ms in a release build; a debug build on a busy machine is given more.
        let bound = if cfg!(debug_assertions) { 1000.0 } else { 60.0 };
        assert!(middle < bound, "{what}: {middle} ms");
        client.forget();
    }
}
