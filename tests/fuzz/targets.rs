//! What texts go into.

use heatbook::editor::Server;
use heatbook::language::{self, Memo, Unformatted, Uses};
use heatbook::piece::Measure;
use heatbook::quantity::{Kind, Units, written};
use heatbook::replay::build;
use heatbook::report::*;
use heatbook::source::{Code, Diagnostic, Files};
use heatbook::study::{self, Draw, Least, Mending, Vary, Verdict, Ways};
use heatbook::workshop::{Document, Job, Texts, Workshop, figure, wanted};
use lsp_server::Message;
use rand::RngExt;
use serde_json::{Value, json};
use std::path::PathBuf;
use std::sync::atomic::AtomicBool;

use crate::words::{Dice, Words, dice, letter, one};
use crate::{Case, Target, answered, look, program};

pub const ALL: &[Target] = &[
    Target { name: "parse", few: 300, make: recipe, work: parse },
    Target { name: "check", few: 60, make: recipe, work: check },
    Target { name: "run", few: 60, make: recipe, work: run },
    Target { name: "ask", few: 30, make: recipe, work: ask },
    Target { name: "fmt", few: 150, make: recipe, work: fmt },
    Target { name: "log", few: 40, make: log, work: replay },
    Target { name: "edit", few: 20, make: edits, work: edit },
    Target { name: "words", few: 20, make: typed, work: explain },
    Target { name: "prompt", few: 3, make: lines, work: program::prompt },
    Target { name: "program", few: 12, make: driving, work: program::command },
];

fn recipe(words: &Words, dice: &mut Dice) -> Case {
    Case { text: words.recipe(dice), more: Vec::new(), seed: dice.random() }
}

fn log(words: &Words, dice: &mut Dice) -> Case {
    let (text, log) = words.log(dice);
    Case { text, more: vec![log], seed: dice.random() }
}

fn edits(words: &Words, dice: &mut Dice) -> Case {
    let text = words.recipe(dice);
    let more = (0..dice.random_range(1..8)).map(|_| words.bit(dice)).collect();
    Case { text, more, seed: dice.random() }
}

fn typed(words: &Words, dice: &mut Dice) -> Case {
    let text = (0..dice.random_range(1..4)).map(|_| words.bit(dice)).collect::<String>();
    Case { text: text.trim().to_owned(), more: Vec::new(), seed: dice.random() }
}

fn lines(words: &Words, dice: &mut Dice) -> Case {
    let mut text = words.recipe(dice);
    for _ in 0..dice.random_range(1..8) {
        let line = match dice.random_range(0..8) {
            0 => format!("what if {} = {}", words.bit(dice).trim(), words.bit(dice).trim()),
            1 => format!(
                "why {} {}",
                one(&["width", "mass", "length", "thickness", ""], dice),
                words.bit(dice).trim()
            ),
            2 => format!(
                "{} {}",
                one(&["undo", "redo"], dice),
                one(&["", "1", "3", "99999999999999999999", "x"], dice)
            ),
            3 => format!("help {}", words.bit(dice).trim()),
            4 => (*one(&["show", "targets", "rack", "fill", "load", "load x.heat", "save"], dice)).to_owned(),
            _ => words.line(&text, dice),
        };
        text += &format!("\n{line}\n");
    }
    if dice.random_ratio(1, 4) {
        text = words.driving(&text, dice);
    }
    Case { text, more: Vec::new(), seed: dice.random() }
}

fn driving(words: &Words, dice: &mut Dice) -> Case {
    let mut case = if dice.random_ratio(1, 4) { log(words, dice) } else { recipe(words, dice) };
    if dice.random_ratio(1, 3) {
        case.text = words.driving(&case.text, dice);
    }
    if dice.random_ratio(1, 5) {
        case.more = case.more.iter().map(|text| words.driving(text, dice)).collect();
    }
    case
}

/// Reads a text in every way there is; a memo of an earlier text makes no difference.
fn parse(case: &Case) -> Result<(), String> {
    let mut files = Files::default();
    let base = files.add("a.heat", case.text.as_str()).ok_or("a text of this size is not held")?;
    let (plan, faults) = language::read(&files, base);
    for fault in &faults {
        inside(fault, &files)?;
    }
    let mut memo = Memo::default();
    // One long repeat read thrice, and written out for the comparison, is the net's own slowness.
    let again = if plan.steps.len() > 20_000 { 0 } else { 2 };
    for _ in 0..again {
        memo.turn();
        let (again, _, other) = language::read_with(&files, base, None, &Uses::new(), Vec::new(), &mut memo);
        let of = |p: &heatbook::replay::Plan| format!("{:?}{:?}{:?}", p.steps, p.values, p.targets);
        if faults != other || of(&plan) != of(&again) {
            return Err("remembered lines read otherwise".to_owned());
        }
    }
    let _ =
        (language::uses(&files, base), language::build_of(&files, base), language::clauses_of(&files, base));
    let _ = (
        language::outline(&case.text, base),
        language::index(&files, base, &Uses::new(), &mut Memo::default()),
    );
    Ok(())
}

/// What is told stands in the files, and can be drawn.
fn inside(fault: &Diagnostic, files: &Files) -> Result<(), String> {
    for label in &fault.labels {
        let place = files.place(label.span);
        if place.line == 0 || place.column == 0 {
            return Err(format!("nowhere: {fault:?}"));
        }
    }
    Ok(())
}

/// A recipe worked and judged.
pub struct Work {
    job: Job,
    build: heatbook::replay::Build,
    verdict: Verdict,
    units: Units,
}

impl Work {
    fn of(mut job: Job, mending: Mending) -> Work {
        let units = job.plan.units();
        let found = std::mem::take(&mut job.found);
        let build = job.build(units);
        let verdict = study::judge_with(&job.plan, &build, found, units, mending);
        Work { job, build, verdict, units }
    }

    fn alone(text: &str, mending: Mending) -> Result<Work, String> {
        Ok(Work::of(Job::alone("a.heat", text)?, mending))
    }

    fn page(&self, units: Units) -> Page<'_> {
        let Work { job, build, verdict, .. } = self;
        Page { files: &job.files, name: &job.name, plan: &job.plan, build, verdict, units }
    }

    fn findings(&self, wrote: &str) -> Result<(), String> {
        let all: Vec<&Diagnostic> = self.verdict.faults.iter().chain(&self.verdict.warnings).collect();
        all.iter().try_for_each(|fault| inside(fault, &self.job.files))?;
        for style in [
            Style::Human { colour: false, wide: COLUMNS },
            Style::Human { colour: true, wide: COLUMNS },
            Style::Plain,
            Style::Short,
        ] {
            look::text("findings", &diagnostics(&all, &self.job.files, style), wrote)?;
        }
        for line in diagnostics(&all, &self.job.files, Style::Json).lines() {
            serde_json::from_str::<Value>(line)
                .map_err(|error| format!("no JSON in findings: {error}: {line}"))?;
        }
        Ok(())
    }
}

/// An answer in each of its forms.
fn look_at<A: Answer>(what: &str, answer: &A, wrote: &str) -> Result<(), String> {
    let (page, json) = (answer.page(COLUMNS), json_text(answer));
    let table = answer.csv().map_or(String::new(), |t| t.text());
    answered();
    look::text(what, &page, wrote)?;
    look::json(what, &json)?;
    look::text(what, &table, wrote)?;
    answered();
    Ok(())
}

fn check(case: &Case) -> Result<(), String> {
    let work = Work::alone(&case.text, Mending::Patient(None))?;
    work.findings(&case.text)?;
    look_at("check", &CheckPage { pages: vec![work.page(work.units)], unread: &[] }, &case.text)
}

fn run(case: &Case) -> Result<(), String> {
    let work = Work::alone(&case.text, Mending::None)?;
    work.findings(&case.text)?;
    let units = if case.seed.is_multiple_of(2) { Units::Metric } else { Units::Inch };
    look_at("run", &work.page(units), &case.text)?;
    let page = work.page(work.units);
    for lot in work.build.standing.iter().chain(&work.build.racked).take(6) {
        for what in Measure::ALL {
            let piece = work.job.plan.ground.lot_name(*lot);
            let Some(story) = study::why(&work.build, *lot, what) else { continue };
            let told: f64 = story.entries.iter().map(|e| e.change).sum();
            let whole = story.to - story.from;
            // A figure holds some fifteen digits of the largest that it was on its way: of a bar that was drawn to the moon and upset again
            // the last of them are no part of a millimetre.
            let moved: f64 = story.entries.iter().map(|e| e.change.abs()).sum();
            let rounded = 4.0 * f64::EPSILON * moved;
            if (told - whole).abs() > 1e-6 * story.to.abs().max(story.from.abs()).max(1.0) + rounded {
                return Err(format!("the book tells {told} of {whole}: {what:?} of {piece}"));
            }
            look_at("why", &WhyPage { page: &page, piece, at: None, why: &story }, &case.text)?;
        }
    }
    for (lot, bars, blade) in blades(&page) {
        let parts = part_lines(&page, bars, blade);
        let drawing = Template { name: work.job.plan.ground.lot_name(lot), blade, parts, units: work.units };
        look::text("a drawing", &(drawing.svg() + &drawing.dxf()), &case.text)?;
    }
    let recipes =
        RecipesPage { files: &work.job.files, recipes: work.job.plan.recipes.iter().collect(), found: &[] };
    look_at("recipes", &recipes, &case.text)
}

/// One of the questions that a recipe can be asked.
fn ask(case: &Case) -> Result<(), String> {
    let text = case.text.as_str();
    let mut dice = dice(case.seed);
    let job = Job::alone("a.heat", text)?;
    // The commands, too, ask nothing of a recipe that was not read whole.
    if !job.found.is_empty() {
        return look::json("no answer", &json_text(&Unanswered::Found(&job.found, &job.files)));
    }
    let work = Work::of(job, Mending::None);
    let (plan, units) = (&work.job.plan, work.units);
    let asked = Asked { files: &work.job.files, plan, units };
    if let Some(filled) = study::fill(plan, Least::Steel) {
        let built = build(plan, &filled.set(), units);
        let verdict = study::judge_with(plan, &built, Vec::new(), units, Mending::None);
        let page = Page { build: &built, verdict: &verdict, ..work.page(units) };
        let found = filled.outcome.met();
        let answers: Vec<Filling> = plan
            .asks
            .iter()
            .zip(filled.unknowns.iter().zip(&filled.values))
            .filter(|_| found)
            .map(|(ask, (unknown, value))| Filling {
                line: work.job.files.line(ask.span),
                asked: work.job.files.words(ask.span),
                exact: *value,
                write: written(*value, unknown.kind, units),
            })
            .collect();
        let objective = found.then_some(filled.outcome.objective);
        let misses = study::nearest_miss(plan, &filled, units);
        let said = diagnostics(&misses.iter().collect::<Vec<_>>(), &work.job.files, Style::Plain);
        look::text("the nearest miss", &said, text)?;
        let page = FillPage {
            page,
            filled: &filled,
            answers: &answers,
            least: Least::Steel,
            objective,
            racked: None,
        };
        return look_at("fill", &page, text);
    }
    let question = dice.random_range(0..5);
    if question == 0 {
        let (tests, nudges) = study::nudge(plan, units);
        return look_at("nudge", &NudgePage { asked, tests: &tests, nudges: &nudges }, text);
    }
    if question == 1 && !plan.targets.is_empty() {
        let stop = AtomicBool::new(false);
        let draw = Draw { samples: 200, seed: case.seed, cores: 1, stop: &stop, progress: &|_| {} };
        return look_at("odds", &OddsPage { asked, odds: &study::odds(plan, &draw) }, text);
    }
    let open: Vec<usize> = (0..plan.slots.len())
        .filter(|i| !plan.slots[*i].shapes && !plan.slots[*i].address.is_empty())
        .collect();
    if question == 2 && !open.is_empty() {
        let slot = *one(&open, &mut dice);
        let (info, value) = (&plan.slots[slot], plan.values.at(slot as u32));
        let ends = [0.0, value * 0.5, value * 2.0, 1e9, -value];
        let (low, high) = (*one(&ends, &mut dice), *one(&ends, &mut dice));
        if low < high && info.kind != Kind::OPEN {
            let slots = vec![slot as u32];
            let vary = [Vary { address: info.address.clone(), slots, kind: info.kind, low, high, points: 5 }];
            let (tests, tries) = study::sweep(plan, &vary);
            let limits = tests.iter().map(|t| t.limits(&plan.values)).collect();
            let page = SweepPage { asked, vary: &vary, tests: &tests, limits, tries: &tries };
            look::text("a plot", &page.svg().unwrap_or_default(), text)?;
            return look_at("sweep", &page, text);
        }
    }
    let kept = study::rack(plan, &work.build, text, units);
    look_at("rack", &RackPage { page: work.page(units), kept: &kept, by: None }, text)?;
    let alone = |text: &str| Job::alone("a.heat", text).ok();
    let ways = if work.verdict.met || question != 3 {
        Ways::default()
    } else {
        let missing = study::Missing { plan, build: &work.build, text, base: 0, shelf: &[], units };
        study::rescue(&missing, &|text: &str| alone(text).map(|job| (job.plan, job.found)))
    };
    look_at("rescue", &RescuePage { page: work.page(units), ways: &ways }, text)?;
    let more = Work::alone(&text.replacen("mm thick", "in thick", 1), Mending::None)?;
    look_at("compare", &ComparePage { a: (work.page(units), "a"), b: (more.page(units), "b") }, text)
}

/// The house style is one: laid out again it is the same, and but for blanks nothing is other than it was.
fn fmt(case: &Case) -> Result<(), String> {
    let made = match language::format(&case.text, 0) {
        Ok(made) => made,
        Err(Unformatted::Faults(faults)) if faults.is_empty() => {
            return Err("refused without a fault".to_owned());
        }
        Err(Unformatted::Faults(_) | Unformatted::TooLong) => return Ok(()),
        Err(Unformatted::Changed) => return Err("the house style changes what it says".to_owned()),
    };
    match language::format(&made, 0) {
        Ok(again) if again == made => {}
        Ok(again) => return Err(format!("laid out twice it is another: {made:?} {again:?}")),
        Err(_) => return Err(format!("laid out it cannot be read: {made:?}")),
    }
    // Lines that are read in other words than they are written in come out in those.
    let read = language::put_right(&case.text).unwrap_or_else(|| case.text.clone());
    if ink(&read) != ink(&made) {
        return Err(format!("something is lost or new: {made:?}"));
    }
    // What stands the other way round in the house's words is found the other way round.
    let codes = |text: &str| {
        let mut codes: Vec<_> =
            Job::alone("a.heat", text).ok()?.found.iter().map(|f| f.code.name()).collect();
        codes.sort_unstable();
        Some(codes)
    };
    if codes(&case.text) != codes(&made) {
        return Err("other faults are found in the house style".to_owned());
    }
    Ok(())
}

/// What a text says but for blanks and for what the house spells in its own way: marks of feet and inches, units written out,
/// capitals, `deg`, the point behind a unit.
fn ink(text: &str) -> String {
    let mut ink = String::new();
    let spelled = [("feet", "ft"), ("foot", "ft"), ("percent", "%"), ("''", "in"), ("’’", "in")];
    let text = spelled.iter().fold(text.to_owned(), |text, (own, house)| text.replace(own, house));
    for c in text.to_lowercase().chars().filter(|c| !c.is_whitespace() && *c != '\u{feff}') {
        match c {
            '"' | '\u{201d}' | '\u{2033}' => ink.push_str("in"),
            '\'' | '\u{2019}' | '\u{2032}' => ink.push_str("ft"),
            '.' if ink.ends_with(char::is_alphabetic) => {}
            c => ink.push(c),
        }
    }
    ink.replace("deg", "")
}

fn replay(case: &Case) -> Result<(), String> {
    let [log] = case.more.as_slice() else { return Ok(()) };
    let texts: Texts = [("recipe.heat", &case.text), ("build.heat", log)]
        .into_iter()
        .map(|(path, text)| (PathBuf::from(path), text.clone()))
        .collect();
    let workshop = Workshop { sources: &texts, allow_outside: false };
    let document = Document {
        name: "build.heat".to_owned(),
        path: Some(PathBuf::from("build.heat")),
        text: log.clone(),
    };
    let work = Work::of(workshop.plan(document, Vec::new(), &mut Memo::default())?, Mending::None);
    let wrote = format!("{}{log}", case.text);
    work.findings(&wrote)?;
    look_at("check", &CheckPage { pages: vec![work.page(work.units)], unread: &[] }, &wrote)?;
    if work.job.recipe.is_none() {
        return Ok(());
    }
    let alone = work.job.unmeasured();
    let lone = build(&alone, &[], work.units);
    let chapters = study::story(&work.job.plan, &work.build, (&alone, &lone));
    let page = ReplayPage { builds: vec![(work.page(work.units), chapters.as_slice())], unread: &[] };
    look_at("replay", &page, &wrote)?;
    if work.verdict.faults.iter().all(|f| f.code == Code::TargetMissed) {
        let made = study::calibrate(&[&work.job.plan]);
        look_at(
            "calibrate",
            &CalibratePage { made: &made, builds: 1, aside: &[], unworked: None, units: work.units },
            &wrote,
        )?;
    }
    Ok(())
}

/// A document that was edited bit by bit is told the same of as one that is opened whole, and every question is answered.
fn edit(case: &Case) -> Result<(), String> {
    let mut dice = dice(case.seed);
    let (mut text, mut server) = (case.text.clone(), started());
    opened(&mut server, &text);
    for (n, bit) in case.more.iter().enumerate() {
        let from = outside(&text, letter(&text, &mut dice));
        let behind = text[from..].char_indices().map(|(i, _)| from + i).nth(dice.random_range(0..12));
        let to = outside(&text, behind.filter(|_| dice.random_ratio(1, 2)).unwrap_or(from));
        let range = json!({ "start": position(&text, from), "end": position(&text, to) });
        text = format!("{}{bit}{}", &text[..from], &text[to..]);
        let change = json!({ "textDocument": { "uri": URI, "version": n + 2 },
            "contentChanges": [{ "range": range, "text": bit }] });
        tell(&mut server, "textDocument/didChange", change);
        if dice.random_ratio(1, 2) {
            server.settle();
        }
        let asked = [
            "hover",
            "completion",
            "definition",
            "references",
            "prepareRename",
            "documentSymbol",
            "inlayHint",
            "formatting",
            "rename",
            "codeAction",
            "semanticTokens/full",
            "semanticTokens/range",
            "signatureHelp",
            "selectionRange",
            "rangeFormatting",
            "codeLens",
            "documentHighlight",
            "foldingRange",
            "documentLink",
        ];
        let at = position(&text, letter(&text, &mut dice));
        let params = json!({
            "textDocument": { "uri": URI }, "position": at, "positions": [at], "newName": "other", "query": "",
            "range": { "start": { "line": 0, "character": 0 }, "end": at },
            "context": { "includeDeclaration": true, "diagnostics": [], "triggerKind": 1, "isRetrigger": false },
            "options": { "tabSize": 2, "insertSpaces": true },
        });
        let seek = dice.random_ratio(1, asked.len() as u32 + 1);
        let method = if seek {
            "workspace/symbol".to_owned()
        } else {
            format!("textDocument/{}", one(&asked, &mut dice))
        };
        let request = json!({ "jsonrpc": "2.0", "id": n + 10, "method": method, "params": params });
        server.take(serde_json::from_value(request).unwrap());
        let out = server.outgoing();
        for message in &out {
            if let Message::Response(response) = message
                && let Err(error) = &response.response_result
                && error.code != -32803
            {
                return Err(format!("{method} is answered by an error: {error:?}"));
            }
            if let Message::Notification(note) = message
                && note.method == "window/logMessage"
            {
                return Err(format!("the server logs: {}", note.params));
            }
        }
        if !out.iter().any(|m| matches!(m, Message::Response(_))) {
            return Err(format!("{method} is not answered"));
        }
    }
    let told = settled(&mut server);
    let mut fresh = started();
    opened(&mut fresh, &text);
    let anew = settled(&mut fresh);
    if told.is_some() && told != anew {
        return Err(format!("edited it is told otherwise than anew: {told:?}\n{anew:?}\nof {text:?}"));
    }
    Ok(())
}

const URI: &str = "untitled:a.heat";

fn tell(server: &mut Server, method: &str, params: Value) {
    let message = json!({ "jsonrpc": "2.0", "method": method, "params": params });
    server.take(serde_json::from_value(message).unwrap());
}

fn started() -> Server {
    let mut server = Server::new(Box::new(Texts::new()), false, None);
    let params = json!({
        "capabilities": {
            "general": { "positionEncodings": ["utf-8"] },
            "textDocument": { "hover": { "contentFormat": ["markdown"] } },
        },
        "initializationOptions": { "pictures": true },
    });
    let request = json!({ "jsonrpc": "2.0", "id": 1, "method": "initialize", "params": params });
    server.take(serde_json::from_value(request).unwrap());
    tell(&mut server, "initialized", json!({}));
    server.outgoing();
    server
}

fn opened(server: &mut Server, text: &str) {
    let document = json!({ "uri": URI, "languageId": "heatbook", "version": 1, "text": text });
    tell(server, "textDocument/didOpen", json!({ "textDocument": document }));
}

/// The last findings that are told.
fn settled(server: &mut Server) -> Option<Value> {
    server.settle();
    // What is left for when nobody types, without the search for mends.
    let mut once = true;
    server.ponder(&mut || std::mem::take(&mut once));
    let found = |m: Message| match m {
        Message::Notification(n) if n.method == "textDocument/publishDiagnostics" => {
            n.params.get("diagnostics").cloned()
        }
        _ => None,
    };
    server.outgoing().into_iter().filter_map(found).next_back()
}

/// A place that is not inside a line's end: there is none such in the protocol.
fn outside(text: &str, at: usize) -> usize {
    if text[..at].ends_with('\r') && text[at..].starts_with('\n') { at + 1 } else { at }
}

/// A place as the protocol counts: lines end at `\n`, `\r\n` and a lone `\r`.
fn position(text: &str, at: usize) -> Value {
    let before = &text[..at];
    let ends = |(i, c): (usize, char)| match c {
        // The `\r` of a `\r\n` ends nothing by itself.
        '\r' if text[i + 1..].starts_with('\n') => None,
        '\n' | '\r' => Some(i + 1),
        _ => None,
    };
    let starts: Vec<usize> = before.char_indices().filter_map(ends).collect();
    json!({ "line": starts.len(), "character": at - starts.last().copied().unwrap_or(0) })
}

/// Words and figures that are no recipe: pages, laws, figures, addresses, the sizes of a new one.
fn explain(case: &Case) -> Result<(), String> {
    let (text, mut dice) = (case.text.as_str(), dice(case.seed));
    let found = heatbook::manual::find(text);
    look_at("explain", &ExplainPage { pages: &found, units: Units::Inch }, "nan inf")?;
    let _ = heatbook::manual::nearest(text);
    let _ = wanted(&[format!("{text} = {text}"), text.to_owned()]);
    if let Ok((value, kind)) = figure(text) {
        let bad = [Units::Metric, Units::Inch].map(|units| heatbook::quantity::show(value, kind, units));
        bad.iter().try_for_each(|shown| look::text("a figure", shown, text))?;
    }
    let laws: Vec<_> = heatbook::steel::laws().collect();
    let law = *one(&laws, &mut dice);
    let inputs = law.inputs.iter().map(|i| {
        let mean = (i.low + i.high) / 2.0;
        *one(&[i.low, i.high, mean, mean, 0.0, -1.0, 1e12, 1e-12, i.default.unwrap_or(1.0)], &mut dice)
    });
    let inputs: Vec<f64> = inputs.collect();
    look_at("law", &Worked { law, inputs, units: heatbook::quantity::Units::Inch }, text)?;
    let size = |dice: &mut Dice| *one(&[1e-9, 0.5, 5.0, 58.0, 250.0, 4000.0, 1e9], dice);
    let length = |mm: f64| (mm, format!("{mm} mm"));
    let wish = study::Wish {
        width: length(size(&mut dice)),
        length: length(size(&mut dice)),
        thick: length(size(&mut dice)),
        layers: *one(&[0, 1, 2, 50, 575, 576, u32::MAX], &mut dice),
        dark: "1084".to_owned(),
        bright: "15N20".to_owned(),
        units: *one(&[Units::Metric, Units::Inch], &mut dice),
    };
    // It runs a recipe ten thousand times.
    match dice.random_ratio(1, 200).then(|| study::start(&wish)).flatten() {
        Some(recipe) => look::text("a new recipe", &recipe, ""),
        None => Ok(()),
    }
}
