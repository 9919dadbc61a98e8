//! Reading figures off a piece, and holding them against what is wanted.

use crate::piece::{Axis, Bar, Makeup, PartRuns, Sampled, bands};
use crate::quantity::Values;

use crate::spec::{Hardness, Judged, NotTold, Reading, Steels, Test, What, hardness, shaped};

impl Test {
    /// Reads its figure off a stretch of a bar, mm from the heel; `None` where there is no such part where the middle of the bar runs.
    fn read_on(&self, stretch: [f64; 2], (values, bar, makeup): (&Values, &Bar, &Makeup)) -> Option<Reading> {
        let (what, part) = (self.what, self.part);
        if what == What::Pitch {
            let [least, most] = makeup.pitch(bar, self.spot?.mark()?)?;
            return Some(Reading { least, most, at: None });
        }
        if let Some(reading) = shaped::read(self, stretch, values, bar, makeup) {
            return reading;
        }
        let Some(part) = part else {
            return Some(Reading::one(whole(what, bar, makeup)));
        };
        let share = makeup.share_of(bar.node, part)?;
        let runs = |axis: Axis| {
            let runs = PartRuns::of(makeup, bar.node, part, axis, bar.along(axis));
            runs.map(|r| Reading { least: r.least, most: r.most, at: None })
        };
        match what {
            What::Share => Some(Reading::one(share)),
            What::Volume => Some(Reading::one(share * bar.volume())),
            What::Mass => Some(Reading::one(makeup.mass_of(bar.node, part, bar.volume()) * bar.past.light)),
            What::Thickness => runs(Axis::Thickness),
            What::Width => runs(Axis::Width),
            What::Length => runs(Axis::Length),
            What::Layers | What::Bands => {
                let runs = |axis: Axis| PartRuns::of(makeup, bar.node, part, axis, bar.along(axis));
                let r = runs(Axis::Thickness).or_else(|| runs(Axis::Width)).or_else(|| runs(Axis::Length))?;
                Some(Reading { least: r.least_layers as f64, most: r.most_layers as f64, at: None })
            }
            What::Hardness
            | What::Spine
            | What::Edge
            | What::Balance
            | What::Tang
            | What::Shows
            | What::Hours
            | What::Cost
            | What::Pitch
            | What::LayersPerMm
            | What::LayersPerIn => None,
        }
    }
}

fn whole(what: What, bar: &Bar, makeup: &Makeup) -> f64 {
    match what {
        What::Thickness => bar.calliper_thick(),
        What::Width => bar.calliper_wide(),
        What::Length => bar.long,
        What::Mass => bar.mass,
        What::Volume => bar.volume(),
        What::Layers => makeup.layers(bar.node) as f64,
        What::Bands if makeup.untold(bar.node) => f64::NAN,
        What::Bands => bands(makeup, bar.node, bar.thick) as f64,
        What::Share => 1.0,
        What::Hardness
        | What::Spine
        | What::Edge
        | What::Balance
        | What::Tang
        | What::Shows
        | What::Hours
        | What::Cost
        | What::Pitch
        | What::LayersPerMm
        | What::LayersPerIn => f64::NAN,
    }
}

impl Test {
    /// What shows on the faces, where it asks for that; `Some(None)` where there is nothing to tell it of.
    fn on_faces(&self, bar: &Bar, makeup: &Makeup) -> Option<Option<Sampled>> {
        const MM_PER_INCH: f64 = 25.4;
        let by =
            |per: f64| makeup.lines_on_face(bar).map(|s| Sampled { mean: s.mean * per, band: s.band * per });
        match (self.what, self.part) {
            (What::LayersPerMm, _) => Some(by(1.0)),
            (What::LayersPerIn, _) => Some(by(MM_PER_INCH)),
            (What::Share, Some(part)) if self.on_face => Some(makeup.share_on_face(bar, part)),
            _ => None,
        }
    }

    /// The hardness where it asks for it.
    ///
    /// # Errors
    /// Why none can be told.
    pub fn hardness(
        &self,
        values: &Values,
        bar: &Bar,
        makeup: &Makeup,
        steels: &Steels,
    ) -> Result<Hardness, NotTold> {
        hardness(bar, makeup, steels, self.part, Some(self.zone.on(values, bar.long)), self.spot)
    }

    /// Judges a bar.
    #[must_use]
    pub fn judge(&self, values: &Values, bar: &Bar, makeup: &Makeup, steels: &Steels) -> Judged {
        self.judge_on(self.zone.on(values, bar.long), values, bar, makeup, steels)
    }

    /// Holds a figure that is of the whole build, and read off no bar.
    #[must_use]
    pub fn judge_figure(&self, got: f64, values: &Values) -> Judged {
        held(&Reading::one(got), self.limits(values))
    }

    /// The same over another stretch than its own, mm from the heel: what would come of asking there.
    #[must_use]
    pub fn judge_on(
        &self,
        stretch: [f64; 2],
        values: &Values,
        bar: &Bar,
        makeup: &Makeup,
        steels: &Steels,
    ) -> Judged {
        let (low, high) = self.limits(values);
        let (reading, band, inside) = if self.what == What::Hardness {
            let hard = hardness(bar, makeup, steels, self.part, Some(stretch), self.spot).ok();
            let told = hard.and_then(|hard| hard.at(self.spot));
            let inside = hard.and_then(|hard| hard.middle).map(|told| told.hrc.least);
            (told.map(|told| told.hrc), told.map_or(0.0, |told| told.band), inside)
        } else if let Some(sampled) = self.on_faces(bar, makeup) {
            (sampled.map(|s| Reading::one(s.mean)), sampled.map_or(0.0, |s| s.band), None)
        } else {
            (self.read_on(stretch, (values, bar, makeup)), 0.0, None)
        };
        let Some(reading) = reading else {
            return Judged { band, inside, ..held(&Reading::one(f64::NAN), (low, high)) };
        };
        let mut judged = held(&reading, (low, high));
        judged.at = judged.at.map(|[x, _]| [x, bar.long - x]);
        Judged { band, inside, ..judged }
    }
}

/// Holds what was read against its limits: what is no figure meets none. Where it stands is told from the heel alone.
fn held(reading: &Reading, (low, high): (Option<f64>, Option<f64>)) -> Judged {
    if reading.least.is_nan() {
        let none = Judged {
            low,
            high,
            got: f64::NAN,
            margin: f64::NAN,
            met: false,
            band: 0.0,
            inside: None,
            at: None,
        };
        return none;
    }
    // The figure that fails first is the one that counts.
    let room_below = low.map(|low| reading.least - low);
    let room_above = high.map(|high| high - reading.most);
    let below_is_tighter = room_below.unwrap_or(f64::INFINITY) <= room_above.unwrap_or(f64::INFINITY);
    let (got, margin) = match (room_below, room_above) {
        (Some(room), _) if below_is_tighter => (reading.least, room),
        (_, Some(room)) => (reading.most, room),
        _ => (reading.least, f64::INFINITY),
    };
    // Met to the rounding of the arithmetic: a press that stops on the size asked for has met it.
    let limit = if below_is_tighter { low } else { high };
    let met = margin >= -1e-9 * limit.map_or(1.0, |limit| limit.abs().max(1.0));
    let at = reading.at.map(|[low, high]| [if below_is_tighter { low } else { high }, 0.0]);
    let margin = if met { margin.max(0.0) } else { margin };
    Judged { low, high, got, margin, met, band: 0.0, inside: None, at }
}
