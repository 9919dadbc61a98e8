//! `heatbook watch FILE`: checks again at each save.

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};
use std::sync::mpsc::channel;
use std::time::{Duration, SystemTime};

use clap::Args;
use notify_debouncer_mini::new_debouncer;
use notify_debouncer_mini::notify::RecursiveMode;

use super::disk::{Disk, Named};
use super::live::Live;
use super::output::{Done, Options, Stop, print};
use super::work::Work;
use crate::report::{LivePage, rest_text, unread_html};
use crate::source::line_ends;
use crate::workshop::{Missing, Sources as _};

/// How long after a save the file is read: editors write in several steps (project figure).
const SETTLED: Duration = Duration::from_millis(100);

/// Checks a recipe, and again each time that it or a file that it uses is saved. Ctrl-C ends it.
#[derive(Args, Debug)]
pub struct Watch {
    /// The recipe, or a build log
    file: Named,
    /// Shows it as a page besides, to browsers on this machine: the sheet, the pattern, and what changed since the last save
    #[arg(long)]
    page: bool,
}

impl Watch {
    /// Runs the command.
    pub fn run(&self, options: &Options) -> Done {
        let (told, tells) = channel();
        let mut watcher = match new_debouncer(SETTLED, told) {
            Ok(watcher) => watcher,
            Err(error) => return Err(lost(&error.to_string())),
        };
        if let Err(error) = std::fs::metadata(self.file.path()) {
            return Err(format!("cannot watch `{}`: {error}", self.file).into());
        }
        let mut folders: BTreeSet<PathBuf> = BTreeSet::new();
        let own = full(self.file.path());
        let mut files: Vec<Watched> = own.iter().map(|path| Watched::begin(None, path.clone())).collect();
        let live = if self.page { Some(Live::begin()?) } else { None };
        let mut first = true;
        let mut last = None;
        loop {
            // Folders are watched, not files: an editor that saves by swapping files in would be lost sight of. The recipe's own
            // is watched before it is read, so that no save falls in between.
            for folder in files.iter().filter_map(|f| f.path.parent()) {
                if folders.insert(folder.to_path_buf())
                    && let Err(error) = watcher.watcher().watch(folder, RecursiveMode::NonRecursive)
                {
                    return Err(lost(&error.to_string()));
                }
            }
            // A folder speaks of readers too, and of files of the same text: only another text counts.
            while !std::mem::take(&mut first) && !files.iter_mut().any(Watched::changed) {
                match tells.recv() {
                    Ok(Ok(_)) => {}
                    Ok(Err(error)) => return Err(lost(&error.to_string())),
                    Err(error) => return Err(lost(&error.to_string())),
                }
            }
            let before =
                std::mem::replace(&mut files, self.check(options, own.as_deref(), live.as_ref(), &mut last));
            // A file that is used no more may only be missing for a while.
            let gone: Vec<_> =
                before.into_iter().filter(|b| files.iter().all(|f| f.path != b.path)).collect();
            files.extend(gone.into_iter().map(|b| Watched::begin(Disk.text(&b.path).ok(), b.path)));
        }
    }

    /// Checks once; gives back the files that were read.
    fn check(
        &self,
        options: &Options,
        own: Option<&Path>,
        live: Option<&Live>,
        last: &mut Option<Work>,
    ) -> Vec<Watched> {
        // What cannot be read is told, and read again once that is mended.
        let unread = own.map(|path| Watched::begin(Disk.text(path).ok(), path.to_path_buf()));
        let files = match Work::read(&self.file, options) {
            Ok(work) => {
                work.told(options, rest_text);
                if let Some(live) = live {
                    let cores = std::thread::available_parallelism().map_or(1, Into::into);
                    let page = LivePage { now: work.page(), before: last.as_ref().map(Work::page), cores };
                    live.show(|save| page.html(save));
                }
                let job = &work.job;
                let text = |base: u32| Some(job.files.text_from(base).to_owned());
                let files =
                    job.paths.iter().map(|(base, path)| Watched::begin(text(*base), path.clone())).collect();
                *last = Some(work);
                files
            }
            Err(message) => {
                options.fault(&message);
                if let Some(live) = live {
                    live.show(|save| unread_html(&self.file.to_string(), &message, save));
                }
                Vec::from_iter(unread)
            }
        };
        let at = live
            .map_or(String::new(), |live| format!("its page, on this machine only: {}\n", live.address()));
        print(&format!("\n{at}watching: save the recipe to check it again, Ctrl-C to end\n"));
        files
    }
}

/// A file that is watched.
struct Watched {
    path: PathBuf,
    /// What it said, its lines ended as in [`line_ends`]; `None` where it could not be read.
    text: Option<String>,
    /// Its size and when it was written, when it last said that: where these stay, it is not read again.
    written: Option<(u64, SystemTime)>,
}

impl Watched {
    fn begin(text: Option<String>, path: PathBuf) -> Watched {
        Watched { path, text, written: None }
    }

    /// Whether it says something else now.
    fn changed(&mut self) -> bool {
        let about = std::fs::metadata(&self.path).ok();
        let written = about.and_then(|about| Some((about.len(), about.modified().ok()?)));
        if written.is_some() && written == self.written {
            return false;
        }
        let text = Disk.text(&self.path).ok();
        if text.as_deref().map(line_ends) != self.text.as_deref().map(line_ends) {
            return true;
        }
        self.written = written;
        false
    }
}

/// The full path of a file that may be missing for a moment: its folder must be there.
fn full(path: &Path) -> Option<PathBuf> {
    match Disk.find(path) {
        Ok(full) | Err(Missing { full, .. }) => Some(full),
    }
    .filter(|full| full.is_absolute())
}

fn lost(why: &str) -> Stop {
    Stop::Usage(format!("the folder cannot be watched: {why}"))
}
