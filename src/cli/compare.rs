//! `heatbook compare A B`: two recipes, or one with two figures, side by side.

use clap::Args;

use super::disk::Disk;
use super::exit::Exit;
use super::output::{Options, answer};
use super::work::{Work, planned, usage};
use crate::report::compare_text;

/// Two builds side by side.
#[derive(Args, Debug)]
pub struct Compare {
    /// Two recipes; or one, with one `--set` (as written against it) or two (one against the other)
    #[arg(required = true, num_args = 1..=2)]
    files: Vec<String>,
}

impl Compare {
    /// Runs the command.
    pub fn run(&self, options: &Options) -> Exit {
        let pair = match (self.files.as_slice(), options.set.as_slice()) {
            ([a, b], set) => Ok([(a, set.to_vec()), (b, set.to_vec())]),
            ([one], [set]) => Ok([(one, Vec::new()), (one, vec![set.clone()])]),
            ([one], [first, second]) => Ok([(one, vec![first.clone()]), (one, vec![second.clone()])]),
            _ => Err("one recipe is held against itself with one `--set` or two; else name two recipes"),
        };
        let [(a, set_a), (b, set_b)] = match pair {
            Ok(pair) => pair,
            Err(message) => return usage(message.to_owned()),
        };
        let read = |file: &str, set| Ok(Work::of(planned(Disk::document(file)?, options, set)?, options));
        let (one, other) = match (read(a, &set_a), read(b, &set_b)) {
            (Ok(one), Ok(other)) => (one, other),
            (Err(message), _) | (_, Err(message)) => return usage(message),
        };
        let name = |file: &str, set: &[String]| match set {
            [] => format!("{file} as written"),
            set => format!("{file} with {}", set.join(", ")),
        };
        answer(&compare_text(&one.page(), &other.page(), [&name(a, &set_a), &name(b, &set_b)]));
        for work in [&one, &other] {
            if !work.verdict.met {
                options.findings(&work.verdict.faults.iter().collect::<Vec<_>>(), &work.job.files);
            }
        }
        one.exit().max(other.exit())
    }
}
