//! What is at hand around the recipes: checking at each save, completions, manual pages.

use std::fs;
use std::io::{BufRead, BufReader};
use std::path::Path;
use std::process::{Command, Stdio};
use std::sync::mpsc::{Receiver, channel};
use std::thread;
use std::time::Duration;

use crate::common::{FIRST, Said, check, heatbook};
use heatbook::quantity::Units;
use heatbook::study::{Wish, start};

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
    let said = heatbook(&["watch", "examples/none.heat"]);
    assert_eq!(said.code, 2);
    assert!(said.err.contains("cannot watch `examples/none.heat`"), "{}", said.err);
}

#[test]
fn five_shells_complete() {
    for shell in ["bash", "zsh", "fish", "powershell", "elvish"] {
        let Said { code, out: script, .. } = heatbook(&["completions", shell]);
        assert_eq!(code, 0);
        for word in ["calibrate", "rescue", "allow-outside"] {
            assert!(script.contains(word), "{shell}: {word}");
        }
    }
    // The script is sound for the shell that is at hand everywhere.
    let script = heatbook(&["completions", "bash"]).out;
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("heatbook.bash");
    fs::write(&path, script).unwrap();
    if let Ok(status) = Command::new("bash").arg("-n").arg(&path).status() {
        assert!(status.success());
    }
}

/// What bash offers behind some words, as the script works it out there; nothing where there is no bash.
fn offered_by_bash(script: &Path, words: &[&str]) -> Option<Vec<String>> {
    let call = "source \"$1\"; shift; COMP_WORDS=(\"$@\"); COMP_CWORD=$(( $# - 1 ))
        _heatbook_recipes heatbook \"${COMP_WORDS[COMP_CWORD]}\" \"${COMP_WORDS[COMP_CWORD - 1]}\"
        printf '%s\\n' \"${COMPREPLY[@]}\"";
    let said = Command::new("bash")
        .args(["-c", call, "bash"])
        .arg(script)
        .arg("heatbook")
        .args(words)
        .output()
        .ok()?;
    Some(String::from_utf8(said.stdout).unwrap().lines().map(str::to_owned).collect())
}

#[test]
fn shells_complete_steels_laws_words_and_recipes() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("heatbook.bash");
    fs::write(&path, heatbook(&["completions", "bash"]).out).unwrap();
    for (words, offered) in [
        (&["steels", "15N"][..], &["15N20"][..]),
        (&["steels", "1084", "15N"], &["15N20"]),
        (&["law", "cold-s"], &["cold-size"]),
        (&["explain", "target_mis"], &["target_missed"]),
        (&["explain", "first-b"], &["first-billet"]),
        (&["check", "examples/ferry"], &["examples/ferry-galley.heat"]),
        (&["check", "examples/lo"], &["examples/loose-galley.heat", "examples/lock-keeper"]),
        (&["fmt", "Car"], &[]),
        (&["check", "--units", "m"], &["mm"]),
    ] {
        let Some(said) = offered_by_bash(&path, words) else { return };
        let said: Vec<&str> = said.iter().map(String::as_str).filter(|word| !word.is_empty()).collect();
        assert_eq!(said, offered, "{words:?}");
    }
    // The two shells that are seldom at hand get the same words.
    for shell in ["zsh", "fish"] {
        let script = heatbook(&["completions", shell]).out;
        for word in ["15N20", "cold-size", "target_missed", "first-billet", ".heat"] {
            assert!(script.contains(word), "{shell}: {word}");
        }
    }
}

#[test]
fn manual_pages_are_made() {
    let Said { code, out: page, .. } = heatbook(&["man"]);
    assert!(code == 0 && page.contains(".TH heatbook 1") && page.contains("calibrate"), "{page}");
    let Said { code, out: page, .. } = heatbook(&["man", "odds"]);
    assert!(code == 0 && page.contains("heatbook\\-odds") && page.contains("seed"), "{page}");
    let Said { code, err: said, .. } = heatbook(&["man", "ods"]);
    assert!(code == 2 && said.contains("the commands are"), "{said}");
}

#[test]
fn a_new_recipe_makes_its_spec() {
    let folder = tempfile::tempdir().unwrap();
    let wishes = [
        ["58 mm", "250 mm", "5 mm", "50"],
        ["30 mm", "150 mm", "4 mm", "20"],
        ["2 1/4 in", "10 in", "3/16 in", "60"],
        ["1 1/2 in", "7.5 in", ".140 in", "11"],
    ];
    for (i, [width, length, thick, layers]) in wishes.into_iter().enumerate() {
        let path = folder.path().join(format!("{i}.heat"));
        let file = path.to_str().unwrap();
        let sizes = ["--width", width, "--length", length, "--thick", thick, "--layers", layers];
        for args in [&[&["new", file], &sizes[..]].concat()[..], &["check", file]] {
            let said = heatbook(args);
            assert_eq!(said.code, 0, "{width}: {}", said.all());
        }
        let recipe = fs::read_to_string(&path).unwrap();
        assert!(recipe.contains(&format!("let blade-width  = {width}\n")), "{recipe}");
        assert_eq!(heatbook(&["fmt", "--check", file]).code, 0, "{recipe}");
        // A second time it is there already, and stays as it is.
        let Said { code, err: said, .. } = heatbook(&[&["new", file], &sizes[..]].concat());
        assert!(code == 2 && said.contains("is there already"), "{said}");
    }
    assert_eq!(fs::read_dir(folder.path()).unwrap().count(), wishes.len());
}

/// From a paring knife to a cleaver and a sword, in both families of units: it makes its spec, and nothing is to be warned of.
#[test]
fn a_new_recipe_has_no_warning_at_any_size() {
    // Width, length, thickness of the blank, layers.
    let sizes = "\
        18 mm, 90 mm, 2 mm, 15
        25 mm, 130 mm, 2.5 mm, 40
        32 mm, 160 mm, 3.5 mm, 100
        45 mm, 200 mm, 3 mm, 60
        50 mm, 240 mm, 4 mm, 200
        58 mm, 250 mm, 5 mm, 50
        80 mm, 180 mm, 5 mm, 40
        100 mm, 250 mm, 6 mm, 20
        35 mm, 500 mm, 6 mm, 60
        45 mm, 900 mm, 6 mm, 30
        3/4 in, 3 1/2 in, 3/32 in, 15
        1 in, 5 in, 1/8 in, 40
        1 1/4 in, 6 in, 5/32 in, 100
        2 in, 10 in, 3/16 in, 60
        2 1/4 in, 10 in, 3/16 in, 120
        3 in, 7 in, 1/4 in, 30
        4 in, 10 in, 1/4 in, 20
        1 1/2 in, 20 in, 1/4 in, 60
        1 3/4 in, 32 in, 1/4 in, 30";
    let (mut wrong, mut tried) = (Vec::new(), 0);
    for line in sizes.lines() {
        let [width, length, thick, layers] = line.trim().split(", ").collect::<Vec<_>>()[..] else {
            panic!("{line}")
        };
        let figure = |words: &str| (heatbook::workshop::figure(words).unwrap().0, words.to_owned());
        let units = if width.contains("in") { Units::Inch } else { Units::Metric };
        let wish = Wish {
            width: figure(width),
            length: figure(length),
            thick: figure(thick),
            layers: layers.parse().unwrap(),
            dark: "1084".to_owned(),
            bright: "15N20".to_owned(),
            units,
        };
        tried += 1;
        let Some(recipe) = start(&wish) else {
            wrong.push(format!("{width} x {length} x {thick}, {layers}: none"));
            continue;
        };
        let verdict = check(&recipe).verdict;
        let found = verdict.faults.iter().chain(&verdict.warnings).map(|f| f.message.clone());
        let found: Vec<String> = found.collect();
        if !found.is_empty() {
            wrong.push(format!("{width} x {length} x {thick}, {layers}: {found:?}\n{recipe}"));
        }
    }
    assert!(wrong.is_empty(), "{} of {tried}:\n{}", wrong.len(), wrong.join("\n"));
}

#[test]
fn what_a_new_recipe_cannot_be_is_said() {
    let with = |more: &[&str]| {
        let sizes = ["new", "-", "--width", "58 mm", "--length", "250 mm", "--thick", "5 mm"];
        heatbook(&[&sizes[..], more].concat())
    };
    let Said { code, err: said, .. } = with(&["--layers", "5000"]);
    assert!(code == 1 && said.contains("try fewer layers"), "{said}");
    let Said { code, err: said, .. } = with(&["--layers", "50", "--dark", "108"]);
    assert!(code == 2 && said.contains("no steel in the table"), "{said}");
    let Said { code, err: said, .. } = with(&[]);
    assert!(code == 2 && said.contains("`--layers` is left out"), "{said}");
    let Said { code, err: said, .. } =
        heatbook(&["new", "-", "--width", "58 kg", "--length", "1 mm", "--thick", "1 mm"]);
    assert!(code == 2 && said.contains("is no length"), "{said}");
    let Said { code, out: made, .. } = with(&["--layers", "30", "--dark", "O1", "--bright", "15N20"]);
    assert!(code == 0 && made.contains("bars of O1"), "{made}");
}
