//! Where things are, and cargo itself.

use std::env;
use std::fs::{self, File};
use std::path::{Path, PathBuf};
use std::process::Command;

use anyhow::{Context, Result, ensure};

/// The folder that holds the workspace's `Cargo.toml`.
pub fn root() -> &'static Path {
    // Two up from `crates/xtask`.
    let here = Path::new(env!("CARGO_MANIFEST_DIR"));
    here.ancestors().nth(2).unwrap_or(here)
}

/// The folder for everything that is built.
pub fn target() -> PathBuf {
    root().join("target")
}

/// Waits until no other task builds for the browser; the next one waits until the answer is
/// dropped.
pub(crate) fn alone() -> Result<File> {
    fs::create_dir_all(target())?;
    let path = target().join("xtask.lock");
    let lock = File::create(&path).with_context(|| format!("{} not written", path.display()))?;
    lock.lock()?;
    Ok(lock)
}

/// The cargo that runs this task, in the workspace's root.
pub(crate) fn cargo() -> Command {
    let mut cargo = Command::new(env::var_os("CARGO").unwrap_or_else(|| "cargo".into()));
    cargo.current_dir(root());
    cargo
}

/// A command as a person would type it, for messages.
pub(crate) fn shown(command: &Command) -> String {
    let name = Path::new(command.get_program()).file_stem();
    let mut words = vec![name.unwrap_or_default().to_string_lossy().into_owned()];
    for argument in command.get_args() {
        words.push(argument.to_string_lossy().into_owned());
    }
    words.join(" ")
}

/// Runs a command to its end; an error when it fails.
pub(crate) fn run(command: &mut Command) -> Result<()> {
    let status = command
        .status()
        .with_context(|| format!("`{}` could not be started", shown(command)))?;
    ensure!(status.success(), "`{}` failed: {status}", shown(command));
    Ok(())
}
