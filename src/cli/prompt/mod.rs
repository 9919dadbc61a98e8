//! `heatbook prompt [FILE]`: the bench to try things on. Lines of the language act at once; questions leave all as it is.

mod asked;
mod editor;
mod session;

use std::io::IsTerminal as _;

use clap::{Args, ValueEnum as _};

use self::editor::{Acted, COMMANDS, Offers, Typed};
use self::session::{Refused, Session, real};
use super::disk::Named;
use super::exit::Exit;
use super::guard;
use super::output::{Options, columns, print, print_findings};
use super::why::{Quantity, story};
use super::work::Work;
use crate::bug::caught;
use crate::manual;
use crate::quantity::Units;
use crate::report::{Answer as _, ExplainPage, WhyPage, changed_text, fold, pieces_text, targets_text};
use crate::source::Diagnostic;

/// Works lines as you type them, and answers "what if".
#[derive(Args, Debug)]
pub struct Prompt {
    /// A recipe to begin with
    file: Option<Named>,
}

const HELP: &str = "\
lines of the language act at once, such as `stock b = 3 bars of 1084, 4 x 40 x 120 mm`
  what if bright thick = 2 mm   the whole build with one figure set otherwise; nothing is changed
  why width [PIECE]             which step took or gave each millimetre (also thickness, length, mass);
                                of a blade also `at 30 mm from tip`
  targets                       every target's verdict
  rack                          the pieces that are there, and what lies on the rack
  fill                          what would do for each `?`
  sweep dark thick = 2 .. 4 mm  the targets while one figure goes from here to there
  nudge                         how much each figure moves each target
  odds [SAMPLES]                the chance of each target, where figures have tolerances
  picture [PIECE] [VIEW]        where each steel lies; VIEW is `across`, `edge` and others
  3 mm + 1/8 in                 a sum, with the names of your `let`s in it if you like
  steels [NAME ...]             the steels of the table
  undo [N], redo [N]            back and on again, as far as you like
  show                          the recipe so far
  load FILE, save FILE          a recipe in the place of what stands; what stands as a new recipe
  help [WORD], explain WORD     this, or what a verb, a clause, a unit, a steel or a code means
  quit                          or Ctrl-D; asks once where lines are not saved
";

const UNSAVED: &str =
    "what stands here is not saved: `save FILE` keeps it; `quit` or Ctrl-D once more drops it\n";
const NO_TEXT: &str = "this line is no text (lines are UTF-8), and was not taken: type it again";

impl Prompt {
    /// Runs the command.
    pub fn run(&self, options: &Options) -> Exit {
        let mut bench = Bench { session: Session::new(options), options };
        let mut worst = Exit::Met;
        if let Some(file) = &self.file {
            match bench.load(file) {
                Ok(text) => print(&text),
                Err(refused) => {
                    bench.refused(&refused);
                    return if matches!(refused, Refused::Message(_)) { Exit::Usage } else { Exit::Fault };
                }
            }
        }
        let at_terminal = std::io::stdin().is_terminal() && std::io::stdout().is_terminal();
        let offers = bench.offers(at_terminal);
        // What was asked of a person who goes without having saved, until something else is typed.
        let mut warned = false;
        editor::each(at_terminal, offers, |typed| {
            let done = match typed {
                Typed::Lines(lines) => bench.safely(|bench| bench.line(lines)),
                Typed::NoText => bench.say(Err(Refused::Message(NO_TEXT.to_owned()))),
                Typed::End => Done::Quit,
            };
            let goes = matches!(done, Done::Quit);
            if goes && at_terminal && !warned && bench.session.unsaved() {
                warned = true;
                print(UNSAVED);
                return Acted { goes: true, offers: bench.offers(at_terminal) };
            }
            warned = false;
            match done {
                Done::Bug => worst = Exit::Bug,
                // Whoever pipes lines in learns by the exit code that one was refused.
                Done::Refused if !at_terminal => worst = worst.max(Exit::Fault),
                _ => {}
            }
            let offers = caught(|| bench.offers(at_terminal)).unwrap_or_default();
            Acted { goes: !goes, offers }
        });
        if !at_terminal && bench.session.unsaved() {
            options.note("the lines were not saved: `save FILE` before the end keeps them");
        }
        worst
    }
}

enum Done {
    Fine,
    Refused,
    Quit,
    /// A mistake of ours came to light; nothing has changed.
    Bug,
}

struct Bench<'o> {
    session: Session<'o>,
    options: &'o Options,
}

impl Bench<'_> {
    /// Acts, and where that comes upon a bug, says so and leaves all as it was.
    fn safely(&mut self, act: impl FnOnce(&mut Self) -> Done) -> Done {
        let before = self.session.at();
        caught(|| act(self)).unwrap_or_else(|bug| {
            self.session.go_to(before);
            print(&format!("{}\n", guard::told(&bug, "Nothing has changed here.")));
            Done::Bug
        })
    }

    fn refused(&self, refused: &Refused) {
        match refused {
            Refused::Message(message) => print(&format!("{message}\n")),
            Refused::Faults(work) => {
                let faults: Vec<&Diagnostic> = work.verdict.faults.iter().filter(|f| real(f)).collect();
                print_findings(&self.options.as_text(&faults, &work.job.files));
            }
        }
    }

    /// What the session has that can be named, for whoever types.
    fn offers(&self, at_terminal: bool) -> Offers {
        let Some(plan) = at_terminal.then(|| self.session.plan()).flatten() else { return Offers::default() };
        let pieces = plan.pieces.iter().chain(&plan.rack);
        let pieces = pieces.map(|lot| plan.ground.lot_name(*lot).to_owned());
        let recipes = plan.recipes.iter().map(|r| r.name.clone());
        let addresses: Vec<String> =
            plan.slots.iter().map(|s| s.address.clone()).filter(|a| !a.is_empty()).collect();
        // The address of a `let` is its name.
        let lets = addresses.iter().filter(|a| !a.contains(' ')).cloned();
        Offers { names: pieces.chain(recipes).chain(lets).collect(), addresses }
    }

    fn say(&self, told: Result<String, Refused>) -> Done {
        self.say_and_find(told.map(|text| (text, String::new())))
    }

    /// Says something, and behind it findings, which may be in colour.
    fn say_and_find(&self, told: Result<(String, String), Refused>) -> Done {
        match told {
            Ok((text, findings)) => {
                // A recipe is shown as it is written.
                let wide = columns(&std::io::stdout());
                print(&if text == self.session.text() { text } else { fold(&text, wide) });
                print_findings(&findings);
                Done::Fine
            }
            Err(refused) => {
                self.refused(&refused);
                Done::Refused
            }
        }
    }

    /// Acts on a line, or on several that belong together.
    fn line(&mut self, lines: &str) -> Done {
        let trimmed = lines.trim();
        let (first, rest) = trimmed.split_once(char::is_whitespace).unwrap_or((trimmed, ""));
        let rest = rest.trim();
        match first {
            "" => Done::Fine,
            "quit" | "exit" if rest.is_empty() => Done::Quit,
            "help" | "explain" => self.say(help(rest, self.units())),
            "steels" => self.say(asked::steels(rest, self.units()).map_err(Refused::Message)),
            "nudge" if rest.is_empty() => self.told(asked::nudge),
            "sweep" => self.told(|work| asked::sweep(work, rest)),
            "odds" => self.told(|work| asked::odds(work, rest)),
            "picture" => {
                let work = self.session.now();
                let seen = work.and_then(|work| asked::picture(&work, rest, self.options));
                self.say_and_find(seen.map(|seen| (String::new(), seen)).map_err(Refused::Message))
            }
            "show" if rest.is_empty() => self.say(Ok(self.session.text().to_owned())),
            "targets" if rest.is_empty() => self.told(|work| Ok(targets_text(&work.page()))),
            "rack" if rest.is_empty() => self.told(|work| Ok(pieces_text(&work.page()))),
            "fill" if rest.is_empty() => self.told(filled),
            "load" | "save" if rest.is_empty() => {
                let message = format!("`{first}` needs the name of a file, as in `{first} galley.heat`");
                self.say(Err(Refused::Message(message)))
            }
            "why" => self.told(|work| because(work, rest)),
            "undo" | "redo" => self.went(first, rest),
            "load" => {
                let told = self.load(&rest.into());
                self.say(told)
            }
            "save" => {
                let told = self.session.save(&rest.into()).map(|()| format!("  written to `{rest}`\n"));
                self.say(told.map_err(Refused::Message))
            }
            "what" => {
                let figure = rest.strip_prefix("if").map(str::trim).unwrap_or(rest);
                if !figure.contains('=') {
                    let message =
                        "`what if` needs an address and a figure, as in `what if bright thick = 2 mm`";
                    return self.say(Err(Refused::Message(message.to_owned())));
                }
                let told = self.what_if(figure);
                self.say_and_find(told)
            }
            _ => match asked::sum(&self.session, trimmed) {
                Some(told) => self.say(told.map_err(Refused::Message)),
                None => {
                    let told = self.take(lines);
                    self.say_and_find(told)
                }
            },
        }
    }

    /// The units of what is not the recipe's own.
    fn units(&self) -> Units {
        self.options.units_asked().unwrap_or(Units::Metric)
    }

    fn told(&self, tell: impl FnOnce(&Work) -> Result<String, String>) -> Done {
        self.say(self.session.now().and_then(|work| tell(&work)).map_err(Refused::Message))
    }

    fn take(&mut self, lines: &str) -> Result<(String, String), Refused> {
        let before = self.session.now().map_err(Refused::Message)?;
        let (state, after) = self.session.with(lines)?;
        let warned = new_warnings(&before, &after);
        let again = as_before(&before, &after);
        let mut told = changed_text(&before.page(), &after.page()) + &again;
        if after.job.plan.targets.len() > before.job.plan.targets.len()
            && after.build.lines.len() == before.build.lines.len()
        {
            told = "  the target is judged once its piece is there, and solid\n".to_owned();
        }
        if !after.job.plan.asks.is_empty() {
            told =
                "  a `?` is open: `fill` says what would do; nothing is worked until a figure stands there\n"
                    .to_owned();
        }
        let found = self.options.as_text(&warned, &after.job.files);
        self.session.go_on(state);
        Ok((told, found))
    }

    fn what_if(&self, figure: &str) -> Result<(String, String), Refused> {
        let before = self.session.now().map_err(Refused::Message)?;
        let after = self.session.what_if(figure).map_err(Refused::Message)?;
        let stopped: Vec<&Diagnostic> = after.verdict.faults.iter().filter(|f| real(f)).collect();
        let found = self.options.as_text(&stopped, &after.job.files);
        Ok((changed_text(&before.page(), &after.page()), found))
    }

    fn load(&mut self, path: &Named) -> Result<String, Refused> {
        let (state, work) = self.session.loaded(path)?;
        let told = pieces_text(&work.page()) + &targets_text(&work.page());
        self.session.go_on_with_file(state);
        Ok(told)
    }

    fn went(&mut self, word: &str, rest: &str) -> Done {
        let steps = if rest.is_empty() { Ok(1) } else { rest.parse::<usize>() };
        let Ok(steps) = steps else {
            let message = format!("`{word} {rest}`: a count should stand there, such as `{word} 2`");
            return self.say(Err(Refused::Message(message)));
        };
        let before = self.session.now();
        let went = if word == "undo" { self.session.undo(steps) } else { self.session.redo(steps) };
        if went == 0 {
            return self.say(Ok(format!("  nothing to {word}\n")));
        }
        let told = before.and_then(|before| Ok(changed_text(&before.page(), &self.session.now()?.page())));
        self.say(told.map_err(Refused::Message))
    }
}

fn like<'w>(work: &'w Work, found: &Diagnostic) -> Option<&'w Diagnostic> {
    work.verdict.warnings.iter().find(|w| w.code == found.code)
}

/// The warnings of a kind that was not there before.
fn new_warnings<'w>(before: &Work, after: &'w Work) -> Vec<&'w Diagnostic> {
    after.verdict.warnings.iter().filter(|w| like(before, w).is_none()).collect()
}

/// Warnings that hold for one more step: in a few words, as they were told at length before.
fn as_before(before: &Work, after: &Work) -> String {
    let more = |w: &&Diagnostic| like(before, w).is_some_and(|b| b.labels.len() < w.labels.len());
    after.verdict.warnings.iter().filter(more).map(|w| format!("  here too: {}\n", w.message)).collect()
}

fn help(word: &str, units: Units) -> Result<String, Refused> {
    let own = COMMANDS.iter().any(|c| c.split(' ').next() == Some(word));
    if word.is_empty() || own {
        return Ok(HELP.to_owned());
    }
    let found = manual::find(word);
    if found.is_empty() {
        let meant = manual::nearest(word).map_or(String::new(), |name| format!("; did you mean `{name}`"));
        let message = format!("nothing is told of `{word}`{meant}; `help` lists what can be done here");
        return Err(Refused::Message(message));
    }
    Ok(ExplainPage { pages: &found, units }.page(columns(&std::io::stdout())))
}

/// `why width blade`, or of the last piece made.
fn because(work: &Work, rest: &str) -> Result<String, String> {
    let (what, piece) = rest.split_once(char::is_whitespace).unwrap_or((rest, ""));
    let what = Quantity::from_str(what, false).map_err(|_| {
        "`why` asks about `thickness`, `width`, `length` or `mass`, as in `why width blade`".to_owned()
    })?;
    // `why width blade at 30 mm from tip`: the place stands behind the piece.
    let (piece, place) = match piece.split_once(" at ") {
        Some((piece, place)) => (piece, Some(place)),
        None => (piece, None),
    };
    let piece = match piece.trim() {
        "" => work.build.standing.last().map_or("", |l| work.job.plan.ground.lot_name(*l)),
        named => named,
    };
    let story = story(work, what, piece, place)?;
    let story =
        story.ok_or_else(|| format!("there is no piece `{piece}` here; `rack` shows what there is"))?;
    Ok(WhyPage { page: &work.page(), piece, at: place, why: &story }.page(columns(&std::io::stdout())))
}

/// What would do for each `?`.
fn filled(work: &Work) -> Result<String, String> {
    let least = crate::study::Least::Steel;
    let filled = crate::study::fill(&work.job.plan, least)
        .ok_or("no `?` stands here: put one where a figure is wanted")?;
    if !filled.outcome.met() {
        return Err("no value was found that meets every target".to_owned());
    }
    let lines: Vec<String> = work
        .job
        .plan
        .asks
        .iter()
        .zip(filled.unknowns.iter().zip(&filled.values))
        .map(|(ask, (unknown, value))| {
            let asked = work.job.files.text(ask.span).split_whitespace().collect::<Vec<_>>().join(" ");
            let shown = crate::quantity::show(*value, unknown.kind, work.units);
            format!("  line {}: `{asked}` is {shown}\n", work.job.files.line(ask.span))
        })
        .collect();
    Ok(lines.concat())
}

#[cfg(test)]
mod tests {
    use clap::Parser as _;

    use super::*;

    #[derive(clap::Parser)]
    struct Bare {
        #[command(flatten)]
        options: Options,
    }

    #[test]
    fn a_line_that_comes_upon_a_bug_changes_nothing() {
        let Bare { options } = Bare::parse_from(["heatbook"]);
        let mut bench = Bench { session: Session::new(&options), options: &options };
        for line in ["stock b = 1 bar of 1084, 4 x 40 x 100 mm", "cut b into 2"] {
            assert!(matches!(bench.safely(|bench| bench.line(line)), Done::Fine));
        }
        let before = bench.session.text().to_owned();
        let done = bench.safely(|bench| {
            bench.session.undo(1);
            bug!("a bar has three ends")
        });
        assert!(matches!(done, Done::Bug));
        assert_eq!(bench.session.text(), before);
        assert!(matches!(bench.safely(|bench| bench.line("undo 2")), Done::Fine));
        assert_eq!(bench.session.text(), "");
        assert_eq!(bench.session.redo(9), 2);
    }
}
