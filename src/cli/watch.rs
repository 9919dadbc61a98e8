//! `heatbook watch FILE`: checks again at each save.

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};
use std::sync::mpsc::channel;
use std::time::Duration;

use clap::Args;
use notify_debouncer_mini::new_debouncer;
use notify_debouncer_mini::notify::RecursiveMode;

use super::output::{Done, Options, Stop, print};
use super::work::Work;
use crate::report::{Answer as _, CheckPage};

/// How long after a save the file is read: editors write in several steps (project figure).
const SETTLED: Duration = Duration::from_millis(100);

/// Checks a recipe, and again each time that it or a file that it uses is saved. Ctrl-C ends it.
#[derive(Args, Debug)]
pub struct Watch {
    /// The recipe, or a build log
    file: String,
}

impl Watch {
    /// Runs the command.
    pub fn run(&self, options: &Options) -> Done {
        let (told, tells) = channel();
        let mut watcher = match new_debouncer(SETTLED, told) {
            Ok(watcher) => watcher,
            Err(error) => return Err(lost(&error.to_string())),
        };
        if let Err(error) = std::fs::metadata(&self.file) {
            return Err(format!("cannot watch `{}`: {error}", self.file).into());
        }
        let mut folders: BTreeSet<PathBuf> = BTreeSet::new();
        let mut files: BTreeSet<PathBuf> = absolute(&self.file).into_iter().collect();
        let mut first = true;
        loop {
            // Folders are watched, not files: an editor that saves by swapping files in would be lost sight of. The recipe's own
            // is watched before it is read, so that no save falls in between.
            for folder in files.iter().filter_map(|f| f.parent()) {
                if folders.insert(folder.to_path_buf())
                    && let Err(error) = watcher.watcher().watch(folder, RecursiveMode::NonRecursive)
                {
                    return Err(lost(&error.to_string()));
                }
            }
            if std::mem::take(&mut first) {
                files = self.check(options);
                continue;
            }
            loop {
                let events = match tells.recv() {
                    Ok(Ok(events)) => events,
                    Ok(Err(error)) => return Err(lost(&error.to_string())),
                    Err(error) => return Err(lost(&error.to_string())),
                };
                if events.iter().any(|event| files.contains(&event.path)) {
                    break;
                }
            }
            files = self.check(options);
        }
    }

    /// Checks once; gives back the files that were read.
    fn check(&self, options: &Options) -> BTreeSet<PathBuf> {
        let mut files: BTreeSet<PathBuf> = absolute(&self.file).into_iter().collect();
        match Work::read(&self.file, options) {
            Ok(work) => {
                work.findings(options);
                print(&CheckPage { pages: vec![work.page()], unread: &[] }.text());
                files.extend(work.job.files.names().filter_map(absolute));
            }
            Err(message) => options.fault(&message),
        }
        print("\nwatching: save the recipe to check it again, Ctrl-C to end\n");
        files
    }
}

/// A path as the watcher will name it: its folder must be there, the file may be missing for a moment.
fn absolute(path: &str) -> Option<PathBuf> {
    let path = Path::new(path);
    let folder = path.parent().filter(|p| !p.as_os_str().is_empty()).unwrap_or(Path::new("."));
    Some(std::fs::canonicalize(folder).ok()?.join(path.file_name()?))
}

fn lost(why: &str) -> Stop {
    Stop::Usage(format!("the folder cannot be watched: {why}"))
}
