//! The pictures beside the recipes are what the recipes give, and the page that shows them leaves no recipe out.

use std::io::Cursor;
use std::path::{Path, PathBuf};
use std::process::Command;

use crate::common::files_below;

/// The side of a dot of these pictures.
const DOT: &str = "0.4 mm";
/// Greys that may part by rounding alone, of 255, and the share of dots that may part by more: a hair's breadth at the edges of lines.
const NEAR: u8 = 24;
const ODD: f64 = 0.005;

/// Width, height and greys of a drawing.
fn greys(bytes: &[u8]) -> (u32, u32, Vec<u8>) {
    let mut reader = png::Decoder::new(Cursor::new(bytes)).read_info().unwrap();
    let mut greys = vec![0; reader.output_buffer_size().unwrap()];
    let info = reader.next_frame(&mut greys).unwrap();
    assert_eq!(info.color_type, png::ColorType::Grayscale);
    (info.width, info.height, greys)
}

fn drawn(recipe: &Path) -> Vec<u8> {
    let out = Command::new(env!("CARGO_BIN_EXE_heatbook"))
        .arg("picture")
        .arg(recipe)
        .args(["--px", DOT, "--format", "png"])
        .output()
        .unwrap();
    assert!(out.status.success(), "{}: {}", recipe.display(), String::from_utf8_lossy(&out.stderr));
    out.stdout
}

fn page() -> String {
    std::fs::read_to_string("recipes/README.md").unwrap()
}

/// The recipes whose pictures the page shows, each with its picture.
fn pictures() -> Vec<(PathBuf, PathBuf)> {
    let page = page();
    let names = page.split("](pictures/").skip(1).map(|rest| rest.split(".png)").next().unwrap());
    let at = |name: &str| Path::new("recipes").join(name);
    names.map(|name| (at(&format!("{name}.heat")), at(&format!("pictures/{name}.png")))).collect()
}

/// With `HEATBOOK_PICTURES=write` they are drawn anew: look at each before you keep it.
#[test]
fn pictures_are_those_of_the_recipes() {
    let write = std::env::var_os("HEATBOOK_PICTURES").is_some();
    let mut looked = 0;
    for (recipe, picture) in pictures() {
        let now = drawn(&recipe);
        if write {
            std::fs::write(&picture, &now).unwrap();
        }
        let (made, kept) = (greys(&now), greys(&std::fs::read(&picture).unwrap()));
        assert_eq!([made.0, made.1], [kept.0, kept.1], "{}", picture.display());
        let odd = made.2.iter().zip(&kept.2).filter(|(a, b)| a.abs_diff(**b) > NEAR).count();
        assert!(
            odd as f64 <= ODD * made.2.len() as f64,
            "{}: {odd} of {} dots",
            picture.display(),
            made.2.len()
        );
        // A picture of nothing would agree with itself.
        assert!(
            made.2.iter().any(|g| *g < 90) && made.2.iter().any(|g| (140..220).contains(g)),
            "{}",
            picture.display()
        );
        looked += 1;
    }
    assert!(looked >= 11, "{looked}");
}

#[test]
fn the_page_of_the_recipes_names_each_and_leads_nowhere_else() {
    let page = page();
    for recipe in files_below("recipes", "heat") {
        let name = recipe.file_name().unwrap().to_str().unwrap();
        assert!(page.contains(&format!("]({name})")), "{name}");
    }
    let links = page.split("](").skip(1).map(|rest| rest.split(')').next().unwrap());
    for link in links.filter(|link| !link.starts_with('#')) {
        assert!(Path::new("recipes").join(link).exists(), "{link}");
    }
}
