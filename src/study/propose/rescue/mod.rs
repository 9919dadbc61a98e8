//! Ways to meet a missed target from where the build stands: sequences of what can be done, their figures looked for on the bars of
//! a run ([`field`]), the cheapest first ([`search`]). What is offered is written into the recipe, and passes a plain check.

mod acts;
mod field;
mod search;

use crate::forge::{Fire, Form, Key, PATTERNS};
use crate::piece::{Bar, Lot, LotId};
use crate::quantity::{CLOSE, Kind, Units, rounded, show, written};
use crate::replay::{Build, Line, Plan, Planned, build};
use crate::source::{Code, Diagnostic, Fix, Span};
use crate::spec::{Bounds, Judged, What};

use crate::study::explain::verdict::judge_with;
use crate::study::propose::grade::grade;
use crate::study::propose::mend::Mending;
use crate::study::propose::rescue::acts::{Act, Marks, Of, Spare, cold, finest, hot};
use crate::study::propose::rescue::field::{Change, Field, Knob, Put, Seen};
use crate::study::propose::rescue::search::Node;
use crate::study::solve::fill::fill;
use crate::study::solve::runs::{Least, Runs, relative};

/// One way.
#[derive(Clone, Debug)]
pub struct Way {
    /// What is done, in a few words.
    pub title: String,
    /// Lines to add after this line of the recipe (its address), or figures to write instead.
    pub edits: Vec<Fix>,
    /// Whether every target is met then.
    pub met: bool,
    /// The words of the targets that it leaves missed.
    pub breaks: Vec<Span>,
    /// What it changes in the finished piece: thickness, width, length (mm), mass (g).
    pub changes: [f64; 4],
    /// Layers more.
    pub layers: f64,
    /// Heats more.
    pub heats: f64,
    /// Hours more, at the fire and at the machine.
    pub hours: f64,
    /// Steel more from the store, g.
    pub steel: f64,
    /// The target with the least room, as a share of its limit: its words, what is to spare and its kind.
    pub room: Option<(Span, f64, Kind)>,
    /// What it does to the pattern, and what its check warns of.
    pub minds: Vec<String>,
    /// What the customer is asked for, where the steel does not come to what is asked: the figure, and what to write there.
    pub ask: Option<Fix>,
}

/// What came of looking.
#[derive(Debug, Default)]
pub struct Ways {
    /// The ways, cheapest first.
    pub ways: Vec<Way>,
    /// Where there are none: the targets that could be met if one of them were moved, the least move first.
    pub asks: Vec<Way>,
    /// Why there can be none, where that is known.
    pub never: Option<String>,
    /// How many sequences were tried.
    pub tried: usize,
    /// Steps worked while figures were looked for, as steps of a bar.
    pub work: usize,
    /// Whether the search stopped before it had gone through all that it would have looked at.
    pub cut_short: bool,
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
    /// What lies on the rack by its file, and is not drawn on yet: name and bars.
    pub shelf: &'a [(String, Lot)],
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

/// Ways that are written out and checked at the most, and shown.
const WRITTEN: usize = 12;
const SHOWN: usize = 8;

/// Places from which ways are looked for.
const PLACES: usize = 3;

/// Looks for ways to meet the targets of the piece that misses one.
#[must_use]
pub fn rescue(missing: &Missing, replan: Replan) -> Ways {
    let mut found = Ways::default();
    let missed = missing.build.lines.iter().find(|l| l.judged.is_some_and(|j| !j.met));
    let Some(line) = missed else { return found };
    for idea in forged_bevels(missing) {
        found.tried += 1;
        found.ways.extend(tried(missing, &idea, line, replan));
    }
    let mut asks: Vec<Way> = Vec::new();
    for setting in Setting::all(missing, line) {
        let Some((text, puts)) = setting.text(missing, replan) else { continue };
        let Some((plan, _)) = replan(&text) else { continue };
        let Some(lot) = plan.targets.get(line.target).and_then(|t| t.lot) else { continue };
        let Some(mut field) = setting.field(missing, &plan, &puts, lot) else { continue };
        let searched = field.search();
        found.tried += searched.tried;
        found.cut_short |= searched.cut_short;
        let (mut kinds, mut clean): (Vec<Vec<Change>>, bool) = (Vec::new(), false);
        for node in &searched.met {
            let mut kind = node.changes.clone();
            kind.sort_by_key(|c| format!("{c:?}"));
            // What does with less is not offered with more.
            let more = |known: &Vec<Change>| known.iter().all(|c| kind.contains(c));
            if kinds.len() >= WRITTEN || kinds.iter().any(more) {
                continue;
            }
            if let Some(way) = setting.way(missing, &mut field, node, line, replan) {
                clean |= field.clean(node);
                kinds.push(kind);
                found.ways.push(way);
            }
        }
        if found.ways.is_empty() {
            found.never = never(missing, line, &mut field);
            for (line, node) in &searched.nearest {
                asks.extend(setting.ask(missing, &mut field, (*line, node), replan));
            }
        }
        found.work += field.work;
        if clean || found.never.is_some() {
            break;
        }
    }
    if found.ways.is_empty() {
        let far = |w: &Way| w.room.map_or(0.0, |(_, far, _)| -far);
        asks.sort_by(|a, b| far(a).total_cmp(&far(b)));
        let mut asked: Vec<Span> = Vec::new();
        asks.retain(|w| {
            let span = w.ask.as_ref().map_or_else(Span::default, |fix| fix.span);
            let new = !asked.contains(&span);
            asked.push(span);
            new
        });
        found.asks = asks;
    }
    let rank = |w: &Way| (!w.met, w.breaks.len(), (w.hours * 60.0) as i64, (w.steel * 10.0) as i64);
    found.ways.sort_by(|a, b| rank(a).cmp(&rank(b)).then(a.title.cmp(&b.title)));
    let mut seen: Vec<String> = Vec::new();
    found.ways.retain(|w| {
        let new = !seen.contains(&w.title);
        seen.push(w.title.clone());
        new
    });
    found.ways.truncate(SHOWN);
    found
}

/// Where the build goes on: the bar there, its name, and where lines go in.
struct Setting {
    /// The name, the bar and the place behind which it is hot-worked; nothing where it is hardened already, or shaped.
    hot: Option<(String, Bar, u32)>,
    /// The name at the end, and the place where the last of sizing is done.
    end: (String, u32),
    /// Whether it is hardened by then.
    hardened: bool,
    /// What made its pattern, last; nothing where its layers lie flat.
    pattern: Option<&'static str>,
    layered: bool,
    units: Units,
}

/// The texts that are put in: where, and what stands where in them.
type Puts = (Put, Put);

impl Setting {
    /// The places where the build may go on: as late as may be, and behind earlier heats that are still to come.
    fn all(missing: &Missing, line: &Line) -> Vec<Setting> {
        let mut made: Vec<Setting> = Vec::new();
        for nth in 0.. {
            let Some(next) = Setting::of(missing, line, nth) else { break };
            let at = |s: &Setting| s.hot.as_ref().map(|(_, _, at)| *at);
            if made.iter().all(|s| at(s) != at(&next)) {
                made.push(next);
            }
        }
        // Layers are best made before the rest is done; else late is best, and the earliest next.
        let layers = line.test.what == What::Layers || line.test.what == What::Bands;
        if layers {
            made.reverse();
        } else if let Some(last) = made.pop() {
            made.insert(made.len().min(1), last);
        }
        made.truncate(PLACES);
        made
    }

    fn of(missing: &Missing, line: &Line, nth: usize) -> Option<Setting> {
        let (plan, build) = (missing.plan, missing.build);
        let measured = plan.steps.iter().rposition(|s| s.word.form == Form::Measure);
        let chain = crate::study::explain::why::chain(build, line.lot);
        let on_chain = |s: &Planned| s.gives.iter().any(|l| chain.contains(l));
        let steps: Vec<usize> = (0..).zip(&plan.steps).filter(|(_, s)| on_chain(s)).map(|(i, _)| i).collect();
        let step = |i: usize| plan.steps.get(i);
        let quenches = |i: &usize| step(*i).is_some_and(|s| s.word.fire == Fire::Quench);
        let quench = steps.iter().copied().find(quenches);
        let bar_after = |i: usize| {
            let lot = step(i)?.gives.iter().rev().find(|l| chain.contains(l))?;
            Some((*lot, build.lot(*lot)?.bar))
        };
        let plain =
            |i: &usize| bar_after(*i).is_some_and(|(_, bar)| bar.blade.is_none() && bar.loose.is_none());
        let before = |i: &usize| quench.is_none_or(|q| *i < q);
        let forged = |i: &usize| step(*i).is_some_and(|s| s.word.fire == Fire::Forge);
        let open: Vec<usize> = steps.iter().copied().filter(|i| before(i) && plain(i)).collect();
        // As late as may be: behind the last heat; where a measure is later than that, behind it.
        let mut worked: Vec<usize> = open.iter().copied().filter(forged).collect();
        worked.retain(|i| measured.is_none_or(|m| *i > m));
        worked.reverse();
        worked.extend(measured.or_else(|| open.first().copied().filter(|_| worked.is_empty())));
        let at = match worked.get(nth) {
            Some(at) => Some(*at),
            None if nth == 0 => None,
            None => return None,
        };
        let at = at.and_then(|at| open.iter().copied().rfind(|i| *i <= at).filter(|_| before(&at)));
        let hot = at.and_then(|at| {
            let (lot, bar) = bar_after(at)?;
            let until = at.max(measured.unwrap_or(0));
            let own = |i: &usize| step(*i).is_some_and(|s| inside(missing, s.span) && s.calls.is_empty());
            let place = (0..=until).rev().find(own)?;
            Some((plan.ground.lot_name(lot).to_owned(), bar, line_behind(missing, step(place)?.span.end)))
        });
        let bar = hot.as_ref().map(|(_, bar, _)| *bar).or_else(|| Some(build.lot(line.lot)?.bar));
        let shows = bar.is_some_and(|bar| build.bench.makeup.patterned(bar.node) || bar.relief.is_some());
        let done = |i: &usize| {
            let word = step(*i)?.word.word;
            PATTERNS.iter().find(|(act, _)| act.word().word == word).map(|(_, done)| *done)
        };
        let all: Vec<&str> =
            steps.iter().rev().filter(|i| at.is_none_or(|at| **i <= at)).filter_map(done).collect();
        // What brings hollows level only finishes a pattern.
        let own = all.iter().find(|done| **done != "pressed").or(all.first());
        let pattern = shows.then(|| own.copied().unwrap_or("patterned"));
        let layered = hot.as_ref().is_some_and(|(_, bar, _)| build.bench.makeup.layers(bar.node) > 1);
        // A hardened piece is ground, and not sawn: what sizes it is done before that, if it is still to come.
        let before_quench = quench.filter(|q| measured.is_none_or(|m| m < *q)).and_then(step);
        let before_quench = before_quench.filter(|s| inside(missing, s.span) && s.calls.is_empty());
        let line_start = |s: &Planned| {
            let start = s.span.start - missing.base;
            let begin = missing.text.get(..start as usize).and_then(|t| t.rfind('\n')).map_or(0, |i| i + 1);
            (braces(missing.text, begin) == 0).then_some(missing.base + begin as u32)
        };
        let early = before_quench.and_then(|s| Some((s.piece.clone(), line_start(s)?)));
        let last = plan.steps.iter().rev().find(|s| inside(missing, s.span) && s.calls.is_empty());
        let last = last.map_or(end_of(missing), |s| line_behind(missing, s.span.end));
        let hardened = quench.is_some() && early.is_none();
        let end = early.unwrap_or_else(|| (plan.ground.lot_name(line.lot).to_owned(), last));
        Some(Setting { hot, end, hardened, pattern, layered, units: missing.units })
    }

    /// The recipe with all acts in it, and where they stand; acts that it cannot hold are left out.
    fn text(&self, missing: &Missing, replan: Replan) -> Option<(String, Puts)> {
        let mut acts = Vec::new();
        if let Some((name, bar, _)) = &self.hot {
            let over = |lot: &Lot| lot.bar.calliper_thick() > bar.calliper_thick() * 1.001;
            let spares: Vec<Spare> = left_over(missing)
                .take(MOST_SPARES)
                .map(|(name, racked, lot)| Spare { name, racked, thicker: over(lot) })
                .collect();
            let taken = |name: &str| missing.text.contains(name);
            acts = hot(name, (&steels(missing, bar), self.layered), &spares, self.units)
                .into_iter()
                .map(|act| act.renamed(&taken))
                .collect();
        }
        let ends = cold(&self.end.0, self.hardened);
        let whole = self.put(missing, &acts, &ends);
        let reads = |text: &str| replan(text).is_some_and(|(_, found)| found.is_empty());
        if reads(&whole.0) {
            return Some(whole);
        }
        acts.retain(|act| reads(&self.put(missing, std::slice::from_ref(act), &[]).0));
        let ends = if reads(&self.put(missing, &[], &ends).0) { ends } else { Vec::new() };
        let whole = self.put(missing, &acts, &ends);
        reads(&whole.0).then_some(whole)
    }

    /// The recipe with these acts put in.
    fn put(&self, missing: &Missing, acts: &[Act], ends: &[(Of, Act)]) -> (String, Puts) {
        let hot_at = self.hot.as_ref().map_or(self.end.1, |(_, _, at)| *at);
        let mut hot = Put { at: hot_at, acts: Vec::new(), long: 0 };
        let mut end = Put { at: self.end.1, acts: Vec::new(), long: 0 };
        let (mut hot_text, mut end_text) = (String::new(), String::new());
        // So that spans of the two never touch, and a recipe may end without a line break.
        for (put, text) in [(&mut hot, &mut hot_text), (&mut end, &mut end_text)] {
            text.push('\n');
            put.long = 1;
        }
        // Any figures that can be read will do: each run sets its own.
        let figures = |act: &Act| -> Vec<f64> {
            act.figures.iter().map(|f| if f.kind == Kind::NUMBER { 2.0 } else { 10.0 }).collect()
        };
        for act in acts {
            let (text, places) = act.text(&figures(act), Units::Metric);
            let start = hot_text.len();
            hot_text += &text;
            let places = places.into_iter().map(|p| p + start).collect();
            hot.acts.push((act.clone(), None, start..hot_text.len(), places));
        }
        for (of, act) in ends {
            let (text, places) = act.text(&figures(act), Units::Metric);
            let start = end_text.len();
            end_text += &text;
            let places = places.into_iter().map(|p| p + start).collect();
            end.acts.push((act.clone(), Some(*of), start..end_text.len(), places));
        }
        (hot.long, end.long) = (hot_text.len(), end_text.len());
        // Where both go into one place, the one that is put in last stands before the other.
        let edits = [
            Fix { span: Span { start: end.at, end: end.at }, text: end_text },
            Fix { span: Span { start: hot.at, end: hot.at }, text: hot_text },
        ];
        let text = applied(missing.text, missing.base, &edits).unwrap_or_default();
        // Hot work never stands behind the end, which moves by what is put in before it.
        end.at += hot.long as u32;
        (text, (hot, end))
    }

    fn field<'p>(&self, missing: &Missing, plan: &'p Plan, puts: &Puts, lot: LotId) -> Option<Field<'p>> {
        let (hot, end) = puts;
        let name = self.hot.as_ref().map_or("", |(name, _, _)| name.as_str());
        let knobs = knobs(missing, plan, puts);
        Field::new(plan, (hot, name), (end, &self.end.0), (knobs, lot), self.units)
    }

    /// A sequence as a way: figures that a smith can set, written in, read, run and judged.
    fn way(
        &self,
        missing: &Missing,
        field: &mut Field,
        node: &Node,
        line: &Line,
        replan: Replan,
    ) -> Option<Way> {
        let seen = field.set(node)?;
        let (title, edits, minds) = self.written(missing, field, &node.changes, &seen);
        let mut way = proven(missing, (title, edits), line, replan)?;
        way.minds.splice(0..0, minds);
        way.met.then_some(way)
    }

    /// The edits of a sequence with its figures, what it is called, and what it does to the pattern.
    fn written(
        &self,
        missing: &Missing,
        field: &Field,
        changes: &[Change],
        seen: &Seen,
    ) -> (String, Vec<Fix>, Vec<String>) {
        let (mut titles, mut edits, mut minds): (Vec<String>, Vec<Fix>, Vec<String>) = Default::default();
        let mut text = String::new();
        let (mut figures, mut all) = (seen.figures.iter(), seen.all.iter().copied());
        for change in changes {
            match change {
                Change::Knob(knob) => {
                    let (Some(knob), Some(value)) = (field.knobs.get(*knob), figures.next()) else {
                        continue;
                    };
                    titles.push(knob.title(*value));
                    edits.push(Fix { span: knob.span, text: written(*value, knob.kind, self.units) });
                }
                Change::Act(act) => {
                    let Some(placed) = field.acts.get(*act) else { continue };
                    let own: Vec<f64> = all.by_ref().take(placed.act.figures.len()).collect();
                    let taken = |name: &str| missing.text.contains(name) || text.contains(name);
                    let act = placed.act.renamed(&taken);
                    titles.push(act.title.clone());
                    minds.extend(self.mind(act.marks).filter(|m| !minds.contains(m)));
                    text += &act.text(&own, self.units).0;
                }
            }
        }
        let mut end = String::new();
        for (index, size) in &seen.ends {
            let Some(placed) = field.ends.get(*index) else { continue };
            titles.push(placed.act.title.clone());
            end += &placed.act.text(&[*size], self.units).0;
        }
        let hot_at = self.hot.as_ref().map_or(self.end.1, |(_, _, at)| *at);
        if hot_at == self.end.1 {
            text += &end;
            end.clear();
        }
        for (at, lines) in [(hot_at, text), (self.end.1, end)] {
            let Some(before) = at.checked_sub(missing.base).map(|at| at as usize) else { continue };
            let begun = missing.text.get(..before).is_some_and(|t| t.ends_with('\n') || t.is_empty());
            if !lines.is_empty() {
                let text = if begun { lines } else { format!("\n{lines}") };
                edits.push(Fix { span: Span { start: at, end: at }, text });
            }
        }
        titles.dedup();
        (titles.join(", then "), edits, minds)
    }

    /// What an act does to the pattern of a layered piece.
    fn mind(&self, marks: Marks) -> Option<String> {
        if !self.layered {
            return None;
        }
        let said = match (marks, self.pattern) {
            (Marks::Presses, Some(done)) => {
                format!("it was {done}: pressed again, the pattern is drawn out with it")
            }
            (Marks::Multiplies, Some(done)) => format!("it was {done}: the pattern is laid on itself"),
            (Marks::TakesOff, Some(done)) => format!("it was {done}: ground further down, other layers show"),
            (Marks::Seams, _) => "a seam runs along the middle, and the pattern begins anew at it".to_owned(),
            (Marks::Strip, _) => "a strip of plain steel shows along one edge".to_owned(),
            (Marks::Presses | Marks::Multiplies | Marks::TakesOff, None) => return None,
        };
        Some(said)
    }

    /// What the customer is asked for, so that a sequence which misses one line alone will do.
    fn ask(
        &self,
        missing: &Missing,
        field: &mut Field,
        (index, node): (usize, &Node),
        replan: Replan,
    ) -> Option<Way> {
        let seen = field.set_alone(node, index)?;
        let (title, edits, minds) = self.written(missing, field, &node.changes, &seen);
        let text = applied(missing.text, missing.base, &edits)?;
        let (plan, found) = replan(&text)?;
        let made = build(&plan, &[], missing.units);
        if !found.is_empty() || !made.faults.is_empty() || too_weak(&made) > too_weak(missing.build) {
            return None;
        }
        let missed: Vec<&Line> = made.lines.iter().filter(|l| l.judged.is_none_or(|j| !j.met)).collect();
        let ([now], Some(was)) = (missed.as_slice(), missing.build.lines.get(index)) else { return None };
        let judged = now.judged.filter(|j| j.got.is_finite())?;
        let (slot, value) = asked_instead(&was.test.bounds, &judged, self.units, was.test.what)?;
        let span = missing.plan.figure(slot).1;
        if !inside(missing, span) || span.start < was.test.span.start || span.end > was.test.span.end {
            return None;
        }
        let ask = Fix { span, text: written(value, was.test.what.kind(), self.units) };
        let mut all = edits.clone();
        all.push(ask.clone());
        let mut way = proven(missing, (title, all), was, replan).filter(|way| way.met)?;
        way.edits = edits;
        (way.met, way.breaks) = (false, vec![was.test.wanted]);
        way.room = Some((was.test.wanted, relative(&judged), was.test.what.kind()));
        way.minds.splice(0..0, minds);
        way.ask = Some(ask);
        Some(way)
    }
}

/// The bound to be asked for instead, on the side that is met, as one would write it.
fn asked_instead(bounds: &Bounds, judged: &Judged, units: Units, what: What) -> Option<(u32, f64)> {
    let short = judged.low.is_some_and(|low| judged.got < low);
    let slot = match *bounds {
        Bounds::AtLeast(a) | Bounds::AtMost(a) | Bounds::Equal(a, _) => a,
        Bounds::Within(a, b) => {
            if short {
                a
            } else {
                b
            }
        }
    };
    let kind = what.kind();
    let step = match kind {
        Kind::RATIO => 0.01,
        Kind::MASS if judged.got > 100.0 => 5.0,
        _ => finest(kind, units),
    };
    // Where it is to be a size give or take so much, the other end of what is allowed goes along.
    let by = if short { judged.got - judged.low? } else { judged.got - judged.high? };
    let value = match *bounds {
        Bounds::Equal(..) => judged.low.zip(judged.high).map(|(a, b)| f64::midpoint(a, b))? + by,
        _ => judged.got,
    };
    let value = if short { (value / step + 1e-9).floor() } else { (value / step - 1e-9).ceil() } * step;
    (value > 0.0).then_some((slot, value))
}

/// Spare pieces that are looked at.
const MOST_SPARES: usize = 3;
/// Figures of steps that are looked at, the last ones.
const MOST_KNOBS: usize = 16;

impl Knob {
    /// What it is called, by which way the figure goes.
    fn title(&self, value: f64) -> String {
        match self.takes_off {
            Some(sized) if sized == (value > self.was) => format!("leave more, and {} less", self.verb),
            Some(_) => format!("{} more off", self.verb),
            None => {
                let size = match self.what.as_str() {
                    "thick" => "thickness",
                    "wide" => "width",
                    "long" => "length",
                    other => other,
                };
                format!("{} it to another {size}", self.verb)
            }
        }
    }
}

/// The figures of steps that are still to come.
fn knobs(missing: &Missing, plan: &Plan, (hot, end): &Puts) -> Vec<Knob> {
    let asks_hardness = plan.targets.iter().any(|t| t.tests.iter().any(|t| t.what == What::Hardness));
    let put = |span: Span| [hot, end].iter().any(|p| span.start >= p.at && span.start < p.at + p.long as u32);
    let whole = end_of(missing) + (hot.long + end.long) as u32;
    let back = |at: u32| {
        let before = |p: &Put| if at >= p.at + p.long as u32 { p.long as u32 } else { 0 };
        at - before(hot) - before(end)
    };
    let mut made = Vec::new();
    for step in open_steps(plan) {
        let own = step.span.start >= missing.base && step.span.end <= whole;
        if !own || !step.calls.is_empty() || put(step.span) || step.word.form != Form::Work {
            continue;
        }
        for (slot, (info, span)) in (0..).zip(plan.slots.iter().zip(plan.ground.spans.iter().copied())) {
            let was = plan.values.at(slot);
            let own = !info.address.is_empty() && info.copy_of.is_none() && !info.shapes;
            let within = span.start >= step.span.start && span.end <= step.span.end;
            let what = info.address.rsplit(' ').next().unwrap_or("");
            // What the saw eats, and the tool, are no sizes of the piece.
            let fixed = [Key::Kerf.word(), Key::With.word(), Key::Bite.word()].contains(&what)
                || ["peen", "die", "hammer", "fuller"].contains(&what);
            if !own || !within || was <= 0.0 || fixed {
                continue;
            }
            let within = match info.kind {
                Kind::LENGTH => [0.2, 3.0],
                Kind::TEMPERATURE if asks_hardness && step.word.fire != Fire::Forge => [0.7, 1.4],
                Kind::TIME if asks_hardness && step.word.fire != Fire::Forge => [0.25, 4.0],
                _ => continue,
            };
            let sized = ["thick", "wide", "long", "square", "round", "octagon"].contains(&what);
            let takes_off = (step.word.takes_off || what == Key::Off.word()).then_some(sized);
            let span = Span { start: back(span.start), end: back(span.end) };
            let (verb, what) = (step.word.word, what.to_owned());
            made.push(Knob { slot, span, kind: info.kind, was, verb, what, takes_off, within });
        }
    }
    made.drain(..made.len().saturating_sub(MOST_KNOBS));
    made
}

/// How many braces are open at a place of a text, comments and strings aside.
fn braces(text: &str, at: usize) -> i32 {
    let mut open = 0;
    for line in text.get(..at).unwrap_or(text).lines() {
        let code = line.split('#').next().unwrap_or("");
        for (i, part) in code.split('"').enumerate() {
            if i % 2 == 0 {
                open += part.matches('{').count() as i32 - part.matches('}').count() as i32;
            }
        }
    }
    open
}

/// The address behind the line on which an address lies; where braces are open there, behind the line that closes them.
fn line_behind(missing: &Missing, at: u32) -> u32 {
    let text = missing.text;
    let mut place = at.saturating_sub(missing.base) as usize;
    loop {
        let rest = text.get(place..).unwrap_or("");
        place += rest.find('\n').map_or(rest.len(), |i| i + 1);
        if place >= text.len() || braces(text, place) <= 0 {
            return missing.base + place as u32;
        }
    }
}

/// The steels of a bar, most of it first.
fn steels(missing: &Missing, bar: &Bar) -> Vec<String> {
    let mut mix: Vec<_> = missing.build.bench.makeup.mix(bar.node).collect();
    mix.sort_by(|a, b| b.1.total_cmp(&a.1));
    // Another steel than the most of it is welded on only where shares are asked for.
    let shares = missing.build.lines.iter().any(|l| l.test.what == What::Share);
    mix.truncate(if shares { 2 } else { 1 });
    mix.into_iter().map(|(steel, _)| grade(&missing.plan.ground.steels[steel])).collect()
}

/// Why there can be no way, where that is certain.
fn never(missing: &Missing, line: &Line, field: &mut Field) -> Option<String> {
    let units = missing.units;
    let bar = missing.build.lot(line.lot)?.bar;
    let tests = |what: What| {
        missing
            .build
            .lines
            .iter()
            .filter(move |l| l.lot == line.lot && l.test.what == what && l.test.part.is_none())
    };
    for missed in missing.build.lines.iter().filter(|l| l.lot == line.lot) {
        let (what, Some(judged)) = (missed.test.what, missed.judged) else { continue };
        let shown = |v: f64| show(v, what.kind(), units);
        let whole = missed.test.part.is_none() && missed.test.behind.is_none();
        let lows = tests(what).filter_map(|l| l.judged?.low).fold(0.0, f64::max);
        if let Some(high) = judged.high.filter(|high| whole && *high < lows) {
            return Some(format!(
                "the targets ask for at least {} and at most {} of the same {}",
                shown(lows),
                shown(high),
                what.word()
            ));
        }
        if let Some(high) = judged.high.filter(|h| what == What::Layers && whole && judged.got > *h)
            && field.bar().is_none_or(|bar| missing.build.bench.makeup.layers(bar.node) as f64 > high)
        {
            return Some(format!(
                "layers never fall: it has {} already, and at most {} are asked",
                shown(judged.got),
                shown(high)
            ));
        }
        if let Some(high) = judged.high.filter(|_| what == What::Mass && whole)
            && let Some(volume) = field.volume_asked()
        {
            let lightest = bar.mass / bar.volume().max(1e-9) * volume;
            if field.acts.is_empty() && lightest > high || lightest > high * 1.03 {
                return Some(format!(
                    "the sizes that are asked hold {} of steel at the least, and at most {} are asked",
                    shown(lightest),
                    shown(high)
                ));
            }
        }
        let grows = matches!(
            what,
            What::Thickness | What::Width | What::Length | What::Mass | What::Layers | What::Bands
        );
        if field.acts.is_empty()
            && let Some(low) = judged.low.filter(|low| whole && grows && judged.got < *low)
            && field.hardened_as(what).is_some_and(|has| has < low)
        {
            return Some(format!(
                "it is hardened: nothing is forged or welded to it any more, and {} of {} are asked",
                shown(low),
                what.word()
            ));
        }
    }
    None
}

/// Whether a way meets what it is to meet: read, run and judged as it is written.
fn proven(missing: &Missing, (title, edits): (String, Vec<Fix>), line: &Line, replan: Replan) -> Option<Way> {
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
    let last = plan.targets.get(line.target)?.lot.and_then(|lot| made.lot(lot))?;
    let was = missing.build.lot(line.lot)?;
    let of = |b: &Bar| [b.calliper_thick(), b.calliper_wide(), b.long, b.mass];
    let mut changes = of(&last.bar);
    changes.iter_mut().zip(of(&was.bar)).for_each(|(c, t)| *c -= t);
    let layers = |b: &Build, lot: &Bar| b.bench.makeup.layers(lot.node) as f64;
    let rooms = made.lines.iter().zip(&missing.build.lines).filter_map(|(l, own)| {
        let judged = l.judged.filter(|j| j.met && j.margin.is_finite())?;
        let counts = matches!(l.test.what, What::Layers | What::Bands | What::Hardness);
        // The middle of what is allowed has all the room there is.
        let half = judged.low.zip(judged.high).map(|(a, b)| 0.5 * (b - a));
        let room = half.map_or(relative(&judged) / AMPLE, |half| judged.margin / half);
        (!counts).then(|| (room, own.test.span, judged.margin, l.test.what.kind()))
    });
    let room = rooms.min_by(|a, b| a.0.total_cmp(&b.0)).map(|(_, words, margin, kind)| (words, margin, kind));
    let old: Vec<Code> = missing.build.ledger.warnings.iter().map(|w| w.code).collect();
    let new = made.ledger.warnings.iter().filter(|w| !old.contains(&w.code));
    let mut minds: Vec<String> = new.map(|w| w.message.clone()).collect();
    minds.dedup();
    let (heats, minutes) = made.ledger.totals();
    let (heats_was, minutes_was) = missing.build.ledger.totals();
    Some(Way {
        title,
        edits,
        met: verdict.met,
        breaks,
        changes,
        layers: layers(&made, &last.bar) - layers(missing.build, &was.bar),
        heats: f64::from(heats) - f64::from(heats_was),
        hours: (minutes - minutes_was) / 60.0,
        steel: bought(&plan, &made) - bought(missing.plan, missing.build),
        room,
        minds,
        ask: None,
    })
}

/// Room on a limit that is ample, as a share of it (project figure).
const AMPLE: f64 = 0.02;

/// How many steps ask more of a press than it is rated for.
fn too_weak(build: &Build) -> usize {
    build.ledger.warnings.iter().filter(|w| w.code == Code::WeakPress).count()
}

/// Solves an idea's figure and runs it.
fn tried(missing: &Missing, idea: &Idea, line: &Line, replan: Replan) -> Option<Way> {
    let (plan, found) = replan(&applied(missing.text, missing.base, &idea.edits)?)?;
    if !found.is_empty() {
        return None;
    }
    let filled = fill(&plan, Least::Steel).filter(|filled| filled.outcome.met())?;
    let (unknown, value) = (filled.unknowns.first()?, *filled.values.first()?);
    let mut runs = Runs::new(&plan, Least::Steel);
    let value = rounded(value, CLOSE, unknown.kind, missing.units, |v| {
        (unknown.low..=unknown.high).contains(&v) && runs.run(&[(unknown.slot, v)]).met()
    });
    let figure = written(value, unknown.kind, missing.units);
    let edits: Vec<Fix> =
        idea.edits.iter().map(|e| Fix { span: e.span, text: answered(&e.text, &figure) }).collect();
    proven(missing, (idea.title.clone(), edits), line, replan).filter(|way| way.met)
}

/// The steps that are still to come: after the last measure, or all of them.
fn open_steps(plan: &Plan) -> &[Planned] {
    let last = plan.steps.iter().rposition(|s| s.word.form == Form::Measure);
    plan.steps.get(last.map_or(0, |i| i + 1)..).unwrap_or(&[])
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

/// What is left over at the end: on the rack, by its file too, and pieces that no target asks for. Name, whether it is on the rack, bars.
fn left_over<'a>(missing: &'a Missing) -> impl Iterator<Item = (&'a str, bool, &'a Lot)> {
    let asked = |id: &LotId| missing.build.lines.iter().any(|l| l.lot == *id);
    let standing = missing.build.standing.iter().filter(move |id| !asked(id)).map(|id| (id, false));
    let left = standing.chain(missing.build.racked.iter().map(|id| (id, true)));
    let own = left.filter_map(|(id, racked)| {
        Some((missing.plan.ground.lot_name(*id), racked, missing.build.lot(*id)?))
    });
    own.chain(missing.shelf.iter().map(|(name, lot)| (name.as_str(), true, lot)))
}

/// Steel from the store, g: what lies on the rack is paid for.
fn bought(plan: &Plan, made: &Build) -> f64 {
    plan.bought().filter_map(|(_, lot)| made.lot(lot)).map(|lot| lot.mass()).sum()
}

/// Puts edits into a text.
pub(in crate::study) fn applied(text: &str, base: u32, edits: &[Fix]) -> Option<String> {
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
