//! Figures by their names in a line that is not read: each stands for what it is set to while the line is sought in other words.

use super::{vocabulary, wording};
use crate::forge::{self, Form};

/// The names of figures, each with what it is set to.
pub type Set<'t> = Vec<(&'t str, &'t str)>;

/// A line with figures in the place of names.
pub struct Put {
    /// It.
    pub line: String,
    put: Vec<Stand>,
}

/// A figure that stands for words of the line.
struct Stand {
    words: String,
    figure: String,
    times: usize,
}

impl Put {
    /// A line with its names put in; none where it has no such name.
    pub fn into(line: &str, set: &Set) -> Option<Put> {
        let (mut made, mut put): (Vec<String>, Vec<Stand>) = (Vec::new(), Vec::new());
        // An `x` may stand between sizes there.
        let laid = |word: &str| {
            let form = forge::word(word).map(|word| word.form);
            word == "can" || matches!(form, Some(Form::Stock | Form::Stack))
        };
        let sizes = line.split(' ').any(laid);
        for word in line.split(' ') {
            let own = word.trim_end_matches([',', '.', ';']);
            let figure = set.iter().find(|(name, _)| *name == own).map(|(_, set)| set);
            if figure.is_some_and(|set| set.bytes().all(|b| b.is_ascii_digit())) && counts(&made) {
                // A count that no other is like.
                let figure = (70_001 + put.len()).to_string();
                made.push(format!("{figure}{}", word.get(own.len()..).unwrap_or_default()));
                put.push(Stand { words: own.to_owned(), figure, times: 1 });
                continue;
            }
            let Some((value, unit)) = figure.and_then(|set| value(set)).filter(|_| takes(&made, own)) else {
                made.push(word.to_owned());
                continue;
            };
            let (mut by, mut words) = (1.0, own.to_owned());
            if let Some((factor, behind)) = factor(&made, sizes) {
                by = factor;
                words = format!("{factor} * {own}");
                made.truncate(behind);
            }
            if made.last().is_some_and(|last| matches!(last.as_str(), "a" | "an" | "the" | "one" | "each")) {
                made.pop();
            }
            // A figure that no other is like.
            let odd = 1.000_000_371 + 1e-9 * put.len() as f64;
            let figure = match put.iter_mut().find(|stand| stand.words == words) {
                Some(stand) => {
                    stand.times += 1;
                    stand.figure.clone()
                }
                None => {
                    let figure = format!("{:.9} {unit}", by * value * odd);
                    put.push(Stand { words, figure: figure.clone(), times: 1 });
                    figure
                }
            };
            made.push(format!("{figure}{}", word.get(own.len()..).unwrap_or_default()));
        }
        (!put.is_empty()).then(|| Put { line: made.join(" "), put })
    }

    /// What a line that was found comes to with the names again; none where one is lost.
    pub fn back(&self, found: &str) -> Option<String> {
        self.put.iter().try_fold(found.to_owned(), |text, stand| {
            (text.matches(&stand.figure).count() >= stand.times)
                .then(|| text.replace(&stand.figure, &stand.words))
        })
    }

    /// Whether a line that was found without putting them in has all the names too.
    pub fn stands_in(&self, found: &str, set: &Set) -> bool {
        let put = Put::into(found, set);
        self.put.iter().all(|stand| put.iter().flat_map(|put| &put.put).any(|own| own.words == stand.words))
    }
}

/// By how much a name behind these words is taken, and where the words that say so begin: `2 *`, `half of`, `twice`.
fn factor(before: &[String], sizes: bool) -> Option<(f64, usize)> {
    let word = |back: usize| before.len().checked_sub(back).and_then(|at| before.get(at)).map(String::as_str);
    let back = if word(1) == Some("of") { 2 } else { 1 };
    let said = match word(back)? {
        "half" => Some(0.5),
        "twice" | "double" => Some(2.0),
        _ => None,
    };
    if let Some(factor) = said {
        return Some((factor, before.len() - back));
    }
    let sign = match word(1)? {
        "*" | "times" => true,
        "x" | "×" => !sizes,
        _ => false,
    };
    let factor = word(2)?.parse().ok().filter(|_| sign)?;
    Some((factor, before.len() - 2))
}

/// Whether a count may stand behind these words.
fn counts(before: &[String]) -> bool {
    before.last().is_some_and(|last| matches!(last.as_str(), "in" | "into" | "heats" | "do" | "repeat"))
}

/// Whether a name may stand behind these words; one that is a word of the language only where a figure is looked for.
fn takes(before: &[String], name: &str) -> bool {
    const BEFORE: [&str; 18] = [
        "to", "by", "around", "is", "than", "times", "*", "and", "it", "half", "spacing", "spaced", "apart",
        "every", "leave", "leaving", "twice", "double",
    ];
    let Some(last) = before.last() else { return false };
    let low = last.to_lowercase();
    let article = matches!(low.as_str(), "the" | "a" | "an");
    let clause = vocabulary::is_word(&low) && !article && crate::quantity::find_unit(&low).is_none();
    let behind = clause || BEFORE.contains(&low.as_str()) || last.ends_with(',');
    behind || before.len() == 1 || !vocabulary::is_word(name)
}

/// What a name is set to; none where that is anything but a figure with a unit.
fn value(set: &str) -> Option<(f64, &str)> {
    let tokens = wording::tokens(set);
    let [number, unit] = tokens.as_slice() else { return None };
    if (number.sort, unit.sort) != (wording::Sort::Number, wording::Sort::Unit) {
        return None;
    }
    let part = |text: &str| text.parse::<f64>().ok();
    let parts = number.low.split([' ', '-']).filter(|part| !part.is_empty());
    let value = parts.map(|text| match text.split_once('/') {
        Some((over, under)) => Some(part(over)? / part(under)?),
        None => part(text),
    });
    Some((value.sum::<Option<f64>>()?, set.get(unit.at.clone())?))
}

/// What a line sets: `let crop = 3/8 in`, or parameters, as in `crop: length = 3/8 in, skin: length = 0.2 mm`.
pub fn set_in(line: &str) -> impl Iterator<Item = (&str, &str)> {
    let line = line.split('#').next().unwrap_or_default().trim();
    let own = line.strip_prefix("let ").and_then(|rest| rest.split_once('='));
    let parameter = |text| {
        let (name, set): (&str, &str) = str::split_once(text, ':')?;
        Some((name.split([' ', '(']).next_back()?, set.split_once('=')?.1.trim_end_matches([' ', ')', '{'])))
    };
    let parameters = line.split(',').filter_map(parameter);
    own.into_iter().chain(parameters).map(|(name, value)| (name.trim(), value.trim()))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_are_put_in_and_come_back() {
        let set: Set = vec![("wide", "40 mm"), ("crop", "3/8 in"), ("temper", "205 C"), ("bars", "9")];
        let put = |line: &str| Put::into(line, &set);
        let there_and_back = |line: &str| put(line).map(|put| put.back(&put.line));
        // A factor goes with its name; an `x` between sizes is none, and a count has no unit to stand with.
        let made = put("edge it to 0.5 * wide").map(|put| put.line).unwrap_or_default();
        assert!(made.starts_with("edge it to 20.0000") && made.ends_with(" mm"), "{made}");
        let made = put("stock b = bars of 1084, 3 x wide x 120 mm").map(|put| put.line).unwrap_or_default();
        assert!(made.starts_with("stock b = bars of 1084, 3 x 40.0000"), "{made}");
        for line in ["edge it to 0.5 * wide", "draw the temper of it at temper, twice", "nip off crop"] {
            assert_eq!(there_and_back(line), Some(Some(line.to_owned())), "{line}");
        }
        // What is named and lost was not understood.
        assert_eq!(put("cool it at temper").and_then(|put| put.back("cool it")), None);
        assert!(put("cool it down").is_none());
    }
}
