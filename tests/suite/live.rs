//! The page that `watch --page` serves, asked by a plain client: on this machine only, to look at only, and as the file is saved.

use std::fs;
use std::io::{BufRead as _, BufReader, Read as _, Write as _};
use std::net::TcpStream;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::sync::mpsc::{Receiver, channel};
use std::time::Duration;

const RECIPE: &str = "stock d = 3 bars of 1084, 4 x 40 x 150 mm\nstock b = 2 bars of 15N20, 2 x 40 x 150 mm\nstack bar = alternate d, b\n\
                      weld bar at 1230 C, thinning 15 %, heats 3\ntarget bar {\n  length >= 150 mm\n}\n";

/// A watcher and where its page is.
struct Watcher {
    child: Child,
    lines: Receiver<String>,
    port: u16,
}

impl Watcher {
    fn new(file: &Path) -> Watcher {
        let mut command = Command::new(env!("CARGO_BIN_EXE_heatbook"));
        command.arg("watch").arg(file).arg("--page");
        let mut child = command.stdout(Stdio::piped()).stderr(Stdio::null()).spawn().unwrap();
        let (tell, lines) = channel();
        let out = child.stdout.take().unwrap();
        std::thread::spawn(move || {
            BufReader::new(out).lines().map_while(Result::ok).for_each(|line| drop(tell.send(line)));
        });
        let mut watcher = Watcher { child, lines, port: 0 };
        let told = watcher.until("its page, on this machine only: http://127.0.0.1:");
        watcher.port = told.trim_end_matches('/').rsplit(':').next().unwrap().parse().unwrap();
        watcher.until("watching");
        watcher
    }

    fn until(&self, words: &str) -> String {
        loop {
            let line = self.lines.recv_timeout(Duration::from_secs(60)).unwrap();
            if line.contains(words) {
                return line;
            }
        }
    }

    /// The page, once something stands on it: a save may be seen half written first.
    fn shows(&self, part: &str) -> String {
        for _ in 0..600 {
            let page = self.asked("GET /", "");
            if page.contains(part) {
                return page;
            }
            std::thread::sleep(Duration::from_millis(100));
        }
        panic!("the page never shows {part}");
    }

    /// What is answered to a request as it stands.
    fn sent(&self, request: &str) -> String {
        let mut stream = TcpStream::connect(("127.0.0.1", self.port)).unwrap();
        stream.set_read_timeout(Some(Duration::from_secs(60))).unwrap();
        stream.write_all(request.as_bytes()).unwrap();
        let mut answer = String::new();
        stream.read_to_string(&mut answer).unwrap();
        answer
    }

    fn asked(&self, line: &str, headers: &str) -> String {
        self.sent(&format!("{line} HTTP/1.1\r\nHost: 127.0.0.1:{}\r\n{headers}\r\n", self.port))
    }
}

impl Drop for Watcher {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

/// Ctrl-C ends it, and lets its port go.
#[cfg(unix)]
#[test]
fn ctrl_c_ends_it_and_its_port_is_free_again() {
    use std::os::unix::process::ExitStatusExt as _;
    // Whoever ignores it hands that on, as a shell does to what it runs in the background: then nothing can be seen here.
    let about = fs::read_to_string("/proc/self/status").unwrap_or_default();
    let ignored = about.lines().find_map(|line| line.strip_prefix("SigIgn:"));
    if ignored.is_some_and(|bits| u64::from_str_radix(bits.trim(), 16).unwrap() & 2 != 0) {
        return;
    }
    let (_folder, _, mut watcher) = watched();
    let sent = Command::new("kill").args(["-INT", &watcher.child.id().to_string()]).status().unwrap();
    assert!(sent.success());
    let ended = (0..200).find_map(|_| {
        std::thread::sleep(Duration::from_millis(50));
        watcher.child.try_wait().unwrap()
    });
    let ended = ended.expect("it runs on");
    assert!(ended.signal() == Some(2) || ended.code() == Some(130), "{ended:?}");
    // Another test may have been given the port since, for a while.
    let free = (0..600).any(|_| {
        TcpStream::connect(("127.0.0.1", watcher.port)).is_err() || {
            std::thread::sleep(Duration::from_millis(100));
            false
        }
    });
    assert!(free);
}

fn status(answer: &str) -> &str {
    answer.split(' ').nth(1).unwrap_or("none")
}

fn body(answer: &str) -> &str {
    answer.split_once("\r\n\r\n").unwrap().1
}

fn watched() -> (tempfile::TempDir, PathBuf, Watcher) {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("a.heat");
    fs::write(&file, RECIPE).unwrap();
    let watcher = Watcher::new(&file);
    (folder, file, watcher)
}

#[test]
fn the_page_follows_the_file_and_tells_what_changed() {
    let (_folder, file, watcher) = watched();
    let first = watcher.asked("GET /", "");
    assert_eq!(status(&first), "200");
    for part in
        ["the recipe makes its spec", "id=\"steps\"", "id=\"charts\"", "id=\"pattern\"", "src=\"/follow.js\""]
    {
        assert!(first.contains(part), "{part}: {first}");
    }
    assert!(!first.contains("since the last save"));
    // Everything that the page asks for is there, and tells this save from the next.
    assert!(body(&watcher.asked("GET /follow.js", "")).contains("fetch('/now')"));
    let now = watcher.asked("GET /now", "");
    let mark = body(&now).to_owned();
    assert!(first.contains(&format!("data-saved=\"{mark}\"")), "{mark}");

    fs::write(&file, RECIPE.replace("15 %", "20 %")).unwrap();
    let second = watcher.shows("since the last save");
    assert_ne!(body(&watcher.asked("GET /now", "")), mark);
    let changed = second.split("since the last save").nth(1).unwrap().split("<h2").next().unwrap();
    assert!(
        changed.contains("bar: ") && changed.contains("(was ") && !changed.contains('\u{fffd}'),
        "{changed}"
    );

    // A fault is told in the place of the sheet, and what somebody wrote is text.
    fs::write(&file, RECIPE.replace("thinning", "<b>thinning</b>")).unwrap();
    let third = watcher.shows("cannot be worked as written");
    assert!(third.contains("cannot be worked as written") && !third.contains("id=\"steps\""), "{third}");
    assert!(
        third.contains("`&lt;b&gt;thinning&lt;/b&gt;` makes no sense") && !third.contains("<b>"),
        "{third}"
    );
    fs::write(&file, RECIPE).unwrap();
    watcher.shows("id=\"steps\"");
}

#[test]
fn others_are_refused_and_nothing_is_written() {
    let (folder, file, watcher) = watched();
    let port = watcher.port;
    // On loopback alone: another address of this machine's own leads nowhere.
    #[cfg(target_os = "linux")]
    assert!(TcpStream::connect(("127.0.0.2", port)).is_err());
    let by_name = format!("GET / HTTP/1.1\r\nHost: localhost:{port}\r\n\r\n");
    assert_eq!(status(&watcher.sent(&by_name)), "200");
    // A name of another site that leads here, no name, two, another port.
    for hosts in [
        "Host: example.com\r\n",
        "",
        &format!("Host: 127.0.0.1:{port}\r\nHost: example.com\r\n"),
        "Host: 127.0.0.1\r\n",
        &format!("Host: 127.0.0.1.example.com:{port}\r\n"),
    ] {
        let answer = watcher.sent(&format!("GET / HTTP/1.1\r\n{hosts}\r\n"));
        assert_eq!(status(&answer), "403", "{hosts:?}");
        assert!(!answer.contains("1084"), "{hosts:?}");
    }
    let own = format!("Origin: http://127.0.0.1:{port}\r\n");
    let asked = [
        ("GET /now", own.as_str(), "200"),
        ("GET /now", "Sec-Fetch-Site: same-origin\r\n", "200"),
        ("GET /", "Sec-Fetch-Site: none\r\n", "200"),
        ("GET /", "Origin: https://example.com\r\n", "403"),
        ("GET /", "Origin: null\r\n", "403"),
        ("GET /now", "Sec-Fetch-Site: cross-site\r\n", "403"),
        ("GET /now", "Sec-Fetch-Site: same-site\r\n", "403"),
        ("POST /", "Content-Length: 0\r\n", "405"),
        ("PUT /a.heat", "Content-Length: 0\r\n", "405"),
        ("DELETE /", "", "405"),
        ("OPTIONS /", "Access-Control-Request-Method: GET\r\n", "405"),
        ("GET /a.heat", "", "404"),
        ("GET /../a.heat", "", "404"),
        ("GET /%2e%2e/a.heat", "", "404"),
        ("GARBAGE", "", "400"),
    ];
    for (line, headers, code) in asked {
        let answer = watcher.asked(line, headers);
        assert_eq!(status(&answer), code, "{line} {headers:?}");
        let (head, _) = answer.split_once("\r\n\r\n").unwrap();
        let head = head.to_lowercase();
        assert!(!head.contains("access-control") && head.contains("default-src 'none'"), "{head}");
        assert!(head.contains("nosniff") && head.contains("frame-ancestors 'none'"), "{head}");
    }
    let head = watcher.asked("HEAD /", "");
    assert!(status(&head) == "200" && body(&head).is_empty());
    // A request without an end is let go.
    let endless = format!("GET / HTTP/1.1\r\nX: {}", "x".repeat(20_000));
    assert_eq!(status(&watcher.sent(&endless)), "400");
    assert_eq!(fs::read_to_string(&file).unwrap(), RECIPE);
    assert_eq!(fs::read_dir(folder.path()).unwrap().count(), 1);
}

#[test]
fn a_second_page_finds_its_own_port_and_who_says_nothing_keeps_nobody_waiting() {
    let folder = tempfile::tempdir().unwrap();
    let [one, two] = ["a.heat", "b.heat"].map(|name| folder.path().join(name));
    fs::write(&one, RECIPE).unwrap();
    fs::write(&two, RECIPE.replace("150 mm", "160 mm")).unwrap();
    let (first, second) = (Watcher::new(&one), Watcher::new(&two));
    assert_ne!(first.port, second.port);
    let silent: Vec<TcpStream> =
        (0..8).map(|_| TcpStream::connect(("127.0.0.1", first.port)).unwrap()).collect();
    assert!(first.asked("GET /", "").contains("a.heat") && second.asked("GET /", "").contains("b.heat"));
    drop(silent);
}
