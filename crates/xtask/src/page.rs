//! The page as it is served: everything that a browser fetches, in one folder.
//!
//! ```text
//! crates/tober-page --> tober_page.js, tober_page_bg.wasm
//! web/*             --> index.html, styles, manifest, icons
//! both              --> the service worker's list, and a .br and a .gz beside each
//! ```

use std::fs;
use std::io::Write;
use std::path::{Path, PathBuf};

use anyhow::{Context, Result, bail, ensure};
use brotli::enc::BrotliEncoderParams;
use flate2::{Compression, write::GzEncoder};
use sha2::{Digest, Sha256};

use crate::wasm::Bundle;
use crate::workspace::{alone, root};

/// The script that keeps the page for use without a network.
const SERVICE_WORKER: &str = "service-worker.js";

/// How the line starts that [`fill_service_worker`] replaces.
const BUILD_LINE: &str = "const BUILD = ";

/// Builds the page into `out`, in place of an older one.
///
/// It is put together beside `out` and moved there when it is whole, so that a page that is
/// being served is never half new.
pub fn build(out: &Path) -> Result<()> {
    refuse_foreign(out)?;
    let _lock = alone()?;
    let stage = Stage::beside(out)?;
    let folder = stage.folder.as_path();
    Bundle {
        package: "tober-page",
        artifact: "tober-page",
        name: "tober_page",
        typescript: false,
    }
    .build(folder)?;
    copy_folder(&root().join("web"), folder)?;
    fill_service_worker(folder)?;
    let sizes = compress(folder)?;
    stage.replace(out)?;
    eprintln!(
        "Page: {} ({} KiB to transfer, {} KiB unpacked)",
        out.display(),
        sizes.transferred.div_ceil(1024),
        sizes.unpacked.div_ceil(1024)
    );
    Ok(())
}

/// A folder in which the page is put together.
struct Stage {
    folder: PathBuf,
    /// Holds `folder`; goes away with what is left of it.
    _above: tempfile::TempDir,
}

impl Stage {
    fn beside(out: &Path) -> Result<Stage> {
        let above = match out.parent() {
            Some(above) if !above.as_os_str().is_empty() => above,
            _ => Path::new("."),
        };
        let above = tempfile::Builder::new()
            .prefix(".page-")
            .tempdir_in(above)
            .with_context(|| format!("{} cannot be written to", above.display()))?;
        let folder = above.path().join("page");
        fs::create_dir(&folder)?;
        Ok(Stage {
            folder,
            _above: above,
        })
    }

    /// Takes the place of `out`.
    fn replace(self, out: &Path) -> Result<()> {
        refuse_foreign(out)?;
        if out.exists() {
            fs::remove_dir_all(out)?;
        }
        fs::rename(&self.folder, out).with_context(|| format!("{} not written", out.display()))
    }
}

/// An error when `out` holds something else than an older page.
fn refuse_foreign(out: &Path) -> Result<()> {
    let is_page = out.join(SERVICE_WORKER).is_file();
    let is_free = !out.exists() || (out.is_dir() && fs::read_dir(out)?.next().is_none());
    ensure!(
        is_page || is_free,
        "{} holds something else than a page; nothing was changed",
        out.display()
    );
    Ok(())
}

/// Copies the files of a folder, and of the folders in it.
fn copy_folder(from: &Path, to: &Path) -> Result<()> {
    for path in files_below(from)? {
        let copy = to.join(path.strip_prefix(from)?);
        if let Some(folder) = copy.parent() {
            fs::create_dir_all(folder)?;
        }
        fs::copy(&path, &copy).with_context(|| format!("{} not copied", path.display()))?;
    }
    Ok(())
}

/// Every file in a folder and in the folders below it, in the order of their names.
fn files_below(folder: &Path) -> Result<Vec<PathBuf>> {
    let mut files = Vec::new();
    let entries = fs::read_dir(folder).with_context(|| format!("no {}", folder.display()))?;
    for entry in entries {
        let path = entry?.path();
        if path.is_dir() {
            files.extend(files_below(&path)?);
        } else {
            files.push(path);
        }
    }
    files.sort();
    Ok(files)
}

/// Writes the list of files, and a hash over all of them, into the service worker: a browser
/// takes a changed worker for a new version of the page.
fn fill_service_worker(folder: &Path) -> Result<()> {
    let mut names = vec!["./".to_owned()];
    let mut hash = Sha256::new();
    for path in files_below(folder)? {
        let name = relative_name(folder, &path)?;
        hash.update(&name);
        hash.update(fs::read(&path)?);
        if name != SERVICE_WORKER {
            names.push(format!("./{name}"));
        }
    }
    let hash: String = hash.finalize()[..8]
        .iter()
        .map(|byte| format!("{byte:02x}"))
        .collect();
    let line = format!(
        "{BUILD_LINE}{};",
        serde_json::json!({ "hash": hash, "files": names })
    );
    let path = folder.join(SERVICE_WORKER);
    let script = fs::read_to_string(&path)?;
    let Some(blank) = script.lines().find(|line| line.starts_with(BUILD_LINE)) else {
        bail!("web/{SERVICE_WORKER} has no line that starts with `{BUILD_LINE}`");
    };
    fs::write(&path, script.replacen(blank, &line, 1))?;
    Ok(())
}

/// A file's name below `folder`, with forward slashes.
fn relative_name(folder: &Path, path: &Path) -> Result<String> {
    let name = path.strip_prefix(folder)?;
    let parts: Vec<_> = name.iter().map(|part| part.to_string_lossy()).collect();
    Ok(parts.join("/"))
}

/// How much a first visit fetches, bytes.
struct Sizes {
    /// As sent: the smallest form of every file.
    transferred: u64,
    /// As used.
    unpacked: u64,
}

/// Writes a `.br` and a `.gz` beside every file that gets smaller by it.
fn compress(folder: &Path) -> Result<Sizes> {
    let mut sizes = Sizes {
        transferred: 0,
        unpacked: 0,
    };
    for path in files_below(folder)? {
        let bytes = fs::read(&path)?;
        let brotli = brotli_of(&bytes)?;
        let mut smallest = bytes.len();
        for (ending, packed) in [("br", brotli), ("gz", gzip_of(&bytes)?)] {
            if packed.len() < bytes.len() {
                smallest = smallest.min(packed.len());
                let mut name = path.clone().into_os_string();
                name.push(".");
                name.push(ending);
                fs::write(name, packed)?;
            }
        }
        sizes.transferred += smallest as u64;
        sizes.unpacked += bytes.len() as u64;
    }
    Ok(sizes)
}

fn brotli_of(bytes: &[u8]) -> Result<Vec<u8>> {
    let mut packed = Vec::new();
    brotli::BrotliCompress(
        &mut &bytes[..],
        &mut packed,
        &BrotliEncoderParams::default(),
    )?;
    Ok(packed)
}

fn gzip_of(bytes: &[u8]) -> Result<Vec<u8>> {
    let mut encoder = GzEncoder::new(Vec::new(), Compression::best());
    encoder.write_all(bytes)?;
    Ok(encoder.finish()?)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_a_page_is_replaced() {
        let folder = tempfile::tempdir().unwrap();
        let out = folder.path().join("page");
        for version in ["first", "second"] {
            let stage = Stage::beside(&out).unwrap();
            fs::write(stage.folder.join(SERVICE_WORKER), version).unwrap();
            stage.replace(&out).unwrap();
            let kept = fs::read_to_string(out.join(SERVICE_WORKER)).unwrap();
            assert_eq!(kept, version);
        }
        let names: Vec<_> = fs::read_dir(folder.path()).unwrap().collect();
        assert_eq!(names.len(), 1, "something was left behind: {names:?}");

        fs::remove_file(out.join(SERVICE_WORKER)).unwrap();
        fs::write(out.join("letter.txt"), "dear").unwrap();
        assert!(build(&out).is_err());
        assert!(out.join("letter.txt").is_file());
    }

    #[test]
    fn the_worker_lists_every_other_file_and_changes_with_each() {
        let folder = tempfile::tempdir().unwrap();
        let filled = |index: &str| {
            let worker = format!("// Keeps.\n{BUILD_LINE}{{}};\nself.on();\n");
            fs::write(folder.path().join(SERVICE_WORKER), worker).unwrap();
            fs::write(folder.path().join("index.html"), index).unwrap();
            fs::create_dir_all(folder.path().join("icons")).unwrap();
            fs::write(folder.path().join("icons/tober.svg"), "<svg/>").unwrap();
            fill_service_worker(folder.path()).unwrap();
            fs::read_to_string(folder.path().join(SERVICE_WORKER)).unwrap()
        };
        let first = filled("one");
        assert!(
            first.contains(r#"["./","./icons/tober.svg","./index.html"]"#),
            "{first}"
        );
        assert!(first.ends_with("\nself.on();\n"), "{first}");
        assert_eq!(first, filled("one"));
        assert_ne!(first, filled("two"));
    }

    #[test]
    fn what_is_packed_unpacks() {
        let folder = tempfile::tempdir().unwrap();
        let text = "high corner ".repeat(100);
        fs::write(folder.path().join("index.html"), &text).unwrap();
        let sizes = compress(folder.path()).unwrap();
        assert_eq!(sizes.unpacked, text.len() as u64);
        assert!(sizes.transferred < 100);
        let packed = fs::read(folder.path().join("index.html.br")).unwrap();
        let mut unpacked = Vec::new();
        brotli::BrotliDecompress(&mut &packed[..], &mut unpacked).unwrap();
        assert_eq!(unpacked, text.as_bytes());
    }
}
