//! The day of a build log, held against the calendar.

use std::collections::BTreeSet;

use chrono::NaiveDate;

use crate::replay::Plan;
use crate::source::{Code, Diagnostic, Fix};

/// How days are written elsewhere.
const ELSEWHERE: [&str; 8] =
    ["%m/%d/%Y", "%d/%m/%Y", "%m-%d-%Y", "%d-%m-%Y", "%d.%m.%Y", "%Y/%m/%d", "%Y.%m.%d", "%Y-%m-%d"];

/// A warning where the calendar has no such day; the build is what it is, whenever it was.
pub fn no_such_day(plan: &Plan) -> Option<Diagnostic> {
    let (day, span) = plan.day.as_ref()?;
    let read = |form: &&str| NaiveDate::parse_from_str(day, form).ok();
    // A year of two digits is none.
    let days: BTreeSet<String> = ELSEWHERE.iter().filter_map(read).map(|day| day.to_string()).collect();
    if days.contains(day) {
        return None;
    }
    let meant: Vec<&str> = days.iter().filter(|day| !day.starts_with("00")).map(String::as_str).collect();
    let (help, fix) = match meant.as_slice() {
        [] => ("write year, month and day, as in `on 2026-03-02`".to_owned(), None),
        [only] => {
            let fix = Fix { span: *span, text: (*only).to_owned() };
            (format!("write `on {only}`: year, month, day"), Some(fix))
        }
        several => {
            let several: Vec<String> = several.iter().map(|day| format!("`{day}`")).collect();
            (format!("write year, month and day: {}", several.join(" or ")), None)
        }
    };
    let label = if meant.is_empty() { "the calendar has no such day" } else { "not year, month and day" };
    let found = Code::NoSuchDay.says("this is not a day as a log has it").at(*span, label).help(help);
    Some(Diagnostic { fix: fix.map(Box::new), ..found })
}
