//! Ways to meet a missed target from where the build stands: each is written into the recipe, its figure solved for, and the
//! whole run again; what is offered passes a plain check.

use crate::forge::{Act, Fire, Form, Key};
use crate::piece::{Bar, Lot, LotId};
use crate::quantity::{CLOSE, Kind, Units, rounded, trim_number, written};
use crate::replay::{Build, Plan, Planned, build};
use crate::source::{Code, Diagnostic, Fix, Span};

use crate::study::explain::verdict::judge_with;
use crate::study::propose::grade::grade;
use crate::study::propose::mend::Mending;
use crate::study::solve::fill::fill;
use crate::study::solve::runs::{Least, Runs};

/// One way.
#[derive(Clone, Debug)]
pub struct Way {
    /// What is done, in a few words.
    pub title: String,
    /// Lines to add after this line of the recipe (its address), or figures to write instead.
    pub edits: Vec<Fix>,
    /// Whether every target is met then.
    pub met: bool,
    /// The words of the targets that it breaks, or leaves missed.
    pub breaks: Vec<Span>,
    /// What it changes in the finished piece: thickness, width, length (mm), mass (g).
    pub changes: [f64; 4],
    /// Layers more.
    pub layers: f64,
    /// Heats more.
    pub heats: f64,
    /// Steel more from the store, g.
    pub steel: f64,
}

/// What came of looking.
#[derive(Debug, Default)]
pub struct Ways {
    /// The ways, best first.
    pub ways: Vec<Way>,
    /// How many were tried.
    pub tried: usize,
}

/// A recipe that misses its target.
pub struct Missing<'a> {
    /// Its plan, with the measures of a log in it.
    pub plan: &'a Plan,
    /// What it comes to.
    pub build: &'a Build,
    /// The recipe's text.
    pub text: &'a str,
    /// The address of its first byte.
    pub base: u32,
    /// The reader's units.
    pub units: Units,
}

/// Reads an edited recipe: its plan and what is wrong with it.
pub type Replan<'a> = &'a dyn Fn(&str) -> Option<(Plan, Vec<Diagnostic>)>;

/// A way before its figure is known.
struct Idea {
    title: String,
    edits: Vec<Fix>,
}

impl Idea {
    fn of(title: &str, span: Span, text: String) -> Idea {
        Idea { title: title.to_owned(), edits: vec![Fix { span, text }] }
    }
}

/// Looks for ways to meet the targets of the piece that misses one.
#[must_use]
pub fn rescue(missing: &Missing, replan: Replan) -> Ways {
    let mut found = Ways::default();
    let missed = missing.build.lines.iter().find(|l| l.judged.is_some_and(|j| !j.met));
    let Some(line) = missed else { return found };
    for idea in ideas(missing, line.lot) {
        found.tried += 1;
        found.ways.extend(tried(missing, &idea, line.lot, replan));
    }
    let rank = |w: &Way| (!w.met, w.breaks.len(), (w.steel * 10.0) as i64, w.heats as i64, w.edits.len());
    found.ways.sort_by(|a, b| rank(a).cmp(&rank(b)).then(a.title.cmp(&b.title)));
    // Several figures of one step often do the same: the first of each kind is enough, and those that only break are few.
    let mut seen: Vec<String> = Vec::new();
    found.ways.retain(|w| {
        let new = !seen.contains(&w.title);
        seen.push(w.title.clone());
        new
    });
    let broken = found.ways.iter().position(|w| !w.met).unwrap_or(found.ways.len());
    found.ways.truncate((broken + MOST_BROKEN).min(found.ways.len()));
    found
}

/// Ways shown that break another target.
const MOST_BROKEN: usize = 3;

/// The steps that are still to come: after the last measure, or all of them.
fn open_steps(plan: &Plan) -> &[Planned] {
    let last = plan.steps.iter().rposition(|s| s.word.form == Form::Measure);
    plan.steps.get(last.map_or(0, |i| i + 1)..).unwrap_or(&[])
}

/// The piece where it is still hot-worked, as late as may be: its bar then, and the step after which lines are added.
fn anchor(missing: &Missing, lot: LotId) -> Option<(String, Bar, Span)> {
    let plan = missing.plan;
    let measured = plan.steps.iter().rposition(|s| s.word.form == Form::Measure);
    let name = plan.ground.lot_name(lot);
    let chain = crate::study::explain::why::chain(missing.build, lot);
    let steps: Vec<usize> =
        chain.iter().filter_map(|l| plan.steps.iter().position(|s| s.gives.contains(l))).collect();
    let quench = plan.steps.iter().position(|s| s.word.fire == Fire::Quench).unwrap_or(plan.steps.len());
    let hot = |i: usize| plan.steps.get(i).is_some_and(|s| s.word.fire == Fire::Forge);
    // A blade that has its shape is no bar to be spread or upset any more.
    let plain = |i: usize| {
        let gives = plan.steps.get(i).map_or(&[][..], |s| s.gives.as_slice());
        gives.iter().filter_map(|l| missing.build.lot(*l)).all(|l| l.bar.blade.is_none())
    };
    let worked = steps.iter().copied().filter(|i| *i < quench && hot(*i) && plain(*i)).max();
    let at = worked.into_iter().chain(measured).max()?;
    // A measure stands in the log: lines go behind the recipe's own step before it.
    let own = |i: &usize| plan.steps.get(*i).is_some_and(|s| inside(missing, s.span));
    let place = (0..=at).rev().find(own)?;
    let by_then = |l: &&LotId| plan.steps.iter().take(at + 1).any(|s| s.gives.contains(l));
    let given = chain.iter().filter(by_then);
    let bar = given.filter_map(|l| missing.build.lot(*l)).map(|l| l.bar).next_back()?;
    Some((name.to_owned(), bar, plan.steps.get(place)?.span))
}

fn inside(missing: &Missing, span: Span) -> bool {
    span.start >= missing.base && span.end <= end_of(missing)
}

/// The address behind the recipe.
fn end_of(missing: &Missing) -> u32 {
    match u32::try_from(missing.text.len()) {
        Ok(length) => missing.base.saturating_add(length),
        Err(_) => bug!("a recipe of {} bytes was read", missing.text.len()),
    }
}

/// The words of the recipe at a span.
fn words<'a>(missing: &Missing<'a>, span: Span) -> &'a str {
    let place = |at: u32| at.checked_sub(missing.base).map(|at| at as usize);
    let words = place(span.start).zip(place(span.end)).and_then(|(from, to)| missing.text.get(from..to));
    match words {
        Some(words) => words,
        None => bug!("{span:?} are no words of a recipe at {}", missing.base),
    }
}

/// The address right behind the line that a span ends on.
fn line_end(missing: &Missing, span: Span) -> Span {
    let rest = words(missing, Span { start: span.end, end: end_of(missing) });
    let length = rest.find('\n').map_or(rest.len(), |at| at + 1);
    let at = span.end.saturating_add(length as u32);
    Span { start: at, end: at }
}

fn ideas(missing: &Missing, lot: LotId) -> Vec<Idea> {
    let mut made = Vec::new();
    let plan = missing.plan;
    // Figures of the steps that are still to come.
    for step in open_steps(plan).iter().filter(|s| inside(missing, s.span) && s.calls.is_empty()) {
        for (slot, (info, span)) in (0..).zip(plan.slots.iter().zip(plan.ground.spans.iter().copied())) {
            let value = plan.values.at(slot);
            let own = !info.address.is_empty() && info.copy_of.is_none() && !info.shapes;
            let within = span.start >= step.span.start && span.end <= step.span.end;
            if !own || !within || info.kind != Kind::LENGTH || value <= 0.0 || step.word.form != Form::Work {
                continue;
            }
            let what = info.address.rsplit(' ').next().unwrap_or("");
            // What the saw eats is no size of the piece.
            if what == Key::Kerf.word() {
                continue;
            }
            let verb = step.word.word;
            let title = if step.word.takes_off {
                format!("leave more, and {verb} less")
            } else {
                format!("{verb} it to another size ({what})")
            };
            made.push(Idea { title, edits: vec![Fix { span, text: asked(value, 3.0) }] });
        }
    }
    made.extend(forged_bevels(missing));
    let Some((name, bar, after)) = anchor(missing, lot) else { return made };
    let at = line_end(missing, after);
    let [t, w, l] = [bar.calliper_thick(), bar.calliper_wide(), bar.long];
    // To what a calliper tells, as it can be typed.
    let told = |mm: f64| match missing.units {
        Units::Metric => format!("{} mm", trim_number(mm, 2)),
        Units::Inch => format!("{} in", trim_number(mm / 25.4, 3)),
    };
    let steel = main_steel(missing, &bar);
    let (heat, peen) = match missing.units {
        Units::Metric => ("at 1130 C", "peen 12 mm"),
        Units::Inch => ("at 2070 F", "peen 1/2 in"),
    };
    let sized = |low: f64, high: f64, what: &str| format!("to ? in {} .. {} {what}", told(low), told(high));
    let welded = [heat, "thinning ? in 8 .. 20 %", "heats 3"];
    // A recipe may end without a line break.
    let whole = missing.text.ends_with('\n') || at.start < end_of(missing);
    let mut add = |title: &str, text: String| {
        made.push(Idea::of(title, at, if whole { text } else { format!("\n{text}") }));
    };
    let wider = sized(w * 1.005, w * 3.0, &format!("wide with {peen}"));
    add("spread it thinner", Act::Spread.write(&name, &[&wider, "heats 4"]));
    let spine = "rescue-spine";
    let bar = [
        format!("1 bar of {steel}"),
        format!("{} x ? in {} .. {} x {}", told(t), told(3.0), told(80.0), told(l)),
    ];
    let onto = format!("to {name} on edge");
    let joined = [onto.as_str(), heat, "thinning 12 %", "heats 3", "spread 0.10", "trimmed"];
    let bought = Act::Stock.write(spine, &bar.each_ref().map(String::as_str));
    add("weld a spine bar on", bought + &Act::Join.write(spine, &joined));
    let shorter = sized(l * 0.3, l * 0.995, "long");
    add("upset it", Act::Upset.write(&name, &[&shorter, "heats 4"]));
    let thinner = sized(t * 0.2, t * 0.995, "thick");
    add("draw it out further", Act::Draw.write(&name, &[&thinner, "heats 3"]));
    let narrower = sized(w * 0.4, w * 0.995, "wide");
    add("forge it narrower on edge", Act::Edge.write(&name, &[&narrower, "heats 2"]));
    let halves = Act::Cut.write(&name, &["into 2"])
        + &Act::Stack.write(&name, &[&format!("{name} side by side")])
        + &Act::Weld.write(&name, &welded);
    add("cut it in two and lay the halves side by side", halves);
    for (spare, racked, lot) in left_over(missing) {
        let (side, taken) = if racked {
            ("rescue-side", Act::Stock.write("rescue-side", &[&format!("{spare} from rack")]))
        } else {
            (spare, String::new())
        };
        let thick = lot.bar.thick > t * 1.01;
        let drawn = Act::Draw.write(side, &[&format!("to {} thick", told(t)), "heats 2"]);
        let thinner = if thick { drawn } else { String::new() };
        let laid = Act::Stack.write(&name, &[&name, &format!("{side} side by side"), "trimmed"]);
        let joined = taken + &thinner + &laid + &Act::Weld.write(&name, &welded);
        add(&format!("lay {spare} at its side, from what is left over"), joined);
    }
    let end = plan.steps.iter().rev().find(|s| inside(missing, s.span)).map(|s| line_end(missing, s.span));
    if let (Some(end), Some(last)) = (end, missing.build.lot(lot)) {
        let (t, l) = (last.bar.calliper_thick(), last.bar.long);
        let shorter = Act::Cut.write(&name, &[&sized(l * 0.3, l * 0.999, "long")]);
        let thinner = Act::Grind.write(&name, &[&sized(t * 0.3, t * 0.999, "thick")]);
        made.push(Idea::of("cut it shorter", end, shorter));
        made.push(Idea::of("grind it thinner", end, thinner));
    }
    made
}

/// A length asked for, from a fifth of what is written up to so many times it.
fn asked(value: f64, most: f64) -> String {
    let [low, high] = [0.2, most].map(|by| written(value * by, Kind::LENGTH, Units::Metric));
    format!("? in {low} .. {high}")
}

/// Bevels that are ground and could be forged: the width that the grinder would turn to dust goes into the blade.
fn forged_bevels(missing: &Missing) -> Vec<Idea> {
    let plan = missing.plan;
    let mut made = Vec::new();
    for step in open_steps(plan).iter().filter(|s| inside(missing, s.span) && s.calls.is_empty()) {
        let mut slots = (0..).zip(plan.slots.iter().zip(plan.ground.spans.iter().copied()));
        let tall = slots.find(|(_, (info, span))| {
            info.address.ends_with(" height") && span.start >= step.span.start && span.end <= step.span.end
        });
        let ground = words(missing, step.span).find("ground");
        let (Some(ground), Some((tall, (_, height)))) = (ground, tall) else { continue };
        let value = plan.values.at(tall);
        let at = |i: usize| step.span.start.saturating_add(i as u32);
        let ground = Span { start: at(ground), end: at(ground + "ground".len()) };
        let forged = Fix { span: ground, text: "forged".to_owned() };
        made.push(Idea {
            title: "forge the bevels instead of grinding them".to_owned(),
            edits: vec![Fix { span: height, text: asked(value, 1.6) }, forged],
        });
    }
    made
}

/// What is left over at the end: on the rack, and pieces that no target asks for. Name, whether it is on the rack, bars.
fn left_over<'a>(missing: &'a Missing) -> impl Iterator<Item = (&'a str, bool, &'a Lot)> {
    let asked = |id: &LotId| missing.build.lines.iter().any(|l| l.lot == *id);
    let standing = missing.build.standing.iter().filter(move |id| !asked(id)).map(|id| (id, false));
    let left = standing.chain(missing.build.racked.iter().map(|id| (id, true)));
    left.filter_map(|(id, racked)| Some((missing.plan.ground.lot_name(*id), racked, missing.build.lot(*id)?)))
}

/// The steel that most of a bar is of.
fn main_steel(missing: &Missing, bar: &Bar) -> String {
    let mix = missing.build.bench.makeup.mix(bar.node).max_by(|a, b| a.1.total_cmp(&b.1));
    let Some((most, _)) = mix else { bug!("a bar of no steel") };
    grade(&missing.plan.ground.steels[most])
}

/// Puts edits into a text.
fn applied(text: &str, base: u32, edits: &[Fix]) -> Option<String> {
    let mut made = text.to_owned();
    let mut edits: Vec<&Fix> = edits.iter().collect();
    edits.sort_by_key(|e| std::cmp::Reverse(e.span.start));
    for edit in edits {
        let from = edit.span.start.checked_sub(base)? as usize;
        let to = edit.span.end.checked_sub(base)? as usize;
        if !made.is_char_boundary(from) || !made.is_char_boundary(to) || from > to {
            return None;
        }
        made.replace_range(from..to, &edit.text);
    }
    Some(made)
}

impl Way {
    /// The recipe with this way written into it.
    #[must_use]
    pub fn written_into(&self, text: &str, base: u32) -> Option<String> {
        applied(text, base, &self.edits)
    }
}

/// Solves an idea's figure and runs it.
fn tried(missing: &Missing, idea: &Idea, lot: LotId, replan: Replan) -> Option<Way> {
    let (plan, found) = replan(&applied(missing.text, missing.base, &idea.edits)?)?;
    if !found.is_empty() {
        return None;
    }
    let filled = fill(&plan, Least::Steel)?;
    let (unknown, value) = (filled.unknowns.first()?, *filled.values.first()?);
    let mut runs = Runs::new(&plan, Least::Steel);
    let value = if filled.outcome.met() {
        rounded(value, CLOSE, unknown.kind, missing.units, |v| {
            (unknown.low..=unknown.high).contains(&v) && runs.run(&[(unknown.slot, v)]).met()
        })
    } else {
        value
    };
    let figure = written(value, unknown.kind, missing.units);
    let edits: Vec<Fix> =
        idea.edits.iter().map(|e| Fix { span: e.span, text: answered(&e.text, &figure) }).collect();
    let (plan, found) = replan(&applied(missing.text, missing.base, &edits)?)?;
    if !found.is_empty() {
        return None;
    }
    let made = build(&plan, &[], missing.units);
    // No way is one that asks more of the press than it is rated for.
    if !made.faults.is_empty() || too_weak(&made) > too_weak(missing.build) {
        return None;
    }
    let verdict = judge_with(&plan, &made, Vec::new(), missing.units, Mending::None);
    let breaks: Vec<Span> =
        made.lines.iter().filter(|l| l.judged.is_none_or(|j| !j.met)).map(|l| l.test.wanted).collect();
    // A way that leaves as many targets missed as before is none.
    let before = missing.build.lines.iter().filter(|l| l.judged.is_none_or(|j| !j.met)).count();
    if !verdict.met && (breaks.is_empty() || breaks.len() > before || !helps(missing, &made)) {
        return None;
    }
    let name = missing.plan.ground.lot_name(lot);
    let last = made.standing.iter().rev().find(|l| plan.ground.lot_name(**l) == name)?;
    let last = made.lot(*last)?;
    let was = missing.build.lot(lot)?;
    let of = |b: &Bar| [b.calliper_thick(), b.calliper_wide(), b.long, b.mass];
    let (now, then) = (of(&last.bar), of(&was.bar));
    let mut changes = now;
    changes.iter_mut().zip(then).for_each(|(c, t)| *c -= t);
    let layers = |b: &Build, lot: &Bar| b.bench.makeup.layers(lot.node) as f64;
    Some(Way {
        title: idea.title.clone(),
        edits,
        met: verdict.met,
        breaks,
        changes,
        layers: layers(&made, &last.bar) - layers(missing.build, &was.bar),
        heats: f64::from(made.ledger.totals().0) - f64::from(missing.build.ledger.totals().0),
        steel: made.balance.taken - missing.build.balance.taken,
    })
}

/// How many steps ask more of a press than it is rated for.
fn too_weak(build: &Build) -> usize {
    build.ledger.warnings.iter().filter(|w| w.code == Code::WeakPress).count()
}

/// Whether a line that was missed is met now.
fn helps(missing: &Missing, made: &Build) -> bool {
    let met = |l: &crate::replay::Line| l.judged.is_some_and(|j| j.met);
    missing.build.lines.iter().zip(&made.lines).any(|(a, b)| !met(a) && met(b))
}

/// The text of an edit with its `?` answered.
fn answered(text: &str, figure: &str) -> String {
    let Some(start) = text.find('?') else { return text.to_owned() };
    let rest = text.get(start..).unwrap_or("");
    // `? in A .. B unit`: up to the unit behind the second bound.
    let Some(dots) = rest.find("..") else { return text.replacen('?', figure, 1) };
    let tail = rest.get(dots + 2..).unwrap_or("");
    let number =
        tail.trim_start().find(' ').map_or(tail.len(), |i| i + (tail.len() - tail.trim_start().len()));
    let unit = tail.get(number..).unwrap_or("").trim_start();
    let unit_length = unit.find([' ', '\n', ',']).unwrap_or(unit.len());
    let behind = unit.get(unit_length..).unwrap_or("");
    format!("{}{figure}{behind}", text.get(..start).unwrap_or(""))
}

#[cfg(test)]
mod tests {
    use super::answered;

    #[test]
    fn an_answer_takes_the_place_of_its_question() {
        assert_eq!(
            answered("spread b to ? in 40 .. 90.5 mm wide, heats 4\n", "61.5 mm"),
            "spread b to 61.5 mm wide, heats 4\n"
        );
        assert_eq!(answered("? in 12 mm .. 90 mm", "61.5 mm"), "61.5 mm");
        assert_eq!(
            answered("weld p, thinning ? in 8 .. 20 %, heats 3", "12 %"),
            "weld p, thinning 12 %, heats 3"
        );
        assert_eq!(
            answered("stock s = 1 bar of 1084, 5 mm x ? in 3 .. 80 mm x 120 mm\n", "9 mm"),
            "stock s = 1 bar of 1084, 5 mm x 9 mm x 120 mm\n"
        );
    }
}
