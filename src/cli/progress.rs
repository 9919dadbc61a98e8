//! What takes its time says so: a line on standard error, where a person looks on, from the first second on.

use std::io::{IsTerminal as _, Write};
use std::sync::mpsc::{RecvTimeoutError, channel};
use std::time::Duration;

/// Does some work; after each second of it, a terminal is told how long that goes on. Ctrl-C ends the program as ever.
pub fn watched<T>(what: &str, work: impl FnOnce() -> T) -> T {
    if std::io::stderr().is_terminal() {
        ticking(std::io::stderr(), Duration::from_secs(1), what, work)
    } else {
        work()
    }
}

fn ticking<T>(mut out: impl Write + Send, every: Duration, what: &str, work: impl FnOnce() -> T) -> T {
    // The work holds the one end: whether it is done or breaks off, the other sees it gone.
    let (at_work, ended) = channel::<()>();
    std::thread::scope(|scope| {
        scope.spawn(move || {
            let mut wide = 0;
            let mut ticks = 0u64;
            while ended.recv_timeout(every) == Err(RecvTimeoutError::Timeout) {
                ticks += 1;
                let line = format!("{what}: {ticks} s so far; Ctrl-C stops it");
                wide = line.chars().count();
                let _ = write!(out, "\r{line}").and_then(|()| out.flush());
            }
            if ticks > 0 {
                let _ = write!(out, "\r{:wide$}\r", "").and_then(|()| out.flush());
            }
        });
        let made = work();
        drop(at_work);
        made
    })
}

#[cfg(test)]
mod tests {
    use super::ticking;
    use std::sync::mpsc::{Sender, channel};
    use std::time::Duration;

    /// Hands on what is written.
    struct Told(Sender<String>);

    impl std::io::Write for Told {
        fn write(&mut self, bytes: &[u8]) -> std::io::Result<usize> {
            self.0.send(String::from_utf8_lossy(bytes).into_owned()).unwrap();
            Ok(bytes.len())
        }

        fn flush(&mut self) -> std::io::Result<()> {
            Ok(())
        }
    }

    #[test]
    fn long_work_tells_that_it_goes_on_and_leaves_nothing_behind() {
        let (tell, told) = channel();
        let made = ticking(Told(tell), Duration::from_millis(1), "looking", || {
            // Works until it was told of twice.
            let mut seen = String::new();
            while !seen.contains("looking: 2 s so far") {
                seen += &told.recv().unwrap();
            }
            seen
        });
        assert!(made.starts_with("\rlooking: 1 s so far; Ctrl-C stops it"), "{made:?}");
        let behind: String = told.iter().collect();
        assert!(
            behind.ends_with(" \r") && behind.trim_end().is_empty() | behind.contains("so far"),
            "{behind:?}"
        );
    }

    #[test]
    fn short_work_is_told_of_to_nobody_and_work_that_breaks_off_ends() {
        let (tell, told) = channel();
        assert_eq!(ticking(Told(tell.clone()), Duration::from_secs(3600), "looking", || 7), 7);
        let broke = std::panic::catch_unwind(std::panic::AssertUnwindSafe(|| {
            ticking(Told(tell), Duration::from_secs(3600), "looking", || {
                std::panic::resume_unwind(Box::new(1))
            })
        }));
        assert!(broke.is_err());
        assert!(told.iter().next().is_none());
    }
}
