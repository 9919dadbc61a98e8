//! Files as editors name them: `file:///forge/galley%20two.heat`.

use std::fmt::Write as _;
use std::path::{Path, PathBuf};
use std::str::FromStr as _;

use lsp_types::Uri;

/// The path that a URI names; `None` where it is no file, such as a document that was never saved.
pub fn path_of(uri: &str) -> Option<PathBuf> {
    let rest = uri.strip_prefix("file://")?;
    let rest = rest.strip_prefix("localhost").unwrap_or(rest);
    let mut bytes = Vec::with_capacity(rest.len());
    let mut letters = rest.bytes();
    while let Some(letter) = letters.next() {
        if letter != b'%' {
            bytes.push(letter);
            continue;
        }
        let digit = |b: Option<u8>| b.and_then(|b| char::from(b).to_digit(16));
        let (high, low) = (digit(letters.next())?, digit(letters.next())?);
        bytes.push(u8::try_from(high * 16 + low).ok()?);
    }
    let path = String::from_utf8(bytes).ok().filter(|p| p.starts_with('/') && !p.contains('\0'))?;
    // `/C:/forge`: the first stroke is no part of the path where drives have letters.
    let drive = path.get(1..).filter(|p| {
        let mut letters = p.chars();
        letters.next().is_some_and(|c| c.is_ascii_alphabetic()) && letters.next() == Some(':')
    });
    Some(PathBuf::from(drive.unwrap_or(&path)))
}

/// The URI of a full path.
pub fn uri_of(path: &Path) -> Option<Uri> {
    let path = path.to_str()?.replace('\\', "/");
    let mut uri = String::from("file://");
    if !path.starts_with('/') {
        uri.push('/');
    }
    for byte in path.bytes() {
        let plain = byte.is_ascii_alphanumeric() || matches!(byte, b'/' | b'-' | b'.' | b'_' | b'~');
        if plain {
            uri.push(char::from(byte));
        } else {
            let _ = write!(uri, "%{byte:02X}");
        }
    }
    Uri::from_str(&uri).ok()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn paths_go_there_and_back() {
        for path in ["/forge/a b/galley.heat", "/öfen/é#?%.heat", "/x"] {
            let uri = uri_of(Path::new(path)).unwrap();
            assert_eq!(path_of(uri.as_str()), Some(PathBuf::from(path)), "{}", uri.as_str());
        }
    }

    #[test]
    fn what_is_no_file_has_no_path() {
        for uri in ["untitled:Untitled-1", "file:", "file://", "file:///%ff%fe", "file:///%4", "http://x/y"] {
            assert_eq!(path_of(uri), None, "{uri}");
        }
        assert_eq!(path_of("file:///C:/forge/x.heat"), Some(PathBuf::from("C:/forge/x.heat")));
        assert_eq!(path_of("file:///c%3A/forge/x.heat"), Some(PathBuf::from("c:/forge/x.heat")));
    }
}
