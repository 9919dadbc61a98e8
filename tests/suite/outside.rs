//! What the world outside does to the program: signals, disks, pipes, terminals, files of strangers.

use std::fs;
use std::path::Path;

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
        self.typed(args, "")
    }

    fn typed(&self, args: &[&str], typed: &str) -> Said {
        called(self.0.path(), args, typed)
    }

    /// Calls the program in a shell that was told of limits first (a recipe's work may take no longer than 20 s of processor time).
    #[cfg(unix)]
    fn limited(&self, limits: &str, args: &[&str], typed: &str) -> Said {
        let script = format!("ulimit -t 20; {limits}\nexec timeout 60 \"$0\" \"$@\"");
        let mut command = Command::new("sh");
        command.args(["-c", &script, env!("CARGO_BIN_EXE_heatbook")]).args(args).current_dir(self.0.path());
        let out = command.stdin(keys(typed)).output().unwrap();
        let text = |bytes: Vec<u8>| String::from_utf8(bytes).unwrap();
        Said { code: out.status.code().unwrap_or(-1), out: text(out.stdout), err: text(out.stderr) }
    }

    fn begin(&self, args: &[&str]) -> Child {
        self.begin_typed(args, Stdio::piped())
    }

    fn begin_typed(&self, args: &[&str], typed: impl Into<Stdio>) -> Child {
        let mut command = Command::new(env!("CARGO_BIN_EXE_heatbook"));
        command.args(args).current_dir(self.0.path());
        command.stdin(typed).stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().unwrap()
    }
}

/// A standard input on which this was typed, less than a pipe holds, and then its end.
fn keys(typed: &str) -> std::io::PipeReader {
    let (from, mut to) = std::io::pipe().unwrap();
    std::io::Write::write_all(&mut to, typed.as_bytes()).unwrap();
    from
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
    let mask = |of: &str, row: &str| {
        let status = fs::read_to_string(format!("/proc/{of}/status")).unwrap();
        let mask = status.lines().find_map(|l| l.strip_prefix(row)).unwrap();
        u64::from_str_radix(mask.trim(), 16).unwrap()
    };
    // From when on a program catches the signal: SIGINT is 2, the second bit of the mask (proc(5)).
    let catches = |child: &Child| mask(&child.id().to_string(), "SigCgt:") & 2 != 0;
    let child = folder.begin(&["odds", "a.heat", "--samples", "1000000"]);
    while !catches(&child) {
        std::thread::yield_now();
    }
    signal(&child, "INT");
    let (status, out, err) = ended(child);
    assert_eq!(status.code(), Some(130), "{out}{err}");
    assert!(err.contains("stopped"), "{err}");
    // What waits on its standard input catches nothing. Whoever began these tests in the background of a script has them
    // ignore the signal, and a child is born with what is ignored.
    let ignored = mask("self", "SigIgn:") & 2 != 0;
    let child = folder.begin(&["check", "-"]);
    signal(&child, "INT");
    assert_eq!(ended(child).0.signal(), (!ignored).then_some(2));
}

/// Characters that drive a terminal, or turn about what is read.
fn drives(c: char) -> bool {
    let turns = ['\u{61c}', '\u{200e}', '\u{200f}'].contains(&c)
        || ('\u{2028}'..='\u{202e}').contains(&c)
        || ('\u{2066}'..='\u{2069}').contains(&c);
    turns || c.is_control() && !matches!(c, '\n' | '\t')
}

/// Escape sequences, C1, a lone carriage return, a change of direction.
const EVIL: &str = "\u{2028}\u{1b}]0;x\u{7}\u{1b}[31mred\u{9b}2J\u{85}\u{202e}\u{2066}\u{7f}";

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

/// What is never worked to its end is told to an editor too, and the next text is answered.
#[test]
fn the_server_goes_on_behind_rounds_of_nothing() {
    let mut client = crate::client::Client::start(&[]);
    let codes = |found: Vec<serde_json::Value>| -> Vec<String> {
        found.iter().map(|f| f["code"].as_str().unwrap().to_owned()).collect()
    };
    for (version, rounds) in [(1, "repeat 2 {\n".repeat(20)), (2, "repeat 100 {\n".repeat(6))] {
        let uri = format!("untitled:{version}.heat");
        client.open(&uri, &format!("{rounds}{}", "}\n".repeat(rounds.lines().count())));
        assert_eq!(codes(client.findings(&uri, 1)), ["too_many_steps"], "{version}");
    }
    client.open("untitled:a.heat", "let a = b\n");
    assert_eq!(codes(client.findings("untitled:a.heat", 1)), ["unknown_figure"]);
    client.ask("shutdown", serde_json::Value::Null);
    client.tell("exit", serde_json::Value::Null);
    assert_eq!(client.end().0, Some(0));
}

/// Nothing is waited for that may never come: only files are read, and `-`.
#[cfg(unix)]
#[test]
fn a_pipe_that_nobody_writes_into_is_not_waited_for() {
    let folder = Folder::new(&[
        ("a.heat", "use \"pipe.heat\"\nstock b = 1 bar of 1084, 10 x 40 x 200 mm\n"),
        ("l.heat", "build of \"pipe.heat\"\n"),
    ]);
    assert!(Command::new("mkfifo").arg(folder.path("pipe.heat")).status().unwrap().success());
    for args in
        [&["check", "a.heat"][..], &["check", "l.heat"], &["check", "pipe.heat"], &["fmt", "pipe.heat"]]
    {
        let said = folder.limited("", &[args, &["--error-format", "plain"]].concat(), "");
        assert!(matches!(said.code, 1 | 2), "{args:?}: {} {}", said.code, said.all());
        assert!(said.err.contains("a pipe or a device, and only files are read"), "{}", said.err);
    }
}

/// Names of files are the system's, not ours: they need not be text.
#[cfg(target_os = "linux")]
#[test]
fn a_name_need_not_be_text() {
    use std::os::unix::ffi::OsStrExt as _;
    let folder = Folder::new(&[]);
    let name = std::ffi::OsStr::from_bytes(b"k\xfchn.heat");
    let loose = "stock   b = 1 bar of 1084, 10 x 40 x 200 mm\ntarget b {\n  width >= 41 mm\n}\n";
    let call = |before: &[&str], behind: &[&str]| {
        let mut command = Command::new(env!("CARGO_BIN_EXE_heatbook"));
        let out = command.args(before).arg(name).args(behind).current_dir(folder.0.path()).output().unwrap();
        (
            out.status.code().unwrap(),
            String::from_utf8(out.stdout).unwrap() + &String::from_utf8(out.stderr).unwrap(),
        )
    };
    fs::write(folder.0.path().join(name), loose).unwrap();
    for (before, code) in [
        (&["check"][..], 1),
        (&["run"], 1),
        (&["why", "width", "b"], 0),
        (&["compare", "--set", "b thick = 9 mm"], 1),
    ] {
        let (got, said) = call(before, &[]);
        assert_eq!(got, code, "{before:?}: {said}");
    }
    assert!(call(&["check"], &[]).1.contains("k\u{fffd}hn.heat"));
    assert_eq!(call(&["fmt"], &[]).0, 0);
    assert_eq!(fs::read_to_string(folder.0.path().join(name)).unwrap(), loose.replace("   ", " "));
    assert_eq!(call(&["new"], &[]).0, 2);
    fs::remove_file(folder.0.path().join(name)).unwrap();
    let (code, said) =
        call(&["new"], &["--width", "40 mm", "--length", "100 mm", "--thick", "5 mm", "--layers", "7"]);
    assert_eq!(code, 0, "{said}");
    assert_eq!(call(&["check"], &[]).0, 0);
}

/// A path that is told leads there from where one stands.
#[test]
fn paths_lead_there_from_where_one_stands() {
    let part = "recipe bar() {\n  stock b = 1 bar of 1085, 4 x 40 x 100 mm\n  give b\n}\nlet a = b\n";
    let folder = Folder::new(&[("a.heat", "use \"parts/bars.heat\"\nstock b = bar()\n")]);
    fs::create_dir(folder.path("parts")).unwrap();
    fs::create_dir(folder.path("else")).unwrap();
    fs::write(folder.path("parts/bars.heat"), part).unwrap();
    let whole = folder.path("a.heat").to_str().unwrap().to_owned();
    for (stands, file) in [
        (".", "a.heat"),
        (".", "./a.heat"),
        ("else", "../a.heat"),
        ("parts", whole.as_str()),
        ("else", "../else/../a.heat"),
    ] {
        let from = folder.path(stands);
        let said = called(&from, &["check", file, "--error-format", "short"], "");
        assert_eq!(said.code, 1);
        assert!(said.err.lines().count() >= 2, "{}", said.err);
        for line in said.err.lines() {
            let (path, _) = line.split_once(".heat:").unwrap();
            assert!(from.join(format!("{path}.heat")).is_file(), "{file} from {stands}: {line}");
        }
    }
}

/// What killed runs left goes when something is written in the folder again; nothing else does.
#[test]
fn what_killed_runs_left_is_taken_away() {
    let folder = Folder::new(&[
        ("a.heat", "let   a = 2 mm\n"),
        (".heatbook-Xy1.part", "old"),
        (".heatbook-Xy2.part", "new"),
        (".heatbook-notes", "old"),
    ]);
    for name in [".heatbook-Xy1.part", ".heatbook-notes"] {
        let file = fs::File::options().write(true).open(folder.path(name)).unwrap();
        file.set_modified(std::time::SystemTime::now() - std::time::Duration::from_secs(61)).unwrap();
    }
    assert_eq!(folder.call(&["fmt", "a.heat"]).code, 0);
    assert_eq!(folder.names(), [".heatbook-Xy2.part", ".heatbook-notes", "a.heat"]);
}

/// `fmt` writes nothing that it would not read.
#[test]
fn no_line_grows_longer_than_what_is_read() {
    let lines = format!("{}bbbbbbbbbb", "bbbbbbbbbb,\n".repeat(5400));
    let recipe = format!("stack s = {lines}\n");
    let folder = Folder::new(&[("a.heat", &recipe)]);
    let said = folder.call(&["fmt", "a.heat"]);
    assert_eq!(said.code, 1, "{}", said.err);
    assert!(said.err.contains("longer than 64 KiB"), "{}", said.err);
    assert_eq!(folder.text("a.heat"), recipe);
}

/// A terminal is coloured where it knows colours and its owner does not forbid them; an empty wish is none.
#[cfg(unix)]
#[test]
fn colours_go_to_terminals_that_know_them() {
    let folder = Folder::new(&[("a.heat", "darw b to 9 mm thick\n")]);
    for (term, wish, coloured) in [
        ("xterm", None, true),
        ("xterm", Some(""), true),
        ("xterm", Some("1"), false),
        ("dumb", None, false),
        ("dumb", Some(""), false),
    ] {
        let mut command = Command::new(env!("CARGO_BIN_EXE_heatbook"));
        command
            .args(["check", "a.heat"])
            .current_dir(folder.0.path())
            .env("TERM", term)
            .env_remove("NO_COLOR");
        command.envs(wish.map(|value| ("NO_COLOR", value)));
        let mut terminal = rexpect::session::spawn_command(command, Some(20_000)).unwrap();
        let said = terminal.exp_eof().unwrap();
        assert!(said.contains("darw"), "{said:?}");
        assert_eq!(said.contains("\u{1b}["), coloured, "{term} {wish:?}: {said:?}");
    }
}

/// Only another text in a file of the recipe is a save.
#[test]
fn watch_is_woken_by_saves_and_by_nothing_else() {
    use std::io::Write as _;
    use std::io::{BufRead as _, BufReader};
    let part = "let wide = 40 mm\n";
    let folder = Folder::new(&[(
        "a.heat",
        "use \"parts/sizes.heat\"\nstock b = 1 bar of 1084, 10 mm x wide x 200 mm\ntarget b {\n  width >= 40 mm\n}\n",
    )]);
    fs::create_dir(folder.path("parts")).unwrap();
    fs::write(folder.path("parts/sizes.heat"), part).unwrap();
    let mut command = Command::new(env!("CARGO_BIN_EXE_heatbook"));
    // From elsewhere: what is used is found all the same.
    command.args(["watch", folder.path("a.heat").to_str().unwrap()]);
    let mut child = command.stdout(Stdio::piped()).stderr(Stdio::null()).spawn().unwrap();
    let mut lines = BufReader::new(child.stdout.take().unwrap()).lines();
    let mut check = || -> String {
        let until = |line: &String| !line.starts_with("watching");
        lines.by_ref().map(Result::unwrap).take_while(until).collect::<Vec<_>>().join("\n")
    };
    // A text as long as the one before it, letter over letter: nobody ever finds half of it.
    let save = |name: &str, text: &str| {
        assert_eq!(text.len(), folder.text(name).len());
        let mut file = fs::File::options().write(true).open(folder.path(name)).unwrap();
        file.write_all(text.as_bytes()).unwrap();
    };
    assert!(check().contains("makes its spec"));
    // Readers, and a save of the same text: longer than what is waited for after a save.
    for _ in 0..5 {
        save("a.heat", &folder.text("a.heat"));
        std::thread::sleep(std::time::Duration::from_millis(150));
    }
    save("parts/sizes.heat", "let wide = 39 mm\n");
    let second = check();
    // Another file of the folder is nobody's business.
    fs::write(folder.path("other.heat"), "").unwrap();
    std::thread::sleep(std::time::Duration::from_millis(150));
    save("a.heat", &folder.text("a.heat").replace("40 mm\n", "38 mm\n"));
    let third = check();
    child.kill().unwrap();
    child.wait().unwrap();
    assert!(second.contains("MISSED"), "the second check is that of the changed part:\n{second}");
    assert!(third.contains("makes its spec"), "{third}");
}

/// A byte that is no text costs its line and no more; what is dropped at the end is told.
#[test]
fn the_prompt_loses_nothing_without_a_word() {
    let folder = Folder::new(&[]);
    let mut child = folder.begin(&["prompt"]);
    let lines = b"stock b = 1 bar of 1084, 10 x 40 x 200 mm\nnote \"k\xfchn\"\nturn b\nshow\n";
    std::io::Write::write_all(&mut child.stdin.take().unwrap(), lines).unwrap();
    let (status, out, err) = ended(child);
    assert_eq!(status.code(), Some(1), "{out}{err}");
    assert!(out.contains("this line is no text") && out.ends_with("200 mm\nturn b\n"), "{out}");
    assert!(err.contains("were not saved"), "{err}");
    let lines = "stock b = 1 bar of 1084, 10 x 40 x 200 mm\nsave a.heat\n";
    let said = called(folder.0.path(), &["prompt"], lines);
    assert_eq!((said.code, said.err.as_str()), (0, ""), "{}", said.out);
    assert!(called(folder.0.path(), &["prompt", "a.heat"], "quit\n").err.is_empty());
    assert!(called(folder.0.path(), &["prompt", "a.heat"], "turn b\nquit\n").err.contains("were not saved"));
}

/// A recipe that `fmt` and `fill` write anew.
const LOOSE: &str =
    "stock   b = 1 bar of 1084, 10 x 40 x ? in 100 .. 300 mm\ntarget b {\n  length >= 200 mm\n}\n";

/// A call that writes a file. Whenever it is cut off there may stand in it what stood there, or all that is written.
struct Writing {
    args: Vec<&'static str>,
    /// What is typed into it.
    typed: &'static str,
    file: &'static str,
    /// How it ends where the file cannot be written.
    fails: i32,
}

fn writing() -> Vec<Writing> {
    let sweep = vec!["sweep", "first.heat", "--vary", "spread 1 wide = 55 mm .. 80 mm / 3", "--svg", "s.svg"];
    let new =
        vec!["new", "n.heat", "--width", "40 mm", "--length", "100 mm", "--thick", "5 mm", "--layers", "7"];
    let calls = vec![
        (vec!["fmt", "a.heat"], "a.heat"),
        (vec!["fill", "a.heat", "--write"], "a.heat"),
        (sweep, "s.svg"),
        (vec!["chart", "first.heat", "--of", "width", "--svg", "c.svg"], "c.svg"),
        (vec!["why", "width", "blade", "first.heat", "--svg", "w.svg"], "w.svg"),
        (vec!["sheet", "first.heat", "--out", "s.html"], "s.html"),
        (new, "n.heat"),
        (vec!["template", "blade.heat", "--svg", "t.svg"], "t.svg"),
        (vec!["template", "blade.heat", "--dxf", "t.dxf"], "t.dxf"),
        (vec!["template", "blade.heat", "--tiles", "t.html"], "t.html"),
        (vec!["picture", "first.heat", "--px", "2 mm", "--out", "p.svg"], "p.svg"),
        (vec!["rescue", "short.heat", "--write"], "short.heat"),
        (vec!["quote", "priced.heat", "--out", "q.html"], "q.html"),
        (vec!["rack", "cut.heat", "--into", "rack.heat", "--on", "2026-03-02"], "rack.heat"),
    ];
    let calls = calls.into_iter().map(|(args, file)| Writing { args, typed: "", file, fails: 2 });
    let log = vec!["log", "drawn.heat", "--out", "log.heat"];
    let prompt = vec!["prompt", "drawn.heat"];
    let asking = [
        Writing { args: log, typed: "9.1 mm\nend\n", file: "log.heat", fails: 2 },
        // The prompt goes on, and tells at its end that something went wrong.
        Writing { args: prompt, typed: "turn b\nsave p.heat\n", file: "p.heat", fails: 1 },
    ];
    calls.chain(asking).collect()
}

const BLADE: &str =
    "stock b = 1 bar of 1084, 5 x 42 x 300 mm\nprofile b to 240 mm long, 40 mm wide, belly 90 mm\n";

fn shop() -> Folder {
    Folder::new(&[
        ("a.heat", LOOSE),
        ("first.heat", FIRST),
        ("blade.heat", BLADE),
        ("short.heat", "stock b = 1 bar of 1084, 10 x 40 x 200 mm\ntarget b {\n  width >= 41 mm\n}\n"),
        ("priced.heat", "shop {\n  price of 1084 9 per kg\n}\nstock b = 1 bar of 1084, 10 x 40 x 200 mm\n"),
        ("drawn.heat", "stock b = 1 bar of 1084, 10 x 40 x 200 mm\ndraw b to 9 mm thick, heats 1\n"),
        ("cut.heat", "stock b = 1 bar of 1084, 10 x 40 x 200 mm\ncut b to 120 mm long, keep rest\n"),
    ])
}

/// A run that is killed while it writes leaves the file as it was or as it should be, and beside it at most what the next run knows
/// for ours.
#[cfg(unix)]
#[test]
fn killed_while_writing_nothing_is_torn() {
    let mut cut_off = 0;
    for Writing { args, typed, file, .. } in writing() {
        let whole = shop();
        let before = fs::read_to_string(whole.path(file)).ok();
        let said = whole.typed(&args, typed);
        assert_eq!(said.code, 0, "{args:?}: {}", said.all());
        let after = whole.text(file);
        for _ in 0..3 {
            let folder = shop();
            let mut child = folder.begin_typed(&args, keys(typed));
            let names = folder.names();
            // As soon as anything new lies in the folder, or has come to its end.
            while folder.names() == names && child.try_wait().unwrap().is_none() {
                std::thread::sleep(std::time::Duration::from_micros(200));
            }
            let _ = child.kill();
            child.wait().unwrap();
            let now = fs::read_to_string(folder.path(file)).ok();
            assert!(now == before || now.as_ref() == Some(&after), "{args:?}: {now:?}");
            let left: Vec<String> =
                folder.names().into_iter().filter(|n| !names.contains(n) && n != file).collect();
            // Of a rack also the sign that somebody was writing it.
            let ours =
                |n: &String| n.ends_with(".part") || n == ".heatbook-rack.heat.lock" && file == "rack.heat";
            assert!(left.iter().all(|n| n.starts_with(".heatbook-") && ours(n)), "{left:?}");
            cut_off += usize::from(now.as_ref() != Some(&after));
        }
    }
    assert!(cut_off > 0, "no run was cut off in the middle");
}

/// Whoever finds the sign of a run that was killed while it wrote a rack waits, and is then told what to take away.
#[test]
fn a_killed_run_leaves_no_riddle_beside_a_rack() {
    let folder = shop();
    fs::write(folder.path(".heatbook-rack.heat.lock"), "").unwrap();
    let booking = ["rack", "cut.heat", "--into", "rack.heat", "--on", "2026-03-02"];
    let said = folder.call(&booking);
    assert_eq!(said.code, 2, "{}", said.all());
    assert!(said.err.contains("another run is writing") && said.err.contains("was killed"), "{}", said.err);
    let err = said.err.split_whitespace().collect::<Vec<_>>().join(" ");
    let (_, named) = err.split_once("left `").unwrap();
    fs::remove_file(folder.0.path().join(named.split('`').next().unwrap())).unwrap();
    assert_eq!(folder.call(&booking).code, 0);
}

/// A disk without room: what was there is as it was, nothing is left, and it is said.
#[cfg(target_os = "linux")]
#[test]
fn a_full_disk_is_said_and_tears_nothing() {
    for Writing { args, typed, file, fails } in writing() {
        let folder = shop();
        let (names, before) = (folder.names(), fs::read_to_string(folder.path(file)).ok());
        // No file may grow: writing fails as on a full disk, and the signal of it is passed over.
        let said = folder.limited("trap '' XFSZ; ulimit -f 0", &args, typed);
        assert_eq!(said.code, fails, "{args:?}: {}", said.all());
        assert!(said.all().contains("there is no room for it"), "{args:?}: {}", said.all());
        assert_eq!((folder.names(), fs::read_to_string(folder.path(file)).ok()), (names, before), "{args:?}");
    }
}

/// A folder where nothing may be written.
#[cfg(unix)]
#[test]
fn a_folder_that_may_not_be_written_is_said() {
    use std::os::unix::fs::{MetadataExt as _, PermissionsExt as _, chown};
    let folder = shop();
    let root = fs::metadata(folder.0.path()).unwrap().uid() == 0;
    let nobody = |args: &[&str], typed: &str| {
        let mut command = Command::new("setpriv");
        command.args(["--reuid=65534", "--regid=65534", "--clear-groups", env!("CARGO_BIN_EXE_heatbook")]);
        command.args(args).current_dir(folder.0.path()).stdin(keys(typed)).output()
    };
    if root {
        // Root may write anywhere: the program is called as somebody else, where that can be had.
        for name in folder.names() {
            chown(folder.path(&name), Some(65534), Some(65534)).unwrap();
        }
        chown(folder.0.path(), Some(65534), Some(65534)).unwrap();
        if !nobody(&["steels"], "").is_ok_and(|out| out.status.success()) {
            eprintln!("skipped: root may write in any folder, and nobody else can be had");
            return;
        }
    }
    fs::set_permissions(folder.0.path(), fs::Permissions::from_mode(0o555)).unwrap();
    for Writing { args, typed, file, fails } in writing() {
        let names = folder.names();
        let before = fs::read_to_string(folder.path(file)).ok();
        let (code, said) = if root {
            let out = nobody(&args, typed).unwrap();
            (out.status.code().unwrap(), String::from_utf8([out.stdout, out.stderr].concat()).unwrap())
        } else {
            let said = folder.typed(&args, typed);
            (said.code, said.all())
        };
        assert_eq!(code, fails, "{args:?}: {said}");
        assert!(said.contains("you may not write there"), "{args:?}: {said}");
        assert_eq!((folder.names(), fs::read_to_string(folder.path(file)).ok()), (names, before), "{args:?}");
    }
    fs::set_permissions(folder.0.path(), fs::Permissions::from_mode(0o755)).unwrap();
}

/// A file of somebody else would become ours: it is left alone, and the way out is told. Only root can lay such a file.
#[cfg(unix)]
#[test]
fn a_file_of_somebody_else_is_left_alone() {
    use std::os::unix::fs::{MetadataExt as _, PermissionsExt as _, chown};
    let folder = shop();
    let nobody = |args: &[&str]| {
        let mut command = Command::new("setpriv");
        command.args(["--reuid=65534", "--regid=65534", "--clear-groups", env!("CARGO_BIN_EXE_heatbook")]);
        command.args(args).current_dir(folder.0.path()).stdin(Stdio::null()).output()
    };
    if fs::metadata(folder.0.path()).unwrap().uid() != 0
        || !nobody(&["steels"]).is_ok_and(|out| out.status.success())
    {
        eprintln!("skipped: two people are needed, and only root can be another");
        return;
    }
    fs::set_permissions(folder.0.path(), fs::Permissions::from_mode(0o777)).unwrap();
    fs::set_permissions(folder.path("a.heat"), fs::Permissions::from_mode(0o666)).unwrap();
    let names = folder.names();
    for args in [&["fmt", "a.heat"][..], &["fill", "a.heat", "--write"]] {
        let out = nobody(args).unwrap();
        let err = String::from_utf8(out.stderr).unwrap();
        assert_eq!(out.status.code(), Some(2), "{args:?}: {err}");
        assert!(err.contains("belongs to somebody else") && err.contains("copy it first"), "{args:?}: {err}");
        assert_eq!((folder.names(), folder.text("a.heat").as_str()), (names.clone(), LOOSE), "{args:?}");
    }
    // Who may give files away writes it, and it stays with its owner.
    chown(folder.path("a.heat"), Some(65534), Some(65534)).unwrap();
    assert_eq!(folder.call(&["fmt", "a.heat"]).code, 0);
    let about = fs::metadata(folder.path("a.heat")).unwrap();
    assert_eq!((about.uid(), about.gid()), (65534, 65534));
    assert_ne!(folder.text("a.heat"), LOOSE);
}

/// An edit made between the reading and the writing is not lost.
#[test]
fn an_edit_made_meanwhile_is_kept() {
    use std::io::Write as _;
    let folder = shop();
    // `fmt` reads every file before it writes the first: it has read this one when it reads its standard input.
    let mut child = folder.begin(&["fmt", "a.heat", "-"]);
    let mut to = child.stdin.take().unwrap();
    // More than a pipe holds: once this has gone, the program is reading it.
    to.write_all("# a comment\n".repeat(20_000).as_bytes()).unwrap();
    let edited = LOOSE.replace("40", "41");
    fs::write(folder.path("a.heat"), &edited).unwrap();
    let reader = std::thread::spawn(move || drop(to));
    let (status, _, err) = ended(child);
    reader.join().unwrap();
    assert_eq!(status.code(), Some(2), "{err}");
    assert!(err.contains("has changed meanwhile: nothing is written"), "{err}");
    assert_eq!(folder.text("a.heat"), edited);
}

/// A reader that has gone away is no mistake.
#[test]
fn a_closed_pipe_is_quiet() {
    let folder = shop();
    for args in [
        &["steels"][..],
        &["run", "first.heat"],
        &["run", "first.heat", "--format", "json"],
        &["fmt", "-"],
        &["man"],
    ] {
        let (from, to) = std::io::pipe().unwrap();
        drop(from);
        let mut command = Command::new(env!("CARGO_BIN_EXE_heatbook"));
        let out =
            command.args(args).current_dir(folder.0.path()).stdin(Stdio::null()).stdout(to).output().unwrap();
        let open = folder.call(args);
        assert_eq!(
            (out.status.code(), String::from_utf8(out.stderr).unwrap()),
            (Some(open.code), open.err),
            "{args:?}"
        );
    }
}

/// A link stays a link, and what it points at is what is written; one that leads nowhere is not written over.
#[cfg(unix)]
#[test]
fn links_are_followed_and_kept() {
    use std::os::unix::fs::symlink;
    let folder = shop();
    fs::create_dir(folder.path("else")).unwrap();
    fs::rename(folder.path("a.heat"), folder.path("else/real.heat")).unwrap();
    symlink("else/real.heat", folder.path("a.heat")).unwrap();
    assert_eq!(folder.call(&["fill", "a.heat", "--write"]).code, 0);
    assert_eq!(folder.call(&["fmt", "a.heat"]).code, 0);
    assert_eq!(fs::read_link(folder.path("a.heat")).unwrap(), Path::new("else/real.heat"));
    assert!(folder.text("else/real.heat").starts_with("stock b = 1 bar of 1084, 10 x 40 x 200 mm"));
    for name in ["n.heat", "t.svg", "t.dxf"] {
        symlink("else/none", folder.path(name)).unwrap();
    }
    for Writing { args, file, .. } in
        writing().into_iter().filter(|call| ["n.heat", "t.svg", "t.dxf"].contains(&call.file))
    {
        let said = folder.call(&args);
        assert_eq!(said.code, 2, "{args:?}: {}", said.all());
        assert!(said.err.contains("is there already"), "{args:?}: {}", said.err);
        assert!(
            fs::symlink_metadata(folder.path(file)).unwrap().is_symlink()
                && !folder.path("else/none").exists()
        );
    }
}

/// What a stranger's recipe may bring in: files of its folder, each once, some of them; of others it tells nothing.
#[cfg(unix)]
#[test]
fn a_stranger_brings_in_nothing_of_ours() {
    use std::os::unix::fs::symlink;
    let outer = Folder::new(&[("secret.heat", "let secret-of-ours = 4711 mm\nlet b = nothing-such\n")]);
    let folder = outer.path("recipe");
    fs::create_dir(&folder).unwrap();
    symlink("../secret.heat", folder.join("link.heat")).unwrap();
    symlink("..", folder.join("up")).unwrap();
    symlink("round.heat", folder.join("round.heat")).unwrap();
    let whole = outer.path("secret.heat").to_str().unwrap().to_owned();
    for (name, code) in [
        ("../../../../../../../../etc/passwd", "use_outside"),
        ("/etc/passwd", "use_outside"),
        ("../secret.heat", "use_outside"),
        (whole.as_str(), "use_outside"),
        ("link.heat", "use_outside"),
        ("up/secret.heat", "use_outside"),
        ("/dev/zero", "use_outside"),
        ("a.heat", "use_cycle"),
        ("./a.heat", "use_cycle"),
        ("round.heat", "use_missing"),
        (".", "use_missing"),
        ("", "use_missing"),
        ("none.heat", "use_missing"),
    ] {
        for text in [
            format!("use \"{name}\"\nlet a = secret-of-ours\n"),
            format!("build of \"{name}\"\nat heat 1: 3.9 mm thick\n"),
        ] {
            fs::write(folder.join("a.heat"), &text).unwrap();
            let said = called(&folder, &["check", "a.heat"], "");
            assert!(matches!(said.code, 1 | 2), "{name}: {}", said.all());
            if text.starts_with("use") {
                assert!(said.err.contains(code), "{name}: {}", said.err);
            }
            assert!(!said.all().contains("4711") && !said.all().contains("root:"), "{name}: {}", said.all());
        }
    }
    for i in 0..66 {
        fs::write(folder.join(format!("{i}.heat")), format!("use \"{}.heat\"\n", i + 1)).unwrap();
    }
    fs::write(folder.join("a.heat"), "use \"0.heat\"\n").unwrap();
    let said = called(&folder, &["check", "a.heat"], "");
    assert!(said.code == 1 && said.err.contains("too_many_files"), "{}", said.all());
}

/// Whatever a stranger's recipe says, it is answered within 500 MB and 2 s of a processor (ten times that where the program is built
/// for tests).
#[cfg(target_os = "linux")]
#[test]
fn a_strangers_recipe_stays_within_limits() {
    let deep = |words: &str, many: usize| {
        format!("{}draw b to 9 mm thick\n{}", words.repeat(many), "}\n".repeat(many))
    };
    let stock = "stock b = 1 bar of 1084, 10 x 40 x 200 mm\n";
    let folds = format!(
        "stock a = 2 bars of 1084, 10 x 40 x 200 mm\nstack b = a\nweld b at 1130 C, thinning 10 %\n{}",
        "fold b at 1130 C, thinning 45 %\n".repeat(60)
    );
    let recipes = [
        format!("{stock}{}", deep("repeat 1000 {\n", 100)),
        format!("{stock}{}", deep("repeat 1000000000 {\n", 1)),
        deep("target b {\n", 5000),
        format!("let a = {}1{}\n", "(".repeat(60_000), ")".repeat(60_000)),
        format!("let a = {}\n", "9".repeat(60_000)),
        "stock b = 999999999 bars of 1084, 1e300 x 40 x 200 mm\n".to_owned(),
        format!("{}{stock}", "\n".repeat(1 << 20)),
        format!("{}\n", "a".repeat(1 << 20)),
        "\"".repeat(1 << 20),
        "{".repeat(1 << 20),
        "}\n".repeat(1 << 19),
        "use \"a.heat\"\n".repeat(40_000),
        format!("{stock}{}", "draw b to 9 mm thick\n".repeat(19_000)),
        folds,
    ];
    let seconds = if cfg!(debug_assertions) { 20 } else { 2 };
    for recipe in &recipes {
        let folder = Folder::new(&[("a.heat", recipe)]);
        for command in ["check", "fmt"] {
            let said =
                folder.limited(&format!("ulimit -v 500000; ulimit -t {seconds}"), &[command, "a.heat"], "");
            let begins: String = recipe.chars().take(60).collect();
            assert!(matches!(said.code, 0..=2), "{command} {begins:?}: {} {}", said.code, said.all());
        }
    }
}
