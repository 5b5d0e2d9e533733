//! The survey as a page of plain text: a field book with its computed columns, or the points of a
//! point file. No calculation of its own.

mod book;
mod points;
mod section;

use std::path::Path;

use anyhow::{Result, anyhow};
use clap::ValueEnum;
use tober::assess::Verdict;
use tober::ground::Ground;
use tober::site::{Site, SpotLevel};
use tober::survey::{
    CoordinateOrder, FIELD_BOOK_EXAMPLE, FileUnit, PointFileChoice, decode, read_field_book,
    read_point_file,
};
use tober::units::LengthStyle;

use crate::Units;
use crate::input;
use section::Named;

/// The unit of numbers in a file that does not say.
#[derive(Clone, Copy, Debug, ValueEnum)]
pub(crate) enum Unit {
    /// Metres.
    Metres,
    /// International feet, 0.3048 m.
    Feet,
    /// US survey feet, 1200/3937 m.
    UsSurveyFeet,
    /// Millimetres.
    Millimetres,
}

impl Unit {
    fn of_points(self) -> FileUnit {
        match self {
            Unit::Metres => FileUnit::Metres,
            Unit::Feet => FileUnit::Feet,
            Unit::UsSurveyFeet => FileUnit::UsSurveyFeet,
            Unit::Millimetres => FileUnit::Millimetres,
        }
    }
}

/// The order of the fields in a point file that has no header.
#[derive(Clone, Copy, Debug, ValueEnum)]
pub(crate) enum Order {
    /// Point, northing, easting, elevation, description.
    Pnezd,
    /// Point, easting, northing, elevation, description.
    Penzd,
}

/// What the user says about a file that does not say it itself.
#[derive(Clone, Debug)]
pub(crate) struct Choice {
    pub(crate) unit: Option<Unit>,
    pub(crate) order: Option<Order>,
    pub(crate) shown_in: Option<Units>,
    pub(crate) csv: bool,
    /// The two ends of a section, where one is asked for instead of the table.
    pub(crate) section: Vec<String>,
}

/// Reads a site's field books, a field book or a point file, and prints what it comes to.
pub(crate) fn survey(path: &Path, choice: &Choice) -> Result<(String, Verdict)> {
    let bytes = input::bytes(path)?;
    let (text, _) = decode(&bytes);
    if text
        .trim_start_matches('\u{feff}')
        .trim_start()
        .starts_with('{')
    {
        return of_site(path, &text, choice);
    }
    if let Some(mut read) = read_field_book(
        &text,
        choice.unit.map(|unit| unit.of_points().of_readings()),
    ) {
        if read.book.name.is_empty() {
            read.book.name = path.file_name().map_or_else(
                || input::name(path),
                |name| name.to_string_lossy().into_owned(),
            );
        }
        if !choice.section.is_empty() {
            let reduction = read.book.reduce();
            let spots: Vec<SpotLevel> = reduction.spot_levels().collect();
            let points = Named::of_books([&reduction]);
            return section::section(&Ground::new(&spots), &points, choice, read.book.units);
        }
        return Ok(book::printed(&read, choice));
    }
    let file = read_point_file(
        &text,
        PointFileChoice {
            order: choice.order.map(|order| match order {
                Order::Pnezd => CoordinateOrder::NorthingFirst,
                Order::Penzd => CoordinateOrder::EastingFirst,
            }),
            unit: choice.unit.map(Unit::of_points),
            origin: None,
        },
    );
    if file.points.is_empty() {
        let mut why = format!(
            "{} is no survey: neither a site file, nor a field book (a table with the columns \
             point, backsight, foresight), nor a point file with a line that can be read",
            input::name(path)
        );
        for bad in file.bad_lines.iter().take(5) {
            why += &format!("\nline {}: {}", bad.line, bad.words);
        }
        why += "\nA field book begins like this:";
        for line in FIELD_BOOK_EXAMPLE {
            why += &format!("\n  {line}");
        }
        return Err(anyhow!(why));
    }
    if !choice.section.is_empty() {
        let spots: Vec<SpotLevel> = file.spot_levels().collect();
        let ground = Ground::new(&spots);
        return section::section(&ground, &Named::of_file(&file), choice, LengthStyle::Metres);
    }
    Ok(points::printed(&file, choice))
}

fn of_site(path: &Path, text: &str, choice: &Choice) -> Result<(String, Verdict)> {
    let name = input::name(path);
    let site = Site::read(text).map_err(|error| anyhow!("{name} cannot be used:\n{error}"))?;
    if !choice.section.is_empty() {
        let points = Named::of_books(site.reductions());
        return section::section(site.ground(), &points, choice, site.file().units);
    }
    if site.reductions().is_empty() {
        return Err(anyhow!("{name} has no field books"));
    }
    let mut sections = Vec::new();
    let mut verdict = Verdict::Pass;
    for (book, reduction) in site.file().field_books.iter().zip(site.reductions()) {
        let (section, of_book) = book::of_site(book, reduction, choice);
        sections.push(section);
        verdict = verdict.and(of_book);
    }
    Ok((sections.join("\n"), verdict))
}
