//! The shop's own `shop.heat`: where it is sought, what it gives, and what goes before it.

use std::fs;

use crate::common::called;

const BAR: &str =
    "stock b = 1 bar of 1018, 10 x 40 x 200 mm\ncut b into 2\ntarget b {\n  length >= 1 mm\n}\n";

/// The length of half a bar of 200 mm tells the saw: (200 - kerf) / 2.
fn length(folder: &std::path::Path, args: &[&str]) -> (f64, String) {
    let said = called(folder, &[&["run", "r.heat", "--format", "json"], args].concat(), "");
    assert_eq!(said.code, 0, "{}", said.all());
    let check = called(folder, &[&["check", "r.heat"], args].concat(), "");
    (said.json()["pieces"]["b"]["length_mm"].as_f64().unwrap(), check.out)
}

#[test]
fn the_next_shop_upward_serves() {
    let top = tempfile::tempdir().unwrap();
    let deep = top.path().join("orders/spring");
    fs::create_dir_all(&deep).unwrap();
    let write = |name: &str, text: &str| fs::write(top.path().join(name), text).unwrap();
    write("orders/spring/r.heat", BAR);
    fs::create_dir(top.path().join(".git")).unwrap();
    assert_eq!(length(&deep, &[]).0, 99.0, "2 mm, where nothing says otherwise");
    write("shop.heat", "shop {\n  kerf 4 mm\n}\n");
    let (long, said) = length(&deep, &[]);
    assert_eq!(long, 98.0);
    assert!(said.contains("shop: kerf from ") && said.contains("shop.heat"), "{said}");
    write("orders/shop.heat", "shop {\n  kerf 6 mm\n}\nsteel own = like 1018\n");
    assert_eq!(length(&deep, &[]).0, 97.0, "the nearer one");
    assert_eq!(length(&deep, &["--shop", "none"]).0, 99.0);
    assert_eq!(length(&deep, &["--shop", "../../shop.heat"]).0, 98.0);
    // What the recipe says itself goes first, and the rest still comes from the shop.
    write("orders/spring/r.heat", &format!("shop {{\n  kerf 8 mm\n}}\n{}", BAR.replace("1018", "own")));
    assert_eq!(length(&deep, &[]).0, 96.0);
    let none = called(&deep, &["check", "r.heat", "--shop", "gone.heat"], "");
    assert_eq!(
        (none.code, none.err.as_str()),
        (2, "cannot read the shop's `gone.heat`: no such file is there\n")
    );
}

#[test]
fn nothing_beyond_the_top_of_a_project_serves() {
    let top = tempfile::tempdir().unwrap();
    let inside = top.path().join("project");
    fs::create_dir_all(inside.join(".git")).unwrap();
    fs::write(inside.join("r.heat"), BAR).unwrap();
    fs::write(top.path().join("shop.heat"), "shop {\n  kerf 4 mm\n}\n").unwrap();
    assert_eq!(length(&inside, &[]).0, 99.0);
    // A recipe from standard input has no folder.
    fs::write(inside.join("shop.heat"), "shop {\n  kerf 4 mm\n}\n").unwrap();
    assert_eq!(length(&inside, &[]).0, 98.0);
    let said = called(&inside, &["run", "-", "--format", "json"], BAR);
    assert_eq!(said.json()["pieces"]["b"]["length_mm"], 99.0);
}
