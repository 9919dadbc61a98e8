//! The program itself, with some command and options, on files in a folder of its own.

use rand::RngExt;
use std::io::Write as _;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

use crate::words::{Dice, dice, one};
use crate::{Case, LOG, folder, look};

/// Command lines: `F` is the recipe, `L` the log.
const COMMANDS: &[&str] = &[
    "check F",
    "check F L",
    "run F",
    "run L",
    "why width p F",
    "why mass blade F --at heel",
    "fill F",
    "fill F --write",
    "sweep F --vary A=1 mm .. 9 mm",
    "sweep F --vary A=0 .. 3 / 4",
    "nudge F",
    "compare F --set A=3",
    "compare F L",
    "fmt F",
    "fmt --check F",
    "fmt --diff F",
    "explain F",
    "odds F --samples 100",
    "replay L",
    "rescue F",
    "rescue L",
    "rack F",
    "rack L",
    "calibrate L",
    "template F",
    "sheet F",
    "log F",
    "log F --out log.heat",
    "chart F --of width",
    "chart F --of mass --svg out.svg",
    "sheet L --out out.html",
    "template F --dxf out.dxf",
    "explain A",
    "law A",
    "steels A",
    "check A",
    "run F --set A=1 mm",
    "check F --set A",
    "steels",
    "law",
    "man",
    "explain",
];

const OPTIONS: &[&str] = &[
    "",
    "",
    "",
    "--format json",
    "--format json",
    "--format csv",
    "--units in",
    "--units mm",
    "--error-format plain",
    "--error-format short",
    "--error-format json",
    "--allow-outside",
];

/// The place where commands work; each run of the net has its own.
pub fn at_work() -> PathBuf {
    folder().join(format!("at-work-{}", std::process::id()))
}

fn fresh() -> PathBuf {
    let folder = at_work();
    let _ = std::fs::remove_dir_all(&folder);
    std::fs::create_dir_all(&folder).unwrap();
    folder
}

struct Said {
    out: String,
    err: String,
}

fn called(folder: &Path, args: &[String], input: &str) -> Result<Said, String> {
    let mut child = Command::new(env!("CARGO_BIN_EXE_heatbook"))
        .args(args)
        .current_dir(folder)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .map_err(|error| format!("the program cannot be called: {error}"))?;
    let mut to = child.stdin.take().unwrap();
    let input = input.to_owned();
    let writer = std::thread::spawn(move || {
        let _ = to.write_all(input.as_bytes());
    });
    let out = child.wait_with_output().unwrap();
    let _ = writer.join();
    let text = |bytes: Vec<u8>| String::from_utf8(bytes).map_err(|_| format!("no UTF-8 from {args:?}"));
    let said = Said { out: text(out.stdout)?, err: text(out.stderr)? };
    match out.status.code() {
        Some(0..=2) => Ok(said),
        code => {
            let why = said
                .err
                .lines()
                .chain(said.out.lines())
                .find(|l| l.contains("mistake of its own"))
                .unwrap_or("");
            let why = why.split("): ").next().unwrap_or("").replace(':', " ");
            Err(format!("ends with {code:?} {why}: {args:?}\n{}", said.err))
        }
    }
}

/// One command.
pub fn command(case: &Case) -> Result<(), String> {
    let mut dice = dice(case.seed);
    let folder = fresh();
    std::fs::write(folder.join("recipe.heat"), &case.text).unwrap();
    let log = case.more.first().cloned().unwrap_or_else(|| LOG.to_owned());
    std::fs::write(folder.join("build.heat"), &log).unwrap();
    let address = address(&case.text, &mut dice);
    let line = format!("{} {}", one(COMMANDS, &mut dice), one(OPTIONS, &mut dice));
    let mut args: Vec<String> = Vec::new();
    // What stands behind `--vary`, `--set` and `--samples` is one word, whatever is in it.
    for word in line.split_whitespace() {
        let word = match word {
            "F" => "recipe.heat".to_owned(),
            "L" => "build.heat".to_owned(),
            _ => word.to_owned(),
        };
        match args.last_mut() {
            Some(last) if last.starts_with("A=") && !word.starts_with("--") => *last += &format!(" {word}"),
            _ => args.push(word),
        }
    }
    for arg in &mut args {
        if arg == "A" || arg.starts_with("A=") {
            *arg = arg.replacen('A', address.trim_start_matches('-'), 1).replace('\0', "");
        }
    }
    let said = called(&folder, &args, "")?;
    let wrote = format!("{}{log}{address} nan", case.text);
    let what = args.first().cloned().unwrap_or_default();
    look::text(&what, &said.out, &wrote)?;
    look::text(&what, &said.err, &wrote)?;
    look::tame(&format!("what `{what}` says besides"), &said.err)?;
    let json = args.windows(2).any(|two| two == ["--format", "json"]);
    if json && !said.out.is_empty() {
        return look::json(&what, &said.out);
    }
    // A file in the house style is a file, and what patches it holds its line ends.
    match what.as_str() {
        "fmt" if args.contains(&"--diff".to_owned()) => look::tame(&what, &said.out.replace("\r\n", "\n")),
        "fmt" => Ok(()),
        _ => look::tame(&what, &said.out),
    }
}

/// An address that stands in a recipe, or something else.
fn address(text: &str, dice: &mut Dice) -> String {
    let words: Vec<&str> = text.split_whitespace().filter(|w| w.len() < 30).collect();
    match (dice.random_range(0..4), words.as_slice()) {
        (_, []) | (0, _) => {
            one(&["dark thick", "weld 1 thinning", "1084", "draw", "", "=", "nowhere"], dice).to_string()
        }
        (1, words) => format!("{} {}", one(words, dice), one(words, dice)),
        (2, words) => format!("{} thick", one(words, dice)),
        (_, words) => one(words, dice).to_string(),
    }
}

/// Lines at the prompt.
pub fn prompt(case: &Case) -> Result<(), String> {
    let folder = fresh();
    std::fs::write(folder.join("x.heat"), "stock b = 2 bars of 1084, 4 x 40 x 120 mm\n").unwrap();
    let said = called(&folder, &["prompt".to_owned()], &case.text)?;
    let all = said.out + &said.err;
    look::text("the prompt", &all, &format!("{} nan", case.text))?;
    look::tame("the prompt", &all)
}
