//! The README does what it says: its commands run, its recipe meets its target, its outputs are true.

use std::io::Write;
use std::process::{Command, Output, Stdio};

fn blocks(language: &str) -> Vec<String> {
    let text = std::fs::read_to_string("README.md").unwrap();
    let fence = format!("```{language}\n");
    text.split(&fence).skip(1).map(|rest| rest.split("```").next().unwrap().to_owned()).collect()
}

fn heatbook(args: &[&str], input: &str) -> Output {
    let mut child = Command::new(env!("CARGO_BIN_EXE_heatbook"))
        .args(args)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    child.stdin.take().unwrap().write_all(input.as_bytes()).unwrap();
    child.wait_with_output().unwrap()
}

#[test]
fn commands_run_as_written() {
    let mut ran = 0;
    for line in blocks("sh").iter().flat_map(|b| b.lines()) {
        let (line, note) = line.split_once('#').unwrap_or((line, ""));
        let wanted = note.trim().strip_prefix("exit ").map_or(0, |code| code.parse().unwrap());
        let program =
            ["cargo run --release --locked -- ", "heatbook "].iter().find_map(|p| line.strip_prefix(p));
        let Some(args) = program else { continue };
        // As a shell splits it: blanks part words, double quotes hold them together.
        let args: Vec<String> = args
            .split('"')
            .enumerate()
            .flat_map(|(i, part)| {
                let words: Vec<&str> =
                    if i % 2 == 1 { vec![part] } else { part.split_whitespace().collect() };
                words.into_iter().map(str::to_owned).collect::<Vec<_>>()
            })
            .collect();
        let args: Vec<&str> = args.iter().map(String::as_str).collect();
        assert_eq!(heatbook(&args, "").status.code(), Some(wanted), "{line}");
        ran += 1;
    }
    assert!(ran >= 6, "only {ran} ran");
}

#[test]
fn the_recipe_meets_its_target() {
    for recipe in blocks("heat") {
        let out = heatbook(&["check", "-"], &recipe);
        assert_eq!(out.status.code(), Some(0), "{}", String::from_utf8_lossy(&out.stdout));
    }
}

#[test]
fn the_outputs_are_true() {
    let shown = blocks("text");
    let out = heatbook(&["check", "examples/ferry-galley.heat"], "");
    let real = String::from_utf8(out.stdout).unwrap();
    for line in shown[0].lines() {
        assert!(real.contains(line), "{line}\n{real}");
    }
    let wide = std::fs::read_to_string("examples/ferry-galley.heat")
        .unwrap()
        .replace("to 62 mm wide", "to 76 mm wide");
    let out = heatbook(&["check", "-", "--color", "never"], &wide);
    let real = String::from_utf8(out.stderr).unwrap();
    for line in shown[1].lines().filter(|l| !l.contains("╭─[")) {
        assert!(real.contains(line), "{line}\n{real}");
    }
}
