//! `cargo xtask`: builds and serves the page, builds the library for other pages, runs every
//! check.

use std::path::PathBuf;
use std::process::ExitCode;

use anyhow::Result;
use clap::{Parser, Subcommand};
use xtask::{checks, js, page, serve, workspace};

#[derive(Parser)]
#[command(name = "cargo xtask", about, bin_name = "cargo xtask")]
struct Arguments {
    #[command(subcommand)]
    task: Task,
}

#[derive(Subcommand)]
enum Task {
    /// Build the page, serve it on this machine and open it
    Page {
        /// Port on 127.0.0.1; 0 takes any free one [default: 8417, or a free one when taken]
        #[arg(long)]
        port: Option<u16>,
        /// Leave the browser closed
        #[arg(long)]
        no_open: bool,
        /// Build only
        #[arg(long)]
        build_only: bool,
        /// Where the built page goes [default: target/page]
        #[arg(long, value_name = "DIR")]
        out: Option<PathBuf>,
    },
    /// Build the library for other people's pages, with its TypeScript declarations
    Js {
        /// Where the built library goes [default: target/js]
        #[arg(long, value_name = "DIR")]
        out: Option<PathBuf>,
    },
    /// Run every check
    Test {
        /// Leave out what needs a browser
        #[arg(long)]
        skip_browser: bool,
    },
}

fn main() -> ExitCode {
    match run(Arguments::parse().task) {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => {
            eprintln!("error: {error:#}");
            ExitCode::FAILURE
        }
    }
}

fn run(task: Task) -> Result<()> {
    match task {
        Task::Page {
            port,
            no_open,
            build_only,
            out,
        } => {
            let out = out.unwrap_or_else(|| workspace::target().join("page"));
            page::build(&out)?;
            if build_only {
                return Ok(());
            }
            serve::run(&out, port, !no_open)
        }
        Task::Js { out } => js::build(&out.unwrap_or_else(|| workspace::target().join("js"))),
        Task::Test { skip_browser } => checks::run(skip_browser),
    }
}
