//! Every command in every form: an object of its schema, a rectangle, a page without `NaN`, or a fault that says so.

use std::path::{Path, PathBuf};

use crate::common::{Said, files_below, told};
use boon::{Compiler, Schemas};
use serde_json::Value;

const FIRST: &str = "examples/ferry-galley.heat";

/// The validator of each schema in the repo, by name.
pub struct Shapes(Schemas, Vec<(&'static str, boon::SchemaIndex)>);

impl Shapes {
    pub fn new() -> Shapes {
        let (mut schemas, mut compiler) = (Schemas::new(), Compiler::new());
        let mut named = Vec::new();
        for (name, schema) in heatbook::report::schemas() {
            let at = format!("file:///{name}.json");
            compiler.add_resource(&at, schema.to_value()).unwrap();
            named.push((name, compiler.compile(&at, &mut schemas).unwrap()));
        }
        Shapes(schemas, named)
    }

    /// Holds an answer against the schema that it names.
    pub fn fits(&self, answer: &Value) -> Result<(), String> {
        let name = answer["schema"].as_str().ok_or("it names no schema")?;
        let (_, index) = self.1.iter().find(|(n, _)| *n == name).ok_or("no such schema")?;
        self.0.validate(answer, *index).map_err(|error| format!("{error:#}"))
    }

    /// The answer of a command in JSON, held against the schema that it names.
    #[track_caller]
    fn held(&self, args: &[&str], input: &str) -> (Value, Said) {
        let said = told(&[args, &["--format", "json"]].concat(), input);
        let answer: Value =
            serde_json::from_str(&said.out).unwrap_or_else(|e| panic!("{args:?}: {e}: {}", said.out));
        assert!(answer.is_object(), "{args:?}");
        self.fits(&answer).unwrap_or_else(|error| panic!("{args:?}: {error}"));
        (answer, said)
    }
}

fn recipes() -> Vec<String> {
    let paths = ["examples", "recipes"].into_iter().flat_map(|folder| files_below(folder, "heat"));
    let found: Vec<String> = paths.map(|path| path.to_str().unwrap().to_owned()).collect();
    assert!(found.len() >= 25, "{found:?}");
    found
}

/// Every command that is asked of a recipe, and what it is asked.
fn questions(recipe: &str) -> Vec<Vec<&str>> {
    vec![
        vec!["check", recipe],
        vec!["check", recipe, recipe],
        vec!["run", recipe],
        vec!["why", "mass", "blade", recipe],
        vec!["fill", recipe],
        vec!["sweep", recipe, "--vary", "bright thick = 1 mm .. 3 mm / 3"],
        vec!["nudge", recipe],
        vec!["compare", recipe, recipe],
        vec!["odds", recipe, "--samples", "20", "--cores", "1"],
        vec!["replay", recipe],
        vec!["rescue", recipe],
        vec!["quote", recipe],
        vec!["rack", recipe],
        vec!["picture", recipe, "blade", "--px", "2"],
        vec!["picture", recipe, "blade", "--px", "2", "--steps"],
        vec!["sheet", recipe],
        vec!["chart", recipe, "--of", "width"],
        vec!["chart", recipe, "--of", "along"],
        vec!["chart", recipe, "--of", "layers"],
        vec!["chart", recipe, "--of", "steel"],
        vec!["chart", recipe, "--of", "fire"],
        vec!["calibrate", recipe],
        vec!["explain", recipe],
    ]
}

const OTHERS: [&[&str]; 6] = [
    &["steels"],
    &["law"],
    &["law", "hv-of-hrc", "hrc=60"],
    &["explain"],
    &["explain", "draw"],
    &["explain", "verb"],
];

#[test]
fn schemas_are_those_of_the_repo() {
    let folder = Path::new("tests/schemas");
    let mut names = Vec::new();
    for (name, schema) in heatbook::report::schemas() {
        let path = folder.join(format!("{name}.json"));
        let text = serde_json::to_string_pretty(&schema).unwrap() + "\n";
        if std::env::var_os("UPDATE_SCHEMAS").is_some() {
            std::fs::create_dir_all(folder).unwrap();
            std::fs::write(&path, &text).unwrap();
        }
        let kept = std::fs::read_to_string(&path).unwrap_or_default();
        assert_eq!(
            kept, text,
            "{name}: `UPDATE_SCHEMAS=1 cargo test schemas` writes it; a new shape needs a new number"
        );
        names.push(path);
    }
    let there = std::fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path());
    let stale: Vec<PathBuf> = there.filter(|path| !names.contains(path)).collect();
    assert!(stale.is_empty(), "no answer has these any more: {stale:?}");
}

#[test]
fn a_schema_holds_what_it_should() {
    let shapes = Shapes::new();
    let (good, _) = shapes.held(&["why", "mass", "blade", FIRST], "");
    let refuses = |change: &dyn Fn(&mut Value)| {
        let mut answer = good.clone();
        change(&mut answer);
        shapes.fits(&answer).is_err()
    };
    assert!(!refuses(&|_| ()));
    // A figure that is none is printed as `null`: where the type does not say that it may be missing, that is caught.
    assert!(refuses(&|a| a["from"] = Value::Null));
    assert!(refuses(&|a| a["schema"] = "heatbook-why-2".into()));
    assert!(refuses(&|a| a["more"] = 1.into()));
    assert!(refuses(&|a| a["entries"][0]["cause"] = 1.into()));
    assert!(refuses(&|a| drop(a.as_object_mut().unwrap().remove("to"))));
}

#[test]
fn every_answer_on_every_recipe_keeps_its_schema() {
    let shapes = Shapes::new();
    let mut seen = std::collections::BTreeSet::new();
    for recipe in recipes() {
        for question in questions(&recipe) {
            let (answer, said) = shapes.held(&question, "");
            let schema = answer["schema"].as_str().unwrap().to_owned();
            if schema == "heatbook-faults-2" {
                assert!(said.code == 1 || said.code == 2, "{question:?}: {}", said.code);
                assert_ne!(answer["faults"], Value::Array(Vec::new()), "{question:?}");
            }
            seen.insert(schema);
        }
    }
    for args in OTHERS {
        let (answer, said) = shapes.held(args, "");
        assert_eq!(said.code, 0, "{args:?}");
        seen.insert(answer["schema"].as_str().unwrap().to_owned());
    }
    let all: std::collections::BTreeSet<String> =
        shapes.1.iter().map(|(name, _)| (*name).to_owned()).collect();
    assert_eq!(seen, all);
}

#[test]
fn a_table_is_one_head_and_one_rectangle() {
    let recipe_questions = [
        "examples/ferry-galley.heat",
        "examples/too-narrow-ferryman.heat",
        "examples/lock-keeper/build.heat",
    ];
    let of_recipes = recipe_questions.iter().flat_map(|r| questions(r));
    for args in of_recipes.chain(OTHERS.map(<[&str]>::to_vec)) {
        let csv = told(&[args.as_slice(), &["--format", "csv"]].concat(), "");
        if csv.out.is_empty() {
            assert!(csv.code == 1 || csv.code == 2, "{args:?}: {}", csv.code);
            assert!(!csv.err.is_empty(), "{args:?}");
            continue;
        }
        // The reader refuses rows of another length than the head's.
        let rows: Vec<csv::StringRecord> =
            csv::Reader::from_reader(csv.out.as_bytes()).into_records().collect::<Result<_, _>>().unwrap();
        let head = csv.out.lines().next().unwrap();
        assert!(
            !rows.iter().any(|row| row.iter().collect::<Vec<_>>().join(",") == head),
            "{args:?}: two heads"
        );
        assert!(!csv.out.contains("NaN") && !csv.out.contains("inf,"), "{args:?}");
        assert_ne!(csv.out, told(&args, "").out, "{args:?}");
    }
    let said = told(&["explain", "draw", "--format", "csv"], "");
    assert_eq!((said.code, said.out.as_str()), (2, ""));
    assert!(said.err.contains("no table") && said.err.contains("--format json"), "{}", said.err);
    let both = told(&["check", FIRST, FIRST, "--format", "csv"], "");
    assert_eq!(both.out.matches("thickness_mm").count(), 1);
}

#[test]
fn a_command_that_does_not_answer_takes_no_other_form() {
    let silent: [&[&str]; 7] = [
        &["log", FIRST],
        &["fmt", FIRST],
        &["prompt"],
        &["new", "-"],
        &["template", FIRST],
        &["completions", "bash"],
        &["man"],
    ];
    for args in silent {
        for form in ["json", "csv"] {
            let said = told(&[args, &["--format", form]].concat(), "");
            assert_eq!(said.code, 2, "{args:?}");
            assert!(said.err.contains("leave `--format` out"), "{args:?}: {}", said.err);
        }
    }
}

#[test]
fn what_cannot_be_answered_is_an_object_too() {
    let shapes = Shapes::new();
    for recipe in ["stock b = 1 bar of 1085, 10 x 40 x 200 mm", "nothing of the kind"] {
        for question in questions("-") {
            let (answer, said) = shapes.held(&question, recipe);
            // Standard input can be read once: a second recipe from there is none, and that is said alone.
            let parts = ["/faults", "/recipes/0/faults", "/builds/0/faults", "/a/faults"];
            let full =
                |part: &&str| !answer.pointer(part).and_then(Value::as_array).is_none_or(Vec::is_empty);
            assert!(parts.iter().any(full), "{question:?}: {}", said.out);
            let plain = told(&question, recipe);
            assert_eq!(plain.code, said.code, "{question:?}");
            assert_ne!(plain.code, 0, "{question:?}");
        }
    }
    for question in questions("nowhere.heat") {
        let (answer, said) = shapes.held(&[question.as_slice(), &["--error-format", "json"]].concat(), "");
        assert_eq!(said.code, 2, "{question:?}");
        let message = answer["faults"][0]["message"].as_str().unwrap();
        assert!(message.contains("nowhere.heat"), "{question:?}: {message}");
        for line in said.err.lines() {
            let record: Value =
                serde_json::from_str(line).unwrap_or_else(|e| panic!("{question:?}: {e}: {line}"));
            assert_eq!(record["severity"], "fault");
            assert_eq!(record["code"], Value::Null);
        }
        assert!(!said.err.is_empty(), "{question:?}");
    }
}

#[test]
fn a_figure_that_does_not_exist_is_said_to_be_none() {
    // As written the bar is too short for its pieces; most draws of its length are.
    let recipe = "stock b = 1 bar of 1084, 10 x 40 mm x 200 mm +- 40 mm\ncut b to 201 mm long\n\
                  target b {\n  length >= 100 mm\n}\n";
    let said = told(&["odds", "-", "--samples", "200", "--cores", "1"], recipe);
    assert_eq!(said.code, 0, "{}", said.err);
    for none in ["NaN", "inf "] {
        assert!(!said.out.contains(none), "{}", said.out);
    }
    assert!(said.out.contains("cannot be told: as written the recipe stops at line 2"), "{}", said.out);
    let (answer, _) = Shapes::new().held(&["odds", "-", "--samples", "200", "--cores", "1"], recipe);
    assert_eq!(answer["lines"][0]["nominal"], Value::Null);
    assert!(answer["untold"].as_str().unwrap().starts_with("as written"), "{answer}");
}
