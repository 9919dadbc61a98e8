//! The quote as a page of HTML: for the smith with all that it comes from, for the customer without.

use std::fmt::Write as _;

use super::html::frame;
use super::markup::{figure, list, own};
use crate::quantity::trim_number;
use crate::report::Answer as _;
use crate::report::quote::QuotePage;
use crate::report::tame::markup as text;
use crate::report::verdict::of_order;

/// How a quote of ours begins: only over such a file another is written.
pub const QUOTE: &str = "<!doctype html>\n<!-- a quote of heatbook -->\n";

/// The page.
#[must_use]
pub fn quote_html(quote: &QuotePage) -> String {
    let (page, quote) = (&quote.page, quote.json());
    let kind = if quote.customer { "offer" } else { "quote" };
    let title = quote.order.map_or(kind.to_owned(), |order| format!("{kind} {order}"));
    let mut html = format!("<h1>{}</h1>\n", own(&title));
    let said = [
        ("recipe", Some(quote.file).filter(|_| !quote.customer)),
        ("asked for", quote.words),
        ("date", quote.date),
        ("delivery", quote.deliver),
    ];
    html += &list(said.into_iter().filter_map(|(what, said)| Some(format!("{what}: {}", own(said?)))));
    if !quote.spec.is_empty() {
        let more = if quote.customer { "" } else { "<th scope=\"col\">comes to</th>" };
        let _ = write!(
            html,
            "<table>\n<caption>what was agreed</caption>\n\
             <tr><th scope=\"col\">piece</th><th scope=\"col\">as agreed</th>{more}</tr>\n"
        );
        for line in &quote.spec {
            let met = if line.met { "met" } else { "MISSED" };
            let more = if quote.customer {
                String::new()
            } else {
                format!("<td>{}, {met}</td>", text(&line.comes_to))
            };
            let _ = writeln!(
                html,
                "<tr><th scope=\"row\">{}</th><td>{}</td>{more}</tr>",
                own(&of_order(&line.piece, line.wanted)),
                own(&line.asked)
            );
        }
        html += "</table>\n";
    }
    html += "<table>\n<caption>price</caption>\n\
             <tr><th scope=\"col\">for</th><th scope=\"col\">amount</th><th scope=\"col\">how</th></tr>\n";
    let mut row = |what: &str, at: &str, amount: f64, how: &str| {
        let amount = figure(at, amount, &page.money(amount));
        let _ =
            writeln!(html, "<tr><th scope=\"row\">{}</th><td>{amount}</td><td>{how}</td></tr>", own(what));
    };
    for (i, line) in quote.lines.iter().enumerate() {
        row(&line.what, &format!("/lines/{i}/amount"), line.amount, &text(&line.how));
    }
    let percent = |at: &str, share: f64| figure(at, share, &format!("{} %", trim_number(share * 100.0, 1)));
    row("price", "/price", quote.price, "");
    if let Some((share, amount)) = quote.tax_share.zip(quote.tax) {
        row("tax", "/tax", amount, &percent("/tax_share", share));
        row("to pay", "/total", quote.total, "");
    }
    if let Some((share, amount)) = quote.deposit_share.zip(quote.deposit) {
        let share = percent("/deposit_share", share);
        row("deposit", "/deposit", amount, &format!("{share}, before the work begins"));
        row("on delivery", "/rest", quote.rest, "");
    }
    html += "</table>\n";
    if !quote.days.is_empty() {
        html += "<table>\n<caption>the work</caption>\n\
                 <tr><th scope=\"col\">day</th><th scope=\"col\">hours</th><th scope=\"col\">as far as</th></tr>\n";
        for (i, day) in quote.days.iter().enumerate() {
            let when = day.date.clone().unwrap_or_else(|| (i + 1).to_string());
            let hours = figure(format!("/days/{i}/hours"), day.hours, &trim_number(day.hours, 1));
            let _ = writeln!(
                html,
                "<tr><th scope=\"row\">{}</th><td>{hours}</td><td>step {}: {}</td></tr>",
                text(&when),
                figure(format!("/days/{i}/to_step"), day.to_step as f64, &day.to_step.to_string()),
                own(&day.to)
            );
        }
        html += "</table>\n";
        if quote.late == Some(true) {
            let _ = writeln!(html, "<p class=\"verdict\">{}</p>", crate::report::quote::TOO_LATE);
        }
    }
    html += &list(quote.notes.iter().map(|note| text(note)));
    frame(&format!("{QUOTE}<html lang=\"en\">\n"), &title, "", &html)
}
