//! The recipes of a folder that are not open: names are found, renamed and sought in them too.

use std::path::{Path, PathBuf};

use crate::client::Client;
use serde_json::{Value, json};

const LADDER: &str = "let gap = 2 mm\nrecipe rung(w: length = 40 mm) {\n  stock s = 1 bar of 1084, 3 mm x w x 120 mm\n  grind s edges gap\n  give s\n}\n";
const FIRST: &str = "use \"parts/ladder.heat\"\nstock a = rung(w = 30 mm)\ngrind a edges gap\n";
const SECOND: &str = "use \"parts/ladder.heat\"\nstock b = rung()\n";
/// Nothing in it is from the ladder: its `gap` is its own.
const LONE: &str = "let gap = 9 mm\nstock c = 1 bar of 1084, 3 mm x 40 mm x 120 mm\ngrind c edges gap\n";

struct Shop {
    folder: tempfile::TempDir,
    client: Client,
}

impl Shop {
    /// A folder with recipes in it, and an editor that works there.
    fn new(files: &[(&str, &str)]) -> Shop {
        let folder = tempfile::tempdir().unwrap();
        let client = Client::agreeing(json!({
            "rootUri": null,
            "workspaceFolders": [{ "uri": format!("file://{}", top(&folder).display()), "name": "shop" }],
            "capabilities": {
                "general": { "positionEncodings": ["utf-8"] },
                "workspace": { "workspaceEdit": { "documentChanges": true } },
            },
        }));
        let shop = Shop { folder, client };
        for (name, text) in files {
            shop.write(name, text);
        }
        shop
    }

    fn path(&self, name: &str) -> PathBuf {
        top(&self.folder).join(name)
    }

    fn uri(&self, name: &str) -> String {
        format!("file://{}", self.path(name).display())
    }

    fn write(&self, name: &str, text: impl AsRef<[u8]>) {
        let path = self.path(name);
        std::fs::create_dir_all(path.parent().unwrap()).unwrap();
        std::fs::write(path, text).unwrap();
    }

    fn ask(&mut self, what: &str, name: &str, (line, character): (u32, u32), more: Value) -> Value {
        let mut params = json!({ "textDocument": { "uri": self.uri(name) }, "position": { "line": line, "character": character } });
        for (key, value) in more.as_object().unwrap() {
            params[key] = value.clone();
        }
        self.client.ask(&format!("textDocument/{what}"), params)
    }

    /// What would be changed: the file, its version, and each edit's line.
    fn renamed(&mut self, name: &str, at: (u32, u32), new: &str) -> Vec<(String, Value, Vec<u64>)> {
        let answer = self.ask("rename", name, at, json!({ "newName": new }));
        let none = || panic!("{answer}");
        let changes = answer["result"]["documentChanges"].as_array().unwrap_or_else(none);
        let line = |edit: &Value| edit["range"]["start"]["line"].as_u64().unwrap();
        let one = |change: &Value| {
            let uri = change["textDocument"]["uri"].as_str().unwrap();
            let name = uri.strip_prefix(&format!("file://{}/", top(&self.folder).display())).unwrap();
            let lines = change["edits"].as_array().unwrap().iter().map(line).collect();
            (name.to_owned(), change["textDocument"]["version"].clone(), lines)
        };
        changes.iter().map(one).collect()
    }

    fn refused(&mut self, name: &str, at: (u32, u32), new: &str) -> String {
        let answer = self.ask("rename", name, at, json!({ "newName": new }));
        answer["error"]["message"].as_str().unwrap_or_else(|| panic!("{answer}")).to_owned()
    }
}

fn top(folder: &tempfile::TempDir) -> PathBuf {
    std::fs::canonicalize(folder.path()).unwrap()
}

/// The name is given in a file that is open, and used in others that are not: those are changed with it, and nothing else.
#[test]
fn a_rename_takes_files_that_are_not_open() {
    let all =
        [("parts/ladder.heat", LADDER), ("first.heat", FIRST), ("second.heat", SECOND), ("lone.heat", LONE)];
    let mut shop = Shop::new(&all);
    let uri = shop.uri("parts/ladder.heat");
    shop.client.open(&uri, LADDER);
    let changed = |name: &str, version: Value, lines: &[u64]| (name.to_owned(), version, lines.to_vec());
    let ladder = |lines: &[u64]| changed("parts/ladder.heat", json!(1), lines);
    assert_eq!(
        shop.renamed("parts/ladder.heat", (0, 5), "space"),
        [changed("first.heat", Value::Null, &[2]), ladder(&[0, 3]),]
    );
    assert_eq!(
        shop.renamed("parts/ladder.heat", (1, 8), "step"),
        [changed("first.heat", Value::Null, &[1]), ladder(&[1]), changed("second.heat", Value::Null, &[1]),]
    );
    // A parameter is named by its calls.
    assert_eq!(
        shop.renamed("parts/ladder.heat", (1, 12), "wide"),
        [changed("first.heat", Value::Null, &[1]), ladder(&[1, 2]),]
    );
    // Asked from a file that uses it, and what is open is told with its version.
    let first = shop.uri("first.heat");
    shop.client.open(&first, FIRST);
    shop.client.change(&first, 7, FIRST);
    assert_eq!(
        shop.renamed("first.heat", (2, 15), "space"),
        [changed("first.heat", json!(7), &[2]), ladder(&[0, 3]),]
    );
    // What is open goes before what is on disk: there the name stands one line further down.
    shop.client.change(&first, 8, &FIRST.replace("grind", "# by hand\ngrind"));
    assert_eq!(shop.renamed("parts/ladder.heat", (0, 5), "space")[0], changed("first.heat", json!(8), &[3]));
    // A file that is new is found the next time, one that is gone is not.
    shop.write("third.heat", FIRST);
    std::fs::remove_file(shop.path("second.heat")).unwrap();
    let names: Vec<String> =
        shop.renamed("parts/ladder.heat", (1, 8), "step").into_iter().map(|(name, ..)| name).collect();
    assert_eq!(names, ["first.heat", "parts/ladder.heat", "third.heat"]);
}

#[test]
fn references_are_found_in_files_that_are_not_open() {
    let mut shop = Shop::new(&[("parts/ladder.heat", LADDER), ("first.heat", FIRST), ("lone.heat", LONE)]);
    let uri = shop.uri("parts/ladder.heat");
    shop.client.open(&uri, LADDER);
    let with = json!({ "context": { "includeDeclaration": false } });
    let answer = shop.ask("references", "parts/ladder.heat", (0, 5), with);
    let places: Vec<(&str, u64)> = answer["result"]
        .as_array()
        .unwrap()
        .iter()
        .map(|p| (p["uri"].as_str().unwrap(), p["range"]["start"]["line"].as_u64().unwrap()))
        .collect();
    assert_eq!(places, [(shop.uri("first.heat").as_str(), 2), (uri.as_str(), 3)]);
}

/// A rename that would leave another file at fault is refused, with the file's name.
#[test]
fn a_rename_is_refused_for_the_sake_of_a_file_that_is_not_open() {
    let mut shop = Shop::new(&[("parts/ladder.heat", LADDER), ("first.heat", FIRST)]);
    let uri = shop.uri("parts/ladder.heat");
    shop.client.open(&uri, LADDER);
    shop.write("second.heat", format!("{SECOND}let space = 3 mm\n"));
    let why = shop.refused("parts/ladder.heat", (0, 5), "space");
    assert!(why.contains("second.heat` would not be the same"), "{why}");
    // A line that cannot be read, with the name in it; without it nothing stands in the way.
    shop.write("second.heat", format!("{SECOND}grind b egdes gap\n"));
    let why = shop.refused("parts/ladder.heat", (0, 5), "space");
    assert!(why.starts_with("line 3 of `") && why.contains("second.heat` cannot be read"), "{why}");
    shop.write("second.heat", format!("{SECOND}grind b egdes 1 mm\n"));
    assert_eq!(shop.renamed("parts/ladder.heat", (0, 5), "space").len(), 2);
}

/// What is no text is told and left as it is; links are not followed, hidden folders are not looked into.
#[test]
fn what_cannot_be_read_is_said() {
    let mut shop = Shop::new(&[("ladder.heat", LADDER)]);
    let uses = "use \"ladder.heat\"\nstock b = rung()\n";
    for name in [".hidden/a.heat", "target/a.heat", "node_modules/a.heat"] {
        shop.write(name, uses);
    }
    let outside = tempfile::tempdir().unwrap();
    #[cfg(unix)]
    {
        let outside = outside.path();
        std::fs::write(outside.join("out.heat"), uses).unwrap();
        std::os::unix::fs::symlink(outside, shop.path("link")).unwrap();
        std::os::unix::fs::symlink(outside.join("out.heat"), shop.path("out.heat")).unwrap();
    }
    shop.write("photo.heat", b"\xff\xd8\xff\x00");
    let uri = shop.uri("ladder.heat");
    shop.client.open(&uri, LADDER);
    assert_eq!(shop.renamed("ladder.heat", (1, 8), "step").len(), 1);
    let said = shop.client.heard(|m| m["method"] == "window/showMessage");
    let message = said["params"]["message"].as_str().unwrap();
    assert!(
        message.contains("photo.heat` cannot be read") && message.contains("stays as it is"),
        "{message}"
    );
}

#[test]
fn names_are_sought_over_the_whole_folder() {
    let mut shop = Shop::new(&[("parts/ladder.heat", LADDER), ("first.heat", FIRST), ("lone.heat", LONE)]);
    let mut sought = |query: &str| -> Vec<(String, String)> {
        let answer = shop.client.ask("workspace/symbol", json!({ "query": query }));
        let named = |s: &Value| {
            let uri = s["location"]["uri"].as_str().unwrap();
            (s["name"].as_str().unwrap().to_owned(), uri.rsplit('/').next().unwrap().to_owned())
        };
        answer["result"].as_array().unwrap().iter().map(named).collect()
    };
    let all = |names: &[(&str, &str)]| -> Vec<(String, String)> {
        names.iter().map(|(name, file)| ((*name).to_owned(), (*file).to_owned())).collect()
    };
    assert_eq!(sought("rug"), all(&[("rung", "ladder.heat")]));
    assert_eq!(sought("GAP"), all(&[("gap", "lone.heat"), ("gap", "ladder.heat")]));
    assert_eq!(sought("zz"), all(&[]));
    // Open texts go before those on disk.
    let uri = shop.uri("lone.heat");
    shop.client.open(&uri, &LONE.replace("gap", "width-of-gap"));
    let answer = shop.client.ask("workspace/symbol", json!({ "query": "width" }));
    assert_eq!(answer["result"][0]["location"]["uri"], json!(uri), "{answer}");
    // Folders come and go.
    let event = json!({ "event": { "added": [], "removed": [{ "uri": format!("file://{}", top(&shop.folder).display()), "name": "shop" }] } });
    shop.client.tell("workspace/didChangeWorkspaceFolders", event);
    let answer = shop.client.ask("workspace/symbol", json!({ "query": "rung" }));
    assert_eq!(answer["result"], json!([]), "{answer}");
}

/// Without a folder that the editor works in, what lies beside an open document is looked into, and no folder beneath.
#[test]
fn the_folder_of_a_document_is_looked_into() {
    let folder = tempfile::tempdir().unwrap();
    let top = std::fs::canonicalize(folder.path()).unwrap();
    let write = |name: &str, text: &str| {
        let path = top.join(name);
        std::fs::create_dir_all(path.parent().unwrap()).unwrap();
        std::fs::write(path, text).unwrap();
    };
    write("ladder.heat", LADDER);
    write("first.heat", &FIRST.replace("parts/", ""));
    write("below/second.heat", &LADDER.replace("gap", "gap-below"));
    let mut client = Client::start(&["utf-8"]);
    let uri = format!("file://{}", Path::new(&top).join("ladder.heat").display());
    client.open(&uri, LADDER);
    let params = json!({ "textDocument": { "uri": uri }, "position": { "line": 0, "character": 5 }, "newName": "space" });
    let answer = client.ask("textDocument/rename", params);
    let changes = answer["result"]["changes"].as_object().unwrap();
    assert_eq!(changes.len(), 2, "{answer}");
    let answer = client.ask("workspace/symbol", json!({ "query": "gap" }));
    assert_eq!(answer["result"].as_array().unwrap().len(), 1, "{answer}");
}

/// The shop that the server is told of is that of every recipe.
#[test]
fn the_servers_own_arguments_hold() {
    let folder = tempfile::tempdir().unwrap();
    let shop = folder.path().join("shop.heat");
    std::fs::write(&shop, "shop {\n  kerf 7 mm\n}\n").unwrap();
    let recipe = folder.path().join("recipes/r.heat");
    std::fs::create_dir_all(recipe.parent().unwrap()).unwrap();
    let text = "stock b = 1 bar of 1084, 3 x 40 x 107 mm\ncut b into 2\n";
    std::fs::write(&recipe, text).unwrap();
    let hint = |arguments: &[&str]| {
        let mut client = Client::silent_with(arguments);
        client.ask("initialize", json!({ "capabilities": {} }));
        client.tell("initialized", json!({}));
        let uri = format!("file://{}", recipe.display());
        client.open(&uri, text);
        let whole = json!({ "start": { "line": 1, "character": 0 }, "end": { "line": 2, "character": 0 } });
        let answer =
            client.ask("textDocument/inlayHint", json!({ "textDocument": { "uri": uri }, "range": whole }));
        answer["result"][0]["label"].as_str().unwrap_or_default().to_owned()
    };
    assert_eq!(hint(&["--shop", shop.to_str().unwrap()]), "2 of 3 x 40 x 50 mm");
    assert_ne!(hint(&["--shop", "none"]), "2 of 3 x 40 x 50 mm");
}
