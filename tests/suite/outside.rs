//! What the world outside does to the program: signals, disks, pipes, terminals, files of strangers.

use std::fs;

use std::process::{Child, Command, Stdio};

use crate::common::{Said, called};

const FIRST: &str = include_str!("../../examples/ferry-galley.heat");

/// A folder of its own for a test.
struct Folder(tempfile::TempDir);

impl Folder {
    fn new(files: &[(&str, &str)]) -> Folder {
        let folder = Folder(tempfile::tempdir().unwrap());
        for (name, text) in files {
            fs::write(folder.path(name), text).unwrap();
        }
        folder
    }

    fn path(&self, name: &str) -> std::path::PathBuf {
        self.0.path().join(name)
    }

    fn text(&self, name: &str) -> String {
        fs::read_to_string(self.path(name)).unwrap()
    }

    /// The names of what lies in it.
    fn names(&self) -> Vec<String> {
        let entries = fs::read_dir(self.0.path()).unwrap();
        let mut names: Vec<String> =
            entries.map(|e| e.unwrap().file_name().to_string_lossy().into_owned()).collect();
        names.sort();
        names
    }

    fn call(&self, args: &[&str]) -> Said {
        called(self.0.path(), args, "")
    }

    fn begin(&self, args: &[&str]) -> Child {
        let mut command = Command::new(env!("CARGO_BIN_EXE_heatbook"));
        command.args(args).current_dir(self.0.path());
        command.stdin(Stdio::piped()).stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().unwrap()
    }
}

/// How a child ends, and what it said.
fn ended(child: Child) -> (std::process::ExitStatus, String, String) {
    let out = child.wait_with_output().unwrap();
    let text = |bytes: &[u8]| String::from_utf8(bytes.to_vec()).unwrap();
    (out.status, text(&out.stdout), text(&out.stderr))
}

#[cfg(unix)]
fn signal(child: &Child, name: &str) {
    let status = Command::new("kill").args([&format!("-{name}"), &child.id().to_string()]).status().unwrap();
    assert!(status.success());
}

/// Ctrl-C ends `odds` with what is known by then, and every other command as the signal does: shells tell both as 130.
#[cfg(target_os = "linux")]
#[test]
fn ctrl_c_is_told_by_the_exit_code() {
    use std::os::unix::process::ExitStatusExt as _;
    let folder = Folder::new(&[("a.heat", FIRST)]);
    // From when on a program catches the signal: SIGINT is 2, the second bit of the mask (proc(5)).
    let catches = |child: &Child| {
        let status = fs::read_to_string(format!("/proc/{}/status", child.id())).unwrap();
        let mask = status.lines().find_map(|l| l.strip_prefix("SigCgt:")).unwrap();
        u64::from_str_radix(mask.trim(), 16).unwrap() & 2 != 0
    };
    let child = folder.begin(&["odds", "a.heat", "--samples", "1000000"]);
    while !catches(&child) {
        std::thread::yield_now();
    }
    signal(&child, "INT");
    let (status, out, err) = ended(child);
    assert_eq!(status.code(), Some(130), "{out}{err}");
    assert!(err.contains("stopped"), "{err}");
    // What waits on its standard input catches nothing.
    let child = folder.begin(&["check", "-"]);
    signal(&child, "INT");
    assert_eq!(ended(child).0.signal(), Some(2));
}

/// Characters that drive a terminal, or turn about what is read.
fn drives(c: char) -> bool {
    let turns = ['\u{61c}', '\u{200e}', '\u{200f}'].contains(&c)
        || ('\u{202a}'..='\u{202e}').contains(&c)
        || ('\u{2066}'..='\u{2069}').contains(&c);
    turns || c.is_control() && !matches!(c, '\n' | '\t')
}

/// Escape sequences, C1, a lone carriage return, a change of direction.
const EVIL: &str = "\u{1b}]0;x\u{7}\u{1b}[31mred\u{9b}2J\u{85}\u{202e}\u{2066}\u{7f}";

/// However words of a recipe, of its name or of the command line come to a page, they drive no terminal.
#[cfg(unix)]
#[test]
fn no_words_of_a_stranger_drive_a_terminal() {
    let recipe = format!(
        "# {EVIL}\nrecipe bar(long: length = 100 mm) {{\n  stock b = 1 bar of 1084, 4 x 40 x long\n  give b\n}}\n\
         # {EVIL} {EVIL}\nsteel \"{EVIL}\" = like 1084\nnote \"{EVIL}\"\n\
         stock   a = 1 bar of \"{EVIL}\", 10 x 40 x 200 mm +- 1 mm\nmark {EVIL}\n\
         target a {{\n  width >= 30 mm # {EVIL}\n}}\nuse \"{EVIL}.heat\"\ndraw a to 9 mm thick, \"{EVIL}\"\n"
    );
    let sound = format!(
        "# {EVIL}\nsteel \"{EVIL}\" = like 1084\nnote \"{EVIL}\"\nstock   a = 1 bar of \"{EVIL}\", 10 +- 0.1 x 40 x 200 mm\n\
         target a {{\n  width >= 30 mm # {EVIL}\n}}\nheat a at 1000 C for 2 min # {EVIL}\n"
    );
    let name = format!("{EVIL}.heat");
    let log = format!("build of \"{EVIL}.heat\"\nat heat 1: 3.9 mm thick\nnote \"{EVIL}\"\n");
    let gone = format!("build of \"no{EVIL}.heat\"\n");
    let folder = Folder::new(&[
        ("a.heat", &recipe),
        ("s.heat", &sound),
        (&name, &sound),
        ("l.heat", &log),
        ("g.heat", &gone),
    ]);
    let set = format!("{EVIL}=3 mm");
    let mut looked = 0;
    for file in ["a.heat", "s.heat", &name, "l.heat", "g.heat", EVIL] {
        for args in [
            &["check", file][..],
            &["check", file, "--color", "always"],
            &["check", file, "--error-format", "plain"],
            &["check", file, "--error-format", "short"],
            &["check", file, "--error-format", "json"],
            &["check", file, "--format", "json"],
            &["check", file, "--set", &set],
            &["run", file],
            &["run", file, "--format", "csv"],
            &["run", file, "--format", "json"],
            &["fmt", file, "--diff"],
            &["fmt", file, "--check"],
            &["explain", file],
            &["why", "width", EVIL, file],
            &["compare", file, "s.heat"],
            &["replay", file],
            &["rescue", file],
            &["rack", file],
            &["nudge", file],
            &["odds", file, "--samples", "100"],
            &["sweep", file, "--vary", EVIL],
            &["new", file, "--width", EVIL],
            &["steels", EVIL],
            &["law", EVIL],
            &["man", EVIL],
            &[EVIL],
        ] {
            let said = folder.call(args);
            let all = said.all();
            let ours = if args.contains(&"always") { all.replace("\u{1b}[", "") } else { all };
            let evil: Vec<char> = ours.chars().filter(|c| drives(*c)).collect();
            assert!(evil.is_empty(), "{args:?}: {evil:?}\n{ours:?}");
            // The colours themselves are none of the stranger's.
            assert!(!said.all().contains("\u{1b}[31mred"), "{args:?}: {:?}", said.all());
            assert_ne!(said.code, 3, "{args:?}: {}", said.all());
            looked += 1;
        }
    }
    assert!(looked > 150);
    let said = called(folder.0.path(), &["prompt"], &format!("note \"{EVIL}\"\nshow\nload {EVIL}\n{EVIL}\n"));
    assert!(!said.all().chars().any(drives), "{:?}", said.all());
    // A recipe in house style goes to a pipe as it is.
    let out = called(folder.0.path(), &["fmt", "-"], &sound);
    assert!(out.code == 0 && out.out.contains(&format!("note \"{EVIL}\"")), "{:?}", out.all());
}

/// Lines end in three ways, as systems have it: places, pages and verdicts are the same, and nothing is swallowed.
#[test]
fn lines_end_as_systems_end_them() {
    let recipe = "# a comment\nstock b = 1 bar of 1084, 10 x 40 x 200 mm\n\ndarw b to 9 mm thick\ntarget b {\n  widht >= 3 mm\n}\n";
    let asked =
        "# a\nstock   b = 1 bar of 1084, 10 x 40 x ? in 100 .. 300 mm\ntarget b {\n  length >= 200 mm\n}\n";
    for form in ["human", "plain", "short", "json"] {
        let said = |end: &str| {
            let folder = Folder::new(&[("a.heat", &recipe.replace('\n', end))]);
            folder.call(&["check", "a.heat", "--error-format", form, "--color", "never"])
        };
        let plain = said("\n");
        assert_eq!(plain.code, 1);
        for end in ["\r", "\r\n"] {
            let other = said(end);
            assert_eq!((other.code, other.all()), (1, plain.all()), "{form} {end:?}");
        }
    }
    for end in ["\n", "\r", "\r\n"] {
        let folder = Folder::new(&[("a.heat", &asked.replace('\n', end))]);
        let said = folder.call(&["fill", "a.heat", "--write"]);
        assert_eq!(said.code, 0, "{}", said.all());
        let filled = asked.replace("? in 100 .. 300 mm", "200 mm").replace('\n', end);
        assert_eq!(folder.text("a.heat"), filled, "only the `?` is written over");
        assert_eq!(folder.call(&["fmt", "a.heat"]).code, 0);
        let end = if end == "\r\n" { end } else { "\n" };
        assert_eq!(
            folder.text("a.heat"),
            asked.replace("? in 100 .. 300 mm", "200 mm").replace("stock  ", "stock").replace('\n', end)
        );
    }
}

/// The server counts lines as the protocol does, and takes half a letter for a letter that was lost; what is no message is answered.
#[test]
fn the_server_counts_lines_as_its_protocol_and_goes_on() {
    let mut client = crate::client::Client::start(&[]);
    client.open("untitled:a.heat", "# one\r# two\r\nlet a = b\n\rlet c = d\n");
    let lines = |found: Vec<serde_json::Value>| -> Vec<u64> {
        found.iter().map(|f| f["range"]["start"]["line"].as_u64().unwrap()).collect()
    };
    assert_eq!(lines(client.findings("untitled:a.heat", 1)), [2, 4]);
    let change = |text: &str| {
        let body = format!(
            r#"{{"jsonrpc":"2.0","method":"textDocument/didChange","params":{{"textDocument":{{"uri":"untitled:a.heat","version":2}},"contentChanges":[{{"text":"{text}"}}]}}}}"#
        );
        format!("Content-Length: {}\r\n\r\n{body}", body.len())
    };
    client.raw(b"Content-Length: 2\r\n\r\n[}");
    assert_eq!(client.heard(|m| m["error"].is_object())["error"]["code"], -32700);
    client.raw(change(r"# \ud83d\nlet a = b \udd25\n").as_bytes());
    assert!(lines(client.findings("untitled:a.heat", 2)).contains(&1));
    client.ask("shutdown", serde_json::Value::Null);
    client.tell("exit", serde_json::Value::Null);
    assert_eq!(client.end().0, Some(0));
}
