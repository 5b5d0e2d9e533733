//! Gets a file in: from a path, or from standard input for `-`.

use std::fs::File;
use std::io::{self, Read};
use std::path::Path;

use anyhow::{Context, Result, anyhow, ensure};
use tober::site::{Site, limits};

/// Reads and checks a site; an error names the file and lists every fault.
pub(crate) fn site(path: &Path) -> Result<Site> {
    let name = name(path);
    let text = text(bytes(path)?).with_context(|| format!("{name} cannot be read"))?;
    Site::read(&text).map_err(|error| anyhow!("{name} cannot be used:\n{error}"))
}

/// What a message calls the file.
pub(crate) fn name(path: &Path) -> String {
    if is_stdin(path) {
        "standard input".to_owned()
    } else {
        path.display().to_string()
    }
}

/// The bytes of a file that is not too large; an error names it.
pub(crate) fn bytes(path: &Path) -> Result<Vec<u8>> {
    read(path).with_context(|| format!("{} cannot be read", name(path)))
}

fn is_stdin(path: &Path) -> bool {
    path.as_os_str() == "-"
}

fn read(path: &Path) -> Result<Vec<u8>> {
    let source: &mut dyn Read = if is_stdin(path) {
        &mut io::stdin().lock()
    } else {
        &mut File::open(path)?
    };
    let mut bytes = Vec::new();
    // One byte past the limit tells that the file goes on.
    source
        .take(limits::FILE_BYTES as u64 + 1)
        .read_to_end(&mut bytes)?;
    ensure!(
        bytes.len() <= limits::FILE_BYTES,
        "it is longer than {} bytes, the most that a file may hold",
        limits::FILE_BYTES
    );
    Ok(bytes)
}

fn text(bytes: Vec<u8>) -> Result<String> {
    String::from_utf8(bytes).map_err(|error| {
        let place = error.utf8_error().valid_up_to();
        anyhow!("it is not text in UTF-8: byte {place} is the first that does not fit")
    })
}
