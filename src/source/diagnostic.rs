//! A finding about a recipe, as plain data. Each way of showing it is one file in `report`.

use super::{Code, Severity, Span};

/// Words in a recipe, and what is said of them.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Label {
    /// The words.
    pub span: Span,
    /// What is said of them; may be empty.
    pub text: String,
}

/// An edit that would mend a finding: other text in the place of some words.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Fix {
    /// The words that go; nothing where text is only put in.
    pub span: Span,
    /// What stands there instead; may be empty.
    pub text: String,
}

/// One finding: what, where, why, and what would work.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Diagnostic {
    /// What it is.
    pub code: Code,
    /// What is wrong: lower case, no full stop.
    pub message: String,
    /// The words at fault first, then those that set the limit.
    pub labels: Vec<Label>,
    /// The nearest thing that would work.
    pub help: Option<String>,
    /// The help as an edit, where the fault knows one: an editor can offer it.
    pub fix: Option<Box<Fix>>,
    /// A second edit, where it takes both.
    pub also: Option<Box<Fix>>,
}

impl Diagnostic {
    /// A finding with the words it is about.
    pub fn new(code: Code, message: impl Into<String>, span: Span, text: impl Into<String>) -> Self {
        let label = Label { span, text: text.into() };
        Diagnostic { code, message: message.into(), labels: vec![label], help: None, fix: None, also: None }
    }

    /// Fault or warning.
    #[must_use]
    pub fn severity(&self) -> Severity {
        self.code.severity()
    }

    /// Adds further words, such as those that set the limit.
    #[must_use]
    pub fn and(mut self, span: Span, text: impl Into<String>) -> Self {
        self.labels.push(Label { span, text: text.into() });
        self
    }

    /// Says what would work.
    #[must_use]
    pub fn help(mut self, help: impl Into<String>) -> Self {
        self.help = Some(help.into());
        self
    }

    /// The finding as the fault that stops a step, with what would work instead.
    #[must_use]
    pub fn stops(self, help: impl Into<String>) -> Box<Self> {
        Box::new(self.help(help))
    }

    /// Says what would work as an edit.
    #[must_use]
    pub fn fix(mut self, span: Span, text: impl Into<String>) -> Self {
        self.fix = Some(Box::new(Fix { span, text: text.into() }));
        self
    }

    /// The same where the edit may not be known.
    #[must_use]
    pub fn fix_if(self, span: Span, text: Option<&str>) -> Self {
        match text {
            Some(text) => self.fix(span, text),
            None => self,
        }
    }

    /// Says what was meant by the words at fault, also as an edit; where nothing is near to them, what else would help.
    #[must_use]
    pub fn meant(self, near: Option<&str>, otherwise: impl FnOnce() -> String) -> Self {
        let at = self.span();
        self.help(near.map_or_else(otherwise, |near| format!("did you mean `{near}`"))).fix_if(at, near)
    }

    /// The span of the words at fault.
    #[must_use]
    pub fn span(&self) -> Span {
        self.labels.first().map(|l| l.span).unwrap_or_default()
    }
}

/// A code with what is wrong: a finding that has yet to name the words it is about.
#[derive(Debug)]
pub struct Said(Code, String);

impl Code {
    /// Begins a finding: what is wrong, lower case, no full stop.
    #[must_use]
    pub fn says(self, message: impl Into<String>) -> Said {
        Said(self, message.into())
    }
}

impl Said {
    /// The finding, with the words it is about.
    #[must_use]
    pub fn at(self, span: Span, text: impl Into<String>) -> Diagnostic {
        let Said(code, message) = self;
        Diagnostic::new(code, message, span, text)
    }
}

/// Words in back-ticks, with commas between them.
pub fn quoted<'w>(words: impl IntoIterator<Item = &'w str>) -> String {
    words.into_iter().map(|word| format!("`{word}`")).collect::<Vec<_>>().join(", ")
}
