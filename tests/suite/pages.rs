//! What the tests of pages need: samples written out, asked about, and judged.
#![allow(dead_code, reason = "each test file uses its own part")]

use std::collections::BTreeSet;
use std::fs;

use crate::common::called;
use heatbook::manual::Sample;

/// What came of a sample: exit code, and each code that was said, with how grave it is.
pub struct Told {
    pub exit: i32,
    pub codes: BTreeSet<String>,
    pub words: String,
}

/// Writes a sample out, and asks about its first file.
pub fn run(sample: &Sample, asked_by: &str, options: &[&str]) -> Told {
    let folder = tempfile::tempdir().unwrap();
    let files = sample.written();
    for (name, text) in &files {
        let path = folder.path().join(name);
        fs::create_dir_all(path.parent().unwrap()).unwrap();
        fs::write(path, text).unwrap();
    }
    let first = &files.first().expect("a sample has a file").0;
    let mut args = vec![asked_by, first, "--error-format", "json"];
    args.extend(options);
    let said = called(folder.path(), &args, "");
    let codes = said
        .err
        .lines()
        .filter_map(|line| serde_json::from_str::<serde_json::Value>(line).ok())
        .filter_map(|v| Some(v["code"].as_str()?.strip_prefix("heatbook::")?.to_owned()))
        .collect();
    Told { exit: said.code, codes, words: said.err }
}

/// What is wrong with what is shown of a fault; nothing where all is well.
pub fn untrue(code: &str, asked_by: &str, fails: &Sample, mended: &Sample) -> Option<String> {
    let told = run(fails, asked_by, &[]);
    if !told.codes.contains(code) {
        return Some(format!("its recipe says {:?} and not `{code}`: {}", told.codes, cut(&told.words)));
    }
    let told = run(mended, asked_by, &[]);
    if told.codes.contains(code) || told.exit != 0 {
        return Some(format!("mended, it ends with {} and says {}", told.exit, cut(&told.words)));
    }
    None
}

pub fn cut(words: &str) -> String {
    words.chars().take(600).collect()
}

#[track_caller]
pub fn none(missing: &[String]) {
    assert!(missing.is_empty(), "{} missing or untrue:\n{}", missing.len(), missing.join("\n"));
}
