//! What the tools need from the machine, added when it is missing and when they may.

use std::path::PathBuf;
use std::process::{Command, Stdio};

use anyhow::{Context, Result, bail};

use crate::workspace::{cargo, run};

/// Adds Rust's standard library for `target` when the toolchain has none.
pub(crate) fn wasm_target(target: &str) -> Result<()> {
    // Asked of the compiler and not of rustup, for toolchains that came another way.
    let library = Command::new("rustc")
        .args(["--print", "target-libdir", "--target", target])
        .output()
        .context("rustc could not be started")?;
    let library = PathBuf::from(String::from_utf8_lossy(&library.stdout).trim());
    if library.is_dir() {
        return Ok(());
    }
    eprintln!("Adding {target} to the Rust toolchain");
    rustup(&["target", "add", target]).with_context(|| {
        format!(
            "Rust's standard library for {target} is missing, and rustup could not add it; \
             install Rust through rustup, or add that target the way this toolchain was installed"
        )
    })
}

/// Adds the formatter and the linter when the toolchain has none.
pub(crate) fn components() -> Result<()> {
    for (component, subcommand) in [("rustfmt", "fmt"), ("clippy", "clippy")] {
        let there = quietly(cargo().args([subcommand, "--version"]));
        if !there {
            rustup(&["component", "add", component]).with_context(|| {
                format!("`cargo {subcommand}` is missing, and rustup could not add {component}")
            })?;
        }
    }
    Ok(())
}

fn rustup(arguments: &[&str]) -> Result<()> {
    run(Command::new("rustup").args(arguments))
}

/// Something of the system that a check needs, with Debian's package for it.
#[derive(Clone, Copy)]
pub(crate) struct Need {
    /// Debian's package.
    pub(crate) package: &'static str,
    /// A command that succeeds when it is there.
    pub(crate) probe: &'static [&'static str],
}

impl Need {
    fn is_met(&self) -> bool {
        let [program, arguments @ ..] = self.probe else {
            return true;
        };
        quietly(Command::new(program).args(arguments))
    }
}

/// Sees to it that every need is met: through apt when this user may, else an error that says
/// what to install.
pub(crate) fn packages(mut needs: Vec<Need>) -> Result<()> {
    needs.retain(|need| !need.is_met());
    if needs.is_empty() {
        return Ok(());
    }
    let names: Vec<&str> = needs.iter().map(|need| need.package).collect();
    let by_hand = format!(
        "install these Debian packages, or what they are called here: {}",
        names.join(" ")
    );
    let Some(apt) = Apt::find() else {
        bail!("{by_hand} (no apt-get that may be used without a password)");
    };
    eprintln!("Installing {}", names.join(" "));
    let install = [&["install", "-y", "--no-install-recommends"], &names[..]].concat();
    apt.run(&["update"])
        .and_then(|()| apt.run(&install))
        .context(by_hand)?;
    needs.retain(|need| !need.is_met());
    match needs.first() {
        None => Ok(()),
        Some(need) => bail!("{} is installed, but {:?} fails", need.package, need.probe),
    }
}

/// `apt-get`, as root or through `sudo` without a password.
struct Apt {
    sudo: bool,
}

impl Apt {
    fn find() -> Option<Apt> {
        if !quietly(Command::new("apt-get").arg("--version")) {
            return None;
        }
        let id = Command::new("id").arg("-u").output().ok()?;
        if id.stdout.trim_ascii() == b"0" {
            return Some(Apt { sudo: false });
        }
        quietly(Command::new("sudo").args(["-n", "true"])).then_some(Apt { sudo: true })
    }

    fn run(&self, arguments: &[&str]) -> Result<()> {
        let mut command = if self.sudo {
            let mut sudo = Command::new("sudo");
            sudo.args(["-n", "env"]);
            sudo
        } else {
            Command::new("env")
        };
        run(command
            .args(["DEBIAN_FRONTEND=noninteractive", "apt-get"])
            .args(arguments))
    }
}

/// Whether a command could be started and succeeded; prints nothing.
fn quietly(command: &mut Command) -> bool {
    command
        .stdin(Stdio::null())
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .status()
        .is_ok_and(|status| status.success())
}
