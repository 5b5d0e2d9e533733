//! The library for other people's pages: a JavaScript module with its WebAssembly and its
//! TypeScript declarations.

use std::fs;
use std::path::Path;

use anyhow::{Context, Result};

use crate::wasm::Bundle;
use crate::workspace::alone;

/// Builds `crates/tober-js` into `out`: `tober.js`, `tober_bg.wasm`, `tober.d.ts`.
pub fn build(out: &Path) -> Result<()> {
    let _lock = alone()?;
    fs::create_dir_all(out).with_context(|| format!("{} cannot be made", out.display()))?;
    Bundle {
        package: "tober-js",
        artifact: "tober_js",
        name: "tober",
        typescript: true,
    }
    .build(out)?;
    eprintln!("Library: {}", out.display());
    Ok(())
}
