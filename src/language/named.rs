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
    /// In the unit of its figure.
    worth: f64,
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
        let line = &multiples(line, set);
        let words: Vec<&str> = line.split(' ').collect();
        for (nth, word) in words.iter().copied().enumerate() {
            let own = word.trim_end_matches([',', '.', ';']);
            let figure = set.iter().find(|(name, _)| *name == own).map(|(_, set)| set);
            if figure.is_some_and(|set| set.bytes().all(|b| b.is_ascii_digit())) {
                // A count that no other is like.
                let odd = (70_001 + put.len()).to_string();
                let rest = word.get(own.len()..).unwrap_or_default();
                let of_bars =
                    matches!(words.get(nth + 1), Some(&("bars" | "pieces" | "strips" | "rods" | "flats")));
                if counts(&made) || of_bars {
                    made.push(format!("{odd}{rest}"));
                    put.push(Stand { words: own.to_owned(), figure: odd, times: 1, worth: 0.0 });
                    continue;
                }
                if let Some((less, behind)) = one_less(&made) {
                    made.truncate(behind);
                    made.extend([odd.clone(), less]);
                    put.push(Stand { words: format!("{own} - 1"), figure: odd, times: 1, worth: 0.0 });
                    continue;
                }
            }
            let Some((value, unit)) = figure
                .and_then(|set| value(set))
                .filter(|_| takes(&made, own, words.get(nth + 1..).unwrap_or_default()))
            else {
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
            // `wide minus 2 * clean` is one figure.
            let (mut base, mut by) = (0.0, by);
            if let Some((sign, first)) = summed(&made, &put) {
                words = format!("{} {sign} {words}", put.get(first).map_or("", |stand| &stand.words));
                base = put.get(first).map_or(0.0, |stand| stand.worth);
                by = if sign == "-" { -by } else { by };
                made.truncate(made.len() - 2);
                put.remove(first);
            }
            // A figure that no other is like.
            let odd = 1.000_000_371 + 1e-9 * put.len() as f64;
            let figure = match put.iter_mut().find(|stand| stand.words == words) {
                Some(stand) => {
                    stand.times += 1;
                    stand.figure.clone()
                }
                None => {
                    let worth = base + by * value;
                    let figure = format!("{:.9} {unit}", worth * odd);
                    put.push(Stand { words, figure: figure.clone(), times: 1, worth });
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

    /// Whether a line that was found without one of the names is not what was meant: the name stands with a sign or with a size.
    pub fn needs(&self, written: &str, found: &str, set: &Set) -> bool {
        const BEFORE: [&str; 7] = ["*", "times", "minus", "plus", "less", "than", "x"];
        const BEHIND: [&str; 10] =
            ["*", "minus", "plus", "thick", "wide", "long", "deep", "square", "x", "thick,"];
        let all: Vec<&str> = written.split(' ').collect();
        let said = |word: &str| found.split([' ', ',', '(', ')']).any(|own| own == word);
        set.iter().filter(|(name, _)| !said(name)).any(|(name, _)| {
            let beside = |at: usize, words: &[&str]| all.get(at).is_some_and(|word| words.contains(word));
            (1..all.len()).any(|at| {
                let own = all.get(at).map_or("", |word| word.trim_end_matches([',', '.', ';']));
                own == *name && (beside(at - 1, &BEFORE) || beside(at + 1, &BEHIND))
            })
        })
    }

    /// Whether a line that was found without putting them in has all the names too.
    pub fn stands_in(&self, found: &str, set: &Set) -> bool {
        let put = Put::into(found, set);
        // What a recipe is given is called so there: `twist-bar(pitch = 30 mm)`.
        let given = |words: &str| found.contains(&format!("{words} ="));
        self.put.iter().all(|stand| {
            given(&stand.words) || put.iter().flat_map(|put| &put.put).any(|own| own.words == stand.words)
        })
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
    // `85 % of size`.
    if word(1) == Some("of") {
        let (share, back) = match word(2)? {
            "%" | "percent" => (word(3)?, 3),
            // `0.35 of size`.
            part if part.contains('.') && part.parse::<f64>().is_ok() => {
                return Some((part.parse().ok()?, before.len() - 2));
            }
            share => (share.strip_suffix('%')?, 2),
        };
        return Some((share.parse::<f64>().ok()? / 100.0, before.len() - back));
    }
    // `0.85 size`.
    if let Some(factor) = word(1).filter(|word| word.contains('.')).and_then(|word| word.parse().ok()) {
        return Some((factor, before.len() - 1));
    }
    let sign = match word(1)? {
        "*" | "times" => true,
        "x" | "×" => !sizes,
        _ => false,
    };
    let factor = word(2)?.parse().ok().filter(|_| sign)?;
    Some((factor, before.len() - 2))
}

/// `one and a half times` and the like before the name of a figure as the factor that it is.
fn multiples(line: &str, set: &Set) -> String {
    const SAID: [(&str, &str); 7] = [
        ("one and a half times ", "1.5 * "),
        ("two and a half times ", "2.5 * "),
        ("three times ", "3 * "),
        ("two times ", "2 * "),
        ("half again as much as ", "1.5 * "),
        ("half the ", "half "),
        ("half of the ", "half of "),
    ];
    if !line.contains("half") && !line.contains(" times ") {
        return line.to_owned();
    }
    SAID.iter().fold(line.to_owned(), |line, (said, factor)| {
        let named = |at: usize| {
            let behind = line.get(at + said.len()..).unwrap_or_default();
            let next = behind.split([' ', ',', '.', ';']).next().unwrap_or_default();
            set.iter().any(|(name, _)| *name == next)
        };
        let places: Vec<usize> = line.match_indices(said).map(|(at, _)| at).filter(|at| named(*at)).collect();
        let mut made = line.clone();
        for at in places.into_iter().rev() {
            made.replace_range(at..at + said.len(), factor);
        }
        made
    })
}

/// `one bar less than` before the name of a count: the word for what is counted, and where this begins.
fn one_less(before: &[String]) -> Option<(String, usize)> {
    let word = |back: usize| before.len().checked_sub(back).and_then(|at| before.get(at)).map(String::as_str);
    let less = word(1) == Some("than") && matches!(word(2)?, "less" | "fewer");
    let one = matches!(word(4)?, "one" | "1");
    (less && one)
        .then(|| (format!("{}s", word(3).unwrap_or_default().trim_end_matches('s')), before.len() - 4))
}

/// A sign behind a figure that stands for a name, which goes on with the next: which, and the place of the first.
fn summed(before: &[String], put: &[Stand]) -> Option<(&'static str, usize)> {
    let sign = match before.last()?.as_str() {
        "minus" | "-" | "less" => "-",
        "plus" | "+" => "+",
        _ => return None,
    };
    let first = before.len().checked_sub(2).and_then(|at| before.get(at))?;
    put.iter().position(|stand| stand.figure == *first && stand.times == 1).map(|at| (sign, at))
}

/// Whether a count may stand behind these words.
fn counts(before: &[String]) -> bool {
    before.last().is_some_and(|last| matches!(last.as_str(), "in" | "into" | "heats" | "do" | "repeat"))
}

/// Whether a name may stand behind these words; one that is a word of the language only where a figure is looked for.
fn takes(before: &[String], name: &str, behind: &[&str]) -> bool {
    const BEFORE: [&str; 28] = [
        "to", "by", "around", "is", "than", "times", "*", "and", "it", "half", "spacing", "spaced", "apart",
        "every", "leave", "leaving", "twice", "double", "minus", "plus", "less", "flats", "sides", "faces",
        "edges", "ends", "least", "most",
    ];
    let Some(last) = before.last() else { return false };
    // `bow by bow`: the first is the clause's word.
    if matches!(behind, ["by" | "of" | "is" | "=" | "to" | "at", again, ..] if *again == name) {
        return false;
    }
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
        Some((
            name.split([' ', '\n', '(']).next_back()?,
            set.split_once('=')?.1.trim_end_matches([' ', '\n', ')', '{']),
        ))
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
