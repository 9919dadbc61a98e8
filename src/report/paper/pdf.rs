//! A page as PDF: what its markup says, laid out on sheets of paper in the letters that every reader of PDF has.
//!
//! Only what our own pages are made of is known here: headings, paragraphs, lists, tables, boxes, and drawings of lines, boxes, circles and
//! words. What the faces that every reader of PDF has cannot show is written in the letters that they have, and the last sheet says so.

use std::collections::BTreeMap;
use std::rc::Rc;

use base64::Engine as _;
use pdf_writer::{Content, Filter, Finish as _, Name, Pdf, Rect, Ref, Str, TextStr};

use crate::report::Paper;

/// A mm in points, and the margins of a sheet: those of the page's own style.
const MM: f32 = 72.0 / 25.4;
const MARGIN: f32 = 12.0 * MM;
/// Heights of letters of text, of the three headings, and from line to line, points (project figures, by eye at arm's length).
const TEXT: f32 = 11.0;
const HEADS: [f32; 3] = [20.0, 15.0, 12.5];
const LINE: f32 = 1.28;
/// Room inside a box and between blocks, points; the least height of a box to write in.
const ROOM: f32 = 4.0;
const BOX: f32 = 8.0 * MM;
/// Letters at the foot of a sheet, points.
const FOOT: f32 = 8.25;

/// How a sheet of ours begins as PDF: only over such a file another is written. The last four bytes are `Heat`, each a letter with its
/// highest bit set: there stands what tells other programs that the file is no text.
pub const BEGIN: &[u8] = b"%PDF-1.7\n%\xc8\xe5\xe1\xf4";

/// What the last sheet says where not all is written as it was.
const OTHERWISE: &str = "some letters of this recipe are in none of the faces that every reader of PDF has, and are written here in those that are: \
                         the page as HTML has them as they were written";

/// An element of the markup, or text.
enum Node {
    Text(String),
    Element(Element),
}

struct Element {
    name: String,
    more: BTreeMap<String, String>,
    under: Vec<Node>,
}

impl Element {
    fn is(&self, class: &str) -> bool {
        self.more.get("class").is_some_and(|c| c == class)
    }

    fn figure(&self, of: &str) -> f32 {
        let told = self.more.get(of).map(|v| v.trim_end_matches("mm"));
        told.and_then(|v| v.parse().ok()).unwrap_or(0.0)
    }

    fn elements(&self) -> impl Iterator<Item = &Element> {
        self.under.iter().filter_map(|node| match node {
            Node::Element(element) => Some(element),
            Node::Text(_) => None,
        })
    }

    /// The words inside, in order.
    fn words(&self, bold: bool, apart: &mut bool, into: &mut Vec<Word>) {
        for node in &self.under {
            match node {
                Node::Text(text) => {
                    *apart |= text.starts_with(char::is_whitespace);
                    for word in text.split_whitespace() {
                        match into.last_mut() {
                            Some(last) if !*apart && last.bold == bold => last.text += word,
                            _ => into.push(Word { text: word.to_owned(), bold, apart: *apart }),
                        }
                        *apart = true;
                    }
                    *apart =
                        if text.trim().is_empty() { *apart } else { text.ends_with(char::is_whitespace) };
                }
                Node::Element(element) => element.words(bold || element.name == "strong", apart, into),
            }
        }
    }

    fn all_words(&self, bold: bool) -> Vec<Word> {
        let mut words = Vec::new();
        self.words(bold, &mut false, &mut words);
        words
    }
}

/// A word, and whether a blank parts it from the one before.
struct Word {
    text: String,
    bold: bool,
    apart: bool,
}

/// Reads markup that is ours.
fn read(mut markup: &str) -> Vec<Node> {
    let element = |name: &str| Element { name: name.to_owned(), more: BTreeMap::new(), under: Vec::new() };
    let mut open = vec![element("")];
    let put = |open: &mut Vec<Element>, node: Node| {
        if let Some(top) = open.last_mut() {
            top.under.push(node);
        }
    };
    while let Some((text, rest)) = markup.split_once('<') {
        if !text.is_empty() {
            put(&mut open, Node::Text(in_our_letters(&plain(text))));
        }
        let mut quoted = false;
        let end = rest.find(|c| {
            quoted ^= c == '"';
            c == '>' && !quoted
        });
        let Some((tag, behind)) = end.and_then(|end| rest.split_at_checked(end)) else { break };
        markup = behind.get(1..).unwrap_or("");
        if tag.starts_with('/') {
            if open.len() > 1
                && let Some(closed) = open.pop()
            {
                put(&mut open, Node::Element(closed));
            }
            continue;
        }
        let (tag, empty) = tag.strip_suffix('/').map_or((tag, false), |tag| (tag, true));
        let (name, mut more) = tag.split_once(char::is_whitespace).unwrap_or((tag, ""));
        let mut made = element(name);
        while let Some((key, rest)) = more.split_once("=\"") {
            let Some((value, later)) = rest.split_once('"') else { break };
            made.more.insert(key.trim().to_owned(), plain(value));
            more = later;
        }
        if empty { put(&mut open, Node::Element(made)) } else { open.push(made) }
    }
    open.into_iter().next().map_or(Vec::new(), |root| root.under)
}

/// Text with the signs that stand for others made those again.
fn plain(text: &str) -> String {
    let signs = [("&lt;", "<"), ("&gt;", ">"), ("&quot;", "\""), ("&#39;", "'"), ("&amp;", "&")];
    signs.into_iter().fold(text.to_owned(), |text, (sign, is)| text.replace(sign, is))
}

/// The letters of `WinAnsiEncoding` that stand elsewhere in Unicode, and where (PDF 32000-1, annex D.2).
const MORE: [(char, u8); 27] = [
    ('\u{20ac}', 0x80),
    ('\u{201a}', 0x82),
    ('\u{192}', 0x83),
    ('\u{201e}', 0x84),
    ('\u{2026}', 0x85),
    ('\u{2020}', 0x86),
    ('\u{2021}', 0x87),
    ('\u{2c6}', 0x88),
    ('\u{2030}', 0x89),
    ('\u{160}', 0x8a),
    ('\u{2039}', 0x8b),
    ('\u{152}', 0x8c),
    ('\u{17d}', 0x8e),
    ('\u{2018}', 0x91),
    ('\u{2019}', 0x92),
    ('\u{201c}', 0x93),
    ('\u{201d}', 0x94),
    ('\u{2022}', 0x95),
    ('\u{2013}', 0x96),
    ('\u{2014}', 0x97),
    ('\u{2dc}', 0x98),
    ('\u{2122}', 0x99),
    ('\u{161}', 0x9a),
    ('\u{203a}', 0x9b),
    ('\u{153}', 0x9c),
    ('\u{17e}', 0x9e),
    ('\u{178}', 0x9f),
];

/// A letter in the encoding of a PDF's own faces, which has it or has not.
fn byte(letter: char) -> Option<u8> {
    match u8::try_from(letter) {
        Ok(byte @ (32..=126 | 160..=255)) => Some(byte),
        _ => MORE.iter().find(|(known, _)| *known == letter).map(|(_, byte)| *byte),
    }
}

/// Text in letters that a PDF's own faces have: of any other, what is written for it where those are all there is.
fn in_our_letters(text: &str) -> String {
    let mut made = String::with_capacity(text.len());
    for letter in text.chars() {
        match letter {
            '\u{2264}' => made += "<=",
            '\u{2265}' => made += ">=",
            _ if byte(letter).is_some() || letter.is_ascii_whitespace() => made.push(letter),
            _ => made += deunicode::deunicode_char(letter).filter(|said| !said.is_empty()).unwrap_or("?"),
        }
    }
    made
}

/// What is drawn: points from the upper left corner of what it belongs to, down the sheet.
#[derive(Clone)]
enum Ink {
    Words { at: [f32; 2], size: f32, bold: bool, words: String },
    Line { points: Vec<[f32; 2]>, wide: f32, grey: f32, dash: bool },
    Box { at: [f32; 2], size: [f32; 2], fill: Option<f32>, line: Option<f32> },
    Disc { at: [f32; 2], r: f32 },
    Image { at: [f32; 2], size: [f32; 2], image: usize },
}

impl Ink {
    fn moved(self, [dx, dy]: [f32; 2]) -> Ink {
        let go = |[x, y]: [f32; 2]| [x + dx, y + dy];
        match self {
            Ink::Words { at, size, bold, words } => Ink::Words { at: go(at), size, bold, words },
            Ink::Line { points, wide, grey, dash } => {
                Ink::Line { points: points.into_iter().map(go).collect(), wide, grey, dash }
            }
            Ink::Box { at, size, fill, line } => Ink::Box { at: go(at), size, fill, line },
            Ink::Disc { at, r } => Ink::Disc { at: go(at), r },
            Ink::Image { at, size, image } => Ink::Image { at: go(at), size, image },
        }
    }
}

/// What stays on one sheet.
#[derive(Clone, Default)]
struct Piece {
    tall: f32,
    ink: Vec<Ink>,
    /// Whether the next one stays with it.
    stays: bool,
    /// What stands over it where it begins a sheet: of a table its head, with how high that is.
    head: Option<Rc<(f32, Vec<Ink>)>>,
}

impl Piece {
    /// Itself, or what a sheet so tall holds of it at a time: a line of words stands where its foot does.
    fn broken(self, tall: f32) -> Vec<Piece> {
        if self.tall <= tall {
            return vec![self];
        }
        let many = (self.tall / tall).ceil().max(1.0) as usize;
        let mut made = vec![Piece { tall, ..Piece::default() }; many];
        for ink in self.ink {
            let foot = match &ink {
                Ink::Words { at: [_, y], .. }
                | Ink::Box { at: [_, y], .. }
                | Ink::Disc { at: [_, y], .. } => *y,
                Ink::Image { at: [_, y], .. } => *y,
                Ink::Line { points, .. } => points.first().map_or(0.0, |[_, y]| *y),
            };
            let at = ((foot / tall).max(0.0) as usize).min(many - 1);
            if let Some(piece) = made.get_mut(at) {
                piece.ink.push(ink.moved([0.0, -tall * at as f32]));
            }
        }
        if let Some(last) = made.last_mut() {
            last.tall = self.tall - tall * (many as f32 - 1.0);
            last.stays = self.stays;
        }
        made
    }
}

/// A picture of greys: its size in dots, and their bytes as a PNG holds them.
struct Image {
    dots: [u32; 2],
    bytes: Vec<u8>,
}

/// The letters' widths, in thousandths of their height, from the blank to `~` (Adobe's metrics of the 14 standard faces, from memory).
const PLAIN: [u16; 95] = [
    278, 278, 355, 556, 556, 889, 667, 191, 333, 333, 389, 584, 278, 333, 278, 278, 556, 556, 556, 556, 556,
    556, 556, 556, 556, 556, 278, 278, 584, 584, 584, 556, 1015, 667, 667, 722, 722, 667, 611, 778, 722, 278,
    500, 667, 556, 833, 722, 778, 667, 778, 722, 667, 611, 722, 667, 944, 667, 667, 611, 278, 278, 278, 469,
    556, 333, 556, 556, 500, 556, 556, 278, 556, 556, 222, 222, 500, 222, 833, 556, 556, 556, 556, 333, 500,
    278, 556, 500, 722, 500, 500, 500, 334, 260, 334, 584,
];
const BOLD: [u16; 95] = [
    278, 333, 474, 556, 556, 889, 722, 238, 333, 333, 389, 584, 278, 333, 278, 278, 556, 556, 556, 556, 556,
    556, 556, 556, 556, 556, 333, 333, 584, 584, 584, 611, 975, 722, 722, 722, 722, 667, 611, 778, 722, 278,
    556, 722, 611, 833, 722, 778, 667, 778, 722, 667, 611, 722, 667, 944, 667, 667, 611, 333, 278, 333, 584,
    556, 333, 556, 611, 556, 611, 556, 333, 611, 611, 278, 278, 556, 278, 889, 611, 611, 611, 611, 389, 556,
    333, 611, 556, 778, 556, 556, 500, 389, 280, 389, 584,
];
/// Of letters beyond these, no narrower than they are: dashes, dots and the like, capitals, and all others.
fn beyond(letter: char) -> u16 {
    match letter {
        '\u{2014}' | '\u{2026}' | '\u{2030}' | '\u{2122}' | '\u{152}' | '\u{c6}' => 1000,
        _ if letter.is_uppercase() => 778,
        _ => 611,
    }
}

fn width(words: &str, size: f32, bold: bool) -> f32 {
    let table = if bold { &BOLD } else { &PLAIN };
    let of = |c: char| {
        let at = (c as usize).checked_sub(32).and_then(|at| table.get(at));
        f32::from(at.copied().unwrap_or_else(|| beyond(c)))
    };
    words.chars().map(of).sum::<f32>() * size / 1000.0
}

/// Words in the encoding of a PDF's own letters (`WinAnsiEncoding`): they are in these by now.
fn encoded(words: &str) -> Vec<u8> {
    words.chars().map(|letter| byte(letter).unwrap_or(b'?')).collect()
}

/// Lays markup out in a column.
struct Setter {
    images: Vec<Image>,
}

impl Setter {
    /// Words in lines of a width; the height comes with them.
    fn paragraph(words: &[Word], [left, wide]: [f32; 2], size: f32) -> Piece {
        let (mut ink, mut y, mut x) = (Vec::new(), 0.0, 0.0);
        let blank = width(" ", size, false);
        for Word { text, bold, apart } in words {
            let (mut rest, mut gap) = (text.as_str(), if *apart && x > 0.0 { blank } else { 0.0 });
            while !rest.is_empty() {
                let fits = |of: &str| width(of, size, *bold) <= wide;
                if x > 0.0 && x + gap + width(rest, size, *bold) > wide {
                    (x, y, gap) = (0.0, y + size * LINE, 0.0);
                }
                // What is longer than a whole line is broken where that ends.
                let ends = rest.char_indices().map(|(i, c)| i + c.len_utf8());
                let fit = ends.take_while(|end| rest.get(..*end).is_some_and(fits)).last();
                let cut = fit.unwrap_or_else(|| rest.chars().next().map_or(1, char::len_utf8));
                let Some((now, later)) = rest.split_at_checked(cut) else { break };
                let at = [left + x + gap, y + size];
                match ink.last_mut() {
                    // One run of words is one run of letters: so it is found by those who look for it.
                    Some(Ink::Words { at: [_, line], bold: was, words, .. })
                        if *line == at[1] && was == bold =>
                    {
                        if gap > 0.0 {
                            words.push(' ');
                        }
                        *words += now;
                    }
                    _ => ink.push(Ink::Words { at, size, bold: *bold, words: now.to_owned() }),
                }
                x += gap + width(now, size, *bold);
                (rest, gap) = (later, 0.0);
            }
        }
        Piece { tall: y + size * LINE, ink, ..Piece::default() }
    }

    fn text(element: &Element, bold: bool, column: [f32; 2], size: f32) -> Piece {
        Setter::paragraph(&element.all_words(bold), column, size)
    }

    /// What lies inside an element, piece by piece.
    fn blocks(&mut self, under: &[Node], [left, wide]: [f32; 2]) -> Vec<Piece> {
        let mut made: Vec<Piece> = Vec::new();
        let mut after = |mut piece: Piece, room: f32| {
            piece.tall += room;
            made.push(piece);
        };
        for node in under {
            let Node::Element(element) = node else { continue };
            let column = [left, wide];
            match element.name.as_str() {
                "h1" | "h2" | "h3" => {
                    let [first, second, third] = HEADS;
                    let size = match element.name.as_str() {
                        "h1" => first,
                        "h2" => second,
                        _ => third,
                    };
                    let mut head = Setter::text(element, true, column, size);
                    head.stays = true;
                    if element.name == "h2" {
                        let shift = [0.0, 2.0 * ROOM];
                        head.ink = head.ink.into_iter().map(|ink| ink.moved(shift)).collect();
                        head.tall += shift[1];
                        let points = vec![[left, head.tall], [left + wide, head.tall]];
                        head.ink.push(Ink::Line { points, wide: 1.5, grey: 0.0, dash: false });
                    }
                    after(head, ROOM);
                }
                "p" if element.is("mind") => {
                    let mut piece =
                        Setter::text(element, false, [left + 2.0 * ROOM, wide - 2.0 * ROOM], TEXT);
                    let size = [ROOM, piece.tall];
                    piece.ink.push(Ink::Box { at: [left, 0.0], size, fill: Some(0.0), line: None });
                    after(piece, ROOM / 2.0);
                }
                "p" => after(Setter::text(element, element.is("verdict"), column, TEXT), ROOM / 2.0),
                "pre" => after(Setter::text(element, false, column, TEXT), ROOM / 2.0),
                "ul" => {
                    for point in element.elements() {
                        let mut piece =
                            Setter::text(point, false, [left + 3.0 * ROOM, wide - 3.0 * ROOM], TEXT);
                        let words = "•".to_owned();
                        piece.ink.push(Ink::Words {
                            at: [left + ROOM, TEXT],
                            size: TEXT,
                            bold: false,
                            words,
                        });
                        after(piece, ROOM / 4.0);
                    }
                }
                "ol" => {
                    for step in element.elements() {
                        for piece in self.boxed(step, column) {
                            after(piece, ROOM);
                        }
                    }
                }
                "table" => self.table(element, column).into_iter().for_each(|piece| after(piece, 0.0)),
                "figure" => {
                    for drawing in element.elements().filter(|e| e.name == "svg") {
                        after(self.drawing(drawing, column), ROOM);
                    }
                }
                "div" if element.is("line") => {
                    let points = vec![[left, BOX], [left + wide, BOX]];
                    let ink = vec![Ink::Line { points, wide: 0.7, grey: 0.0, dash: false }];
                    after(Piece { tall: BOX, ink, ..Piece::default() }, 0.0);
                }
                _ => self.blocks(&element.under, column).into_iter().for_each(|piece| after(piece, 0.0)),
            }
        }
        made
    }

    /// A step in its box, on one sheet; without a box where it is taller than most of one.
    fn boxed(&mut self, step: &Element, [left, wide]: [f32; 2]) -> Vec<Piece> {
        let inside = self.blocks(&step.under, [left + ROOM, wide - 2.0 * ROOM]);
        let tall = inside.iter().map(|piece| piece.tall).sum::<f32>() + 2.0 * ROOM;
        if tall > 600.0 {
            return inside;
        }
        let mut whole = Piece { tall, ..Piece::default() };
        let mut y = ROOM;
        for piece in inside {
            whole.ink.extend(piece.ink.into_iter().map(|ink| ink.moved([0.0, y])));
            y += piece.tall;
        }
        whole.ink.push(Ink::Box { at: [left, 0.0], size: [wide, tall], fill: None, line: Some(0.8) });
        vec![whole]
    }

    /// A table, row by row; its caption and its head stay with what follows.
    fn table(&mut self, table: &Element, [left, wide]: [f32; 2]) -> Vec<Piece> {
        let mut made = Vec::new();
        let mut rows: Vec<&Element> = Vec::new();
        for part in table.elements() {
            match part.name.as_str() {
                "caption" => {
                    let mut piece = Setter::text(part, true, [left, wide], TEXT);
                    (piece.stays, piece.tall) = (true, piece.tall + ROOM / 2.0);
                    made.push(piece);
                }
                "tr" => rows.push(part),
                _ => rows.extend(part.elements().filter(|e| e.name == "tr")),
            }
        }
        let many = rows.iter().map(|row| row.elements().count()).max().unwrap_or(1).max(1);
        // What is asked takes more room than what it comes to.
        let first = match many {
            _ if table.is("read") => 0.16,
            4 => 0.34,
            _ => 1.0 / many as f32,
        };
        let rest = (1.0 - first) / (many as f32 - 1.0).max(1.0);
        let mut head = None;
        for (n, row) in rows.into_iter().enumerate() {
            let (mut ink, mut tall, mut cells) = (Vec::new(), TEXT * LINE, Vec::new());
            let mut at = left;
            for (i, cell) in row.elements().enumerate() {
                let one = wide * if i == 0 { first } else { rest };
                let piece = Setter::text(cell, cell.name == "th", [at + ROOM / 2.0, one - ROOM], TEXT);
                let least = if cell.is("box") { BOX } else { 0.0 };
                tall = tall.max(piece.tall).max(least);
                cells.push((at, one, cell.name == "th", piece));
                at += one;
            }
            tall += ROOM / 2.0;
            for (at, one, head, piece) in cells {
                let fill = head.then_some(0.93);
                ink.push(Ink::Box { at: [at, 0.0], size: [one, tall], fill, line: Some(0.6) });
                ink.extend(piece.ink.into_iter().map(|ink| ink.moved([0.0, ROOM / 4.0])));
            }
            let over = head.clone();
            if n == 0 && table.elements().any(|part| part.name == "thead") {
                head = Some(Rc::new((tall, ink.clone())));
            }
            made.push(Piece { tall, ink, stays: n == 0, head: over });
        }
        if let Some(last) = made.last_mut() {
            (last.tall, last.stays) = (last.tall + ROOM, false);
        }
        made
    }

    /// A drawing as wide as the column, or as it says.
    fn drawing(&mut self, svg: &Element, [left, wide]: [f32; 2]) -> Piece {
        let view: Vec<f32> = svg
            .more
            .get("viewBox")
            .map_or("", String::as_str)
            .split_whitespace()
            .filter_map(|v| v.parse().ok())
            .collect();
        let [_, _, across, down] = view.as_slice() else { return Piece::default() };
        let scale = wide.min(180.0 * MM) / across;
        let mut ink = Vec::new();
        let letters = svg.figure("font-size");
        self.shapes(svg, (left, scale), if letters > 0.0 { letters } else { 16.0 }, &mut ink);
        Piece { tall: down * scale, ink, ..Piece::default() }
    }

    fn shapes(&mut self, svg: &Element, (left, scale): (f32, f32), letters: f32, ink: &mut Vec<Ink>) {
        let grey = |colour: Option<&String>| match colour.map(String::as_str) {
            None | Some("none") => None,
            Some("black") => Some(0.0),
            Some("white") => Some(1.0),
            Some(hex) => {
                let digits = hex.trim_start_matches('#');
                let one = digits.get(..if digits.len() == 3 { 1 } else { 2 })?;
                let most = if digits.len() == 3 { 15.0 } else { 255.0 };
                Some(f32::from(u8::from_str_radix(one, 16).ok()?) / most)
            }
        };
        for e in svg.elements() {
            let at = |x: &str, y: &str| [left + e.figure(x) * scale, e.figure(y) * scale];
            let line = |points: Vec<[f32; 2]>| {
                let wide = if e.more.contains_key("stroke-width") { e.figure("stroke-width") } else { 1.0 };
                let dash = e.more.contains_key("stroke-dasharray");
                grey(e.more.get("stroke")).map(|grey| Ink::Line { points, wide: wide * scale, grey, dash })
            };
            match e.name.as_str() {
                "rect" => {
                    let size = [e.figure("width") * scale, e.figure("height") * scale];
                    let fill = match e.more.get("fill") {
                        None => Some(0.0),
                        some => grey(some),
                    };
                    let line = grey(e.more.get("stroke")).map(|_| 0.7);
                    // White behind all is the paper.
                    if fill != Some(1.0) || line.is_some() {
                        ink.push(Ink::Box { at: at("x", "y"), size, fill, line });
                    }
                }
                "line" => ink.extend(line(vec![at("x1", "y1"), at("x2", "y2")])),
                "polyline" => {
                    let points = e.more.get("points").map_or("", String::as_str);
                    let point = |pair: &str| {
                        let (x, y) = pair.split_once(',')?;
                        Some([left + x.parse::<f32>().ok()? * scale, y.parse::<f32>().ok()? * scale])
                    };
                    ink.extend(line(points.split_whitespace().filter_map(point).collect()));
                }
                "circle" => ink.push(Ink::Disc { at: at("cx", "cy"), r: e.figure("r") * scale }),
                "text" => {
                    let size = if e.more.contains_key("font-size") { e.figure("font-size") } else { letters }
                        * scale;
                    let bold = e.more.get("font-weight").is_some_and(|w| w == "bold");
                    let words: Vec<String> = e.all_words(bold).into_iter().map(|word| word.text).collect();
                    let words = words.join(" ");
                    let long = width(&words, size, bold);
                    let [x, y] = at("x", "y");
                    let x = match e.more.get("text-anchor").map(String::as_str) {
                        Some("middle") => x - long / 2.0,
                        Some("end") => x - long,
                        _ => x,
                    };
                    if e.more.contains_key("aria-hidden") {
                        // What is broad and white there keeps the lines behind the words off them.
                        let (at, size) = ([x - 1.0, y - 0.8 * size], [long + 2.0, size]);
                        ink.push(Ink::Box { at, size, fill: Some(1.0), line: None });
                    } else {
                        ink.push(Ink::Words { at: [x, y], size, bold, words });
                    }
                }
                "image" => {
                    let size = [e.figure("width") * scale, e.figure("height") * scale];
                    let data = e.more.get("href").and_then(|href| href.split_once(";base64,"));
                    let bytes = data
                        .and_then(|(_, data)| base64::engine::general_purpose::STANDARD.decode(data).ok());
                    if let Some(image) = bytes.and_then(|bytes| image(&bytes)) {
                        self.images.push(image);
                        ink.push(Ink::Image { at: at("x", "y"), size, image: self.images.len() - 1 });
                    }
                }
                _ => self.shapes(e, (left, scale), letters, ink),
            }
        }
    }
}

/// The greys of a PNG of ours, as they are pressed together there: a PDF holds them the same way.
fn image(png: &[u8]) -> Option<Image> {
    let word = |at: usize| png.get(at..at + 4)?.try_into().ok().map(u32::from_be_bytes);
    let (mut at, mut bytes) = (8, Vec::new());
    let dots = [word(16)?, word(20)?];
    while let (Some(long), Some(kind)) = (word(at), png.get(at + 4..at + 8)) {
        let long = long as usize;
        if kind == b"IDAT" {
            bytes.extend(png.get(at + 8..at + 8 + long)?);
        }
        at += long + 12;
    }
    Some(Image { dots, bytes })
}

/// What stands in the `main` of a page of ours, on sheets of paper.
#[must_use]
pub fn pdf(html: &str, title: &str, paper: Paper) -> Vec<u8> {
    let main = html
        .split_once("<main>")
        .and_then(|(_, rest)| rest.rsplit_once("</main>"))
        .map_or(html, |(main, _)| main);
    let [wide, tall] = paper.mm().map(|mm| mm as f32 * MM);
    let mut setter = Setter { images: Vec::new() };
    let column = [MARGIN, wide - 2.0 * MARGIN];
    let mut pieces = setter.blocks(&read(main), column);
    // Neither what is said otherwise without loss nor what the page itself could not show.
    let lacking =
        |c: char| byte(c).is_none() && !c.is_ascii_whitespace() && !"\u{2264}\u{2265}\u{fffd}".contains(c);
    if plain(main).contains(lacking) {
        let said = [Node::Text(OTHERWISE.to_owned())];
        let element = Element { name: "p".to_owned(), more: BTreeMap::new(), under: Vec::from(said) };
        pieces.push(Setter::text(&element, false, column, TEXT));
    }
    let sheets = sheets(pieces, tall - 2.0 * MARGIN - TEXT);
    let mut next = 1;
    let mut fresh = || {
        next += 1;
        Ref::new(next)
    };
    let (catalog, tree, plain, bold, info) = (Ref::new(1), fresh(), fresh(), fresh(), fresh());
    let images: Vec<Ref> = setter.images.iter().map(|_| fresh()).collect();
    let pages: Vec<[Ref; 2]> = sheets.iter().map(|_| [fresh(), fresh()]).collect();
    let mut pdf = Pdf::new();
    if let Some(mark) = BEGIN.last_chunk() {
        pdf.set_binary_marker(mark);
    }
    pdf.catalog(catalog).pages(tree);
    pdf.document_info(info).title(TextStr(title)).producer(TextStr("heatbook"));
    pdf.pages(tree)
        .kids(pages.iter().map(|[page, _]| *page))
        .count(i32::try_from(pages.len()).unwrap_or(i32::MAX));
    for (font, face) in [(plain, &b"Helvetica"[..]), (bold, b"Helvetica-Bold")] {
        pdf.type1_font(font).base_font(Name(face)).encoding_predefined(Name(b"WinAnsiEncoding"));
    }
    for (image, at) in setter.images.iter().zip(&images) {
        let [across, down] = image.dots.map(|n| i32::try_from(n).unwrap_or(i32::MAX));
        let mut object = pdf.image_xobject(*at, &image.bytes);
        object.width(across).height(down).bits_per_component(8);
        object.filter(Filter::FlateDecode);
        object.color_space().device_gray();
        let mut parms = object.decode_parms();
        parms
            .predictor(pdf_writer::types::Predictor::PngOptimum)
            .colors(1)
            .bits_per_component(8)
            .columns(across);
        parms.finish();
    }
    let many = pages.len();
    for (n, (ink, [page, content])) in sheets.into_iter().zip(&pages).enumerate() {
        let mut sheet = pdf.page(*page);
        sheet.media_box(Rect::new(0.0, 0.0, wide, tall)).parent(tree).contents(*content);
        let mut resources = sheet.resources();
        resources.fonts().pair(Name(b"F"), plain).pair(Name(b"B"), bold);
        let mut objects = resources.x_objects();
        for (i, at) in images.iter().enumerate() {
            objects.pair(Name(format!("I{i}").as_bytes()), *at);
        }
        objects.finish();
        resources.finish();
        sheet.finish();
        let behind = format!(", sheet {} of {many}", n + 1);
        let room = wide - 2.0 * MARGIN - width(&behind, FOOT, false);
        let words = fitted(&in_our_letters(title), room) + &behind;
        let foot =
            Ink::Words { at: [MARGIN, tall - 2.0 * MARGIN + TEXT / 2.0], size: FOOT, bold: false, words };
        pdf.stream(*content, &drawn(ink.into_iter().chain([foot]), tall));
    }
    pdf.finish()
}

/// The title at the foot of a sheet, as much of it as has room.
fn fitted(title: &str, room: f32) -> String {
    if width(title, FOOT, false) <= room {
        return title.to_owned();
    }
    let mut made = String::new();
    for letter in title.chars() {
        made.push(letter);
        if width(&made, FOOT, false) > room - width("...", FOOT, false) {
            made.pop();
            break;
        }
    }
    made + "..."
}

/// Pieces laid sheet by sheet: what is to stay together does, as far as a sheet holds it.
fn sheets(pieces: Vec<Piece>, tall: f32) -> Vec<Vec<Ink>> {
    let (mut made, mut y): (Vec<Vec<Ink>>, f32) = (vec![Vec::new()], 0.0);
    let mut together: Vec<Piece> = Vec::new();
    let pieces: Vec<Piece> = pieces.into_iter().flat_map(|piece| piece.broken(tall)).collect();
    let last = pieces.len().saturating_sub(1);
    for (i, piece) in pieces.into_iter().enumerate() {
        let stays = piece.stays && i != last;
        together.push(piece);
        if stays {
            continue;
        }
        let all: f32 = together.iter().map(|p| p.tall).sum();
        if y > 0.0 && y + all > tall {
            made.push(Vec::new());
            y = 0.0;
        }
        for piece in together.drain(..) {
            if y > 0.0 && y + piece.tall > tall {
                made.push(Vec::new());
                y = 0.0;
            }
            if let Some(sheet) = made.last_mut() {
                if let Some((high, ink)) = piece.head.as_deref().filter(|_| y == 0.0) {
                    sheet.extend(ink.iter().cloned());
                    y = *high;
                }
                sheet.extend(piece.ink.into_iter().map(|ink| ink.moved([0.0, y])));
            }
            y += piece.tall;
        }
    }
    made
}

/// Ink as the operators of a page; its y runs down from the upper margin, a PDF's up from below.
fn drawn(ink: impl Iterator<Item = Ink>, tall: f32) -> Vec<u8> {
    let mut content = Content::new();
    let up = |y: f32| tall - MARGIN - y;
    for ink in ink {
        match ink {
            Ink::Words { at: [x, y], size, bold, words } => {
                content.set_fill_gray(0.0).begin_text().set_font(Name(if bold { b"B" } else { b"F" }), size);
                content.next_line(x, up(y)).show(Str(&encoded(&words))).end_text();
            }
            Ink::Line { points, wide, grey, dash } => {
                content.save_state().set_line_width(wide).set_stroke_gray(grey);
                if dash {
                    content.set_dash_pattern([4.0, 3.0], 0.0);
                }
                for (i, [x, y]) in points.into_iter().enumerate() {
                    if i == 0 {
                        content.move_to(x, up(y))
                    } else {
                        content.line_to(x, up(y))
                    };
                }
                content.stroke().restore_state();
            }
            Ink::Box { at: [x, y], size: [wide, high], fill, line } => {
                content.rect(x, up(y + high), wide, high);
                content
                    .set_fill_gray(fill.unwrap_or(1.0))
                    .set_stroke_gray(0.0)
                    .set_line_width(line.unwrap_or(0.0));
                match (fill, line) {
                    (Some(_), Some(_)) => content.fill_nonzero_and_stroke(),
                    (Some(_), None) => content.fill_nonzero(),
                    (None, _) => content.stroke(),
                };
            }
            Ink::Disc { at: [x, y], r } => {
                // A circle by four curves (0.5523 of the radius, textbook).
                let (y, k) = (up(y), r * 0.5523);
                content.set_fill_gray(0.0).move_to(x + r, y);
                content.cubic_to(x + r, y + k, x + k, y + r, x, y + r).cubic_to(
                    x - k,
                    y + r,
                    x - r,
                    y + k,
                    x - r,
                    y,
                );
                content.cubic_to(x - r, y - k, x - k, y - r, x, y - r).cubic_to(
                    x + k,
                    y - r,
                    x + r,
                    y - k,
                    x + r,
                    y,
                );
                content.fill_nonzero();
            }
            Ink::Image { at: [x, y], size: [wide, high], image } => {
                content.save_state().transform([wide, 0.0, 0.0, high, x, up(y + high)]);
                content.x_object(Name(format!("I{image}").as_bytes())).restore_state();
            }
        }
    }
    content.finish().into_vec()
}
