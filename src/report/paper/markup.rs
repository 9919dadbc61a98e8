//! Text and figures as markup: whatever somebody wrote comes out as text.

use std::fmt::{Display, Write as _};

use crate::quantity::{Kind, Units, show};
use crate::report::tame::markup as text;

/// Words of the recipe's own, which may run the other way: they turn nothing around them.
pub fn own(words: &str) -> String {
    format!("<bdi>{}</bdi>", text(words))
}

/// A figure as it is shown, with its value in the JSON's unit and its place there (RFC 6901).
pub fn figure(place: impl Display, value: f64, shown: &str) -> String {
    format!("<data data-at=\"{place}\" value=\"{value}\">{}</data>", text(shown))
}

/// The same of a figure of a kind, in the reader's units.
pub fn sized(place: impl Display, value: f64, kind: Kind, units: Units) -> String {
    figure(place, value, &show(value, kind, units))
}

/// A list of points; nothing where there is none.
pub fn list(points: impl IntoIterator<Item = String>) -> String {
    let mut made = String::new();
    for point in points {
        let _ = writeln!(made, "<li>{point}</li>");
    }
    if made.is_empty() { made } else { format!("<ul>\n{made}</ul>\n") }
}
