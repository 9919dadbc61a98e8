//! `tang`: what is behind the heel becomes the tang, forged or cut; or the heel end of the blade does.

use crate::piece::blade::Blade;
use crate::piece::{Cause, Lot};
use crate::quantity::{Kind, halve, show};
use crate::source::Code;

use crate::forge::process::fire::{HEATING, Heating};
use crate::forge::process::shaping::{Change, Manner, begin, burn, reshape, take_down};
use crate::forge::words::args::{Blades, Hazard, Usual};
use crate::forge::words::sizes::{Size, Sizes};
use crate::forge::{Bag, Cx, Fault, Key, Moved, Outcome, Sink, Word, Work, Works};

/// Length over which the tang runs into the blade, mm (project figure).
const SHOULDER: f64 = 3.0;

/// The share of a piece that may be lost to its tang without a word (project figure).
const WASTE: f64 = 0.25;

/// Making the tang.
pub struct Tang {
    heating: Heating,
    manner: (Manner, bool),
    full: bool,
    to: Sizes,
}

impl Works for Tang {
    const WORD: Word = Word {
        word: "tang",
        doc: "makes the tang of the steel behind the heel: a stick, forged or ground, or a full one",
        clauses: &[&[Key::Stick, Key::Full, Key::Size, Key::Forged, Key::Ground], HEATING],
        example: "tang blade stick, to 90 mm long, 12 mm wide, 4 mm thick, forged",
        // The middle of the two.
        heats: Some(Usual {
            what: "heats of a forged tang",
            heats: 6,
            note: "",
            source: "common practice: ten by hand, two by a power hammer",
        }),
        hazards: &[Hazard::Fire, Hazard::Press, Hazard::Grind],
        blades: Blades::Makes,
        ..Word::FORGED
    };

    fn bind(bag: &mut Bag) -> Option<Self> {
        let (stick, full) = (bag.flag(Key::Stick), bag.flag(Key::Full));
        let to = Sizes::bind(bag);
        let heating = Heating::bind(bag);
        let usual = if full.is_some() { Manner::Ground } else { Manner::Forged };
        let manner = Manner::bind(bag, usual, &heating);
        let message = "a tang is a stick or full, not both";
        bag.clash(Code::TangHow, message, (stick, "a stick"), (full, "full"));
        let name = bag.name.text.clone();
        let wrong = to.section.map(|s| s.1.span);
        let missing = to.wide.is_none() || (to.thick.is_none() && stick.is_some());
        if let Some(wrong) = wrong {
            let fault =
                Code::TangHow.says("a tang has a length, a width and a thickness").at(wrong, "not this");
            let help =
                format!("say it in full, as in `tang {name} stick, to 90 mm long, 12 mm wide, 4 mm thick`");
            bag.fault(fault.help(help));
        } else if missing {
            let what = match (to.wide.is_none(), to.thick.is_none() && full.is_none()) {
                (true, true) => "how wide, and how thick",
                (true, false) => "how wide",
                (false, _) => "how thick",
            };
            // What is said stays as it is: only what lacks is told.
            let help = match (to.wide.is_none(), to.thick.is_none() && full.is_none()) {
                (true, true) if to.long.is_none() => format!(
                    "say it in full, as in `tang {name} stick, to 90 mm long, 12 mm wide, 4 mm thick, forged`, or `tang {name} full, to 110 mm long, 25 mm wide`"
                ),
                (true, true) => {
                    "add both, as in `12 mm wide, 4 mm thick`; or make it `full`, and add how wide".to_owned()
                }
                (true, false) => "add it, as in `12 mm wide`".to_owned(),
                (false, _) => "add it, as in `4 mm thick`; or make it `full`".to_owned(),
            };
            bag.unsaid(Code::TangHow, "this does not say what the tang measures", what, help);
        }
        if bag.faulty() {
            return None;
        }
        Some(Tang { heating, manner, full: full.is_some(), to })
    }

    fn moved(&self, before: Moved) -> Moved {
        if self.manner.0 == Manner::Forged { [true; 3] } else { before }
    }

    fn run<S: Sink>(&self, cx: &mut Cx<S>, work: Work) -> Outcome {
        let (mut lot, mut blade) = begin(cx, work, self.manner)?;
        let mut cold = |size: Option<Size>| size.map(|s| s.cold(cx)).transpose();
        let (long, wide, thick) = (cold(self.to.long)?, cold(self.to.wide)?, cold(self.to.thick)?);
        if self.manner.0 == Manner::Forged {
            let heats = self.heating.heats(cx, work)?;
            burn(cx, work, &mut lot, &mut blade, &self.heating, (heats, true))?;
        }
        let heel = blade.section(0.0);
        let wide = wide.unwrap_or(heel.width());
        let thick = thick.unwrap_or(heel.thickest().thick());
        self.check(cx, work, &blade, wide, thick)?;
        let before = lot.bar.mass;
        match self.manner.0 {
            Manner::Forged => self.forge(cx, (work, &mut lot, blade), [long.unwrap_or(0.0), wide, thick])?,
            Manner::Ground => self.grind(cx, (work, &mut lot, blade), long, [wide, thick])?,
        }
        if S::KEEPS && before - lot.bar.mass > before * WASTE {
            self.warn_waste(cx, work, before, before - lot.bar.mass);
        }
        cx.put(work.to, lot, work.site)
    }
}

/// Makes so much of a blade's heel end its tang.
fn move_heel<S: Sink>(cx: &mut Cx<S>, work: Work, lot: &mut Lot, blade: &mut Blade, up: f64) {
    blade.stand(up);
    blade.heel_at(up);
    reshape(cx, work.to, lot, blade.clone(), Change::Tang);
}

impl Tang {
    /// Draws the steel behind the heel to the tang's section; of a blade without any, as much of its heel end as it takes.
    fn forge<S: Sink>(
        &self,
        cx: &mut Cx<S>,
        (work, lot, mut blade): (Work, &mut Lot, Blade),
        to: [f64; 3],
    ) -> Outcome {
        let [long, wide, thick] = to;
        let behind = blade.volume_within(blade.start(), 0.0);
        let has_behind = blade.start() < -1e-6;
        let needs = long * wide * thick;
        if !has_behind {
            if long <= 0.0 {
                return Err(self.how_long(cx, work));
            }
            // The heel moves up until enough steel lies behind it.
            let (low, high) = halve((0.0, blade.tip()), 60, |x| blade.volume_within(0.0, x) < needs);
            if high >= blade.tip() * 0.9 {
                return Err(self.too_little(cx, work, needs, blade.volume()));
            }
            move_heel(cx, work, lot, &mut blade, low);
        } else if needs > behind * (1.0 + 1e-6) {
            return Err(self.too_little(cx, work, needs, behind));
        }
        let volume = if has_behind { behind } else { blade.volume_within(blade.start(), 0.0) };
        let full = volume / (wide * thick);
        let drawn = blade.drawn_tang(wide, thick, full);
        reshape(cx, work.to, lot, drawn.clone(), Change::Forged);
        if has_behind && long > 0.0 && full > long * (1.0 + 1e-9) {
            let mut cropped = drawn.clone();
            cropped.keep(-long, drawn.tip());
            take_down(cx, work, lot, (&drawn, cropped), Cause::Trimmed)?;
        }
        Ok(())
    }

    fn grind<S: Sink>(
        &self,
        cx: &mut Cx<S>,
        (work, lot, mut blade): (Work, &mut Lot, Blade),
        long: Option<f64>,
        [wide, thick]: [f64; 2],
    ) -> Outcome {
        let has = -blade.start().min(0.0);
        let long = match long {
            Some(long) => long,
            None if has > 1e-6 => has,
            None => return Err(self.how_long(cx, work)),
        };
        if has < 1e-6 {
            if long >= blade.tip() * 0.9 {
                return Err(self.too_long(cx, work, long, blade.tip()));
            }
            move_heel(cx, work, lot, &mut blade, long);
        } else if long > has * (1.0 + 1e-9) {
            return Err(self.too_long(cx, work, long, has));
        }
        let before = blade.clone();
        if has > long * (1.0 + 1e-9) {
            blade.keep(-long, blade.tip());
        }
        let whole = self.full && self.to.thick.is_none();
        blade.ground_tang(wide, (!whole).then_some(thick), SHOULDER);
        take_down(cx, work, lot, (&before, blade), Cause::Ground)
    }

    /// A tang is no thicker or wider than what it is made of.
    fn check<S: Sink>(&self, cx: &Cx<S>, work: Work, blade: &Blade, wide: f64, thick: f64) -> Outcome {
        let from = blade.section(blade.start());
        let sizes =
            [(wide, from.width(), self.to.wide, "wide"), (thick, from.thickness(), self.to.thick, "thick")];
        for (asked, has, size, word) in sizes {
            let Some(size) = size else { continue };
            if asked > has * (1.0 + 1e-9) {
                let (asked, has) = (cx.mm(asked), cx.mm_within(has));
                let name = cx.ground.lot_name(work.from);
                let made = cx.made(work.from);
                return Err(Code::AlreadySmaller
                    .says(format!("`{name}` is not so {word} where the tang is made of it"))
                    .at(size.span, format!("asked {asked}; it is {has}"))
                    .and(made, "it comes out of this step so")
                    .stops(format!("ask for at most {has} {word}")));
            }
        }
        Ok(())
    }

    fn warn_waste<S: Sink>(&self, cx: &mut Cx<S>, work: Work, had: f64, lost: f64) {
        let name = cx.ground.lot_name(work.from);
        let share = show(lost / had, Kind::RATIO, cx.units);
        let lost = show(lost, Kind::MASS, cx.units);
        let found = Code::TangWaste
            .says(format!("much of `{name}` is lost to its tang"))
            .at(self.to.span.unwrap_or(work.site), format!("{lost} goes, {share} of it"))
            .help("cut what is too much off the heel end first, while it is a bar, and keep it");
        cx.book.warn(|| found);
    }

    fn how_long<S: Sink>(&self, cx: &Cx<S>, work: Work) -> Fault {
        let name = cx.ground.lot_name(work.from);
        Code::TangHow
            .says("nothing lies behind the heel, and this does not say how long the tang is")
            .at(work.site, "how long")
            .stops(format!("add it, as in `to 90 mm long`: the steel comes out of `{name}`"))
    }

    fn too_little<S: Sink>(&self, cx: &Cx<S>, work: Work, needs: f64, has: f64) -> Fault {
        let name = cx.ground.lot_name(work.from);
        let (needs, has) = (show(needs, Kind::VOLUME, cx.units), show(has, Kind::VOLUME, cx.units));
        Code::NotEnoughSteel
            .says(format!("`{name}` has not enough steel behind the heel for this tang"))
            .at(self.to.span.unwrap_or(work.site), format!("needs {needs}; there is {has}"))
            .stops("a shorter or thinner tang, or a longer bar before the profile")
    }

    fn too_long<S: Sink>(&self, cx: &Cx<S>, work: Work, asked: f64, has: f64) -> Fault {
        let (asked, has) = (cx.mm(asked), cx.mm_within(has));
        let name = cx.ground.lot_name(work.from);
        Code::NotEnoughSteel
            .says(format!("`{name}` is not long enough for this tang"))
            .at(self.to.long.map_or(work.site, |s| s.span), format!("asked {asked}; there is {has}"))
            .stops("a shorter tang, a longer bar before the profile, or forge it: a stick is drawn out of little steel")
    }
}
