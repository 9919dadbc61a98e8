//! What several tests need: a recipe read and worked in one call.
#![allow(dead_code, reason = "each test file uses its own part")]

use heatbook::quantity::Units;
use heatbook::replay::{Build, Plan};
use heatbook::report::{Page, Style, diagnostics, json_text};
use heatbook::source::{Diagnostic, Files};
use heatbook::study::{Verdict, judge};
use heatbook::workshop::Job;

/// A recipe worked through.
pub struct Worked {
    pub files: Files,
    pub plan: Plan,
    pub build: Build,
    pub verdict: Verdict,
}

/// Reads and works a recipe.
pub fn work(source: &str) -> Worked {
    let job = Job::alone("test.heat", source).unwrap();
    let build = job.build(Units::Metric);
    let Job { files, plan, found, .. } = job;
    let verdict = judge(&plan, &build, found, Units::Metric);
    Worked { files, plan, build, verdict }
}

impl Worked {
    /// Faults and warnings as text.
    pub fn findings(&self, style: Style) -> String {
        let all: Vec<&Diagnostic> = self.verdict.faults.iter().chain(&self.verdict.warnings).collect();
        diagnostics(&all, &self.files, style)
    }

    /// The codes of all faults, in order.
    pub fn faults(&self) -> Vec<&'static str> {
        self.verdict.faults.iter().map(|f| f.code.name()).collect()
    }

    /// The run as JSON.
    pub fn json(&self) -> serde_json::Value {
        let page = Page {
            files: &self.files,
            name: "test.heat",
            plan: &self.plan,
            build: &self.build,
            verdict: &self.verdict,
            units: Units::Metric,
        };
        serde_json::from_str(&json_text(&page)).unwrap()
    }

    /// What stands under a name at the end.
    pub fn piece(&self, name: &str) -> serde_json::Value {
        let json = self.json();
        assert!(json["pieces"][name].is_object(), "no `{name}`: {}", self.findings(Style::Plain));
        json["pieces"][name].clone()
    }
}

/// Asserts that two figures agree to a relative tolerance.
#[track_caller]
pub fn close(got: f64, want: f64, relative: f64) {
    assert!((got - want).abs() <= relative * want.abs().max(1e-300), "got {got}, want {want}");
}

/// The book tells the whole of every size of every piece: its entries add up to the change, to 1e-9.
pub fn told_in_full(worked: &Worked) -> Result<(), String> {
    for lot in worked.build.standing.iter().chain(&worked.build.racked) {
        for what in heatbook::piece::Measure::ALL {
            let story = heatbook::study::why(&worked.build, *lot, what).unwrap();
            let told: f64 = story.entries.iter().map(|e| e.change).sum();
            let whole = story.to - story.from;
            if (told - whole).abs() > 1e-9 * story.to.abs().max(story.from.abs()).max(1.0) {
                return Err(format!("{what:?}: told {told}, whole {whole}"));
            }
        }
    }
    Ok(())
}
