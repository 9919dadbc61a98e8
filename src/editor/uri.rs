//! Files as editors name them: `file:///forge/galley%20two.heat`.

use std::path::{Path, PathBuf};
use std::str::FromStr as _;

use lsp_types::Uri;
use percent_encoding::{percent_decode_str, utf8_percent_encode};

use crate::source::IN_PATHS;

/// The path that a URI names; `None` where it is no file, such as a document that was never saved.
pub fn path_of(uri: &str) -> Option<PathBuf> {
    let rest = uri.strip_prefix("file://")?;
    let rest = rest.strip_prefix("localhost").unwrap_or(rest);
    let decoded = percent_decode_str(rest).decode_utf8().ok()?.into_owned();
    // A stroke of percent that stands for nothing is left as it is by the decoder, and is no path that an editor writes.
    let path = Some(decoded).filter(|p| p.starts_with('/') && !p.contains('\0') && !broken(rest))?;
    // `/C:/forge`: the first stroke is no part of the path where drives have letters.
    let drive = path.get(1..).filter(|p| {
        let mut letters = p.chars();
        letters.next().is_some_and(|c| c.is_ascii_alphabetic()) && letters.next() == Some(':')
    });
    Some(PathBuf::from(drive.unwrap_or(&path)))
}

/// Whether a `%` stands there without two digits behind it.
fn broken(text: &str) -> bool {
    let digit = |b: Option<&u8>| b.is_some_and(u8::is_ascii_hexdigit);
    text.split('%').skip(1).any(|rest| !digit(rest.as_bytes().first()) || !digit(rest.as_bytes().get(1)))
}

/// The URI of a full path.
pub fn uri_of(path: &Path) -> Option<Uri> {
    let path = path.to_str()?.replace('\\', "/");
    let root = if path.starts_with('/') { "" } else { "/" };
    Uri::from_str(&format!("file://{root}{}", utf8_percent_encode(&path, IN_PATHS))).ok()
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
