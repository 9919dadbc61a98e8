//! The README does what it says: its commands run, its recipe meets its target, its outputs are true.

use crate::common::{heatbook, shell_words, told};

fn blocks(language: &str) -> Vec<String> {
    let text = std::fs::read_to_string("README.md").unwrap();
    let fence = format!("```{language}\n");
    text.split(&fence).skip(1).map(|rest| rest.split("```").next().unwrap().to_owned()).collect()
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
        assert_eq!(heatbook(&shell_words(args)).code, wanted, "{line}");
        ran += 1;
    }
    assert!(ran >= 6, "only {ran} ran");
}

#[test]
fn the_recipe_meets_its_target() {
    for recipe in blocks("heat") {
        let out = told(&["check", "-"], &recipe);
        assert_eq!(out.code, 0, "{}", out.out);
    }
}

#[test]
fn the_outputs_are_true() {
    let shown = blocks("text");
    let out = heatbook(&["check", "examples/ferry-galley.heat"]);
    let real = out.out;
    for line in shown[0].lines() {
        assert!(real.contains(line), "{line}\n{real}");
    }
    let wide = std::fs::read_to_string("examples/ferry-galley.heat")
        .unwrap()
        .replace("to 62 mm wide", "to 76 mm wide");
    let out = told(&["check", "-", "--color", "never"], &wide);
    let real = out.err;
    for line in shown[1].lines().filter(|l| !l.contains("╭─[")) {
        assert!(real.contains(line), "{line}\n{real}");
    }
}

#[test]
fn every_command_is_named() {
    let help = heatbook(&["--help"]).out;
    let listed = help.split("Commands:").nth(1).unwrap().split("Options:").next().unwrap();
    let named = listed.lines().filter_map(|line| line.strip_prefix("  ")?.split(' ').next());
    let commands: Vec<&str> = named.filter(|name| !name.is_empty() && *name != "help").collect();
    assert!(commands.len() > 25, "{commands:?}");
    let readme = std::fs::read_to_string("README.md").unwrap();
    for command in commands {
        let shown = [format!("`{command}`"), format!("`heatbook {command} ")];
        assert!(shown.iter().any(|shown| readme.contains(shown)), "{command}");
    }
}
