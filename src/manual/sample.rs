//! Recipes that show a thing: complete, and all of them run by the tests.
//!
//! What is too long to print is made by a rule: `<<200|text>>` stands for the text 200 times over, `\n` in it for the end of a
//! line and `@` for the count. A file with copies is made so many times, `@` in it counted too.

/// One file of a sample.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct File {
    /// Its name, below the folder that the sample stands in.
    pub name: &'static str,
    /// How many there are of it.
    pub copies: u32,
    /// Its text, rules unworked.
    pub text: String,
}

/// A recipe with the files that it needs; the first one is asked about.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Sample {
    /// The files.
    pub files: Vec<File>,
}

impl Sample {
    /// One recipe that stands alone.
    #[must_use]
    pub fn of(text: String) -> Sample {
        Sample { files: vec![File { name: "recipe.heat", copies: 1, text }] }
    }

    /// Every file as it is written to be run: name and text.
    #[must_use]
    pub fn written(&self) -> Vec<(String, String)> {
        let mut files = Vec::new();
        for file in &self.files {
            if file.copies < 2 {
                files.push((file.name.to_owned(), worked(&file.text, &repeated)));
                continue;
            }
            for n in 1..=file.copies {
                let count = n.to_string();
                files.push((file.name.replace('@', &count), file.text.replace('@', &count)));
            }
        }
        files
    }

    /// Every file as a person reads it: name and text, rules told in words.
    #[must_use]
    pub fn shown(&self) -> Vec<(String, String)> {
        let told = |n: u32, text: &str| match text.strip_suffix("\\n") {
            Some(line) => format!("{line}   # {n} such lines\n"),
            None => format!("{text} …({n} times)… "),
        };
        let name = |f: &File| {
            if f.copies < 2 { f.name.to_owned() } else { format!("{} ({} such files)", f.name, f.copies) }
        };
        self.files.iter().map(|f| (name(f), worked(&f.text, &told))).collect()
    }

    /// The first file as a person reads it.
    #[must_use]
    pub fn text(&self) -> String {
        self.shown().into_iter().next().map(|(_, text)| text).unwrap_or_default()
    }

    /// The sample with words exchanged; `None` where they do not stand in it exactly once.
    #[must_use]
    pub fn mended(&self, edits: &[(String, String)]) -> Option<Sample> {
        let mut made = self.clone();
        for (from, to) in edits {
            let found: usize = made.files.iter().map(|f| f.text.matches(from.as_str()).count()).sum();
            if found != 1 {
                return None;
            }
            for file in &mut made.files {
                file.text = file.text.replace(from.as_str(), to);
            }
        }
        Some(made)
    }
}

/// A text with its rules worked.
fn worked(text: &str, rule: &dyn Fn(u32, &str) -> String) -> String {
    let (mut made, mut rest) = (String::new(), text);
    while let Some((before, behind)) = rest.split_once("<<") {
        made += before;
        let inside = behind.split_once(">>").and_then(|(inside, after)| {
            let (count, text) = inside.split_once('|')?;
            Some((count.parse().ok()?, text, after))
        });
        match inside {
            Some((count, text, after)) => {
                made += &rule(count, text);
                rest = after;
            }
            None => {
                made += "<<";
                rest = behind;
            }
        }
    }
    // A rule that ends its own line needs none behind it.
    (made + rest).replace("\n\n", "\n")
}

fn repeated(count: u32, text: &str) -> String {
    let line = text.replace("\\n", "\n");
    (1..=count).map(|n| line.replace('@', &n.to_string())).collect()
}

#[cfg(test)]
mod tests {
    use super::{File, Sample};

    fn sample(text: &str) -> Sample {
        Sample::of(text.to_owned())
    }

    #[test]
    fn rules_are_worked_and_told() {
        let made = sample("a\n<<3|b@\\n>>\nc<<2|d>>e\n");
        assert_eq!(made.written()[0].1, "a\nb1\nb2\nb3\ncdde\n");
        assert_eq!(made.shown()[0].1, "a\nb@   # 3 such lines\ncd …(2 times)… e\n");
    }

    #[test]
    fn copies_are_counted() {
        let file = File { name: "f-@.heat", copies: 2, text: "let a@ = 1\n".to_owned() };
        let files = Sample { files: vec![file] }.written();
        assert_eq!(files[1], ("f-2.heat".to_owned(), "let a2 = 1\n".to_owned()));
    }

    #[test]
    fn a_mend_must_be_found_once() {
        let edit = |a: &str, b: &str| vec![(a.to_owned(), b.to_owned())];
        assert_eq!(sample("a b\n").mended(&edit("b", "c")), Some(sample("a c\n")));
        assert_eq!(sample("a a\n").mended(&edit("a", "c")), None);
        assert_eq!(sample("a a\n").mended(&edit("b", "c")), None);
    }
}
