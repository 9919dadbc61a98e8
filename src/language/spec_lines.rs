//! The tests of a `target` or an `expect`, from the grammar to the tree.

use super::ast::{Place, Test, Wanted, Zone};
use super::grammar::{Node, Rule};
use super::reader::Reader;
use crate::forge::CURRENCIES;
use crate::spec::{End, What};

/// Reads a test.
pub fn test(reader: &Reader, node: Node) -> Test {
    let span = reader.span(&node);
    let (mut what, mut part, mut zone, mut second_zone) = (None, None, None, None);
    let (mut wanted, mut wanted_span, mut behind, mut allowing) = (None, span, None, None);
    let mut currency = None;
    let quantity =
        |node: Node| node.into_inner().find(|n| n.as_rule() == Rule::quantity).map(|n| reader.quantity(n));
    for piece in node.into_inner() {
        let at = reader.span(&piece);
        match piece.as_rule() {
            Rule::what => {
                let word = piece.as_str().split_whitespace().collect::<Vec<_>>().join(" ");
                let word = if word.ends_with(" inch") { What::LayersPerIn.word() } else { &word };
                what =
                    What::ALL.into_iter().find(|w| w.word() == word).or_else(|| bug!("`{word}` is no test"));
            }
            Rule::name | Rule::spot => part = Some(reader.name(&piece)),
            Rule::showing => {
                what = Some(What::Shows);
                part = piece.into_inner().find(|n| n.as_rule() == Rule::name).map(|n| reader.name(&n));
            }
            Rule::allowing => allowing = quantity(piece),
            Rule::behind => behind = quantity(piece),
            Rule::zone if zone.is_some() => second_zone = Some(at),
            Rule::zone => zone = Some((self::zone(reader, piece), at)),
            Rule::wanted => {
                wanted_span = at;
                let sign = piece.clone().into_inner().find(|n| n.as_rule() == Rule::currency);
                currency = sign.and_then(|n| {
                    Some((*CURRENCIES.iter().find(|sign| **sign == n.as_str())?, reader.span(&n)))
                });
                wanted = self::wanted(reader, piece);
            }
            _ => {}
        }
    }
    let (Some(what), Some(wanted)) = (what, wanted) else { bug!("a test without its limits") };
    Test { what, part, behind, allowing, zone, second_zone, wanted, wanted_span, currency, span }
}

fn wanted(reader: &Reader, node: Node) -> Option<Wanted> {
    let mut quantities = Vec::new();
    let mut sign = Rule::dots;
    for piece in node.into_inner() {
        match piece.as_rule() {
            Rule::quantity => quantities.push(reader.quantity(piece)),
            Rule::currency => {}
            rule => sign = rule,
        }
    }
    let mut quantities = quantities.into_iter();
    let first = quantities.next()?;
    Some(match sign {
        Rule::at_least => Wanted::AtLeast(first),
        Rule::at_most => Wanted::AtMost(first),
        Rule::exactly => Wanted::Equal(first),
        _ => Wanted::Within(first, quantities.next()?),
    })
}

fn zone(reader: &Reader, node: Node) -> Zone {
    if node.clone().into_inner().any(|n| n.as_rule() == Rule::on_face) {
        return Zone::OnFace;
    }
    let mut places = node.into_inner().filter(|n| n.as_rule() == Rule::place).map(|n| place(reader, n));
    match (places.next(), places.next()) {
        (Some(from), Some(to)) => Zone::Between(Box::new([from, to])),
        (Some(at), None) => Zone::At(Box::new(at)),
        (None, _) => Zone::Everywhere,
    }
}

/// Reads a place along a bar.
pub fn place(reader: &Reader, node: Node) -> Place {
    let span = reader.span(&node);
    let (mut from, mut by) = (End::Heel, None);
    for piece in node.into_inner() {
        match piece.as_rule() {
            Rule::quantity => by = Some(reader.quantity(piece)),
            // The two ends are the heel and the tip.
            Rule::end_of_bar if piece.as_str() != "heel" => from = End::Tip,
            _ => {}
        }
    }
    Place { from, by, span }
}
