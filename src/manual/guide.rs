//! The guide: pages to be read from the top, in the order that one needs them. What they show is run by `tests/suite/guide.rs`.

use super::page::{Page, Topic};

/// The pages: the name that each goes by, and its text in Markdown.
const PAGES: [(&str, &str); 7] = [
    ("first-billet", include_str!("guide/first-billet.md")),
    ("order-to-blade", include_str!("guide/order-to-blade.md")),
    ("reading-a-sheet", include_str!("guide/reading-a-sheet.md")),
    ("calibrating-a-shop", include_str!("guide/calibrating-a-shop.md")),
    ("recipes-to-share", include_str!("guide/recipes-to-share.md")),
    ("for-teachers", include_str!("guide/for-teachers.md")),
    ("at-the-keyboard", include_str!("guide/at-the-keyboard.md")),
];

/// The pages of the guide; the heading of each is its doc.
pub fn pages() -> Vec<Page> {
    let of = |(name, text): (&str, &'static str)| {
        let heading = text.lines().next().unwrap_or_else(|| bug!("the page `{name}` of the guide is empty"));
        let mut page = Page::new(Topic::Guide, name, heading.trim_start_matches('#').trim());
        page.fact("text", text);
        page
    };
    PAGES.into_iter().map(of).collect()
}
