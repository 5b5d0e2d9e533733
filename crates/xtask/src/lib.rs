//! The project's own tools: build the page and the library for other pages, serve the page on
//! this machine, run every check.
//!
//! The `cargo xtask` command is a thin reader of this library; the browser tests in `tests/`
//! use it too, so that they look at exactly what a person gets.

pub mod checks;
mod install;
pub mod js;
pub mod page;
pub mod serve;
mod wasm;
pub mod workspace;
