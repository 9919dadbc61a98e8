//! Input of every size and shape: the right answer or a clear fault, soon, and never a panic.

use crate::common::{file, work};
use heatbook::language::{self, Memo, Uses};
use heatbook::report::{COLUMNS, Style};
use rand::{RngExt, SeedableRng};

/// Works a source and gives its fault codes. No line is read twice, but for one that is offered in other words; and no more is read, worked or told than stands in the limits.
fn faults(source: &str) -> Vec<&'static str> {
    let (files, base) = file(source);
    let mut memo = Memo::default();
    let (plan, _, found) = language::read_with(&files, base, None, &Uses::new(), Vec::new(), &mut memo);
    let offered = found.iter().filter(|fault| fault.fix.is_some()).count();
    assert!(memo.read() <= source.lines().count().min(20_000) + offered, "{} read", memo.read());
    assert!(plan.steps.len() <= 20_000, "{} steps", plan.steps.len());
    let worked = work(source);
    let told = worked.verdict.faults.len() + worked.verdict.warnings.len();
    for style in [Style::Human { colour: false, wide: COLUMNS }, Style::Plain, Style::Short, Style::Json] {
        let text = worked.findings(style);
        assert!(!text.contains("panicked"));
        assert!(text.len() <= 20_000 * (1 + told), "{} letters for {told} findings", text.len());
    }
    worked.faults()
}

#[test]
fn a_thousand_lines() {
    let mut source = "shop {\n scale none\n}\nstock p = 1 bar of 1084, 30 x 40 x 100 mm\n".to_owned();
    for i in 0..500 {
        source += &format!("turn p   # {i}\nflip p\n");
    }
    assert_eq!(faults(&source), Vec::<&str>::new());
}

/// Its other rounds would say the same once more; and what is behind it knows nothing of what they would have made.
#[test]
fn a_block_at_fault_is_gone_through_once() {
    let rounds = "stock p = 1 bar of 1084, 30 x 40 x 100 mm\nstock q = 1 bar of 1084, 30 x 40 x 100 mm\n\
                  repeat 3 {\ncut p into 2\nstack p = p\nweld p at 1150 C, heats 1\n}\n";
    let eight = "target p {\nlayers 8\n}\ntarget q {\nlayers 1\n}\n";
    assert_eq!(faults(&format!("{rounds}{eight}")), Vec::<&str>::new());
    for (at_fault, code) in [
        ("blorp q", "unknown_verb"),
        ("draw q to 3 mm thick, at 1100 C, fom deep", "clause_unknown"),
        ("draw q to 3 C thick, at 1100 C", "wrong_kind"),
        ("shop {\n}", "block_in_block"),
        ("repeat 2 {\nblorp q\n}", "unknown_verb"),
    ] {
        let source = format!("{}{eight}", rounds.replace("\n}\n", &format!("\n{at_fault}\n}}\n")));
        let (files, base) = file(&source);
        let (plan, _) = language::read(&files, base);
        assert_eq!(plan.steps.len(), 5, "{at_fault}: {:?}", plan.steps);
        assert_eq!(faults(&source), [code], "{at_fault}");
    }
}

#[test]
fn sixty_four_restacked_eight_times() {
    let mut source = "shop {\n scale none\n kerf 0 mm\n}\nstock d = 2 bars of 1084, 2 x 40 x 4000 mm\nstock n = 1 bar of 15N20, 2 x 40 x 4000 mm\n\
                      stack p = alternate d, n\nweld p at 1150 C, thinning 15 %\n"
        .to_owned();
    for _ in 0..8 {
        source += "cut p into 64\nstack p = p\nweld p at 1150 C\ndraw p to 6 mm thick, 40 mm wide, heats 4\n";
    }
    let p = work(&source).piece("p");
    assert_eq!(p["layers"].as_u64().unwrap(), 3 * 64u64.pow(8));
    // Like outsides merge at every joint: k n - (k - 1), eight times (common practice).
    let bands = (0..8).fold(3u64, |n, _| 64 * n - 63);
    assert_eq!(p["bands"].as_u64().unwrap(), bands);
}

#[test]
fn more_layers_than_can_be_counted() {
    let mut source =
        "shop {\n scale none\n kerf 0 mm\n}\nstock p = 1 bar of 1084, 2 x 40 x 4000 mm\n".to_owned();
    for _ in 0..12 {
        source += "cut p into 64\nstack p = p\nweld p at 1150 C\ndraw p to 2 mm thick, 40 mm wide\n";
    }
    assert!(faults(&source).contains(&"too_much"));
}

#[test]
fn stacks_inside_stacks() {
    let mut source = "shop {\n scale none\n}\nstock p = 1 bar of 1084, 2 x 40 x 100 mm\n".to_owned();
    for i in 0..700 {
        source += &format!("stock q{i} = 1 bar of 1095, 1 x 40 x 100 mm\nstack p = p, q{i}\n");
    }
    assert!(faults(&source).contains(&"too_much"));
}

/// Rounds of nothing are counted as steps are: three blocks inside each other would go on for years.
#[test]
fn rounds_of_nothing() {
    let nested = |inside: &str| format!("{}{inside}{}", "repeat 9999 {\n".repeat(3), "}\n".repeat(3));
    assert_eq!(faults(&nested("")), ["too_many_steps"]);
    assert_eq!(faults(&nested("let a = 1 mm\n")), ["too_many_steps"]);
    assert!(faults("repeat 4 {\nrepeat 9999 {\n}\n}\n").is_empty());
}

#[test]
fn brackets_beyond_all_measure() {
    assert_eq!(faults(&"(".repeat(100_000)), ["too_deep"]);
    assert!(faults(&format!("let a = {}1 mm{}", "(".repeat(100), ")".repeat(100))).is_empty());
    assert!(!faults(&"{".repeat(10_000)).is_empty());
    assert!(!faults(&"}".repeat(1_000)).is_empty());
    assert!(!faults(&format!("let a = {}1 mm", "-".repeat(100_000))).is_empty());
    assert!(faults(&format!("let a = 1 mm{}", " + 1 mm".repeat(5_000))).is_empty());
}

#[test]
fn lines_beyond_all_measure() {
    assert_eq!(faults(&format!("let a = 1 mm{}", " + 1 mm".repeat(200_000))), ["line_too_long"]);
    assert_eq!(faults(&format!("note \"{}\"", "x".repeat(1_000_000))), ["line_too_long"]);
    let many: String = (0..22_000).map(|i| format!("let a{i} = 1 mm\n")).collect();
    assert_eq!(faults(&many), ["too_long"]);
    assert!(faults(&"draw x to 3 mm thick\n".repeat(100_000)).len() <= 401);
    assert!(faults(&",\n".repeat(100_000)).len() <= 2);
}

#[test]
fn shapes_of_text() {
    let recipe = "stock b = 2 bars of 1084, 3 x 40 x 120 mm\nheat b at 1100 °C, heats 1\n";
    assert!(faults(recipe).is_empty());
    assert!(faults(&recipe.replace('\n', "\r\n")).is_empty());
    assert!(faults(&recipe.replace(' ', "\t")).is_empty());
    assert!(faults(&format!("\u{feff}{recipe}")).is_empty());
    assert!(faults(&recipe.replace(' ', "\u{a0}")).is_empty());
    assert!(faults("").is_empty());
    assert!(faults("# nothing but a comment").is_empty());
    assert!(!faults("stock b = 2 bars of 1084, 3 x 40 x").is_empty());
    assert!(!faults("\u{1}\u{2}\u{7f}").is_empty());
    assert!(!faults("stock кухня = 1 bar of\u{200b} 1084, 3 x 40 x 120 mm").is_empty());
}

#[test]
fn figures_beyond_all_measure() {
    let huge = "9".repeat(400);
    assert!(!faults(&format!("stock b = 1 bar of 1084, 3 x 40 x {huge} mm")).is_empty());
    let large = "9".repeat(120);
    assert!(
        !faults(&format!("stock b = 1 bar of 1084, {large} x {large} x {large} mm\nheat b heats 1"))
            .is_empty()
    );
    assert!(!faults("let a = 1 mm / 0\nstock b = 1 bar of 1084, a x 40 x 120 mm").is_empty());
    assert!(!faults("stock b = 1 bar of 1084, 0 x 40 x 120 mm").is_empty());
    assert!(!faults("stock b = 4000000000 bars of 1084, 3 x 40 x 120 mm").is_empty());
    assert!(!faults("stock b = 1.5 bars of 1084, 3 x 40 x 120 mm").is_empty());
    assert!(
        !faults("stock b = 1 bar of 1084, 3 x 40 x 120 mm\ndraw b to 0.0000001 mm thick, heats 100000")
            .is_empty()
    );
}

/// Any text at all: pieces of recipes in any order, cut anywhere.
#[test]
fn shuffled_words() {
    let words: Vec<&str> = "stock stack weld draw cut grind join fold target shop { } ( ) , = .. +- ± ? 3 mm 1/2 in x of 1084 bars p q \
                            to thick wide into off each end at 1200 C \" # \n \n let steel like note expect : >= everywhere 15 %"
        .split(' ')
        .collect();
    let mut rng = rand_pcg::Pcg64Mcg::seed_from_u64(7);
    for _ in 0..3_000 {
        let picked: Vec<&str> = (0..14).map(|_| words[rng.random_range(0..words.len())]).collect();
        let source = picked.join(" ");
        let worked = work(&source);
        let _ = worked.findings(Style::Human { colour: false, wide: COLUMNS });
        let _ = worked.json();
    }
}
