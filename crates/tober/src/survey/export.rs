//! Points as a table for other programs: metres, one point a line, read back by
//! [`read_point_file`](super::read_point_file).

use super::point_file::PointFile;
use super::reduce::Reduction;
use crate::Point;
use crate::ground::Elevation;

/// A point of the table.
struct Exported<'a> {
    name: &'a str,
    at: Option<Point>,
    elevation: Option<Elevation>,
    standard_error: Option<f64>,
    note: &'a str,
}

const HEADER: [&str; 6] = [
    "point",
    "easting_m",
    "northing_m",
    "elevation_m",
    "standard_error_m",
    "note",
];

impl Reduction {
    /// The reduced points as CSV; what is not known is an empty field.
    pub fn to_csv(&self) -> String {
        table(self.points.iter().map(|point| Exported {
            name: &point.name,
            at: point.at,
            elevation: point.elevation,
            standard_error: point.standard_error,
            note: if point.is_overhead { "overhead" } else { "" },
        }))
    }
}

impl PointFile {
    /// The points as CSV, in the file's own coordinates.
    pub fn to_csv(&self) -> String {
        table(self.points.iter().map(|point| Exported {
            name: &point.name,
            at: Some(point.at + self.origin.coords),
            elevation: point.elevation,
            standard_error: point.error,
            note: &point.description,
        }))
    }
}

fn table<'a>(points: impl Iterator<Item = Exported<'a>>) -> String {
    // To a tenth of a millimetre.
    let metres = |metres: Option<f64>| metres.map_or_else(String::new, |it| format!("{it:.4}"));
    let mut table = csv::Writer::from_writer(Vec::new());
    // Writing to memory cannot fail, and every row has as many fields as the header.
    let _ = table.write_record(HEADER);
    for point in points {
        let _ = table.write_record([
            point.name,
            &metres(point.at.map(|at| at.x)),
            &metres(point.at.map(|at| at.y)),
            &metres(point.elevation.map(|elevation| elevation.0)),
            &metres(point.standard_error),
            point.note,
        ]);
    }
    let bytes = table.into_inner().unwrap_or_default();
    String::from_utf8(bytes).unwrap_or_default()
}

#[cfg(test)]
mod tests {
    use super::super::{PointFileChoice, read_point_file};

    #[test]
    fn what_is_exported_imports() {
        let text = "1,4512345.678,512345.678,31.205,\"kerb, \"\"top\"\"\"\nBM;2,4512340,512340,,\n";
        let file = read_point_file(text, PointFileChoice::default());
        let again = read_point_file(&file.to_csv(), PointFileChoice::default());
        assert_eq!(again.bad_lines, []);
        assert_eq!(again.points.len(), 2);
        for (one, other) in file.points.iter().zip(&again.points) {
            assert_eq!(
                (&one.name, &one.description),
                (&other.name, &other.description)
            );
            assert!((one.at - other.at).norm() < 1e-4);
            assert_eq!(one.elevation.is_some(), other.elevation.is_some());
        }
    }
}
