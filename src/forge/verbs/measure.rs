//! `measure`: what the calliper and the scale said. The run goes on from it, and what no model explains is booked as such.

use crate::piece::{Bar, Cause, Lot};
use crate::quantity::{Kind, Length, Mass, Q, Temperature, Units};
use crate::source::{Code, Diagnostic, Span};
use crate::spec::Place;

use crate::forge::process::hollow;
use crate::forge::process::solid::shell;
use crate::forge::words::args::{Blades, Form};
use crate::forge::{Bag, Cx, Key, Moved, Outcome, Sink, Word, Work, Works};

/// How far a size may be off where its last digit says less, mm (project figure: a calliper on forged steel).
const CALLIPER: f64 = 0.1;
/// What honest reading cannot tell of a thickness, a width and a length, mm, 95 % (metal.md, project figures).
const HONEST: [f64; 3] = [0.3, 0.3, 1.0];
/// From which share of steel too much on a reading is none of this piece (metal.md, project figure).
const TOO_MUCH: f64 = 0.08;
/// How far a weight may be off where its last digit says less, as a share (project figure).
pub const SCALE_AGREES: f64 = 0.005;

/// One figure that was read off.
#[derive(Clone, Copy, Debug)]
struct Read<K> {
    q: Q<K>,
    /// Half of the last digit that was written, base unit.
    half_digit: f64,
    span: Span,
}

/// Measuring.
pub struct Measure {
    /// Thickness, width, length.
    sizes: [Option<Read<Length>>; 3],
    weight: Option<Read<Mass>>,
    hot: Option<Option<Q<Temperature>>>,
    place: Option<Place>,
}

impl Works for Measure {
    const WORD: Word = Word {
        word: "measure",
        doc: "takes what the calliper and the scale said, and goes on from there",
        form: Form::Measure,
        clauses: &[&[Key::Size, Key::Weight, Key::Hot, Key::Place]],
        example: "measure blade: 31.5 mm thick, 41 mm wide, 388 mm long, 3.62 kg",
        blades: Blades::Works,
        ..Word::PLAIN
    };

    fn bind(bag: &mut Bag) -> Option<Self> {
        let mut sizes: [Option<Read<Length>>; 3] = [None; 3];
        let (mut hot, mut sound) = (None, true);
        for clause in bag.take_all(Key::Size) {
            let Some(slot) = clause.slots().next() else { continue };
            const ACROSS: [&str; 3] = ["thick", "wide", "long"];
            let place = ACROSS.iter().position(|word| clause.says(word));
            let across = place.and_then(|at| ACROSS.get(at)).copied().unwrap_or("measure");
            let (Some(at), Some(q)) = (place, bag.typed(slot, across)) else {
                if place.is_none() {
                    let message = "a measure is a thickness, a width or a length";
                    let fault =
                        Diagnostic::new(Code::MeasureWhat, message, clause.span, "this is another size");
                    bag.fault(fault.help("write it like `31.5 mm thick, 41 mm wide, 388 mm long`"));
                }
                sound = false;
                continue;
            };
            let read = Read { q, half_digit: slot.half_digit, span: clause.span };
            if let Some(first) = sizes.get_mut(at).and_then(|size| size.replace(read)) {
                let fault = Code::MeasuredTwice.says("this size is measured twice");
                let fault = fault.at(clause.span, "once more here").and(first.span, "measured here");
                bag.fault(fault.help("keep the one that is true"));
                sound = false;
            }
            if clause.says("hot") {
                // `31 mm thick hot at 950 C`: all sizes of a line are measured at one heat.
                let at = clause.slots().nth(1).and_then(|s| bag.typed(s, "hot at"));
                hot = Some(at);
            }
        }
        let weight = bag.take(Key::Weight).and_then(|clause| {
            let slot = clause.slots().next()?;
            Some(Read { q: bag.typed(slot, "a weight")?, half_digit: slot.half_digit, span: clause.span })
        });
        if let Some(clause) = bag.take(Key::Hot) {
            hot = Some(bag.figure(&clause, "hot at"));
        }
        let place = bag.take(Key::Place).and_then(|clause| clause.places().next());
        sound.then_some(Measure { sizes, weight, hot, place })
    }

    fn moved(&self, _: Moved) -> Moved {
        [false; 3]
    }

    fn run<S: Sink>(&self, cx: &mut Cx<S>, work: Work) -> Outcome {
        let lot = cx.lot(work.from, work.site)?;
        let planned = lot.bar;
        let grown = self.grown(cx);
        self.check_place(cx, &planned)?;
        let read = self.cold(cx, &planned, grown)?;
        cx.book.origin(work.to, work.from);
        let mut lot = lot;
        if cx.habit.deaf || read.iter().all(Option::is_none) {
            // As planned, to the digits written: not a bit changes.
            cx.lots[work.to] = Some(lot);
            self.note(cx, work, &planned, &planned, grown);
            return Ok(());
        }
        // A loose stack lies as it was laid: no reading of it stretches its bars.
        let moved = if planned.loose.is_some() { [false; 3] } else { cx.ground.lots[work.from].moved };
        self.take(cx, work, &mut lot, read, moved)?;
        self.check_sense(cx, work, &planned, &lot)?;
        self.scale_blade(cx, &planned, &mut lot);
        self.book(cx, work, &planned, &lot);
        cx.put(work.to, lot, work.site)?;
        self.note(cx, work, &planned, &lot.bar, grown);
        Ok(())
    }
}

impl Measure {
    /// How much bigger the bar measured than cold, as a factor.
    fn grown<S: Sink>(&self, cx: &mut Cx<S>) -> f64 {
        self.hot.map_or(1.0, |at| crate::forge::words::sizes::grown(cx, at))
    }

    /// What was read, cold, mm and g; nothing where it is as planned to the digits written.
    fn cold<S: Sink>(&self, cx: &Cx<S>, planned: &Bar, grown: f64) -> Outcome<[Option<f64>; 4]> {
        let mut read = [None; 4];
        let as_planned = self.planned(cx, planned);
        let greatest = [planned.calliper_thick(), planned.calliper_wide(), planned.long, planned.mass];
        let weight = self.weight.map(|w| (cx.get(w.q), w.half_digit, w.span));
        let sizes = self.sizes.map(|s| s.map(|s| (cx.get(s.q), s.half_digit, s.span)));
        let [t, w, l] = sizes;
        let growth = [grown, grown, grown, 1.0];
        for ((((read, figure), planned), growth), greatest) in
            read.iter_mut().zip([t, w, l, weight]).zip(as_planned).zip(growth).zip(greatest)
        {
            let Some((value, half_digit, span)) = figure else { continue };
            if !(value > 0.0 && value.is_finite()) {
                return Err(Code::NoSize
                    .says("nothing measures nothing, or less")
                    .at(span, "measured here")
                    .stops("write what the calliper or the scale said"));
            }
            if (value - planned * growth).abs() > half_digit * (1.0 + 1e-9) {
                // What a place of a blade is more or less than planned, the whole blade is.
                *read = Some(value / growth * (greatest / planned));
            }
        }
        Ok(read)
    }

    /// Thickness, width, length and weight as planned: of a blade where the calliper stood, at the heel where nothing is said.
    fn planned<S: Sink>(&self, cx: &Cx<S>, bar: &Bar) -> [f64; 4] {
        let [mut thick, mut wide] = [bar.calliper_thick(), bar.calliper_wide()];
        if let Some(blade) = cx.makeup.blade(bar) {
            let x = self.place.map_or(0.0, |p| p.on(cx.values, bar.long));
            let section = blade.section(x);
            if section.width() > 0.0 && section.thickness() > 0.0 {
                [thick, wide] = [section.thickness(), section.width()];
            }
        }
        [thick, wide, bar.long, bar.mass]
    }

    /// A blade takes on its measured sizes all along.
    fn scale_blade<S: Sink>(&self, cx: &mut Cx<S>, planned: &Bar, lot: &mut Lot) {
        let Some(mut shape) = cx.makeup.blade(planned).cloned() else { return };
        let now = lot.bar;
        shape.stretch([now.thick / planned.thick, now.wide / planned.wide, now.long / planned.long]);
        lot.bar.blade = Some(cx.makeup.keep_blade(shape));
    }

    /// The measured sizes into the bar. What a size is short of that hot metal has not left since it was measured last is gone, and what
    /// was not measured stays. Of what hot metal has moved in, mass stays: length takes up the rest, or thickness where length was
    /// measured, or width where both were.
    fn take<S: Sink>(
        &self,
        cx: &mut Cx<S>,
        work: Work,
        lot: &mut Lot,
        read: [Option<f64>; 4],
        moved: Moved,
    ) -> Outcome {
        let bar = &mut lot.bar;
        let side = bar.section.side_per_size();
        let [thick, wide, long, mass] = read;
        let sizes = [thick.map(|t| t * side), wide.map(|w| w * side), long];
        let mut kept = [1.0; 3];
        for (((kept, size), has), moved) in kept.iter_mut().zip(sizes).zip(bar.sizes()).zip(moved) {
            *kept = if moved { 1.0 } else { size.map_or(1.0, |size| (size / has).min(1.0)) };
        }
        if kept.iter().any(|kept| *kept < 1.0) {
            gone(cx, bar, kept);
            if moved.contains(&true) {
                cx.book.assume(
                    "which step left a size short",
                    || "the cold one: that steel is gone".to_owned(),
                    "one reading cannot tell: measure before the cold step too",
                );
            }
        }
        let density = cx.makeup.bar_density(bar);
        let [t, w, l] = sizes;
        [bar.thick, bar.wide, bar.long] =
            [t.unwrap_or(bar.thick), w.unwrap_or(bar.wide), l.unwrap_or(bar.long)];
        let held = self.sizes.map(|s| s.is_some());
        // Nothing ran anywhere; a weight alone says how much there is, and not where.
        if held == [true; 3] || (held.contains(&true) && !moved.contains(&true)) {
            if let Some(measured) = mass.or(self.weight.map(|w| cx.get(w.q))) {
                let density = cx.makeup.bar_density(bar);
                self.warn_contradiction(cx, work, bar, measured, density);
            }
            return Ok(());
        }
        let wanted = mass.unwrap_or(bar.mass) / density;
        match held {
            // On a blade the calliper finds thickness where the hammer or the grinder went further than asked.
            [false, ..] if bar.blade.is_some() => bar.thick = wanted / (bar.wide * bar.long * bar.fill),
            [_, _, false] => bar.long = wanted / (bar.thick * bar.wide * bar.fill),
            [false, _, true] => bar.thick = wanted / (bar.wide * bar.long * bar.fill),
            [true, _, true] => bar.wide = wanted / (bar.thick * bar.long * bar.fill),
        }
        Ok(())
    }

    /// Sizes and weight that do not agree: the commonest slip in shop notes.
    fn warn_contradiction<S: Sink>(&self, cx: &mut Cx<S>, work: Work, bar: &Bar, weight: f64, density: f64) {
        let by_sizes = bar.volume() * density;
        let loose =
            |size: f64, read: Option<Read<Length>>| read.map_or(0.0, |r| r.half_digit.max(CALLIPER)) / size;
        let [t, w, l] = self.sizes;
        let half = self.weight.map_or(0.0, |w| w.half_digit);
        let room =
            loose(bar.thick, t) + loose(bar.wide, w) + loose(bar.long, l) + (half / weight).max(SCALE_AGREES);
        if (by_sizes / weight - 1.0).abs() <= room {
            return;
        }
        let (sizes, scale) = (cx.shown(by_sizes, Kind::MASS), cx.shown(weight, Kind::MASS));
        let span = self.weight.map_or(work.site, |w| w.span);
        let site = work.site;
        cx.book.warn(|| {
            Diagnostic::new(Code::SizesAgainstWeight, "these sizes and this weight do not agree", span, format!("the scale said {scale}"))
                .and(site, format!("such a bar weighs {sizes}"))
                .help("one of them is misread: the sizes are kept; measure again, cold, and look for a swapped digit")
        });
    }

    /// A measure that cannot be one of this piece: no reading makes steel.
    fn check_sense<S: Sink>(&self, cx: &mut Cx<S>, work: Work, planned: &Bar, lot: &Lot) -> Outcome {
        let by_volume = lot.bar.volume() / planned.volume();
        let ratio = by_volume.max(lot.bar.volume() * cx.makeup.bar_density(&lot.bar) / planned.mass);
        let room = self.honest(cx, planned);
        if by_volume >= 0.2 && ratio - 1.0 <= room {
            self.warn_slipped(cx, work, planned);
            return Ok(());
        }
        let (has, was) = (cx.shown(lot.bar.volume(), Kind::VOLUME), cx.shown(planned.volume(), Kind::VOLUME));
        let name = cx.ground.lot_name(work.from).to_owned();
        let (site, made) = (work.site, cx.made(work.from));
        let text = format!("this measures {has}");
        let slip = self.slip(cx, planned);
        // What a tape finds between bars is air.
        let airy = planned.loose.is_some() && ratio > 1.0;
        let help = |other: &str| {
            if airy {
                "a loose stack reads high by its gaps and where its bars are not flush: press it together and measure again, or measure it once it is welded".to_owned()
            } else {
                format!("{slip}; {other}")
            }
        };
        if by_volume >= 0.2 && ratio - 1.0 <= TOO_MUCH.max(2.0 * room) {
            cx.book.warn(|| {
                let message = format!("this measures more steel than `{name}` has");
                Diagnostic::new(Code::MoreSteel, message, site, text)
                    .and(made, format!("planned at {was}"))
                    .help(help("or the fire takes less than the shop states"))
            });
            return Ok(());
        }
        let message = format!(
            "this cannot be `{name}`: it has {} steel by far",
            if ratio > 1.0 { "more" } else { "less" }
        );
        Err(Diagnostic::new(Code::ImpossibleMeasure, message, site, text)
            .and(made, format!("planned at {was}"))
            .help(help("look for a wrong unit, a slipped point, or another piece"))
            .into())
    }

    /// How much more steel than planned honest reading may find, as a share.
    fn honest<S: Sink>(&self, cx: &Cx<S>, planned: &Bar) -> f64 {
        let weight = self.weight.map(|w| (w.half_digit / cx.get(w.q)).max(SCALE_AGREES));
        if let (Some(weight), true) = (weight, self.sizes.iter().any(Option::is_none)) {
            return weight;
        }
        let sizes = [planned.calliper_thick(), planned.calliper_wide(), planned.long];
        let read = self.sizes.iter().zip(HONEST).zip(sizes);
        let shares = read.filter_map(|((read, honest), size)| Some((honest + (*read)?.half_digit) / size));
        shares.map(|share| share * share).sum::<f64>().sqrt()
    }

    /// The likely slip: the reading that is furthest above what was foretold.
    fn slip<S: Sink>(&self, cx: &Cx<S>, planned: &Bar) -> String {
        let foretold = [planned.calliper_thick(), planned.calliper_wide(), planned.long];
        let read = self.sizes.iter().zip(["thickness", "width", "length"]).zip(foretold);
        let off = read.filter_map(|((read, word), foretold)| {
            let read = cx.get((*read)?.q);
            Some((read, word, foretold, (read / foretold).ln().abs()))
        });
        match off.max_by(|a, b| a.3.total_cmp(&b.3)) {
            Some((read, word, foretold, _)) => {
                let (read, foretold) = (cx.mm(read), cx.mm(foretold));
                format!("measure the {word} again, cold: it reads {read}, and {foretold} was foretold")
            }
            None => "weigh it again".to_owned(),
        }
    }

    /// Warns of a reading that is far from what was foretold, and near it with its digits another way.
    fn warn_slipped<S: Sink>(&self, cx: &mut Cx<S>, work: Work, planned: &Bar) {
        if planned.blade.is_some() {
            return;
        }
        let foretold = [planned.calliper_thick(), planned.calliper_wide(), planned.long];
        let grown = self.grown(cx);
        for (read, foretold) in self.sizes.into_iter().zip(foretold) {
            let Some(read) = read else { continue };
            let (value, foretold) = (cx.get(read.q), foretold * grown);
            let Some(meant) = slipped(value, 2.0 * read.half_digit, foretold) else { continue };
            // In decimals, as digits are changed about: a fraction would not show it.
            let told = |mm: f64| match cx.units {
                Units::Metric => cx.mm(mm),
                Units::Inch => format!("{} in", crate::quantity::trim_number(mm / 25.4, 3)),
            };
            let [value, foretold, meant] = [value, foretold, meant].map(told);
            let (site, made) = (read.span, cx.made(work.from));
            cx.book.warn(|| {
                Code::SlippedDigits
                    .says("two digits of this reading may stand the wrong way round")
                    .at(
                        site,
                        format!("{value} was read; {foretold} was foretold, and {meant} would be near it"),
                    )
                    .and(made, "made here")
                    .help("measure it again, cold: the run goes on from what was read")
            });
        }
    }

    fn check_place<S: Sink>(&self, cx: &mut Cx<S>, bar: &Bar) -> Outcome {
        let Some(Place { by, span, .. }) = self.place else { return Ok(()) };
        let by = by.map_or(0.0, |q| cx.get(q));
        // Of a blade a reading must lie where there is something between the calliper's jaws.
        let nothing = |blade: &crate::piece::Blade| {
            let x = self.place.map_or(0.0, |p| p.on(cx.values, bar.long));
            x < blade.start() - 1e-9 || blade.section(x).width() <= 1e-6
        };
        if !(0.0..=bar.long * 1.5).contains(&by) || cx.makeup.blade(bar).is_some_and(nothing) {
            let long = cx.mm(bar.long);
            return Err(Code::BeyondBar
                .says("this place is not on the bar")
                .at(span, format!("the bar is {long} long"))
                .stops("measure from the nearer end, as in `at 30 mm from tip`"));
        }
        let source = if bar.blade.is_some() {
            "project figure: a blade is as much off all along as it is there"
        } else {
            "a bar is the same along its length here"
        };
        cx.book.assume("a measure at one place", || "taken for the whole piece".to_owned(), source);
        Ok(())
    }

    fn book<S: Sink>(&self, cx: &mut Cx<S>, work: Work, planned: &Bar, lot: &Lot) {
        let (to, now) = (work.to, lot.bar);
        let mass = now.volume() * cx.makeup.bar_density(&now);
        cx.resized(to, Cause::Unexplained, planned, &now);
        cx.lose(to, Cause::Unexplained, planned.mass - mass, lot.count);
    }

    /// Keeps planned and measured side by side.
    fn note<S: Sink>(&self, cx: &mut Cx<S>, work: Work, planned: &Bar, now: &Bar, grown: f64) {
        if !S::MEASURES {
            return;
        }
        let figures = |b: &Bar| [b.calliper_thick(), b.calliper_wide(), b.long, b.mass];
        let [t, w, l] = self.sizes.map(|s| s.map(|s| cx.get(s.q) / grown));
        let read = [t, w, l, self.weight.map(|w| cx.get(w.q))];
        let mut now = figures(now);
        if let Some(mass) = now.get_mut(3)
            && let Some(lot) = cx.lots[work.to]
        {
            *mass = lot.bar.mass;
        }
        cx.book.measured(work.to, figures(planned), now, read);
    }
}

/// Takes off what a bar has lost: of each size that share is kept, in the middle.
fn gone<S: Sink>(cx: &mut Cx<S>, bar: &mut Bar, kept: [f64; 3]) {
    let ([thick, wide, long], sizes) = (kept, bar.sizes());
    if bar.relief.is_some() {
        hollow::down(cx, bar, thick * bar.thick);
    } else {
        if bar.blade.is_none() {
            bar.node = cx.makeup.cut(bar.node, shell(kept), sizes);
        }
        bar.thick *= thick;
    }
    (bar.wide, bar.long) = (bar.wide * wide, bar.long * long);
    bar.mass = bar.volume() * cx.makeup.bar_density(bar);
}

/// A reading is far from what was foretold beyond the first share, and near it within the second (project figures: the shapes that hands
/// leave are seldom a fifth off, and an honest figure seldom has another so near).
const FAR: f64 = 0.2;
const NEAR: f64 = 0.03;

/// What was meant by a reading that is far from what was foretold, where two neighbouring digits changed about bring it near: the
/// nearest of these. `digit` is what its last digit counts.
fn slipped(value: f64, digit: f64, foretold: f64) -> Option<f64> {
    let off = |mm: f64| (mm / foretold - 1.0).abs();
    let told = (value / digit).round();
    if off(value) <= FAR || !(told < 1e9 && (told * digit / value - 1.0).abs() < 1e-9) {
        return None;
    }
    let turned = (0..9).map(|at| 10f64.powi(at)).filter_map(|place| {
        let [low, high] = [(told / place).floor() % 10.0, (told / place / 10.0).floor() % 10.0];
        (told >= 10.0 * place).then_some((told + (low - high) * 9.0 * place) * digit)
    });
    let near = turned.filter(|mm| off(*mm) <= NEAR);
    near.min_by(|a, b| off(*a).total_cmp(&off(*b)))
}
