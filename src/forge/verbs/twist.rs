//! `twist`: turns one end of a hot bar against the other. Sizes stay; the layers wind round the middle.

use crate::piece::{Section, Warp, warp};
use crate::quantity::{Length, Number, Q, trim_number};
use crate::source::{Code, Diagnostic};
use crate::steel::laws::twist;

use crate::forge::process::fire::Heating;
use crate::forge::verbs::heat::rest;
use crate::forge::words::args::{Hazard, Usual};
use crate::forge::{Bag, Cx, Fault, Key, Outcome, Sink, Word, Work, Works};

/// What tongs and vice hold at each end where nothing is said, mm: 1 to 1 1/2 in (common practice).
const GRIPS: f64 = 30.0;
/// A bar less even than this is no rod to twist: width over thickness (project figure).
const UNEVEN: f64 = 1.5;

/// Twisting.
pub struct Twist {
    heating: Heating,
    turns: Q<Number>,
    per: Option<Q<Length>>,
    grips: Option<Q<Length>>,
    hand: &'static str,
}

impl Works for Twist {
    const WORD: Word = Word {
        word: "twist",
        doc: "turns one end of a hot bar against the other: sizes stay, the layers wind round the middle",
        clauses: &[&[Key::Turns, Key::Hand, Key::Grips, Key::Heats, Key::At, Key::For]],
        example: "twist rod 3 turns per 100 mm, left, grips 30 mm",
        heats: Some(Usual { what: "heats of a twist", heats: 2, note: "", source: "project figure" }),
        hazards: &[Hazard::Fire, Hazard::Twist],
        mark: "before: punch the heel's end once, beside the face that is up, and the tip's end beside the same face: how far the two marks part is what was turned",
        ..Word::FORGED
    };

    fn bind(bag: &mut Bag) -> Option<Self> {
        let turns = bag.take(Key::Turns);
        let hand = bag.take(Key::Hand);
        let grips = bag.opt(Key::Grips);
        let heating = Heating::bind(bag);
        let name = bag.name.text.clone();
        let Some(turns) = turns else {
            let help = format!(
                "say it in full, as in `twist {name} 3 turns per 100 mm, left, grips 30 mm`, or `14 turns`"
            );
            bag.unsaid(Code::TwistHow, "this does not say how far to twist", "how many turns", help);
            return None;
        };
        let mut slots = turns.slots();
        let count = slots.next().and_then(|s| bag.typed(s, "turns"));
        let per = slots.next().and_then(|s| bag.typed(s, "per"));
        let hand = if hand.is_some_and(|h| h.says("left")) { "left" } else { "right" };
        Some(Twist { heating, turns: count?, per, grips, hand })
    }

    fn run<S: Sink>(&self, cx: &mut Cx<S>, work: Work) -> Outcome {
        let lot = cx.solid(work)?;
        let bar = lot.bar;
        let grips = cx.length_or(self.grips, "grips", GRIPS, "common practice")?;
        let free = bar.long - 2.0 * grips;
        let turns = cx.get(self.turns);
        if turns.is_nan() || turns <= 0.0 || free <= 0.0 {
            return Err(self.cannot(cx, work, free, grips, bar.long));
        }
        let turns = match self.per {
            Some(q) => turns * free / crate::forge::process::shaping::above_nothing(cx, q)?,
            None => turns,
        };
        let heats = self.heating.heats(cx, work)?;
        self.check_even(cx, work, bar.thick, bar.wide)?;
        // The outermost fibre is worked hardest: a corner, or the face of a round.
        let radius = match bar.section {
            Section::Round => bar.calliper_thick() / 2.0,
            Section::Octagon => bar.calliper_thick() / 2.0 / (std::f64::consts::PI / 8.0).cos(),
            Section::Flat => twist::flat_corner_radius_mm(bar.thick, bar.wide),
        };
        let strain = twist::equivalent_strain(twist::shear_of_turns(radius, turns, free)) / f64::from(heats);
        self.check_strain(cx, work, strain, (radius, free, heats), bar.section)?;
        let (mut lot, _) = rest(cx, work, lot, &self.heating, heats)?;
        let turned = if self.hand == "left" { -turns } else { turns };
        let warp = warp::Twist { turns: turned, grips: grips / lot.bar.long };
        lot.bar.node = cx.makeup.warp(lot.bar.node, Warp::Twist(warp));
        let hand = self.hand;
        let shown = || {
            let turns = trim_number(turns, 1);
            format!("{turns} turns to the {hand}; the grips stay straight, and are to be cropped")
        };
        let source = "geometry; a small growth is real, no figure for hot steel was found";
        cx.book.assume("a twisted bar keeps its length", shown, source);
        cx.put(work.to, lot, work.site)
    }
}

impl Twist {
    fn cannot<S: Sink>(&self, cx: &Cx<S>, work: Work, free: f64, grips: f64, long: f64) -> Fault {
        let (grips, long) = (cx.mm(grips), cx.mm(long));
        if free <= 0.0 {
            let span = self.grips.map_or(work.site, |q| cx.span(q));
            return Code::TwistHow
                .says("the grips leave nothing to twist")
                .at(span, format!("{grips} at each end"))
                .and(work.site, format!("the bar is {long} long"))
                .stops("hold less of it, or twist a longer bar");
        }
        let turns = trim_number(cx.get(self.turns), 2);
        Diagnostic::new(Code::TwistHow, "a twist goes forward", cx.span(self.turns), format!("{turns} turns"))
            .stops("write the turns above nothing, and the hand as `left` or `right`")
    }

    fn check_even<S: Sink>(&self, cx: &mut Cx<S>, work: Work, thick: f64, wide: f64) -> Outcome {
        let ratio = (thick / wide).max(wide / thick);
        if ratio <= UNEVEN {
            return Ok(());
        }
        let (thick, wide) = (cx.mm(thick), cx.mm(wide));
        let made = cx.made(work.from);
        let name = cx.ground.lot_name(work.from).to_owned();
        let site = work.site;
        cx.book.warn(|| {
            Code::TwistFlat
                .says(format!("`{name}` is no even rod: it twists where it is weakest"))
                .at(site, format!("{thick} on {wide}"))
                .and(made, "it comes out of this step so")
                .help(format!("draw it square, and knock the corners: `draw {name} to 12 mm octagon`"))
        });
        Ok(())
    }

    fn check_strain<S: Sink>(
        &self,
        cx: &mut Cx<S>,
        work: Work,
        strain: f64,
        (radius, free, heats): (f64, f64, u32),
        section: Section,
    ) -> Outcome {
        let site = work.site;
        let shown = trim_number(strain, 2);
        let words = cx.span(self.turns);
        // Turns that keep the strain of a heat to a limit.
        let most = |limit: f64| {
            let turns = free / twist::tightest_pitch_mm(radius, limit) * f64::from(heats);
            trim_number((turns * 10.0).floor() / 10.0, 1)
        };
        if strain > twist::STRAIN_FAULTS {
            let turns = most(twist::STRAIN_FAULTS);
            return Err(Code::TwistShears
                .says("the bar shears before it is twisted so far")
                .at(
                    words,
                    format!("a strain of {shown} at the outside in each heat; hot steel bears about 3"),
                )
                .and(site, "in this step")
                .stops(format!(
                    "at most {turns} turns in all in these heats; or more heats, or a thinner rod"
                )));
        }
        if strain > twist::STRAIN_WARNS {
            let turns = most(twist::STRAIN_WARNS);
            cx.book.warn(|| {
                Code::TightTwist
                    .says("this is a tight twist")
                    .at(words, format!("a strain of {shown} at the outside in each heat"))
                    .help(format!(
                        "up to {turns} turns in these heats stay easy: twist over more heats, each even"
                    ))
            });
        }
        if section == Section::Flat {
            cx.book.warn(|| {
                Code::TwistCorners
                    .says("the corners of a square bar fold into cold shuts when it is squared again")
                    .at(site, "its corners still stand")
                    .help("knock the corners first: `draw … to 12 mm octagon` (common practice)")
            });
        }
        Ok(())
    }
}
