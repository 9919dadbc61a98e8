//! The prompt: sessions through a pipe, and a person's keys at a terminal of make-believe.

use std::fs;

use crate::common::told;

/// What a session says, and how it ends.
fn session(args: &[&str], lines: &str) -> (i32, String) {
    let said = told(&[&["prompt", "--error-format", "short"], args].concat(), lines);
    (said.code, said.out)
}

const LINES: &str = "\
stock dark = 7 bars of 1084, 3 x 40 x 120 mm
stock bright = 6 bars of 15N20, 1.5 x 40 x 120 mm
stack billet = alternate dark,
  bright
weld billet at 1130 C, thinning 15 %, heats 3
target billet {
  width >= 44 mm everywhere
  layers >= 13
}
";

#[test]
fn lines_act_at_once() {
    let (code, said) = session(&[], LINES);
    assert_eq!(code, 0, "{said}");
    // 7 bars of 3 and 6 of 1.5 mm: 30 mm, and 15 % less after the weld.
    for words in [
        "dark: 7 bars, each 3 x 40 x 120 mm",
        "billet: 30 x 40 x 120 mm",
        "no more by itself: dark, bright",
        "billet: 25.5 x",
        "steel lost: scale +",
        "MISSED: width >= 44 mm everywhere",
        "met: layers >= 13: 13",
    ] {
        assert!(said.contains(words), "no `{words}` in\n{said}");
    }
}

/// A blade's width is asked for at a place.
#[test]
fn why_answers_at_a_place_of_a_blade() {
    let lines = "stock b = 1 bar of 1084, 5 x 42 x 300 mm\nprofile b to 240 mm long, 40 mm wide, belly 90 mm\n\
                 why width b at heel\n";
    let (code, said) = session(&[], lines);
    assert_eq!(code, 0, "{said}");
    assert!(said.contains("width of b at heel: 40 mm now"), "{said}");
    let (code, said) = session(&[], &format!("{lines}why width b at 700 mm\n"));
    assert_eq!(code, 1, "{said}");
}

#[test]
fn questions_leave_all_as_it_is() {
    let ask = "what if dark thick = 4 mm\nwhat if weld 1 thinning = 10 %\nwhy width\nwhy mass billet\ntargets\nrack\nhelp\nhelp draw\nhelp spent\n";
    let (code, said) = session(&[], &format!("{LINES}{ask}show\n"));
    assert_eq!(code, 0, "{said}");
    // 7 bars of 4 and 6 of 1.5 mm: 37 mm, less 15 %; and 30 mm less 10 %.
    assert!(said.contains("billet: 31.45 x") && said.contains("billet: 27 x"), "{said}");
    assert!(said.contains("draw (verb)") && said.contains("spent (code)"), "{said}");
    assert!(said.contains("width of billet") && said.contains("mass of billet"), "{said}");
    assert!(said.ends_with(LINES), "{said}");
}

/// What is asked of what stands is answered as the command of that name answers it of the file.
#[test]
fn questions_are_those_of_the_commands() {
    let lines = "let across = 40 mm\nstock dark = 4 bars of 1084, 3 mm x across x 120 mm\n\
                 stock bright = 3 bars of 15N20, 1.5 mm x across x 120 mm\nstack blade = alternate dark, bright\n\
                 weld blade at 1130 C, thinning 15 %, heats 3\ndraw blade to 9 mm +- 0.4 mm thick, 40 mm wide, heats 4\n\
                 target blade {\n  thickness 8.8 .. 9.2 mm\n}\n";
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("a.heat");
    let file = path.to_str().unwrap();
    fs::write(&path, lines).unwrap();
    let sweep = "draw 1 thick = 8 mm .. 10 mm / 5";
    for (asked, args) in [
        ("nudge".to_owned(), vec!["nudge", file]),
        ("odds 3000".to_owned(), vec!["odds", file, "--samples", "3000"]),
        (format!("sweep {sweep}"), vec!["sweep", file, "--vary", sweep]),
        ("picture blade across".to_owned(), vec!["picture", file, "blade", "--view", "across"]),
        // A view has that name too.
        ("picture blade".to_owned(), vec!["picture", file, "blade"]),
        ("picture".to_owned(), vec!["picture", file]),
        ("steels 1084 15N20".to_owned(), vec!["steels", "1084", "15N20"]),
        ("explain draw".to_owned(), vec!["explain", "draw"]),
    ] {
        let command = crate::common::heatbook(&args);
        let (code, said) = session(&[file], &format!("{asked}\nshow\n"));
        assert_eq!((code, command.code), (0, 0), "{said}{}", command.all());
        assert!(
            command.out.len() > 60 && said.contains(&command.out),
            "{asked}: {said}\nand {}",
            command.out
        );
        assert!(said.ends_with(lines), "{asked}: {said}");
    }
}

#[test]
fn sums_are_worked_and_slips_in_questions_are_told() {
    let sums = "let across = 40 mm\n3 mm + 1/8 in\n(across - 1 in) * 2\nacross / 4\nacross\n-2 mm * 3\n12 / 5\n1000 C\n";
    let (code, said) = session(&[], sums);
    assert_eq!(code, 0, "{said}");
    // 3 + 3.175; 2 (40 - 25.4); 40 / 4; 40; -6.
    for sum in
        ["  6.18 mm, ", "  29.2 mm, ", "  10 mm, ", "  40 mm, ", "  -6 mm, ", "  2.4\n", "  1000 C, 1832 F\n"]
    {
        assert!(said.contains(sum), "no `{sum}` in\n{said}");
    }
    let slips = "3 mm + 4 kg\nodds many\nsweep\nsweep dark thik = 2 .. 4 mm\nsteels 108\npicture nobody\n\
                 picture billet sideways\nodds\nload examples\n";
    let (code, said) = session(&[], &format!("{LINES}{slips}show\n"));
    assert_eq!(code, 1, "{said}");
    for words in [
        "`3 mm + 4 kg` comes to no figure",
        "`odds many`: a count of samples",
        "`sweep` needs a figure's address",
        "did you mean `dark thick`",
        "there is no steel `108` in the table",
        "there is no piece `nobody`",
        "`sideways` is no view: a piece is seen from `top`",
        "no figure here has a tolerance",
        "`examples` is a folder",
    ] {
        assert!(said.contains(words), "no `{words}` in\n{said}");
    }
    assert!(said.ends_with(LINES), "{said}");
    // What begins with a number and is no sum is read as ever.
    let (_, said) = session(&[], "3 bars of 1084, 3 x 40 x 120 mm\n");
    assert!(!said.contains("no figure") && said.contains("stock"), "{said}");
    let (_, said) = session(&[], "stock b = 1 bar of 1084, ? in 3 .. 5 mm x 40 x 120 mm\nnudge\n");
    assert!(said.contains("a `?` is open"), "{said}");
    let (_, said) = session(&[], "stock b = 1 bar of 1084, 5 x 40 x 120 mm\nnudge\n");
    assert!(said.contains("no target stands here"), "{said}");
}

#[test]
fn slips_are_told_and_change_nothing() {
    let slips = "darw billet to 9 mm thick\ndraw billet to 9\nwhat if dark thik = 4 mm\nwhy colour\nundo x\nload none.heat\nhelp darw\nsave\nwhat if thinning\nsave none/none.heat\n";
    let (code, said) = session(&[], &format!("{LINES}{slips}show\n"));
    assert_eq!(code, 1);
    for words in [
        "did you mean `draw`",
        "did you mean `dark thick`",
        "`why` asks about",
        "a count should stand there",
        "cannot read `none.heat`",
        "`darw` is no verb",
        "nothing is told of `darw`; did you mean `draw`",
        "`save` needs the name of a file",
        "`what if` needs an address and a figure",
        "cannot write `none/none.heat`: there is no such",
    ] {
        assert!(said.contains(words), "no `{words}` in\n{said}");
    }
    assert!(said.ends_with(LINES), "{said}");
}

#[test]
fn undo_gives_the_exact_state_back() {
    let more = "draw billet to 9 mm thick, 40 mm wide\ncut billet into 4\n";
    let (_, plain) = session(&[], &format!("{LINES}rack\nshow\n"));
    let (_, undone) = session(&[], &format!("{LINES}{more}undo 2\nrack\nshow\n"));
    let tail = |said: &str| said.lines().rev().take(10).map(str::to_owned).collect::<Vec<_>>();
    assert_eq!(tail(&undone), tail(&plain));
    let (_, forth) = session(&[], &format!("{LINES}{more}show\n"));
    let (_, back_and_forth) = session(&[], &format!("{LINES}{more}undo 99\nredo 1\nredo 99\nshow\n"));
    assert_eq!(tail(&back_and_forth), tail(&forth));
    // A line after an undo begins a new way; what was undone is gone.
    let (_, said) = session(&[], &format!("{LINES}{more}undo 2\nturn billet\nredo\nshow\n"));
    assert!(said.contains("nothing to redo") && said.ends_with("}\nturn billet\n"), "{said}");
}

#[test]
fn a_session_is_saved_and_gone_on_with() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("a.heat");
    let file = path.to_str().unwrap();
    let (code, _) = session(&[], &format!("{LINES}save {file}\n"));
    assert_eq!((code, fs::read_to_string(&path).unwrap().as_str()), (0, LINES));
    let (_, there) = session(&[], &format!("{LINES}rack\n"));
    let (code, again) = session(&[file], "rack\nload examples/ferry-galley.heat\ntargets\n");
    let rack = there.lines().last().unwrap();
    assert!(code == 0 && again.lines().filter(|l| *l == rack).count() == 2, "{again}");
    assert!(again.contains("met: layers >= 50: 52"), "{again}");
    // Behind a load, `use` looks beside that recipe; before it, where one stands. The file may go meanwhile.
    let used = folder.path().join("own.heat");
    fs::write(&used, "let own = 40 mm\n").unwrap();
    let beside = folder.path().join("b.heat");
    fs::write(&beside, "use \"own.heat\"\nstock b = 1 bar of 1084, 4 mm x own x 120 mm\n").unwrap();
    let shown = beside.to_str().unwrap();
    let (code, said) = session(
        &[],
        &format!(
            "use \"recipes/layered-bar.heat\"\nstock l = layered(bars = 3)\nload {shown}\nundo\nredo\nundo\nrack\n"
        ),
    );
    assert_eq!(code, 0, "{said}");
    let last: Vec<&str> = said.lines().rev().take(2).collect();
    assert!(last[1].starts_with("  l: ") && last[0].starts_with("  bar-offcut-1"), "{said}");
    // Never over another.
    let (code, said) = session(&[], &format!("save {file}\n"));
    assert!(code == 1 && said.contains("is there already"), "{said}");
    assert_eq!(fs::read_to_string(&path).unwrap(), LINES);
}

#[test]
fn a_question_mark_is_filled() {
    let asked = LINES
        .replace("x 40 x 120 mm\nstock", "x ? in 30 .. 60 mm x 120 mm\nstock")
        .replace("1.5 x 40", "1.5 x 44");
    let (_, said) = session(
        &[],
        &format!("{}fill\n", asked.replace("alternate dark,\n  bright", "alternate dark, bright trimmed")),
    );
    assert!(said.contains("line 1: `? in 30 .. 60 mm` is"), "{said}");
}

#[cfg(unix)]
mod at_a_terminal {
    use rexpect::session::{PtySession, spawn_command};
    use std::process::Command;

    fn prompt(home: &std::path::Path) -> PtySession {
        let mut command = Command::new(env!("CARGO_BIN_EXE_heatbook"));
        command.arg("prompt").env("XDG_STATE_HOME", home).env("TERM", "xterm").env("NO_COLOR", "1");
        let mut session = spawn_command(command, Some(20_000)).unwrap();
        session.exp_string("Ctrl-D ends it").unwrap();
        session
    }

    fn typed(p: &mut PtySession, keys: &str) {
        p.send(keys).unwrap();
        p.flush().unwrap();
    }

    /// Types a line, and waits for some words of its answer and for the next prompt.
    fn answered(p: &mut PtySession, keys: &str, words: &str) {
        typed(p, keys);
        p.exp_string(words).unwrap();
        p.exp_string("> ").unwrap();
    }

    #[test]
    fn keys_do_what_a_person_expects() {
        let home = tempfile::tempdir().unwrap();
        let mut p = prompt(home.path());
        // Completion: a verb from its first letters.
        typed(&mut p, "stoc\t b = 2 bars of 1084, 4 x 40 x 120 mm\r");
        p.exp_string("b: 2 bars, each 4 x 40 x 120 mm").unwrap();
        // Ctrl-C drops the line under way, and no more.
        typed(&mut p, "stack c = b, nonsense");
        p.send_control('c').unwrap();
        // (A person waits for the next prompt too.)
        p.exp_regex("(?s)nonsense.*> ").unwrap();
        answered(&mut p, "stack c = b\r", "c: 8 x 40 x 120 mm");
        // A block pasted in one go, as terminals mark it.
        answered(
            &mut p,
            "\x1b[200~target c {\r  layers >= 2\r}\x1b[201~\r",
            "judged once its piece is there",
        );
        answered(&mut p, "weld c at 1130 C, thinning 10 %\r", "met: layers >= 2: 2");
        // What is not saved is asked about, once.
        p.send_control('d').unwrap();
        p.exp_string("is not saved: `save FILE` keeps it").unwrap();
        p.exp_string("> ").unwrap();
        typed(&mut p, "quit\r");
        p.exp_eof().unwrap();
        // The history is there the next time: the key up gives the last line back.
        let mut p = prompt(home.path());
        p.exp_string("> ").unwrap();
        typed(&mut p, "\x1b[A\x1b[A");
        p.exp_string("weld c at 1130 C, thinning 10 %").unwrap();
        p.send_control('c').unwrap();
        p.exp_string("> ").unwrap();
        typed(&mut p, "quit\r");
        p.exp_eof().unwrap();
    }

    #[test]
    fn keys_typed_ahead_are_not_lost() {
        let home = tempfile::tempdir().unwrap();
        let mut p = prompt(home.path());
        // All in one go: what stands behind the first line is there before its answer, and before the next prompt.
        typed(
            &mut p,
            "stock b = 2 bars of 1084, 4 x 40 x 120 mm\rstack c = b\rweld c at 1130 C, thinning 10 %\rturn c\r",
        );
        for said in ["b: 2 bars, each 4 x", "c: 8 x 40 x 120 mm", "c: 7.2 x", " x 7.2 x"] {
            p.exp_string(said).unwrap();
        }
    }

    #[test]
    fn pieces_and_figures_of_the_session_are_completed() {
        let home = tempfile::tempdir().unwrap();
        let mut p = prompt(home.path());
        answered(&mut p, "stock spinebar = 2 bars of 1084, 4 x 40 x 120 mm\r", "spinebar: 2 bars");
        answered(&mut p, "cut spi\t to 80 mm long, keep tailend\r", " x 40 x 80 mm");
        // What lies on the rack has its name too, and figures have their addresses.
        answered(&mut p, "stock t = tail\t from rack\r", "t: 2 bars, each 4 x 40 x 38 mm");
        typed(&mut p, "what if spinebar thi\t = 5 mm\r");
        p.exp_string("5 x 40 x 80 mm").unwrap();
    }

    #[test]
    fn several_offers_are_listed_and_quit_asks_once() {
        let home = tempfile::tempdir().unwrap();
        let mut p = prompt(home.path());
        // Several begin so: all of them are shown, and the line stays as it was typed.
        typed(&mut p, "st\t\t");
        p.exp_string("steel").unwrap();
        p.exp_string("> st").unwrap();
        p.send_control('c').unwrap();
        p.exp_string("> ").unwrap();
        answered(&mut p, "stock b = 2 bars of 1084, 4 x 40 x 120 mm\r", "b: 2 bars");
        answered(&mut p, "quit\r", "is not saved: `save FILE` keeps it");
        // Something else typed, and it asks anew.
        answered(&mut p, "rack\r", "b: 2 bars");
        answered(&mut p, "quit\r", "is not saved: `save FILE` keeps it");
        typed(&mut p, "quit\r");
        p.exp_eof().unwrap();
    }

    #[test]
    fn a_terminal_without_any_skill_will_do() {
        let home = tempfile::tempdir().unwrap();
        let mut command = Command::new(env!("CARGO_BIN_EXE_heatbook"));
        command.arg("prompt").env("XDG_STATE_HOME", home.path()).env("TERM", "dumb");
        let mut p = spawn_command(command, Some(20_000)).unwrap();
        p.exp_string("Ctrl-D ends it").unwrap();
        typed(&mut p, "stock b = 2 bars of 1084, 4 x 40 x 120 mm\n");
        p.exp_string("b: 2 bars, each").unwrap();
        p.send_control('d').unwrap();
        p.exp_string("is not saved").unwrap();
        p.send_control('d').unwrap();
        p.exp_eof().unwrap();
    }
}
