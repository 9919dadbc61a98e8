//! A steel's name as a recipe has it.

use crate::steel::Grade;

/// A steel's name as it stands in a recipe.
#[must_use]
pub fn grade(grade: &Grade) -> String {
    let name = &grade.name;
    let plain = name.chars().all(|c| c.is_ascii_alphanumeric() || "-_.".contains(c));
    if plain { name.clone() } else { format!("\"{name}\"") }
}
