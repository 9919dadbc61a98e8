//! The clause table: each grammar rule of a clause, and the key that verbs know it by.
//!
//! A new clause is a rule in the grammar, a key in `forge`, and one line here.

use super::ast::{Arg, Clause};
use super::grammar::{Node, Rule};
use super::reader::Reader;
use crate::forge::Key;

const CLAUSES: &[(Rule, Key)] = &[
    (Rule::heats, Key::Heats),
    (Rule::at, Key::At),
    (Rule::for_time, Key::For),
    (Rule::with_tool, Key::With),
    (Rule::bite, Key::Bite),
    (Rule::spread, Key::Spread),
    (Rule::thinning, Key::Thinning),
    (Rule::soak, Key::Soak),
    (Rule::flux, Key::Flux),
    (Rule::dry, Key::Dry),
    (Rule::size, Key::Size),
    (Rule::into, Key::Into),
    (Rule::off, Key::Off),
    (Rule::kerf, Key::Kerf),
    (Rule::keep, Key::Keep),
    (Rule::faces, Key::Faces),
    (Rule::edges, Key::Edges),
    (Rule::ends, Key::Ends),
    (Rule::onto, Key::Onto),
    (Rule::on_side, Key::On),
    (Rule::in_medium, Key::InMedium),
    (Rule::in_leaves, Key::In),
    (Rule::quench_from, Key::From),
    (Rule::times_over, Key::Times),
    (Rule::trimmed, Key::Trimmed),
    (Rule::side_by_side, Key::SideBySide),
    (Rule::alternate, Key::Alternate),
    (Rule::item, Key::Item),
    (Rule::bars, Key::Bars),
    (Rule::from_rack, Key::FromRack),
    (Rule::test_clause, Key::Test),
    (Rule::hot_reading, Key::Hot),
    (Rule::place_reading, Key::Place),
    (Rule::weight, Key::Weight),
    (Rule::zone_clause, Key::Zone),
    (Rule::forged, Key::Forged),
    (Rule::ground, Key::Ground),
    (Rule::edge_line, Key::EdgeLine),
    (Rule::spine_line, Key::SpineLine),
    (Rule::edge_left, Key::EdgeLeft),
    (Rule::tall, Key::Tall),
    (Rule::angle, Key::Angle),
    (Rule::sides, Key::Sides),
    (Rule::convex, Key::Convex),
    (Rule::plunge, Key::Plunge),
    (Rule::elongation, Key::Elongation),
    (Rule::off_edge, Key::OffEdge),
    (Rule::part_off, Key::PartOff),
    (Rule::belly, Key::Belly),
    (Rule::point, Key::Point),
    (Rule::stick, Key::Stick),
    (Rule::full, Key::Full),
    (Rule::turns, Key::Turns),
    (Rule::hand, Key::Hand),
    (Rule::grips, Key::Grips),
    (Rule::bevels, Key::Bevels),
];

/// The words that clauses and entries keep, as they are known inside.
const WORDS: &[(&str, &str)] = &[
    ("thick", "thick"),
    ("wide", "wide"),
    ("long", "long"),
    ("square", "square"),
    ("squares", "square"),
    ("round", "round"),
    ("rounds", "round"),
    ("octagon", "octagon"),
    ("bar", "bar"),
    ("bars", "bar"),
    ("plate", "plate"),
    ("plates", "plate"),
    ("each", "each"),
    ("heel", "heel"),
    ("tip", "tip"),
    ("edge", "edge"),
    ("end", "end"),
    ("face", "face"),
    ("turned", "turned"),
    ("flipped", "flipped"),
    ("flat die", "flat die"),
    ("fuller", "fuller"),
    ("peen", "peen"),
    ("hammer", "hammer"),
    ("rolls", "rolls"),
    ("gas", "gas"),
    ("coal", "coal"),
    ("coke", "coke"),
    ("charcoal", "charcoal"),
    ("electric", "electric"),
    ("neutral", "neutral"),
    ("oxidising", "oxidising"),
    ("reducing", "reducing"),
    ("none", "none"),
    ("an hour", "an hour"),
    ("kg", "kg"),
    ("lb", "lb"),
    ("g", "g"),
    ("oz", "oz"),
    ("oil", "oil"),
    ("water", "water"),
    ("brine", "brine"),
    ("air", "air"),
    ("plates", "plates"),
    ("carbon", "carbon"),
    ("manganese", "manganese"),
    ("silicon", "silicon"),
    ("chromium", "chromium"),
    ("nickel", "nickel"),
    ("vanadium", "vanadium"),
    ("tungsten", "tungsten"),
    ("molybdenum", "molybdenum"),
    ("density", "density"),
    ("both sides", "both sides"),
    ("left side", "left side"),
    ("right side", "right side"),
    ("left", "left"),
    ("right", "right"),
    ("full", "full"),
];

/// A word of the grammar as it is known inside: one blank between its parts, in the singular.
pub fn word(text: &str) -> &'static str {
    let folded = text.split_whitespace().collect::<Vec<_>>().join(" ");
    WORDS.iter().find(|(written, _)| *written == folded).map_or("", |(_, known)| known)
}

/// Reads a node as a clause, where it is one.
pub fn clause(reader: &Reader, node: Node) -> Option<Clause<Key>> {
    let key = CLAUSES.iter().find(|(rule, _)| *rule == node.as_rule()).map(|(_, key)| *key)?;
    let span = reader.span(&node);
    Some(Clause { key, span, args: args(reader, node) })
}

/// The parts of a clause or entry, in order.
pub fn args(reader: &Reader, node: Node) -> Vec<Arg> {
    let mut args = Vec::new();
    for part in node.into_inner() {
        let span = reader.span(&part);
        match part.as_rule() {
            Rule::quantity => args.push(Arg::Quantity(reader.quantity(part))),
            Rule::sizes => args.push(Arg::Sizes(reader.sizes(part), span)),
            Rule::name => args.push(Arg::Name(reader.name(&part))),
            Rule::grade => args.push(Arg::Grade(reader.grade(&part))),
            Rule::test => args.push(Arg::Test(Box::new(super::spec_lines::test(reader, part)))),
            Rule::hot => {
                args.push(Arg::Word("hot", span));
                args.extend(self::args(reader, part));
            }
            Rule::opening => {
                args.push(Arg::Word("opening", span));
                args.extend(self::args(reader, part));
            }
            Rule::place => args.push(Arg::Place(Box::new(super::spec_lines::place(reader, part)))),
            Rule::tool | Rule::die | Rule::face | Rule::rate | Rule::bend => {
                args.extend(self::args(reader, part));
            }
            Rule::shape
            | Rule::direction
            | Rule::which_end
            | Rule::end_of_bar
            | Rule::side
            | Rule::turned
            | Rule::flipped
            | Rule::tool_flat_die
            | Rule::tool_other
            | Rule::fuel
            | Rule::fire
            | Rule::medium
            | Rule::an_hour
            | Rule::price_unit
            | Rule::both_sides
            | Rule::one_side
            | Rule::hand_word
            | Rule::full_word
            | Rule::none => args.push(Arg::Word(word(part.as_str()), span)),
            _ => {}
        }
    }
    args
}
