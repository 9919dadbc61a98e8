//! What is at hand around the recipes: checking at each save, completions, manual pages.

use std::fs;
use std::io::{BufRead, BufReader};
use std::process::{Command, Stdio};
use std::sync::mpsc::{Receiver, channel};
use std::thread;
use std::time::Duration;

const FIRST: &str = include_str!("../examples/ferry-galley.heat");

fn heatbook(args: &[&str]) -> (i32, String, String) {
    let out = Command::new(env!("CARGO_BIN_EXE_heatbook")).args(args).output().unwrap();
    let text = |b: Vec<u8>| String::from_utf8(b).unwrap();
    (out.status.code().unwrap(), text(out.stdout), text(out.stderr))
}

/// Reads on until a line holds some words; what came before them does not matter.
fn until(lines: &Receiver<String>, words: &str) {
    loop {
        let line =
            lines.recv_timeout(Duration::from_secs(30)).unwrap_or_else(|_| panic!("no `{words}` came"));
        if line.contains(words) {
            return;
        }
    }
}

#[test]
fn a_save_is_checked_again() {
    let folder = tempfile::tempdir().unwrap();
    let (recipe, used) = (folder.path().join("a.heat"), folder.path().join("shop.heat"));
    fs::write(&used, "let across = 40 mm\n").unwrap();
    fs::write(&recipe, FIRST.replacen("shop {", "use \"shop.heat\"\nshop {", 1)).unwrap();
    let mut child = Command::new(env!("CARGO_BIN_EXE_heatbook"))
        .args(["watch", "--error-format", "short"])
        .arg(&recipe)
        .stdout(Stdio::piped())
        .stderr(Stdio::null())
        .spawn()
        .unwrap();
    let (told, lines) = channel();
    let out = child.stdout.take().unwrap();
    thread::spawn(move || BufReader::new(out).lines().map_while(Result::ok).for_each(|l| drop(told.send(l))));
    until(&lines, "the recipe makes its spec");
    until(&lines, "watching");
    // Written in place.
    fs::write(&recipe, FIRST.replace("into 4", "into 3")).unwrap();
    until(&lines, "does not make its spec");
    until(&lines, "watching");
    // Swapped in, as many editors save.
    let beside = folder.path().join("a.heat.new");
    fs::write(&beside, FIRST.replacen("shop {", "use \"shop.heat\"\nshop {", 1)).unwrap();
    fs::rename(&beside, &recipe).unwrap();
    until(&lines, "the recipe makes its spec");
    until(&lines, "watching");
    // A file that it uses.
    fs::write(&used, "let across = 40 gallons\n").unwrap();
    until(&lines, "does not make its spec");
    child.kill().unwrap();
    child.wait().unwrap();
}

#[test]
fn nothing_to_watch_is_said() {
    let (code, _, said) = heatbook(&["watch", "examples/none.heat"]);
    assert_eq!(code, 2);
    assert!(said.contains("cannot watch `examples/none.heat`"), "{said}");
}

#[test]
fn five_shells_complete() {
    for shell in ["bash", "zsh", "fish", "powershell", "elvish"] {
        let (code, script, _) = heatbook(&["completions", shell]);
        assert_eq!(code, 0);
        for word in ["calibrate", "rescue", "allow-outside"] {
            assert!(script.contains(word), "{shell}: {word}");
        }
    }
    // The script is sound for the shell that is at hand everywhere.
    let (_, script, _) = heatbook(&["completions", "bash"]);
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("heatbook.bash");
    fs::write(&path, script).unwrap();
    if let Ok(status) = Command::new("bash").arg("-n").arg(&path).status() {
        assert!(status.success());
    }
}

#[test]
fn manual_pages_are_made() {
    let (code, page, _) = heatbook(&["man"]);
    assert!(code == 0 && page.contains(".TH heatbook 1") && page.contains("calibrate"), "{page}");
    let (code, page, _) = heatbook(&["man", "odds"]);
    assert!(code == 0 && page.contains("heatbook\\-odds") && page.contains("seed"), "{page}");
    let (code, _, said) = heatbook(&["man", "ods"]);
    assert!(code == 2 && said.contains("the commands are"), "{said}");
}
