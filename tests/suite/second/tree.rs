//! A recipe as a small tree, and how it is written as text.

use std::fmt::Write as _;

/// A unit of length that a figure is written in.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Unit {
    Mm,
    Cm,
    Inch,
    /// Inches, written as a fraction of 64ths.
    Fraction,
    Thou,
}

/// A length as it is written: the figure and its unit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Len {
    pub figure: f64,
    pub unit: Unit,
}

impl Len {
    /// A length of so many mm.
    pub fn of_mm(figure: f64) -> Self {
        Self { figure, unit: Unit::Mm }
    }

    /// The length in mm.
    pub fn mm(self) -> f64 {
        match self.unit {
            Unit::Mm => self.figure,
            Unit::Cm => self.figure * 10.0,
            Unit::Inch | Unit::Fraction => self.figure * 25.4,
            Unit::Thou => self.figure * 0.0254,
        }
    }

    fn text(self) -> String {
        match self.unit {
            Unit::Mm => format!("{} mm", self.figure),
            Unit::Cm => format!("{} cm", self.figure),
            Unit::Inch => format!("{} in", self.figure),
            Unit::Thou => format!("{} thou", self.figure),
            Unit::Fraction => {
                let parts = (self.figure * 64.0).round() as u64;
                let (whole, mut over, mut under) = (parts / 64, parts % 64, 64);
                while over % 2 == 0 && under > 1 {
                    over /= 2;
                    under /= 2;
                }
                match (whole, over) {
                    (_, 0) => format!("{whole} in"),
                    (0, _) => format!("{over}/{under} in"),
                    _ => format!("{whole} {over}/{under} in"),
                }
            }
        }
    }
}

/// What a heat takes off.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Scale {
    None,
    /// So much off each face.
    Each(Len),
    /// Such a share of the volume, in percent.
    Share(f64),
}

/// The shop's own constants.
#[derive(Clone, Debug, PartialEq)]
pub struct Shop {
    /// Left out: 2 mm.
    pub kerf: Option<Len>,
    pub scale: Scale,
    /// For pressing steps that state none, unless their tool lies along the bar.
    pub spread: Option<f64>,
}

/// The fire of a hot step: how many heats (left out: one, for steps that do not press), how hot, how long.
#[derive(Clone, Copy, Debug, PartialEq, Default)]
pub struct Fire {
    pub heats: Option<u32>,
    pub celsius: f64,
    pub minutes: f64,
}

/// One name in a stack.
#[derive(Clone, Debug, PartialEq)]
pub struct Item {
    pub count: Option<usize>,
    pub name: String,
    pub turned: bool,
    pub flipped: bool,
}

/// How far a weld is pressed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Press {
    /// By 10 %.
    Unsaid,
    /// By so many percent.
    Thinning(f64),
    /// To a size, in the direction that it is pressed.
    To(Len),
}

/// The outline that a bar is drawn to.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Outline {
    Square,
    Round,
    Octagon,
}

/// How a bar is cut.
#[derive(Clone, Debug, PartialEq)]
pub enum Cut {
    Into(usize),
    Named(Vec<String>),
    At(Len, String, String),
    To(Len),
    Each(Len),
    Heel(Len),
    Tip(Len),
}

/// Where a piece is laid against another.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Side {
    Edge,
    End,
    Face,
}

/// What an `expect` looks at.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Looked {
    Thickness,
    Width,
    Length,
    Mass,
    Layers,
    Bands,
}

/// One step.
#[derive(Clone, Debug, PartialEq)]
pub enum Step {
    Stock {
        name: String,
        count: usize,
        round: bool,
        square: bool,
        steel: usize,
        size: Vec<Len>,
    },
    FromRack {
        name: String,
        from: String,
    },
    Stack {
        name: String,
        alternate: bool,
        items: Vec<Item>,
        side: bool,
        trimmed: bool,
        /// Rounds alike in a hexagon.
        bundle: bool,
    },
    /// Bars of one name in a can, or powder alone, which is then so long.
    Can {
        name: String,
        of: Option<String>,
        size: [Len; 2],
        long: Len,
        wall: Len,
        powder: usize,
        packed: f64,
        ground: bool,
    },
    Weld {
        name: String,
        press: Press,
        fire: Fire,
        spread: Option<f64>,
    },
    Draw {
        name: String,
        size: [Option<Len>; 3],
        outline: Option<(Outline, Len)>,
        hot: Option<f64>,
        fire: Fire,
        spread: Option<f64>,
    },
    Spread {
        name: String,
        wide: Len,
        fire: Fire,
        spread: f64,
    },
    Edge {
        name: String,
        wide: Len,
        fire: Fire,
        spread: Option<f64>,
    },
    Upset {
        name: String,
        long: Len,
        fire: Fire,
    },
    Fold {
        name: String,
        leaves: Option<usize>,
        kerf: Option<Len>,
    },
    Cut {
        name: String,
        cut: Cut,
        kerf: Option<Len>,
        keep: Option<String>,
    },
    Grind {
        name: String,
        off: [Option<Len>; 3],
        to: [Option<Len>; 2],
    },
    Join {
        name: String,
        to: String,
        side: Side,
        press: Press,
        trimmed: bool,
        fire: Fire,
        spread: Option<f64>,
    },
    Turn {
        name: String,
    },
    Flip {
        name: String,
    },
    Heat {
        name: String,
        fire: Fire,
    },
    Normalise {
        name: String,
        times: u32,
        fire: Fire,
    },
    Harden {
        name: String,
        fire: Fire,
    },
    Temper {
        name: String,
        celsius: f64,
        hours: f64,
        times: u32,
    },
    Measure {
        name: String,
        size: [Option<Len>; 3],
    },
    Expect {
        name: String,
        tests: Vec<(Looked, f64)>,
    },
    Repeat {
        times: usize,
        body: Vec<Step>,
    },
}

/// A whole recipe.
#[derive(Clone, Debug, PartialEq)]
pub struct Recipe {
    pub shop: Shop,
    pub steps: Vec<Step>,
}

/// The steels that generated recipes use, with their densities in g/mm3 as the table of grades has them.
pub const STEELS: [(&str, f64); 6] = [
    ("1084", 7.85e-3),
    ("15N20", 7.85e-3),
    ("1018", 7.85e-3),
    ("W2", 7.84e-3),
    ("304", 8.0e-3),
    ("O1", 7.81e-3),
];

fn fire_words(fire: Fire, out: &mut String) {
    if let Some(n) = fire.heats {
        _ = write!(out, ", heats {n}");
    }
    if fire.celsius > 0.0 {
        _ = write!(out, ", at {} C", fire.celsius);
    }
    if fire.minutes > 0.0 {
        _ = write!(out, ", for {} min", fire.minutes);
    }
}

fn item_words(items: &[Item], out: &mut String) {
    for (i, item) in items.iter().enumerate() {
        if i > 0 {
            out.push_str(", ");
        }
        if let Some(n) = item.count {
            _ = write!(out, "{n} of ");
        }
        out.push_str(&item.name);
        if item.turned {
            out.push_str(" turned");
        }
        if item.flipped {
            out.push_str(" flipped");
        }
    }
}

fn spread_words(spread: Option<f64>, out: &mut String) {
    if let Some(s) = spread {
        _ = write!(out, ", spread {s}");
    }
}

fn press_words(press: Press, across: &str, out: &mut String) {
    match press {
        Press::Unsaid => {}
        Press::Thinning(p) => _ = write!(out, ", thinning {p} %"),
        Press::To(size) => _ = write!(out, ", to {} {across}", size.text()),
    }
}

impl Step {
    /// The step's line (or lines), indented.
    pub fn text(&self, indent: &str) -> String {
        let mut out = String::new();
        match self {
            Self::Stock { name, count, round, square, steel, size } => {
                let shape = match (round, square) {
                    (true, _) => "round",
                    (_, true) => "square",
                    _ => "bar",
                };
                let sizes: Vec<String> = size.iter().map(|s| s.text()).collect();
                let s = if *count == 1 { "" } else { "s" };
                _ = write!(
                    out,
                    "stock {name} = {count} {shape}{s} of {}, {}",
                    STEELS[*steel].0,
                    sizes.join(" x ")
                );
            }
            Self::FromRack { name, from } => _ = write!(out, "stock {name} = {from} from rack"),
            Self::Can { name, of, size: [t, w], long, wall, powder, packed, ground } => {
                let alone = if of.is_none() { format!(" x {}", long.text()) } else { String::new() };
                _ = write!(
                    out,
                    "stack {name} = {} in can {} x {}{alone}, wall {}, powder of {}, packed {packed} %{}",
                    of.as_deref().unwrap_or(""),
                    t.text(),
                    w.text(),
                    wall.text(),
                    STEELS[*powder].0,
                    if *ground { ", ground off" } else { "" }
                );
            }
            Self::Stack { name, alternate, items, side, trimmed, bundle } => {
                _ = write!(out, "stack {name} = {}", if *alternate { "alternate " } else { "" });
                item_words(items, &mut out);
                if *bundle {
                    out.push_str(" in bundle");
                }
                if *side {
                    out.push_str(" side by side");
                }
                if *trimmed {
                    out.push_str(", trimmed");
                }
            }
            Self::Weld { name, press, fire, spread } => {
                _ = write!(out, "weld {name}");
                press_words(*press, "thick", &mut out);
                fire_words(*fire, &mut out);
                spread_words(*spread, &mut out);
            }
            Self::Draw { name, size, outline, hot, fire, spread } => {
                _ = write!(out, "draw {name} to ");
                let hot = hot.map(|t| format!(" hot at {t} C")).unwrap_or_default();
                let mut words: Vec<String> = size
                    .iter()
                    .zip(["thick", "wide", "long"])
                    .filter_map(|(s, word)| s.map(|s| format!("{}{hot} {word}", s.text())))
                    .collect();
                if let Some((outline, s)) = outline {
                    words.push(format!("{}{hot} {}", s.text(), format!("{outline:?}").to_lowercase()));
                }
                out.push_str(&words.join(", "));
                fire_words(*fire, &mut out);
                spread_words(*spread, &mut out);
            }
            Self::Spread { name, wide, fire, spread } => {
                _ = write!(out, "spread {name} to {} wide with peen 12 mm", wide.text());
                fire_words(*fire, &mut out);
                spread_words(Some(*spread), &mut out);
            }
            Self::Edge { name, wide, fire, spread } => {
                _ = write!(out, "edge {name} to {} wide", wide.text());
                fire_words(*fire, &mut out);
                spread_words(*spread, &mut out);
            }
            Self::Upset { name, long, fire } => {
                _ = write!(out, "upset {name} to {} long", long.text());
                fire_words(*fire, &mut out);
            }
            Self::Fold { name, leaves, kerf } => {
                _ = write!(out, "fold {name}");
                if let Some(n) = leaves {
                    _ = write!(out, " in {n}");
                }
                if let Some(k) = kerf {
                    _ = write!(out, ", kerf {}", k.text());
                }
            }
            Self::Cut { name, cut, kerf, keep } => {
                _ = match cut {
                    Cut::Into(n) => write!(out, "cut {name} into {n}"),
                    Cut::Named(names) => write!(out, "cut {name} into {}", names.join(", ")),
                    Cut::At(at, a, b) => write!(out, "cut {name} at {} into {a}, {b}", at.text()),
                    Cut::To(l) => write!(out, "cut {name} to {} long", l.text()),
                    Cut::Each(l) => write!(out, "cut {name} {} off each end", l.text()),
                    Cut::Heel(l) => write!(out, "cut {name} {} off the heel end", l.text()),
                    Cut::Tip(l) => write!(out, "cut {name} {} off the tip end", l.text()),
                };
                if let Some(k) = kerf {
                    _ = write!(out, ", kerf {}", k.text());
                }
                if let Some(k) = keep {
                    _ = write!(out, ", keep {k}");
                }
            }
            Self::Grind { name, off, to } => {
                _ = write!(out, "grind {name} ");
                let mut words: Vec<String> = off
                    .iter()
                    .zip(["faces", "edges", "ends"])
                    .filter_map(|(s, word)| s.map(|s| format!("{word} {}", s.text())))
                    .collect();
                words.extend(
                    to.iter()
                        .zip(["thick", "wide"])
                        .filter_map(|(s, word)| s.map(|s| format!("to {} {word}", s.text()))),
                );
                out.push_str(&words.join(", "));
            }
            Self::Join { name, to, side, press, trimmed, fire, spread } => {
                _ = write!(out, "join {name} to {to} on {}", format!("{side:?}").to_lowercase());
                let across = match side {
                    Side::Edge => "wide",
                    Side::End => "long",
                    Side::Face => "thick",
                };
                press_words(*press, across, &mut out);
                if *trimmed {
                    out.push_str(", trimmed");
                }
                fire_words(*fire, &mut out);
                spread_words(*spread, &mut out);
            }
            Self::Turn { name } => _ = write!(out, "turn {name}"),
            Self::Flip { name } => _ = write!(out, "flip {name}"),
            Self::Heat { name, fire } => {
                _ = write!(out, "heat {name}");
                fire_words(*fire, &mut out);
            }
            Self::Normalise { name, times, fire } => {
                _ = write!(
                    out,
                    "normalise {name} at {} C, {times} times, for {} min",
                    fire.celsius, fire.minutes
                );
            }
            Self::Harden { name, fire } => {
                _ = write!(out, "harden {name} from {} C in oil, for {} min", fire.celsius, fire.minutes);
            }
            Self::Temper { name, celsius, hours, times } => {
                _ = write!(out, "temper {name} at {celsius} C for {hours} h, {times} times");
            }
            Self::Measure { name, size } => {
                let words: Vec<String> = size
                    .iter()
                    .zip(["thick", "wide", "long"])
                    .filter_map(|(s, word)| s.map(|s| format!("{} {word}", s.text())))
                    .collect();
                _ = write!(out, "measure {name}: {}", words.join(", "));
            }
            Self::Expect { name, tests } => {
                let words: Vec<String> = tests
                    .iter()
                    .map(|(looked, least)| {
                        let unit = match looked {
                            Looked::Layers | Looked::Bands => "",
                            Looked::Mass => " g",
                            _ => " mm",
                        };
                        format!("{} >= {least}{unit}", format!("{looked:?}").to_lowercase())
                    })
                    .collect();
                _ = write!(out, "expect {name}: {}", words.join(", "));
            }
            Self::Repeat { times, body } => {
                _ = writeln!(out, "repeat {times} {{");
                for step in body {
                    out.push_str(&step.text(&format!("{indent}  ")));
                }
                return format!("{indent}{out}{indent}}}\n");
            }
        }
        format!("{indent}{out}\n")
    }
}

impl Shop {
    fn text(&self) -> String {
        let mut out = "shop {\n".to_owned();
        if let Some(k) = self.kerf {
            _ = writeln!(out, "  kerf {}", k.text());
        }
        _ = match self.scale {
            Scale::None => writeln!(out, "  scale none"),
            Scale::Each(r) => writeln!(out, "  scale {} per heat", r.text()),
            Scale::Share(p) => writeln!(out, "  scale {p} % per heat"),
        };
        if let Some(s) = self.spread {
            _ = writeln!(out, "  spread {s}");
        }
        out.push_str("}\n");
        out
    }
}

impl Recipe {
    /// The recipe as text.
    pub fn text(&self) -> String {
        let steps: String = self.steps.iter().map(|s| s.text("")).collect();
        self.shop.text() + &steps
    }

    /// The steps with every `repeat` written out.
    pub fn written_out(&self) -> Vec<&Step> {
        fn into<'a>(steps: &'a [Step], out: &mut Vec<&'a Step>) {
            for step in steps {
                match step {
                    Step::Repeat { times, body } => (0..*times).for_each(|_| into(body, out)),
                    step => out.push(step),
                }
            }
        }
        let mut out = Vec::new();
        into(&self.steps, &mut out);
        out
    }
}
