//! The net: texts that nobody would write go into everything that reads them, and what comes out is looked at. No bug of ours, no
//! panic, nothing over two seconds or 500 MB, no `inf`, no `NaN`, nothing that drives a terminal; JSON is always JSON.
//!
//! By itself it tries a few texts of each target, the same each time. `HEATBOOK_FUZZ_SECONDS=60` tries each target for so long from
//! a seed that it tells (`HEATBOOK_FUZZ_SEED` sets it); words behind `--` pick targets. What is found is made small, told, and
//! written out; once mended, it goes to `tests/fuzz/found`, which every target tries first. `HEATBOOK_FUZZ_CASE` works one case alone,
//! and tells it whole.
#![allow(
    clippy::disallowed_methods,
    clippy::disallowed_types,
    reason = "a clock, files and processes are what a net is made of"
)]

mod look;
mod program;
mod second;
mod targets;
mod words;

use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::{Path, PathBuf};
use std::sync::Mutex;
use std::time::{Duration, Instant};

use heatbook::bug::Bug;
use peak_alloc::PeakAlloc;
use words::{Words, dice};

#[global_allocator]
static MEMORY: PeakAlloc = PeakAlloc;

/// What an answer may take, unless `HEATBOOK_FUZZ_MS` says otherwise; unoptimised code is given ten times as long.
const SLOW_MS: u64 = if cfg!(debug_assertions) { 20_000 } else { 2_000 };
const LARGE_MB: f32 = 500.0;
/// What nothing comes back from, by the processor's time or, where it only waits, by the clock: told from beside.
const HUNG: [Duration; 2] = [Duration::from_secs(60), Duration::from_secs(1800)];

/// Something that texts go into.
pub struct Target {
    /// What it goes by.
    pub name: &'static str,
    /// How many it tries where no time is set.
    pub few: u64,
    /// Makes a case.
    pub make: fn(&Words, &mut words::Dice) -> Case,
    /// Works it, and says what is wrong with what comes of it.
    pub work: fn(&Case) -> Result<(), String>,
}

/// A case: a text, perhaps a log of it or edits to it, and the dice for whatever else is asked.
#[derive(Clone)]
pub struct Case {
    /// Its text.
    pub text: String,
    /// A log of it, or what is typed into it.
    pub more: Vec<String>,
    /// For whatever else is to be chosen.
    pub seed: u64,
}

/// A log of whatever recipe.
pub const LOG: &str = "build of \"recipe.heat\"\n";

/// Where the last panic was.
static PANIC: Mutex<String> = Mutex::new(String::new());
/// What is at work, and since when.
static AT_WORK: Mutex<Option<(String, Instant, Duration)>> = Mutex::new(None);

fn number(name: &str) -> Option<u64> {
    std::env::var(name).ok().and_then(|value| value.parse().ok())
}

fn slow() -> Duration {
    Duration::from_millis(number("HEATBOOK_FUZZ_MS").unwrap_or(SLOW_MS))
}

/// The processor's time that was spent so far here and in what was called, where the system tells that; a busy machine makes
/// nothing slow. Elsewhere the time of day.
fn spent() -> Duration {
    let stat = std::fs::read_to_string("/proc/self/stat").unwrap_or_default();
    let fields = stat.rsplit_once(')').map_or("", |(_, behind)| behind).split_whitespace();
    // utime, stime, cutime, cstime, in hundredths of a second (proc(5)).
    let ticks: Vec<u64> = fields.skip(11).take(4).filter_map(|field| field.parse().ok()).collect();
    match ticks.as_slice() {
        [_, _, _, _] => Duration::from_millis(10 * ticks.iter().sum::<u64>()),
        _ => std::time::UNIX_EPOCH.elapsed().unwrap_or_default(),
    }
}

fn folder() -> PathBuf {
    Path::new(env!("CARGO_TARGET_TMPDIR")).join("fuzz")
}

/// What had been spent when the last answer began, and what the longest so far took.
static ANSWERS: Mutex<(Duration, Duration)> = Mutex::new((Duration::ZERO, Duration::ZERO));

/// Here an answer ends, of which a case may ask several: no reader waits for more than one at a time.
pub fn answered() {
    if let Ok(mut answers) = ANSWERS.lock() {
        let now = spent();
        *answers = (now, answers.1.max(now.saturating_sub(answers.0)));
    }
}

/// What is wrong with a case: the sort of it, and the whole.
fn wrong(target: &Target, case: &Case) -> Option<(String, String)> {
    let written =
        format!("target {}, seed {}\n{}\n{}", target.name, case.seed, case.text, case.more.join("\n────\n"));
    if let Ok(mut at_work) = AT_WORK.lock() {
        *at_work = Some((written, Instant::now(), spent()));
    }
    MEMORY.reset_peak_usage();
    let before = MEMORY.current_usage_as_mb();
    if let Ok(mut answers) = ANSWERS.lock() {
        *answers = (spent(), Duration::ZERO);
    }
    let done = catch_unwind(AssertUnwindSafe(|| (target.work)(case)));
    answered();
    let (took, peak) =
        (ANSWERS.lock().map_or(Duration::ZERO, |answers| answers.1), MEMORY.peak_usage_as_mb() - before);
    if let Ok(mut at_work) = AT_WORK.lock() {
        *at_work = None;
    }
    match done {
        Err(payload) => {
            let whole = match payload.downcast::<Bug>() {
                Ok(bug) => bug.to_string(),
                Err(_) => format!("a panic at {}", PANIC.lock().map(|p| p.clone()).unwrap_or_default()),
            };
            Some((whole.clone(), whole))
        }
        Ok(Err(whole)) => Some((whole.split([':', '\n']).next().unwrap_or("").to_owned(), whole)),
        Ok(Ok(())) if peak > LARGE_MB => Some(("too large".to_owned(), format!("too large: {peak:.0} MB"))),
        Ok(Ok(())) if took > slow() => Some(("too slow".to_owned(), format!("too slow: {took:.1?}"))),
        Ok(Ok(())) => None,
    }
}

/// The smallest case that is wrong in the same way, as far as a few hundred tries get.
fn smaller(target: &Target, case: &Case, sort: &str) -> Case {
    let mut best = case.clone();
    let mut tries = if sort == "too slow" { 30 } else { 1500 };
    let mut still = |case: &Case| {
        tries -= 1;
        tries > 0 && wrong(target, case).is_some_and(|(s, _)| s == sort)
    };
    for i in (0..best.more.len()).rev() {
        let mut tried = best.clone();
        tried.more.remove(i);
        if still(&tried) {
            best = tried;
        }
    }
    // The text, then each of the others: lines, then words, then letters.
    for which in 0..=best.more.len() {
        for separator in ["\n", " ", ""] {
            let get = |case: &Case| if which == 0 { case.text.clone() } else { case.more[which - 1].clone() };
            let mut parts: Vec<String> = if separator.is_empty() {
                get(&best).chars().map(String::from).collect()
            } else {
                get(&best).split(separator).map(str::to_owned).collect()
            };
            let mut size = parts.len().div_ceil(2);
            while size > 0 {
                let mut at = 0;
                while at < parts.len() {
                    let to = (at + size).min(parts.len());
                    let left = [&parts[..at], &parts[to..]].concat();
                    let mut tried = best.clone();
                    let text = left.join(separator);
                    if which == 0 {
                        tried.text = text
                    } else {
                        tried.more[which - 1] = text
                    }
                    if still(&tried) {
                        best = tried;
                        parts = left;
                    } else {
                        at = to;
                    }
                }
                size /= 2;
            }
        }
    }
    best
}

fn main() {
    let asked: Vec<String> = std::env::args().skip(1).filter(|a| !a.starts_with('-')).collect();
    if std::env::args().any(|a| a == "--list") {
        return;
    }
    let seconds = number("HEATBOOK_FUZZ_SECONDS");
    let only = number("HEATBOOK_FUZZ_CASE");
    let clock = || std::time::UNIX_EPOCH.elapsed().map_or(1, |t| t.as_secs());
    let seed =
        number("HEATBOOK_FUZZ_SEED").unwrap_or_else(|| if seconds.is_some() { clock() } else { 20_261_127 });
    std::fs::create_dir_all(folder()).unwrap();
    std::panic::set_hook(Box::new(|info| {
        if let (Some(at), Ok(mut panic)) = (info.location(), PANIC.lock()) {
            *panic = at.to_string();
        }
    }));
    std::thread::spawn(watch);
    let words = Words::new();
    let (mut found, mut runs) = (0, 0);
    for target in
        targets::ALL.iter().filter(|t| asked.is_empty() || asked.iter().any(|a| t.name.contains(a.as_str())))
    {
        let start = Instant::now();
        let (first, mut sorts) = (only.unwrap_or(0), Vec::new());
        let mut done = first;
        let more = |done: u64| match seconds {
            _ if only.is_some() => done == first,
            Some(seconds) => start.elapsed() < Duration::from_secs(seconds),
            None => done < target.few + words.found.len() as u64,
        };
        while more(done) {
            // What was found before goes first.
            let case = match words.found.get(done as usize) {
                Some(text) => Case { text: text.clone(), more: vec![LOG.to_owned()], seed: 1 },
                None => (target.make)(&words, &mut dice(seed.wrapping_mul(1_000_003).wrapping_add(done))),
            };
            if only.is_some() {
                println!("{}", case.text);
                case.more.iter().for_each(|more| println!("──── with\n{more}"));
            }
            // Slow once may be the machine's doing.
            if let Some((sort, _)) = wrong(target, &case)
                && let Some((again, _)) = wrong(target, &case)
                && sort == again
                && !sorts.contains(&sort)
            {
                found += 1;
                let small = smaller(target, &case, &sort);
                let whole =
                    wrong(target, &small).or_else(|| wrong(target, &case)).map_or(sort.clone(), |(_, w)| w);
                println!("── {} from seed {seed}, case {done}: {whole}\n{}", target.name, small.text);
                small.more.iter().for_each(|m| println!("──── with\n{m}"));
                let at = folder().join(format!("{}-{seed}-{done}.heat", target.name));
                std::fs::write(at, format!("{}\n{}", small.text, small.more.join("\n"))).unwrap();
                sorts.push(sort);
            }
            done += 1;
        }
        runs += done - first;
        println!(
            "{:10} {:8} runs, {} found, {:.1?}",
            target.name,
            done - first,
            sorts.len(),
            start.elapsed()
        );
    }
    println!("{runs} runs from seed {seed}, {found} found");
    let _ = std::fs::remove_dir_all(program::at_work());
    std::process::exit(i32::from(found > 0));
}

/// Says what is at work where that comes to no end.
fn watch() {
    loop {
        std::thread::sleep(Duration::from_secs(1));
        let Ok(at_work) = AT_WORK.lock() else { continue };
        if let Some((what, since, before)) = &*at_work
            && (spent().saturating_sub(*before) > HUNG[0] || since.elapsed() > HUNG[1])
        {
            println!("── this comes to no end: {what}");
            let _ = std::fs::write(folder().join("hung.heat"), what);
            std::process::exit(1);
        }
    }
}
