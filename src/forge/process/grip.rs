//! How a tool holds the steel: what lies under it in one stroke, and the spread law that this makes.

use crate::steel::laws::rolls;
use crate::steel::laws::spread;

use crate::forge::process::rig::Rig;

/// The spread law of one step.
#[derive(Clone, Copy, Debug)]
pub enum Law {
    /// The same coefficient throughout.
    Fixed(f64),
    /// A tool across the bar, `b` mm of it under the tool; the coefficient times the doubt of the run.
    Across(f64, f64),
    /// Rolls of this diameter, mm; likewise.
    Rolls(f64, f64),
}

/// What of a bar lies under the tool in one stroke, mm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Contact {
    /// The tool lies across the bar.
    Across {
        /// Length of bar under it.
        bite: f64,
    },
    /// The tool lies along the bar.
    Along {
        /// Its width, across the bar.
        tool: f64,
        /// Length of bar under it.
        long: f64,
    },
    /// The bar runs between rolls.
    Rolls {
        /// Their diameter.
        diameter: f64,
    },
    /// The bar stands on end.
    Ends,
}

impl Contact {
    /// Area of one touch, mm2, on a bar of this width.
    #[must_use]
    pub fn area(self, wide: f64) -> f64 {
        match self {
            Contact::Across { bite } => bite * wide,
            Contact::Along { tool, long } => tool * long,
            // Arc of contact at a draft of a tenth of the radius: the root of half of that (geometry).
            Contact::Rolls { diameter } => wide * diameter * 0.5 * 0.1f64.sqrt(),
            Contact::Ends => 0.0,
        }
    }

    /// Strokes for one pass over a bar of this width and length.
    #[must_use]
    pub fn bites(self, wide: f64, long: f64) -> f64 {
        match self {
            Contact::Across { bite } => (long / bite).max(1.0),
            Contact::Along { tool, long: under } => (wide / tool).max(1.0) * (long / under).max(1.0),
            Contact::Rolls { .. } | Contact::Ends => 1.0,
        }
    }
}

/// How a step holds the steel: under what, by which machine, and whether its spread is set outright.
#[derive(Clone, Copy, Debug)]
pub struct Grip<'a> {
    /// What lies under the tool.
    pub contact: Contact,
    /// The machine, where the shop has one for this tool.
    pub rig: Option<Rig<'a>>,
    /// The coefficient, where it is set outright.
    pub fixed: Option<f64>,
    /// A factor on the coefficient of a published law: 1, but where a verdict is asked for its doubts.
    pub doubt: f64,
    /// Whether step or shop says what strikes the bar.
    pub stated: bool,
}

impl Grip<'_> {
    /// The spread law of a tool across the bar.
    #[must_use]
    pub fn law(&self) -> Law {
        match (self.fixed, self.contact) {
            (Some(s), _) => Law::Fixed(s),
            (None, Contact::Across { bite }) => Law::Across(bite, self.doubt),
            (None, Contact::Rolls { diameter }) => Law::Rolls(diameter, self.doubt),
            // What a tool across the bar would give in width is length here: the doubt lies on that.
            (None, Contact::Along { tool, long }) => {
                let across = spread::open_die(tool / long) * self.doubt;
                Law::Fixed((1.0 - across).clamp(0.0, spread::ALONG_LIMIT))
            }
            (None, Contact::Ends) => Law::Fixed(0.0),
        }
    }
}

impl Law {
    /// The coefficient for a bar `w` wide that goes from `h0` to `h1` in this press, mm.
    #[must_use]
    pub fn coefficient(self, w: f64, h0: f64, h1: f64) -> f64 {
        match self {
            Law::Fixed(s) => s,
            Law::Across(b, doubt) => (spread::open_die(b / w) * doubt).min(1.0),
            Law::Rolls(d, doubt) => {
                let pass = rolls::Pass { width_mm: w, before_mm: h0, after_mm: h1, radius_mm: d / 2.0 };
                doubt * rolls::wusatowski::coefficient(pass)
            }
        }
    }
}
