//! Reading recipes: from a file, or from standard input for `-`.

use std::io::Read;

use crate::source::Files;

/// Reads a file into the map; gives the address of its first byte.
///
/// # Errors
/// A sentence that says what cannot be read, and why.
pub fn read(files: &mut Files, path: &str) -> Result<u32, String> {
    let (name, bytes) = if path == "-" {
        ("standard input".to_owned(), limited(std::io::stdin().lock()))
    } else {
        let named = path.to_owned();
        match std::fs::metadata(path) {
            Err(error) => return Err(format!("cannot read `{path}`: {}", reason(&error))),
            Ok(about) if about.is_dir() => {
                return Err(format!(
                    "`{path}` is a folder: name the recipe in it, such as `{}`",
                    sample(path)
                ));
            }
            Ok(_) => {}
        }
        (named, std::fs::File::open(path).and_then(limited_file))
    };
    let bytes = bytes.map_err(|error| format!("cannot read `{path}`: {}", reason(&error)))?;
    if bytes.len() > Files::LARGEST {
        return Err(format!("`{path}` is larger than 16 MiB, and no recipe is"));
    }
    let text =
        String::from_utf8(bytes).map_err(|_| format!("`{path}` is no text file (recipes are UTF-8 text)"))?;
    if text.contains('\0') {
        return Err(format!("`{path}` is no text file (recipes are UTF-8 text)"));
    }
    files.add(name, text).ok_or_else(|| format!("`{path}` is one file too many to hold"))
}

fn sample(folder: &str) -> String {
    format!("{}/ferry-galley.heat", folder.trim_end_matches('/'))
}

fn limited_file(file: std::fs::File) -> std::io::Result<Vec<u8>> {
    limited(file)
}

fn limited(from: impl Read) -> std::io::Result<Vec<u8>> {
    let mut bytes = Vec::new();
    from.take(Files::LARGEST as u64 + 1).read_to_end(&mut bytes)?;
    Ok(bytes)
}

fn reason(error: &std::io::Error) -> String {
    match error.kind() {
        std::io::ErrorKind::NotFound => "there is no such file".to_owned(),
        std::io::ErrorKind::PermissionDenied => "it may not be read by you".to_owned(),
        _ => error.to_string(),
    }
}
