//! The `tober` command: setup sheets, plan views and schemas in a terminal.
//!
//! Reads a site file, asks [`tober::assess::assess`], and writes what comes back. The exit code
//! is the verdict, so that a script can ask whether a lot works.

mod check;
mod input;
mod level;
mod loads;
mod sheet;
mod survey;

use std::fs;
use std::io::{self, Write};
use std::path::PathBuf;
use std::process::ExitCode;

use anyhow::{Context, Result};
use clap::{Parser, Subcommand, ValueEnum, value_parser};
use tober::assess::{Assessment, Verdict, assess, cures};
use tober::site::{Site, SiteFile};
use tober::units::LengthStyle;
use tober_drawing::PlanOptions;

/// Site fit and levelling for travelling rides.
#[derive(Debug, Parser)]
#[command(name = "tober", version, after_help = EXIT_CODES)]
struct Args {
    #[command(subcommand)]
    command: Command,
}

const EXIT_CODES: &str = "\
Exit codes:
  0  every check passes
  1  a check fails, or cannot be told because something is not known
  2  the input cannot be used; what is wrong, and where, is on standard error

A planning aid. The ride maker's manual, the authority having jurisdiction and a
qualified person decide.";

#[derive(Debug, Subcommand)]
enum Command {
    /// Print the setup sheet: jacks, blocking, order of cranking, clearances and fence.
    #[command(after_help = EXIT_CODES)]
    Sheet {
        /// The site file; - for standard input.
        site: PathBuf,
        /// Print the whole assessment as JSON instead: lengths in metres.
        #[arg(long)]
        json: bool,
        /// Show lengths in this system of units, whatever the site file says.
        #[arg(long)]
        units: Option<Units>,
    },
    /// Print how a ride is levelled: blocking, the order of the cranks, stages, what would help.
    #[command(after_help = EXIT_CODES)]
    Level {
        /// The site file; - for standard input.
        site: PathBuf,
        /// The id of one ride; every ride when left out.
        #[arg(long, value_name = "ID")]
        ride: Option<String>,
        /// Show lengths in this system of units, whatever the site file says.
        #[arg(long)]
        units: Option<Units>,
    },
    /// Print what each foot carries, what the ground feels, and whether a ride could tip.
    #[command(after_help = EXIT_CODES)]
    Loads {
        /// The site file; - for standard input.
        site: PathBuf,
        /// The id of one ride; every ride when left out.
        #[arg(long, value_name = "ID")]
        ride: Option<String>,
        /// Print the loads as JSON instead: newtons, pascals, metres.
        #[arg(long)]
        json: bool,
        /// Show lengths, forces and pressures in this system of units, whatever the site file
        /// says.
        #[arg(long)]
        units: Option<Units>,
    },
    /// Print the clearance record: every distance by margin, the ways kept free, the values in
    /// force, and what was not checked.
    #[command(after_help = EXIT_CODES)]
    Check {
        /// The site file; - for standard input.
        site: PathBuf,
        /// Only what one of them asks for.
        #[arg(long, value_name = "WHO")]
        by: Option<check::By>,
        /// Print the record as JSON instead: lengths in metres.
        #[arg(long)]
        json: bool,
        /// Show lengths in this system of units, whatever the site file says.
        #[arg(long)]
        units: Option<Units>,
        /// Draw this row of the table, or the narrow place of this number, from the side as well, into
        /// --out.
        #[arg(long, value_name = "ROW", requires = "out")]
        side: Option<usize>,
        /// Where to write the drawing.
        #[arg(long, value_name = "FILE.svg", requires = "side")]
        out: Option<PathBuf>,
    },
    /// Draw the plan view as SVG.
    #[command(after_help = EXIT_CODES)]
    Plan {
        /// The site file; - for standard input.
        site: PathBuf,
        /// Where to write the drawing.
        #[arg(long, value_name = "FILE.svg")]
        out: PathBuf,
        /// Width of the drawing, CSS pixels.
        #[arg(long, value_name = "PX", default_value_t = 1200, value_parser = value_parser!(u16).range(200..=10_000))]
        width: u16,
        /// Height of the drawing, CSS pixels.
        #[arg(long, value_name = "PX", default_value_t = 900, value_parser = value_parser!(u16).range(200..=10_000))]
        height: u16,
    },
    /// Reduce a field book, or read a point file, and print the table.
    ///
    /// FILE is a site file with field books; or a field book as text: a table with the columns
    /// point, backsight, between, foresight, known, distance, x, y and note, above it lines such
    /// as "units: feet" or "allowance: 12 mm per root km"; or a point file: point, northing,
    /// easting, elevation, description.
    #[command(after_help = EXIT_CODES)]
    Survey {
        /// The file; - for standard input.
        file: PathBuf,
        /// The unit of bare numbers, where the file does not say; metres when left out.
        #[arg(long)]
        unit: Option<survey::Unit>,
        /// The order of the fields in a point file without a header; pnezd when left out.
        #[arg(long)]
        order: Option<survey::Order>,
        /// Show lengths in this system of units, whatever the file says.
        #[arg(long)]
        units: Option<Units>,
        /// Print the points as CSV instead, in metres.
        #[arg(long)]
        csv: bool,
        /// Print the ground along the straight line between two points instead: points by name, or
        /// places as east,north.
        #[arg(long, num_args = 2, value_names = ["FROM", "TO"], allow_hyphen_values = true)]
        section: Vec<String>,
    },
    /// Print a JSON Schema.
    Schema {
        /// Of which document.
        #[arg(default_value = "site")]
        of: Document,
    },
}

/// A system of units.
#[derive(Clone, Copy, Debug, ValueEnum)]
enum Units {
    /// Feet and inches, to 1/8".
    Us,
    /// Metres.
    Metric,
}

impl Units {
    /// The style to show: the site's own where it is of this system already.
    fn or_own(self, own: LengthStyle) -> LengthStyle {
        match (self, own.is_metric()) {
            (Units::Us, true) => LengthStyle::FeetInches8,
            (Units::Metric, false) => LengthStyle::Metres,
            _ => own,
        }
    }
}

/// A document that has a published schema.
#[derive(Clone, Copy, Debug, ValueEnum)]
enum Document {
    /// The site file.
    Site,
    /// What `tober sheet --json` prints.
    Assessment,
}

fn main() -> ExitCode {
    match run(Args::parse().command) {
        Ok(Verdict::Pass) => ExitCode::SUCCESS,
        Ok(Verdict::Unknown | Verdict::Fail) => ExitCode::from(1),
        Err(error) => {
            // With standard error closed there is nobody left to tell.
            let _ = writeln!(io::stderr(), "tober: {error:#}");
            ExitCode::from(2)
        }
    }
}

fn run(command: Command) -> Result<Verdict> {
    match command {
        Command::Sheet { site, json, units } => {
            let site = in_units(input::site(&site)?, units)?;
            let assessment = assess(&site);
            let text = if json {
                serde_json::to_string_pretty(&assessment)? + "\n"
            } else {
                sheet::sheet(&assessment, &cures_in_words(&site, &assessment))
            };
            print(&text)?;
            Ok(assessment.verdict)
        }
        Command::Level { site, ride, units } => {
            let site = in_units(input::site(&site)?, units)?;
            let (text, verdict) = level::page(&site, &assess(&site), ride.as_deref())?;
            print(&text)?;
            Ok(verdict)
        }
        Command::Loads {
            site,
            ride,
            json,
            units,
        } => {
            let assessment = assess(&in_units(input::site(&site)?, units)?);
            let sheet = loads::LoadSheet::new(&assessment, ride.as_deref())?;
            let text = if json {
                serde_json::to_string_pretty(&sheet)? + "\n"
            } else {
                sheet.page()
            };
            print(&text)?;
            Ok(sheet.verdict())
        }
        Command::Check {
            site,
            by,
            json,
            units,
            side,
            out,
        } => {
            let site = in_units(input::site(&site)?, units)?;
            let assessment = assess(&site);
            let record = check::Record::new(&site, &assessment, by);
            if let (Some(row), Some(out)) = (side, out) {
                let svg = record.side(&site, row)?;
                fs::write(&out, svg).with_context(|| format!("cannot write {}", out.display()))?;
            }
            let text = if json {
                serde_json::to_string_pretty(&record)? + "\n"
            } else {
                record.page()
            };
            print(&text)?;
            Ok(record.verdict())
        }
        Command::Plan {
            site,
            out,
            width,
            height,
        } => {
            let site = input::site(&site)?;
            let assessment = assess(&site);
            let options = PlanOptions::fit(&site, width.into(), height.into());
            let svg = tober_drawing::plan_svg(&site, &assessment, &options);
            fs::write(&out, svg).with_context(|| format!("cannot write {}", out.display()))?;
            Ok(assessment.verdict)
        }
        Command::Survey {
            file,
            unit,
            order,
            units,
            csv,
            section,
        } => {
            let choice = survey::Choice {
                unit,
                order,
                shown_in: units,
                csv,
                section,
            };
            let (text, verdict) = survey::survey(&file, &choice)?;
            print(&text)?;
            Ok(verdict)
        }
        Command::Schema { of } => {
            let schema = match of {
                Document::Site => schemars::schema_for!(SiteFile),
                Document::Assessment => schemars::schema_for!(Assessment),
            };
            print(&(serde_json::to_string_pretty(&schema)? + "\n"))?;
            Ok(Verdict::Pass)
        }
    }
}

/// Where every ride would keep what it does not keep, ride by ride.
fn cures_in_words(site: &Site, assessment: &Assessment) -> Vec<Vec<String>> {
    let rides = assessment.rides.iter().enumerate();
    rides
        .map(|(index, ride)| {
            let found = cures(site, assessment, index).into_iter();
            found
                .map(|it| it.in_words(ride, assessment.units))
                .collect()
        })
        .collect()
}

/// The site with lengths shown in other units, so that the notes of its assessment are in them
/// too.
fn in_units(site: Site, units: Option<Units>) -> Result<Site> {
    let Some(units) = units else {
        return Ok(site);
    };
    let mut file = site.file().clone();
    file.units = units.or_own(file.units);
    Ok(Site::new(file)?)
}

/// Writes to standard output. A reader that has seen enough (`tober sheet SITE | head`) is no
/// error.
fn print(text: &str) -> Result<()> {
    let mut out = io::stdout().lock();
    match out.write_all(text.as_bytes()).and_then(|()| out.flush()) {
        Err(error) if error.kind() == io::ErrorKind::BrokenPipe => Ok(()),
        written => written.context("cannot write the answer"),
    }
}
