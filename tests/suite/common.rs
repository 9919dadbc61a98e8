//! What several tests need: a recipe read and worked in one call, and the program called.

use std::io::Write as _;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

use heatbook::piece::blade::Blade;
use heatbook::piece::{Bar, NodeId, Part, PartName, PastId};
use heatbook::quantity::Units;
use heatbook::replay::{Build, Plan};
use heatbook::report::{Page, Style, diagnostics, json_text};
use heatbook::source::{Diagnostic, Files, Span};
use heatbook::study::{Mending, Missing, Verdict, Ways, judge_with, rescue};
use heatbook::workshop::Job;
use proptest::test_runner::{Config, RngSeed};

/// The first recipe.
pub const FIRST: &str = include_str!("../../examples/ferry-galley.heat");

/// A recipe worked through.
pub struct Worked {
    pub files: Files,
    pub plan: Plan,
    pub build: Build,
    pub verdict: Verdict,
}

/// Reads and works a recipe, and looks for what would mend it where it misses a target.
pub fn work(source: &str) -> Worked {
    judged(source, true)
}

/// The same without the search for mends, which takes a hundred times as long as all the rest.
pub fn check(source: &str) -> Worked {
    judged(source, false)
}

fn judged(source: &str, mends: bool) -> Worked {
    let job = Job::alone("test.heat", source).unwrap();
    let build = job.build(Units::Metric);
    let recount = |count: Span, other: &str| job.recounted(count, other);
    let mending = if mends { Mending::Patient(Some(&recount)) } else { Mending::None };
    let verdict = judge_with(&job.plan, &build, job.found.clone(), Units::Metric, mending);
    let Job { files, plan, .. } = job;
    Worked { files, plan, build, verdict }
}

/// Reads a recipe.
pub fn read(source: &str) -> (Plan, Vec<Diagnostic>) {
    let Job { plan, found, .. } = Job::alone("test.heat", source).unwrap();
    (plan, found)
}

/// A file alone, with the address of its first byte.
pub fn file(text: impl Into<String>) -> (Files, u32) {
    let mut files = Files::default();
    let base = files.add("test.heat", text).unwrap();
    (files, base)
}

/// The plan of a sound recipe.
#[track_caller]
pub fn plan(source: &str) -> Plan {
    let (plan, faults) = read(source);
    assert!(faults.is_empty(), "{faults:?}\n{source}");
    plan
}

/// The slot of an address.
#[track_caller]
pub fn slot(plan: &Plan, address: &str) -> u32 {
    plan.slots.iter().position(|s| s.address == address).unwrap_or_else(|| panic!("no {address}")) as u32
}

/// Sizes and mass to the last bit.
pub fn bits(bar: &Bar) -> [u64; 4] {
    [bar.thick, bar.wide, bar.long, bar.mass].map(f64::to_bits)
}

/// The same of all that a build leaves, standing and racked.
pub fn all_bits(made: &Build) -> Vec<[u64; 4]> {
    made.standing.iter().chain(&made.racked).filter_map(|l| made.lot(*l)).map(|l| bits(&l.bar)).collect()
}

/// The ways to rescue a recipe that misses its target.
pub fn ways(worked: &Worked, text: &str) -> Ways {
    let base = 0;
    let missing =
        Missing { plan: &worked.plan, build: &worked.build, text, base, shelf: &[], units: Units::Metric };
    rescue(&missing, &|text: &str| Some(read(text)))
}

/// A part of a pile: its share, and as thick as it was laid.
pub fn part(node: NodeId, name: u32, fraction: f64, laid: f64) -> Part {
    Part { fraction, node, name: PartName(name), laid, past: PastId::NONE }
}

/// Whether more is asked for than fits into every day: `.ci/long` says so by asking for more cases.
pub fn in_full() -> bool {
    std::env::var_os("PROPTEST_CASES").is_some()
}

/// How a property is tried: so many cases, the same every time. `PROPTEST_CASES` and `PROPTEST_RNG_SEED` ask for others.
pub fn cases(cases: u32) -> Config {
    let mut config = Config { failure_persistence: None, ..Config::default() };
    if !in_full() {
        config.cases = cases;
    }
    if std::env::var_os("PROPTEST_RNG_SEED").is_none() {
        config.rng_seed = RngSeed::Fixed(20_261_126);
    }
    config
}

/// Rows of a table of figures behind so many lines of its head, each as it stands and as numbers; an empty cell is not a number.
pub fn figures<const N: usize>(table: &str, head: usize) -> impl Iterator<Item = (&str, [f64; N])> {
    table.lines().skip(head).map(|row| {
        let cell = |cell: &str| if cell.is_empty() { f64::NAN } else { cell.parse().expect(row) };
        let cells: Vec<f64> = row.split(',').map(cell).collect();
        (row, cells.try_into().unwrap_or_else(|cells| panic!("{row}: {cells:?}")))
    })
}

impl Worked {
    /// The page of its run.
    pub fn page(&self, units: Units) -> Page<'_> {
        Page {
            files: &self.files,
            name: "test.heat",
            plan: &self.plan,
            build: &self.build,
            verdict: &self.verdict,
            units,
        }
    }

    /// Faults and warnings as text.
    pub fn findings(&self, style: Style) -> String {
        let all: Vec<&Diagnostic> = self.verdict.faults.iter().chain(&self.verdict.warnings).collect();
        diagnostics(&all, &self.files, style)
    }

    /// The codes of all faults, in order.
    pub fn faults(&self) -> Vec<&'static str> {
        self.verdict.faults.iter().map(|f| f.code.name()).collect()
    }

    /// The first bar that stands at the end.
    #[track_caller]
    pub fn bar(&self) -> Bar {
        self.build.lot(self.build.standing[0]).unwrap().bar
    }

    /// The last bar that stands under a name.
    #[track_caller]
    pub fn bar_of(&self, name: &str) -> Bar {
        let is = |id: &&heatbook::piece::LotId| self.plan.ground.lot_name(**id) == name;
        self.build.lot(*self.build.standing.iter().rfind(is).unwrap()).unwrap().bar
    }

    /// The shape of the first.
    pub fn shape(&self) -> Blade {
        self.build.bench.makeup.shape(&self.bar()).into_owned()
    }

    /// The run as JSON.
    pub fn json(&self) -> serde_json::Value {
        serde_json::from_str(&json_text(&self.page(Units::Metric))).unwrap()
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
pub fn told_in_full(build: &Build) -> Result<(), String> {
    for lot in build.standing.iter().chain(&build.racked) {
        for what in heatbook::piece::Measure::ALL {
            let story = heatbook::study::why(build, *lot, what).unwrap();
            let told: f64 = story.entries.iter().map(|e| e.change).sum();
            let whole = story.to - story.from;
            if (told - whole).abs() > 1e-9 * story.to.abs().max(story.from.abs()).max(1.0) {
                return Err(format!("{what:?}: told {told}, whole {whole}"));
            }
        }
    }
    Ok(())
}

/// The files of a folder and of all below it whose names end like this, in order.
pub fn files_below(folder: impl AsRef<Path>, ending: &str) -> Vec<PathBuf> {
    let mut found = Vec::new();
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            found.extend(files_below(path, ending));
        } else if path.extension().is_some_and(|e| e == ending) {
            found.push(path);
        }
    }
    found.sort();
    found
}

/// What a call of the program came to.
pub struct Said {
    pub code: i32,
    pub out: String,
    pub err: String,
}

impl Said {
    /// What it answered, and behind that what it said besides.
    pub fn all(&self) -> String {
        format!("{}{}", self.out, self.err)
    }

    /// Its answer as JSON.
    #[track_caller]
    pub fn json(&self) -> serde_json::Value {
        serde_json::from_str(&self.out).unwrap_or_else(|e| panic!("{e}: {}", self.all()))
    }
}

/// Calls the program.
pub fn heatbook(args: &[&str]) -> Said {
    told(args, "")
}

/// Calls the program with something on its standard input.
pub fn told(args: &[&str], input: &str) -> Said {
    called(Path::new("."), args, input)
}

/// Calls the program in a folder, with something on its standard input.
pub fn called(folder: &Path, args: &[&str], input: &str) -> Said {
    called_at(None, folder, args, input)
}

/// The same on a page of so many columns; `None`: as wide as it takes by itself.
pub fn called_at(columns: Option<usize>, folder: &Path, args: &[&str], input: &str) -> Said {
    let mut command = Command::new(env!("CARGO_BIN_EXE_heatbook"));
    match columns {
        Some(columns) => command.env("COLUMNS", columns.to_string()),
        None => command.env_remove("COLUMNS"),
    };
    let mut child = command
        .args(args)
        .current_dir(folder)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    // A command that reads nothing may have ended already.
    let _ = child.stdin.take().unwrap().write_all(input.as_bytes());
    let out = child.wait_with_output().unwrap();
    let text = |bytes: Vec<u8>| String::from_utf8(bytes).unwrap();
    Said { code: out.status.code().unwrap(), out: text(out.stdout), err: text(out.stderr) }
}

/// The words of a command line as a shell splits it: blanks part words, double quotes hold them together.
pub fn shell_words(line: &str) -> Vec<&str> {
    let parts = line.split('"').enumerate();
    parts
        .flat_map(|(i, part)| if i % 2 == 1 { vec![part] } else { part.split_whitespace().collect() })
        .collect()
}

/// Holds a page to the program: each line of its `text` blocks stands in what the `sh` block before it comes to. Gives how
/// many commands and lines there were.
#[track_caller]
pub fn page_is_true(path: &str) -> [usize; 2] {
    let page = std::fs::read_to_string(path).unwrap();
    let mut blocks = page.split("```");
    let ([mut commands, mut looked], mut said) = ([0; 2], String::new());
    while let (Some(_), Some(block)) = (blocks.next(), blocks.next()) {
        if let Some(line) = block.strip_prefix("sh\n") {
            said = heatbook(&shell_words(line.trim().strip_prefix("heatbook ").unwrap())).all();
            commands += 1;
        } else if let Some(text) = block.strip_prefix("text\n") {
            for line in text.lines().filter(|l| !l.trim().is_empty() && l.trim() != "…") {
                assert!(said.contains(line.trim_end()), "{path}: {line}\n{said}");
                looked += 1;
            }
        }
    }
    [commands, looked]
}
