//! From the grammar's clauses to those that verbs know, and from its words to those of the vocabulary.
//!
//! A new clause of a word and a figure, or of a word alone, is a word in a list of the grammar and a row in `forge`; one with a
//! rule of its own is a line here too.

use super::ast::{Arg, Clause};
use super::grammar::{Node, Rule};
use super::reader::Reader;
use super::vocabulary;
use crate::forge::{CURRENCIES, Key, Pattern};
use crate::vocabulary::Sort;

/// The clauses that have rules of their own.
const CLAUSES: &[(Rule, Key)] = &[
    (Rule::with_tool, Key::With),
    (Rule::size, Key::Size),
    (Rule::into, Key::Into),
    (Rule::off, Key::Off),
    (Rule::keep, Key::Keep),
    (Rule::onto, Key::Onto),
    (Rule::on_side, Key::On),
    (Rule::in_medium, Key::InMedium),
    (Rule::times_over, Key::Times),
    (Rule::trimmed, Key::Trimmed),
    (Rule::side_by_side, Key::SideBySide),
    (Rule::in_bundle, Key::InBundle),
    (Rule::in_can, Key::InCan),
    (Rule::wall, Key::Wall),
    (Rule::powder, Key::Powder),
    (Rule::packed, Key::Packed),
    (Rule::can_off, Key::CanOff),
    (Rule::alternate, Key::Alternate),
    (Rule::item, Key::Item),
    (Rule::bars, Key::Bars),
    (Rule::from_rack, Key::FromRack),
    (Rule::layered, Key::Layered),
    (Rule::layer_count, Key::Layers),
    (Rule::on_itself, Key::OnItself),
    (Rule::share_of, Key::ShareOf),
    (Rule::lies, Key::Lies),
    (Rule::bar_sizes, Key::BarSizes),
    (Rule::lost_skin, Key::LostSkin),
    (Rule::hardened, Key::Hardened),
    (Rule::tempered, Key::Tempered),
    (Rule::patterned, Key::Patterned),
    (Rule::test_clause, Key::Test),
    (Rule::hot_reading, Key::Hot),
    (Rule::place_reading, Key::Place),
    (Rule::weight, Key::Weight),
    (Rule::zone_clause, Key::Zone),
    (Rule::edge_line, Key::EdgeLine),
    (Rule::spine_line, Key::SpineLine),
    (Rule::outline_line, Key::OutlineLine),
    (Rule::hollow, Key::Hollow),
    (Rule::both_edges, Key::BothEdges),
    (Rule::below, Key::Below),
    (Rule::tall, Key::Tall),
    (Rule::sides, Key::Sides),
    (Rule::off_edge, Key::OffEdge),
    (Rule::part_off, Key::PartOff),
    (Rule::point, Key::Point),
    (Rule::turns, Key::Turns),
    (Rule::across, Key::Across),
    (Rule::deep, Key::Deep),
    (Rule::holes, Key::Holes),
    (Rule::rods, Key::Rods),
    (Rule::bow, Key::Bow),
    (Rule::slices, Key::Slices),
    (Rule::jacket, Key::Jacket),
    (Rule::uneven, Key::Uneven),
];

/// The rules that read one word, and the sort of that word.
pub const WORDS: &[(Rule, Sort)] = &[
    (Rule::figured_word, Sort::Figured),
    (Rule::shared_word, Sort::Figured),
    (Rule::flag, Sort::Flag),
    (Rule::shape, Sort::Shape),
    (Rule::lies_word, Sort::Laid),
    (Rule::direction, Sort::Direction),
    (Rule::which_end, Sort::WhichEnd),
    (Rule::end_of_bar, Sort::End),
    (Rule::side, Sort::Side),
    (Rule::turned, Sort::Laid),
    (Rule::flipped, Sort::Laid),
    (Rule::end_for_end, Sort::Laid),
    (Rule::off_word, Sort::Laid),
    (Rule::tool_flat_die, Sort::Tool),
    (Rule::tool_other, Sort::Tool),
    (Rule::fuel, Sort::Fuel),
    (Rule::fire, Sort::Fire),
    (Rule::medium, Sort::Medium),
    (Rule::an_hour, Sort::Stated),
    (Rule::labour, Sort::Stated),
    (Rule::per_bar, Sort::Shape),
    (Rule::none, Sort::Stated),
    (Rule::price_unit, Sort::Unit),
    (Rule::both_sides, Sort::Faces),
    (Rule::one_side, Sort::Faces),
    (Rule::full_word, Sort::Flag),
    (Rule::through, Sort::Clause),
    (Rule::element, Sort::Element),
    (Rule::what, Sort::Test),
    (Rule::spot, Sort::Spot),
    (Rule::unit_family, Sort::Unit),
    (Rule::param_kind, Sort::Kind),
    (Rule::steel_kind, Sort::Kind),
];

/// The sort of the words that a rule reads, where it reads one word.
pub fn sort_of(rule: Rule) -> Option<Sort> {
    WORDS.iter().find(|(known, _)| *known == rule).map(|(_, sort)| *sort)
}

/// The word of a node that reads one, as it is known inside.
pub fn word(node: &Node) -> Option<&'static str> {
    let text = node.as_str();
    let known =
        |sort| vocabulary::spelt(text, sort).unwrap_or_else(|| bug!("`{text}` is no word of {sort:?}"));
    sort_of(node.as_rule()).map(|sort| known(sort).word)
}

/// Reads a node as a clause, where it is one.
pub fn clause(reader: &Reader, node: Node) -> Option<Clause<Key>> {
    // No clause is passed over: `heats.6` is one without its blank.
    let begins = |pattern, text: &str| {
        let word = super::scan::first_word(text);
        Key::of(pattern, word).unwrap_or_else(|| bug!("no clause begins with `{word}`"))
    };
    let key = match node.as_rule() {
        Rule::figured | Rule::shared => {
            let word = node.clone().into_inner().next();
            begins(Pattern::Figure, word.as_ref().map_or("", Node::as_str))
        }
        Rule::flag => begins(Pattern::Flag, node.as_str()),
        own => CLAUSES.iter().find(|(rule, _)| *rule == own).map(|(_, key)| *key)?,
    };
    let span = reader.span(&node);
    let args = if key.pattern() == Pattern::Flag { words(reader, &node) } else { args(reader, node) };
    Some(Clause { key, span, args })
}

fn words(reader: &Reader, node: &Node) -> Vec<Arg> {
    word(node).map(|word| Arg::Word(word, reader.span(node))).into_iter().collect()
}

/// The parts of a clause or entry, in order.
pub fn args(reader: &Reader, node: Node) -> Vec<Arg> {
    let mut args = Vec::new();
    for part in node.into_inner() {
        let span = reader.span(&part);
        match part.as_rule() {
            Rule::quantity => args.push(Arg::Quantity(reader.quantity(part))),
            Rule::sizes => args.push(Arg::Sizes(reader.sizes(part), span)),
            Rule::tool_sizes => match reader.sizes(part) {
                sizes if sizes.len() > 1 => args.push(Arg::Sizes(sizes, span)),
                one => args.extend(one.into_iter().map(Arg::Quantity)),
            },
            Rule::name => args.push(Arg::Name(reader.name(&part))),
            Rule::grade => args.push(Arg::Grade(reader.grade(&part))),
            Rule::test => args.push(Arg::Test(Box::new(super::spec_lines::test(reader, part)))),
            Rule::place => args.push(Arg::Place(Box::new(super::spec_lines::place(reader, part)))),
            Rule::hot | Rule::opening | Rule::face | Rule::rate => {
                let word = match part.as_rule() {
                    Rule::hot => "hot",
                    Rule::opening => "opening",
                    Rule::face => "face",
                    _ => "strokes",
                };
                args.push(Arg::Word(word, span));
                args.extend(self::args(reader, part));
            }
            Rule::sheet | Rule::tool | Rule::die | Rule::bend => {
                args.extend(self::args(reader, part));
            }
            // A grade may stand in the same marks.
            Rule::text => args.push(Arg::Text(reader.grade(&part))),
            Rule::currency => {
                args.extend(CURRENCIES.iter().filter(|s| **s == part.as_str()).map(|s| Arg::Word(s, span)))
            }
            Rule::figured_word | Rule::shared_word => {}
            _ => args.extend(words(reader, &part)),
        }
    }
    args
}
