//! Messages on a stream: a head that says how long, and JSON. What has no end ends the conversation; what has one and is no message
//! is answered with an error.

use std::io::{self, BufRead, Read as _, Write};

use lsp_server::{ErrorCode, Message};
use serde_json::json;

/// Why a request is refused.
pub type Refused = (ErrorCode, String);

/// The longest message that is taken: a document of the largest size, each of its letters escaped (project figure).
const LONGEST: usize = 128 << 20;
/// The longest line of a head, and the most lines.
const HEAD: u64 = 4096;
const HEAD_LINES: usize = 64;

/// Why a conversation cannot go on.
#[derive(Debug)]
pub enum Broken {
    /// The stream itself.
    Stream(io::Error),
    /// What came is no message: in a sentence.
    Malformed(String),
}

impl std::fmt::Display for Broken {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Broken::Stream(error) => write!(f, "the editor cannot be heard: {error}"),
            Broken::Malformed(what) => write!(f, "the editor sent what is no message: {what}"),
        }
    }
}

/// What comes whole: a message, or in a sentence why it is none.
pub type Come = Result<Message, String>;

/// What comes next; `None` at the stream's end.
///
/// # Errors
/// Why nothing can be read, and nothing after it either.
pub fn receive(from: &mut impl BufRead) -> Result<Option<Come>, Broken> {
    let mut length = None;
    for count in 0.. {
        let mut line = Vec::new();
        let read = from.by_ref().take(HEAD).read_until(b'\n', &mut line).map_err(Broken::Stream)?;
        if read == 0 && count == 0 {
            return Ok(None);
        }
        if !line.ends_with(b"\n") || count >= HEAD_LINES {
            return Err(malformed("its head has no end"));
        }
        let line = String::from_utf8_lossy(&line);
        let line = line.trim();
        if line.is_empty() {
            break;
        }
        let Some((name, value)) = line.split_once(':') else {
            return Err(malformed("a line of its head has no `:`"));
        };
        if name.eq_ignore_ascii_case("content-length") {
            length = value.trim().parse::<usize>().ok();
        }
    }
    let length = length.ok_or_else(|| malformed("its head does not say how long it is"))?;
    if length > LONGEST {
        return Err(malformed("it is longer than any recipe"));
    }
    // Read as it comes: a length that is only claimed takes no memory.
    let mut body = Vec::new();
    let read = from.by_ref().take(length as u64).read_to_end(&mut body).map_err(Broken::Stream)?;
    if read < length {
        return Err(malformed("it ends before it should"));
    }
    let read = serde_json::from_slice(&body).or_else(|error| match paired(&body) {
        Some(body) => serde_json::from_slice(&body),
        None => Err(error),
    });
    Ok(Some(read.map_err(|error| error.to_string())))
}

/// JSON with the mark for a lost letter in the place of each half of a pair of UTF-16 that stands alone: it counts as one unit too.
/// `None` where there is none. (An editor that parts a letter of two units sends such halves.)
fn paired(json: &[u8]) -> Option<Vec<u8>> {
    let unit = |at: usize| {
        let digits = json.get(at..)?.strip_prefix(b"\\u")?.get(..4)?;
        u16::from_str_radix(std::str::from_utf8(digits).ok()?, 16).ok()
    };
    let (mut made, mut at, mut lost) = (Vec::with_capacity(json.len()), 0, false);
    while let Some(byte) = json.get(at) {
        let length = match (unit(at), unit(at + 6)) {
            (Some(0xD800..=0xDBFF), Some(0xDC00..=0xDFFF)) => 12,
            (Some(0xD800..=0xDFFF), _) => {
                made.extend(b"\\ufffd");
                (at, lost) = (at + 6, true);
                continue;
            }
            (Some(_), _) => 6,
            (None, _) if *byte == b'\\' => 2,
            (None, _) => 1,
        };
        made.extend(json.iter().skip(at).take(length));
        at += length;
    }
    lost.then_some(made)
}

/// Answers what was no message: there is no telling which request it was.
///
/// # Errors
/// What the stream says.
pub fn refuse(to: &mut impl Write, why: &str) -> io::Result<()> {
    let error =
        json!({ "code": ErrorCode::ParseError as i32, "message": format!("this is no message: {why}") });
    let body = json!({ "jsonrpc": "2.0", "id": null, "error": error }).to_string();
    write!(to, "Content-Length: {}\r\n\r\n{body}", body.len())
}

fn malformed(what: &str) -> Broken {
    Broken::Malformed(what.to_owned())
}

/// Writes a message.
///
/// # Errors
/// What the stream says.
pub fn send(to: &mut impl Write, message: &Message) -> io::Result<()> {
    message.write(to)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(text: &str) -> Result<Option<Come>, Broken> {
        receive(&mut text.as_bytes())
    }

    #[test]
    fn a_message_is_read_whole() {
        let body = r#"{"jsonrpc":"2.0","id":1,"method":"shutdown"}"#;
        let text = format!("Content-Type: x\r\nContent-Length: {}\r\n\r\n{body}", body.len());
        assert!(matches!(read(&text), Ok(Some(Ok(Message::Request(r)))) if r.method == "shutdown"));
        assert!(matches!(read(""), Ok(None)));
    }

    #[test]
    fn what_is_no_message_is_said_so() {
        let cases = [
            ("Content-Length: 9\r\n\r\n{}", "ends before"),
            ("Content-Length: 99999999999999999999\r\n\r\n", "how long"),
            ("Content-Length: 9999999999\r\n\r\n", "longer than any recipe"),
            ("hello\r\n\r\n", "no `:`"),
            ("\r\n", "how long"),
            ("Content-Length: 4", "no end"),
        ];
        for (text, said) in cases {
            let error = read(text).unwrap_err().to_string();
            assert!(error.contains(said), "{text:?}: {error}");
        }
        for text in ["Content-Length: 2\r\n\r\n{}", "Content-Length: 3\r\n\r\n\u{fffd}"] {
            assert!(matches!(read(text), Ok(Some(Err(_)))), "{text:?}");
        }
        let long = format!("X: {}\r\n", "y".repeat(9000));
        assert!(read(&long).is_err());
        assert!(read(&"X: y\r\n".repeat(100)).is_err());
    }

    #[test]
    fn half_a_letter_is_a_letter_that_was_lost() {
        let paired = |text: &str| paired(text.as_bytes()).map(|made| String::from_utf8(made).unwrap());
        assert_eq!(paired(r#""a\ud83dB""#).unwrap(), r#""a\ufffdB""#);
        assert_eq!(paired(r#""\udd25\ud83d\ud83d\uDD25\""#).unwrap(), r#""\ufffd\ufffd\ud83d\uDD25\""#);
        // A pair, a backslash of its own before a `u`, and an escape that is none.
        for whole in [r#""\ud83d\udd25""#, r#""\\ud83d""#, r#""\u00e9""#, r#""\ud8""#, ""] {
            assert_eq!(paired(whole), None, "{whole}");
        }
    }
}
