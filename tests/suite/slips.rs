//! What people write who have not read the reference, and what is made of it: `tests/slips.txt`.

use crate::common::check;
use heatbook::language::format;

#[test]
fn slips_are_read_or_answered() {
    let (mut read, mut answered, mut wrong) = (0, 0, Vec::new());
    for row in include_str!("../slips.txt").lines().filter(|row| !row.is_empty() && !row.starts_with('#')) {
        if let Some((written, house)) = row.split_once(" => ") {
            read += 1;
            let (got, want) = (check(written), check(house));
            let figures =
                |w: &crate::common::Worked| w.plan.values.0.iter().map(|v| v.to_bits()).collect::<Vec<_>>();
            let styled = format(&format!("{written}\n"), 0);
            if !got.faults().is_empty() || figures(&got) != figures(&want) || figures(&got).is_empty() {
                wrong.push(format!("{row}: {:?}", got.verdict.faults));
            } else if styled.as_ref().ok().map(|s| s.trim_end()) != Some(house) {
                wrong.push(format!("{row}: written as {styled:?}"));
            }
        } else if let Some((written, help)) = row.split_once(" =! ") {
            answered += 1;
            let got = check(written);
            let said: Vec<&str> = got.verdict.faults.iter().filter_map(|f| f.help.as_deref()).collect();
            if said.len() != 1 || !said[0].contains(help) {
                wrong.push(format!("{row}: {said:?}"));
            }
        } else {
            wrong.push(format!("{row}: neither"));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    assert!(read > 30 && answered > 3, "{read} {answered}");
}

/// The unit that is offered for sizes before feet mends the line.
#[test]
fn a_unit_offered_before_feet_mends() {
    let written = "stock b = 1 bar of 1084, 1/4 x 1-1/2 x 4 ft\n";
    let worked = check(written);
    let (span, words) = worked.verdict.faults[0].fix.clone().map(|f| (f.span, f.text)).unwrap();
    assert_eq!(span.start, span.end);
    let mended = written.replace("1-1/2 x", &format!("1-1/2{words} x"));
    assert_eq!(check(&mended).faults(), Vec::<&str>::new());
}
