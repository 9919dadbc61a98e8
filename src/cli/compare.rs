//! `heatbook compare A B`: two recipes, or one with two figures, side by side.

use clap::Args;

use super::disk::{Disk, Named};
use super::output::{Done, Format, Options};
use super::work::{Work, planned};
use crate::report::ComparePage;

/// Two builds side by side.
#[derive(Args, Debug)]
pub struct Compare {
    /// Two recipes; or one, with one `--set` (as written against it) or two (one against the other)
    #[arg(required = true, num_args = 1..=2)]
    files: Vec<Named>,
}

impl Compare {
    /// Runs the command.
    pub fn run(&self, options: &Options) -> Done {
        let pair = match (self.files.as_slice(), options.set.as_slice()) {
            ([a, b], set) => [(a, set.to_vec()), (b, set.to_vec())],
            ([one], [set]) => [(one, Vec::new()), (one, vec![set.clone()])],
            ([one], [first, second]) => [(one, vec![first.clone()]), (one, vec![second.clone()])],
            _ => {
                let message =
                    "one recipe is held against itself with one `--set` or two; else name two recipes";
                return Err(message.to_owned().into());
            }
        };
        let [(a, set_a), (b, set_b)] = pair;
        let read = |file: &Named, set| planned(Disk::document(file)?, options, set);
        let [one, other] = [read(a, &set_a)?, read(b, &set_b)?].map(|job| Work::of(job, options));
        let name = |file: &Named, set: &[String]| match set {
            [] => format!("{file} as written"),
            set => format!("{file} with {}", set.join(", ")),
        };
        let (name_a, name_b) = (name(a, &set_a), name(b, &set_b));
        options.respond(&ComparePage { a: (one.page(), &name_a), b: (other.page(), &name_b) })?;
        for work in [&one, &other] {
            if !work.verdict.met && options.format != Format::Json {
                options.findings(&work.verdict.faults.iter().collect::<Vec<_>>(), &work.job.files);
            }
        }
        Ok(one.exit(options).max(other.exit(options)))
    }
}
