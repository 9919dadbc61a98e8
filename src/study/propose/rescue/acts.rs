//! What can be done to a bar that stands where a build misses its target: lines of a recipe with figures left open.

use crate::forge::Act as Verb;
use crate::quantity::{Kind, Units, written};

/// What a figure is a multiple of: a size of the bar as the act finds it, or one mm (one piece, where it is a count).
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Of {
    Thick,
    Wide,
    Long,
    One,
}

/// A figure that an act leaves open.
#[derive(Clone, Copy, Debug)]
pub(super) struct Figure {
    pub of: Of,
    pub kind: Kind,
    /// Between these multiples it is looked for; where they are the same it follows from the bar.
    pub within: [f64; 2],
    /// Where it follows from the bar: rounded up to this, base unit.
    pub step: f64,
}

impl Figure {
    fn asked(of: Of, low: f64, high: f64) -> Figure {
        Figure { of, kind: Kind::LENGTH, within: [low, high], step: 0.0 }
    }

    fn pieces(most: f64) -> Figure {
        Figure { of: Of::One, kind: Kind::NUMBER, within: [2.0, most], step: 0.0 }
    }

    fn follows(of: Of, step: f64) -> Figure {
        Figure { of, kind: Kind::LENGTH, within: [1.0; 2], step }
    }

    /// Whether it follows from the bar.
    pub fn given(&self) -> bool {
        self.within[0] >= self.within[1]
    }
}

/// What an act may do to a piece beside its sizes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Marks {
    /// Presses it: a pattern goes along.
    Presses,
    /// Lays more layers on each other.
    Multiplies,
    /// Lays pieces of it side by side: a seam runs along the middle.
    Seams,
    /// Puts a strip of plain steel along one edge.
    Strip,
    /// Only takes off.
    TakesOff,
}

/// Lines that do one thing to a bar; each `?` stands for the figure of its number.
#[derive(Clone, Debug)]
pub(super) struct Act {
    pub title: String,
    pub lines: String,
    pub figures: Vec<Figure>,
    pub marks: Marks,
    /// Names that it binds and that must be new.
    pub fresh: Vec<String>,
}

impl Marks {
    /// What it is worth not to have it, beside the work (project figures: a smith presses rather than welds on).
    pub fn price(self) -> f64 {
        match self {
            Marks::Strip | Marks::Seams => 0.5,
            Marks::Presses | Marks::Multiplies | Marks::TakesOff => 0.0,
        }
    }
}

impl Act {
    fn new(title: &str, marks: Marks, lines: String, figures: Vec<Figure>) -> Act {
        Act { title: title.to_owned(), lines, figures, marks, fresh: Vec::new() }
    }

    /// The lines with figures, in order, and where each begins in them.
    pub fn text(&self, figures: &[f64], units: Units) -> (String, Vec<usize>) {
        let (mut text, mut places) = (String::new(), Vec::new());
        let mut figures = self.figures.iter().zip(figures);
        for letter in self.lines.chars() {
            match (letter, if letter == '?' { figures.next() } else { None }) {
                ('?', Some((figure, value))) => {
                    places.push(text.len());
                    text += &written(*value, figure.kind, units);
                }
                _ => text.push(letter),
            }
        }
        (text, places)
    }

    /// The act with its new names replaced by names that `taken` does not know.
    pub fn renamed(&self, taken: &dyn Fn(&str) -> bool) -> Act {
        let mut act = self.clone();
        for name in &mut act.fresh {
            let mut new = name.clone();
            for n in 2.. {
                if !taken(&new) {
                    break;
                }
                new = format!("{name}-{n}");
            }
            act.lines = act.lines.replace(name.as_str(), &new);
            *name = new;
        }
        act
    }
}

/// The finest that a smith sets, base unit: 0.1 mm or 1/64 in, what a fire and a kitchen clock tell (project figures).
pub(super) fn finest(kind: Kind, units: Units) -> f64 {
    match (kind, units) {
        (Kind::LENGTH, Units::Metric) => 0.1,
        (Kind::LENGTH, Units::Inch) => 25.4 / 64.0,
        (Kind::TEMPERATURE, Units::Metric) => 5.0,
        (Kind::TEMPERATURE, Units::Inch) => 50.0 / 9.0,
        (Kind::TIME, _) => 5.0,
        _ => 1.0,
    }
}

/// What stands about and may be used: its name, whether it lies on the rack, whether it is thicker than the bar.
pub(super) struct Spare<'a> {
    pub name: &'a str,
    pub racked: bool,
    pub thicker: bool,
}

/// How wide a strip is that is welded on, as a share of the bar's width, and how thick a bar on its face, of its thickness (project
/// figures: less is not to be held, more is another knife).
const STRIP: [f64; 2] = [0.08, 0.4];
const FACE: [f64; 2] = [0.15, 0.5];

/// All that can be done to a hot bar of this name; a layered one shows its faces, and none is covered.
pub(super) fn hot(
    name: &str,
    (steels, layered): (&[String], bool),
    spares: &[Spare],
    units: Units,
) -> Vec<Act> {
    let either = |metric: &'static str, inch: &'static str| if units == Units::Inch { inch } else { metric };
    let (heat, peen) = (either("at 1130 C", "at 2070 F"), either("with peen 12 mm", "with peen 1/2 in"));
    // Bars are bought by these sizes.
    let [fine, coarse] = if units == Units::Inch { [25.4 / 16.0, 25.4 / 4.0] } else { [0.5, 5.0] };
    let set = finest(Kind::LENGTH, units);
    let weld = || Verb::Weld.write(name, &[heat, "thinning 12 %"]);
    let mut made = vec![
        Act::new(
            "spread it",
            Marks::Presses,
            Verb::Spread.write(name, &[&format!("to ? wide {peen}")]),
            vec![Figure::asked(Of::Wide, 1.003, 2.5)],
        ),
        Act::new(
            "draw it out further",
            Marks::Presses,
            Verb::Draw.write(name, &["to ? thick"]),
            vec![Figure::asked(Of::Thick, 0.15, 0.997)],
        ),
        Act::new(
            "forge it narrower on edge",
            Marks::Presses,
            Verb::Edge.write(name, &["to ? wide"]),
            vec![Figure::asked(Of::Wide, 0.35, 0.997)],
        ),
        Act::new(
            "upset it",
            Marks::Presses,
            Verb::Upset.write(name, &["to ? long"]),
            vec![Figure::asked(Of::Long, 0.35, 0.997)],
        ),
        Act::new(
            "cut and restack it",
            Marks::Multiplies,
            Verb::Cut.write(name, &["into ?"]) + &Verb::Stack.write(name, &[name]) + &weld(),
            vec![Figure::pieces(6.0)],
        ),
        Act::new("fold it", Marks::Multiplies, Verb::Fold.write(name, &[]) + &weld(), Vec::new()),
        Act::new(
            "cut it in two and lay the halves side by side",
            Marks::Seams,
            Verb::Cut.write(name, &["into 2"])
                + &Verb::Stack.write(name, &[&format!("{name} side by side")])
                + &weld(),
            Vec::new(),
        ),
        Act::new(
            "crop it",
            Marks::TakesOff,
            Verb::Cut.write(name, &["to ? long"]),
            vec![Figure::asked(Of::Long, 0.2, 0.998)],
        ),
    ];
    for spare in spares {
        let (side, taken, fresh) = if spare.racked {
            let line = Verb::Stock.write("side-bar", &[&format!("{} from rack", spare.name)]);
            ("side-bar", line, vec!["side-bar".to_owned()])
        } else {
            (spare.name, String::new(), Vec::new())
        };
        let (drawn, figures) = if spare.thicker {
            (Verb::Draw.write(side, &["to ? thick"]), vec![Figure::follows(Of::Thick, set)])
        } else {
            (String::new(), Vec::new())
        };
        let beside = taken.clone()
            + &drawn
            + &Verb::Stack.write(name, &[name, &format!("{side} side by side"), "trimmed"])
            + &weld();
        let title = format!("lay {} at its side, from what is left over", spare.name);
        made.push(Act { fresh: fresh.clone(), ..Act::new(&title, Marks::Seams, beside, figures) });
    }
    for steel in steels {
        let bar = format!("1 bar of {steel}");
        let of = if steels.len() > 1 { format!(" of {steel}") } else { String::new() };
        let joined = |bar: &str, on: &str| {
            let onto = format!("to {name} {on}");
            Verb::Join.write(bar, &[&onto, heat, "thinning 12 %", "trimmed"])
        };
        let strip = Verb::Stock.write("strip-bar", &[&bar, "? x ? x ?"]) + &joined("strip-bar", "on edge");
        let strip = Act::new(
            &format!("weld a bar{of} on along its edge"),
            Marks::Strip,
            strip,
            vec![
                Figure::follows(Of::Thick, fine),
                Figure::asked(Of::Wide, STRIP[0], STRIP[1]),
                Figure::follows(Of::Long, coarse),
            ],
        );
        made.push(Act { fresh: vec!["strip-bar".to_owned()], ..strip });
        if layered {
            continue;
        }
        let face = Verb::Stock.write("face-bar", &[&bar, "? x ? x ?"]) + &joined("face-bar", "on face");
        let face = Act::new(
            &format!("weld a bar{of} on its face"),
            Marks::Strip,
            face,
            vec![
                Figure::asked(Of::Thick, FACE[0], FACE[1]),
                Figure::follows(Of::Wide, fine),
                Figure::follows(Of::Long, coarse),
            ],
        );
        made.push(Act { fresh: vec!["face-bar".to_owned()], ..face });
    }
    made
}

/// What brings a finished bar under what is asked at the most: thickness, width, length; a hardened one is not sawn.
pub(super) fn cold(name: &str, hardened: bool) -> Vec<(Of, Act)> {
    let ground = |of: &str| Verb::Grind.write(name, &[of]);
    let mut made = vec![
        (Of::Thick, "grind it thinner", ground("to ? thick")),
        (Of::Wide, "grind its edges", ground("to ? wide")),
    ];
    if !hardened {
        made.push((Of::Long, "cut it shorter", Verb::Cut.write(name, &["to ? long"])));
    }
    let act =
        |(of, title, lines)| (of, Act::new(title, Marks::TakesOff, lines, vec![Figure::asked(of, 0.1, 1.0)]));
    made.into_iter().map(act).collect()
}
