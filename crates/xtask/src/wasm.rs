//! From a crate to WebAssembly and the JavaScript that loads it.
//!
//! ```text
//! crate --cargo--> .wasm --wasm-bindgen--> NAME.js + NAME_bg.wasm
//! ```
//!
//! No further optimizer: Debian's `wasm-opt` made the module 8 % smaller but 11 % larger to
//! transfer, and what a person gets would hang on the machine that built it.

use std::path::{Path, PathBuf};

use anyhow::{Context, Result, bail};
use wasm_bindgen_cli_support::Bindgen;

use crate::install;
use crate::workspace::{cargo, run, target};

/// What Rust's standard library for the browser is called.
pub(crate) const TARGET: &str = "wasm32-unknown-unknown";

/// The cargo profile for the browser. It must not be called like a folder that a task writes
/// into `target`: cargo keeps a folder of that name there itself.
const PROFILE: &str = "wasm";

/// What a crate is called in Rust and in JavaScript, and whether TypeScript declarations are
/// wanted.
pub(crate) struct Bundle<'a> {
    /// The cargo package.
    pub(crate) package: &'a str,
    /// The name of the `.wasm` that cargo writes, without its ending.
    pub(crate) artifact: &'a str,
    /// `NAME.js` and `NAME_bg.wasm`.
    pub(crate) name: &'a str,
    /// Whether `NAME.d.ts` is wanted.
    pub(crate) typescript: bool,
}

impl Bundle<'_> {
    /// Compiles the crate and writes its module into `out`.
    pub(crate) fn build(&self, out: &Path) -> Result<()> {
        install::wasm_target(TARGET)?;
        let wasm = self.compile()?;
        Bindgen::new()
            .input_path(&wasm)
            .web(true)?
            .out_name(self.name)
            .typescript(self.typescript)
            // `init()` finds the module beside its script.
            .omit_default_module_path(false)
            .remove_name_section(true)
            .remove_producers_section(true)
            .generate(out)
            .with_context(|| format!("no bindings for {}", wasm.display()))
    }

    fn compile(&self) -> Result<PathBuf> {
        // The target folder is named, so that the file is where the next step looks even when
        // CARGO_TARGET_DIR says otherwise.
        let folder = target();
        run(cargo()
            .args(["build", "--package", self.package])
            .args(["--profile", PROFILE, "--target", TARGET])
            .arg("--target-dir")
            .arg(&folder))?;
        let wasm = folder
            .join(TARGET)
            .join(PROFILE)
            .join(format!("{}.wasm", self.artifact));
        if !wasm.is_file() {
            bail!("cargo wrote no {}", wasm.display());
        }
        Ok(wasm)
    }
}
