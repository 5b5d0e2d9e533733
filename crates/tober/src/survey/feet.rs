//! The commonest job: the level set up once, the rod read at every foot of a ride.

use super::book::{BookRow, FieldBook};
use super::place::{Offset, Place, PointPlace};
use crate::ride::RideProfile;
use crate::site::Placement;
use crate::units::LengthStyle;

impl FieldBook {
    /// A book of one setup, with a row for every jack, outrigger and tyre of a placed ride, named
    /// as the ride names them and placed where they stand. `reading` gives what was called out
    /// for a support, an empty text where nothing was.
    ///
    /// Without a benchmark the high corner is zero.
    ///
    /// ```
    /// use tober::ride::builtin;
    /// use tober::site::Placement;
    /// use tober::survey::FieldBook;
    /// use tober::units::LengthStyle;
    /// let ride = &builtin()[0];
    /// let placement = Placement { x: 20.0, y: 30.0, heading: 75.0 };
    /// let first = ride.jacks[0].id.clone();
    /// let book = FieldBook::at_feet("arrival", ride, &placement, LengthStyle::Metres, |support| {
    ///     if support == first { "1.402".into() } else { "1.455".into() }
    /// });
    /// let reduced = book.reduce();
    /// let low = reduced.points.iter().find(|point| point.name != first).unwrap();
    /// assert!((low.elevation.unwrap().0 + 0.053).abs() < 1e-9);
    /// ```
    pub fn at_feet(
        id: &str,
        profile: &RideProfile,
        placement: &Placement,
        units: LengthStyle,
        reading: impl Fn(&str) -> String,
    ) -> FieldBook {
        let rows = profile.supports().map(|(support, _)| BookRow {
            point: support.to_owned(),
            intermediate: reading(support),
            ..BookRow::default()
        });
        let places = profile.supports().map(|(support, at)| PointPlace {
            point: support.to_owned(),
            at: Place::Offset(Offset {
                from: placement.hub(),
                heading: placement.heading,
                along: at.x,
                across: at.y,
            }),
        });
        FieldBook {
            places: places.collect(),
            ..FieldBook::new(id, units, rows.collect())
        }
    }
}
