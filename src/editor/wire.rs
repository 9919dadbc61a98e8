//! Messages on a stream: a head that says how long, and JSON. What cannot be read ends the conversation.

use std::io::{self, BufRead, Read as _, Write};

use lsp_server::{ErrorCode, Message};

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

/// The next message; `None` at the stream's end.
///
/// # Errors
/// Why none can be read, and none after it either.
pub fn receive(from: &mut impl BufRead) -> Result<Option<Message>, Broken> {
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
    let message = serde_json::from_slice(&body).map_err(|error| malformed(&error.to_string()))?;
    Ok(Some(message))
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

    fn read(text: &str) -> Result<Option<Message>, Broken> {
        receive(&mut text.as_bytes())
    }

    #[test]
    fn a_message_is_read_whole() {
        let body = r#"{"jsonrpc":"2.0","id":1,"method":"shutdown"}"#;
        let text = format!("Content-Type: x\r\nContent-Length: {}\r\n\r\n{body}", body.len());
        assert!(matches!(read(&text), Ok(Some(Message::Request(r))) if r.method == "shutdown"));
        assert!(matches!(read(""), Ok(None)));
    }

    #[test]
    fn what_is_no_message_is_said_so() {
        let cases = [
            ("Content-Length: 9\r\n\r\n{}", "ends before"),
            ("Content-Length: 2\r\n\r\n{}", "the editor sent what is no message"),
            ("Content-Length: 99999999999999999999\r\n\r\n", "how long"),
            ("Content-Length: 9999999999\r\n\r\n", "longer than any recipe"),
            ("hello\r\n\r\n", "no `:`"),
            ("\r\n", "how long"),
            ("Content-Length: 4", "no end"),
            ("Content-Length: 3\r\n\r\n\u{fffd}", "no message"),
        ];
        for (text, said) in cases {
            let error = read(text).unwrap_err().to_string();
            assert!(error.contains(said), "{text:?}: {error}");
        }
        let long = format!("X: {}\r\n", "y".repeat(9000));
        assert!(read(&long).is_err());
        assert!(read(&"X: y\r\n".repeat(100)).is_err());
    }
}
