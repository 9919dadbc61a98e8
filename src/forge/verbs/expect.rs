//! `expect`: a checkpoint. The same tests as a target, on the piece as it is at this step.

use crate::piece::LotId;
use crate::source::Span;
use crate::spec::Test;

use crate::forge::words::args::{Arg, Form};
use crate::forge::{Bag, Cx, Key, Outcome, Sink, Verb, Word};

/// A checkpoint.
#[derive(Debug)]
pub struct Expect {
    lot: LotId,
    site: Span,
    tests: Vec<Test>,
}

impl Verb for Expect {
    const WORD: Word = Word {
        word: "expect",
        doc: "a checkpoint: the same tests as a target, on the piece as it is here",
        form: Form::Tests,
        clauses: &[&[Key::Test]],
        example: "expect billet: width >= 39 mm",
        ..Word::PLAIN
    };

    fn bind(bag: &mut Bag) -> Option<Self> {
        let tests = bag
            .take_all(Key::Test)
            .into_iter()
            .flat_map(|c| c.args)
            .filter_map(|a| if let Arg::Test(test) = a { Some(test) } else { None })
            .collect();
        let name = bag.name.clone();
        Some(Expect { lot: bag.scope.look(&name)?, site: bag.site, tests })
    }

    fn run<S: Sink>(&self, cx: &mut Cx<S>) -> Outcome {
        let lot = cx.lot(self.lot, self.site)?;
        if S::JUDGES {
            for test in &self.tests {
                if test.zone_missing(&lot.bar, cx.makeup) {
                    return Err(Box::new(test.no_zone()));
                }
                let judged = test.judge(cx.values, &lot.bar, cx.makeup, &cx.ground.steels);
                cx.book.judged(self.lot, test, judged);
            }
        }
        Ok(())
    }
}
