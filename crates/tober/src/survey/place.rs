//! Where a point lies, by what the crew measured.
//!
//! ```text
//!   along and across          two tapes                grid
//!                                 ○ left of A→B        ·  ·  ·
//!    hub ──along──┐              ╱ ╲                   ·  ·  ·
//!     ●           │ across      ╱   ╲                  ●──·──·──▶ heading
//!                 ○            A ──── B
//!                               ╲   ╱
//!                                 ○ right of A→B
//! ```
//!
//! Two tapes cross twice, once on either side of the line between their ends. Unless the crew
//! says on which side they stood, both places are named and neither is taken.

use std::collections::HashMap;

use serde::{Deserialize, Serialize};

use crate::Point;
use crate::ride::RideProfile;
use crate::site::Placement;
use crate::units::LengthStyle;

/// Where a point of a field book lies.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct PointPlace {
    /// The point's name in the rows.
    pub point: String,
    /// How its place was measured.
    pub at: Place,
}

/// A place in the lot frame, as it was measured.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum Place {
    /// East and north.
    Coordinates(#[cfg_attr(feature = "schema", schemars(with = "[f64; 2]"))] Point),
    /// Along and across a frame, as crews measure from the trailer.
    Offset(Offset),
    /// By a tape from each of two points.
    Tapes(Tapes),
    /// A corner of a grid.
    Grid(GridCorner),
}

/// A place along and across a frame. The frame is kept as it stood when the tape was laid, so
/// that the point stays on its ground when the ride is moved.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Offset {
    /// Where both distances are measured from.
    #[cfg_attr(feature = "schema", schemars(with = "[f64; 2]"))]
    pub from: Point,
    /// Direction of `along`, degrees clockwise from grid north.
    pub heading: f64,
    /// Distance along, metres.
    pub along: f64,
    /// Distance to the left, metres.
    pub across: f64,
}

/// A place by two taped distances.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Tapes {
    /// One tape.
    pub first: Tape,
    /// The other.
    pub second: Tape,
    /// On which side of the way from the first point to the second the place lies.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub side: Option<Side>,
}

/// A taped distance from a point that has a place.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Tape {
    /// The name of the point.
    pub point: String,
    /// Level distance, metres.
    pub distance: f64,
}

/// A side of a way, looking along it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum Side {
    /// To the left.
    Left,
    /// To the right.
    Right,
}

/// A corner of a grid that was laid out on the ground.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct GridCorner {
    /// The corner that is counted from.
    #[cfg_attr(feature = "schema", schemars(with = "[f64; 2]"))]
    pub from: Point,
    /// Direction in which `along` is counted, degrees clockwise from grid north.
    pub heading: f64,
    /// Spacing of the grid, metres.
    pub spacing: f64,
    /// Steps along.
    pub along: i32,
    /// Steps to the left.
    pub across: i32,
}

/// Why a point has no place.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[cfg_attr(feature = "schema", derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum PlaceProblem {
    /// Two tapes cross on either side.
    Ambiguous {
        /// Where the first tape begins.
        from: String,
        /// Where the second tape begins.
        to: String,
        /// The place on the left.
        #[cfg_attr(feature = "schema", schemars(with = "[f64; 2]"))]
        left: Point,
        /// The place on the right.
        #[cfg_attr(feature = "schema", schemars(with = "[f64; 2]"))]
        right: Point,
    },
    /// Two tapes do not reach each other, by so much, metres.
    TooShort(f64),
    /// One tape reaches beyond all of the other's circle, by so much, metres.
    TooLong(f64),
    /// Both tapes begin at one place.
    OneCentre,
    /// A tape begins at a point that has no place.
    From(String),
    /// Numbers that are no place.
    NotFinite,
}

impl PlaceProblem {
    /// What is wrong, with lengths in the units of the crew.
    pub fn in_words(&self, units: LengthStyle) -> String {
        match self {
            PlaceProblem::Ambiguous {
                from,
                to,
                left,
                right,
            } => {
                let place =
                    |at: &Point| format!("({}, {})", units.format(at.x), units.format(at.y));
                format!(
                    "the tapes cross twice, at {} on the left and at {} on the right of the way \
                     from {from} to {to}; say on which side the point lies",
                    place(left),
                    place(right)
                )
            }
            PlaceProblem::TooShort(gap) => {
                format!(
                    "the tapes end {} short of each other",
                    units.format_up(*gap)
                )
            }
            PlaceProblem::TooLong(past) => format!(
                "one tape reaches {} past the other: no place is that far from both points",
                units.format_up(*past)
            ),
            PlaceProblem::OneCentre => "both tapes begin at one place".to_owned(),
            PlaceProblem::From(point) => format!("{point:?} has no place to tape from"),
            PlaceProblem::NotFinite => "it is no place on a map".to_owned(),
        }
    }
}

/// Tapes that miss each other by no more than this, metres, meet: nobody tapes more exactly.
pub const TAPES_MEET: f64 = 0.01;

/// Where two circles meet.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Crossing {
    /// On either side of the way from the first centre to the second.
    Two {
        /// The place on the left.
        left: Point,
        /// The place on the right.
        right: Point,
    },
    /// On the line through the centres, within [`TAPES_MEET`].
    One(Point),
    /// Nowhere: they end so far short of each other, metres.
    TooShort(f64),
    /// Nowhere: one lies inside the other, so far from it, metres.
    TooLong(f64),
    /// Nowhere, or everywhere: they have one centre.
    OneCentre,
}

/// Where the ends of two tapes meet; distances in metres.
///
/// ```
/// use tober::Point;
/// use tober::survey::{Crossing, cross_tapes};
/// let (a, b) = (Point::new(0.0, 0.0), Point::new(6.0, 0.0));
/// let Crossing::Two { left, right } = cross_tapes((a, 5.0), (b, 5.0)) else { panic!() };
/// assert_eq!((left, right), (Point::new(3.0, 4.0), Point::new(3.0, -4.0)));
/// assert_eq!(cross_tapes((a, 2.0), (b, 3.0)), Crossing::TooShort(1.0));
/// ```
pub fn cross_tapes(first: (Point, f64), second: (Point, f64)) -> Crossing {
    let ((a, to_a), (b, to_b)) = (first, second);
    let way = b - a;
    let apart = libm::hypot(way.x, way.y);
    if apart <= TAPES_MEET {
        return Crossing::OneCentre;
    }
    let gap = apart - (to_a + to_b);
    let past = (to_a - to_b).abs() - apart;
    if gap > TAPES_MEET {
        return Crossing::TooShort(gap);
    }
    if past > TAPES_MEET {
        return Crossing::TooLong(past);
    }
    let ahead = way / apart;
    let foot = f64::midpoint(apart, (to_a - to_b) / apart * (to_a + to_b));
    let height_squared = (to_a - foot) * (to_a + foot);
    let on_line = a + ahead * foot;
    let out = height_squared.max(0.0).sqrt();
    if out <= TAPES_MEET || gap > 0.0 || past > 0.0 {
        return Crossing::One(on_line);
    }
    let left = crate::Step::new(-ahead.y, ahead.x) * out;
    Crossing::Two {
        left: on_line + left,
        right: on_line - left,
    }
}

impl Offset {
    /// A place along and across a ride's frame, measured from its hub or from a named jack,
    /// outrigger or tyre; absent when the ride has no such support.
    pub fn on_ride(
        profile: &RideProfile,
        placement: &Placement,
        support: Option<&str>,
        along: f64,
        across: f64,
    ) -> Option<Offset> {
        let from = match support {
            None => Point::origin(),
            Some(id) => profile.supports().find(|(other, _)| *other == id)?.1,
        };
        Some(Offset {
            from: placement.to_lot(from),
            heading: placement.heading,
            along,
            across,
        })
    }
}

impl GridCorner {
    /// The same corner, measured in metres.
    fn offset(&self) -> Offset {
        Offset {
            from: self.from,
            heading: self.heading,
            along: f64::from(self.along) * self.spacing,
            across: f64::from(self.across) * self.spacing,
        }
    }
}

/// The name under which a point is found: without blanks around it, capitals or not.
pub(super) fn key(name: &str) -> String {
    name.trim().to_lowercase()
}

/// Finds every place, in the order given; tapes may begin at points that come later.
pub fn locate(places: &[PointPlace]) -> Vec<Result<Point, PlaceProblem>> {
    let mut found: HashMap<String, Point> = HashMap::new();
    let mut results: Vec<Option<Result<Point, PlaceProblem>>> = vec![None; places.len()];
    loop {
        let mut news = false;
        for (place, result) in places.iter().zip(&mut results) {
            if result.is_some() {
                continue;
            }
            *result = one(&place.at, &found);
            if let Some(Ok(at)) = result {
                // Of a point with two places the first holds.
                found.entry(key(&place.point)).or_insert(*at);
                news = true;
            }
        }
        if !news {
            break;
        }
    }
    (places.iter().zip(results))
        .map(|(place, result)| result.unwrap_or_else(|| Err(missing(&place.at, &found))))
        .collect()
}

/// One place; absent as long as a tape begins at a point that has none.
fn one(place: &Place, found: &HashMap<String, Point>) -> Option<Result<Point, PlaceProblem>> {
    let at = match place {
        Place::Coordinates(at) => *at,
        Place::Offset(offset) => along_and_across(offset),
        Place::Grid(corner) => along_and_across(&corner.offset()),
        Place::Tapes(tapes) => {
            let from = |tape: &Tape| Some((*found.get(&key(&tape.point))?, tape.distance));
            return Some(crossing(tapes, from(&tapes.first)?, from(&tapes.second)?));
        }
    };
    let is_finite = at.x.is_finite() && at.y.is_finite();
    Some(if is_finite {
        Ok(at)
    } else {
        Err(PlaceProblem::NotFinite)
    })
}

fn along_and_across(offset: &Offset) -> Point {
    let frame = Placement {
        x: offset.from.x,
        y: offset.from.y,
        heading: offset.heading,
    };
    frame.to_lot(Point::new(offset.along, offset.across))
}

fn crossing(
    tapes: &Tapes,
    first: (Point, f64),
    second: (Point, f64),
) -> Result<Point, PlaceProblem> {
    if !(first.1.is_finite() && second.1.is_finite()) {
        return Err(PlaceProblem::NotFinite);
    }
    match cross_tapes(first, second) {
        Crossing::Two { left, right } => match tapes.side {
            Some(Side::Left) => Ok(left),
            Some(Side::Right) => Ok(right),
            None => Err(PlaceProblem::Ambiguous {
                from: tapes.first.point.clone(),
                to: tapes.second.point.clone(),
                left,
                right,
            }),
        },
        Crossing::One(at) => Ok(at),
        Crossing::TooShort(gap) => Err(PlaceProblem::TooShort(gap)),
        Crossing::TooLong(past) => Err(PlaceProblem::TooLong(past)),
        Crossing::OneCentre => Err(PlaceProblem::OneCentre),
    }
}

/// Which point a tape begins at that has no place.
fn missing(place: &Place, found: &HashMap<String, Point>) -> PlaceProblem {
    let Place::Tapes(tapes) = place else {
        return PlaceProblem::NotFinite;
    };
    let tape = if found.contains_key(&key(&tapes.first.point)) {
        &tapes.second
    } else {
        &tapes.first
    };
    PlaceProblem::From(tape.point.clone())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fixtures;

    use proptest::prelude::*;

    fn at(point: &str, at: Place) -> PointPlace {
        PointPlace {
            point: point.to_owned(),
            at,
        }
    }

    fn tapes(first: (&str, f64), second: (&str, f64), side: Option<Side>) -> Place {
        let tape = |(point, distance): (&str, f64)| Tape {
            point: point.to_owned(),
            distance,
        };
        Place::Tapes(Tapes {
            first: tape(first),
            second: tape(second),
            side,
        })
    }

    #[test]
    fn offsets_run_along_the_ride_and_to_its_left() {
        // Heading east: ahead is east, left is north.
        let placement = Placement {
            x: 10.0,
            y: 5.0,
            heading: 90.0,
        };
        let from_hub = Offset::on_ride(&fixtures::trailer(), &placement, None, 3.0, 1.0).unwrap();
        let from_jack =
            Offset::on_ride(&fixtures::trailer(), &placement, Some("FL"), 1.0, -0.5).unwrap();
        for offset in [from_hub, from_jack] {
            let found = locate(&[at("p", Place::Offset(offset))]);
            assert!((found[0].clone().unwrap() - Point::new(13.0, 6.0)).norm() < 1e-12);
        }
        assert_eq!(
            Offset::on_ride(&fixtures::trailer(), &placement, Some("XX"), 0.0, 0.0),
            None
        );
    }

    #[test]
    fn a_grid_is_counted_in_steps() {
        let corner = GridCorner {
            from: Point::new(100.0, 200.0),
            heading: 0.0,
            spacing: 5.0,
            along: 2,
            across: -3,
        };
        let found = locate(&[at("C2", Place::Grid(corner))]);
        assert!((found[0].clone().unwrap() - Point::new(115.0, 210.0)).norm() < 1e-12);
    }

    #[test]
    fn tapes_name_both_places_until_a_side_is_said() {
        let known = [("A", 0.0), ("B", 6.0)];
        let known = known.map(|(name, x)| at(name, Place::Coordinates(Point::new(x, 0.0))));
        let mut places = vec![
            at("open", tapes(("a", 5.0), ("b", 5.0), None)),
            at("left", tapes(("A", 5.0), ("B", 5.0), Some(Side::Left))),
            at("short", tapes(("A", 1.0), ("B", 2.0), None)),
            at("long", tapes(("A", 1.0), ("B", 9.0), None)),
            at("touch", tapes(("A", 3.0), ("B", 2.996), None)),
            at(
                "from left",
                tapes(("left", 4.0), ("A", 3.0), Some(Side::Right)),
            ),
            at("lost", tapes(("A", 3.0), ("nowhere", 3.0), None)),
            at("centre", tapes(("A", 3.0), ("A", 3.0), None)),
        ];
        places.extend(known);
        let found = locate(&places);
        let ambiguous = found[0].clone().unwrap_err();
        let in_feet = ambiguous.in_words(LengthStyle::DecimalFeet);
        assert!(
            in_feet.contains("(9.84 ft, 13.12 ft) on the left"),
            "{in_feet}"
        );
        let ambiguous = ambiguous.in_words(LengthStyle::Metres);
        assert!(
            ambiguous.contains("(3.000 m, 4.000 m) on the left"),
            "{ambiguous}"
        );
        assert!((found[1].clone().unwrap() - Point::new(3.0, 4.0)).norm() < 1e-12);
        assert_eq!(found[2], Err(PlaceProblem::TooShort(3.0)));
        assert_eq!(found[3], Err(PlaceProblem::TooLong(2.0)));
        assert!((found[4].clone().unwrap() - Point::new(3.002, 0.0)).norm() < 1e-5);
        assert!(found[5].is_ok());
        assert_eq!(found[6], Err(PlaceProblem::From("nowhere".to_owned())));
        assert_eq!(found[7], Err(PlaceProblem::OneCentre));
    }

    proptest! {
        /// The place that was taped to is one of the two that are found.
        #[test]
        fn tapes_lead_back(a in (-50.0..50.0, -50.0..50.0), b in (-50.0..50.0, -50.0..50.0), to in (-50.0..50.0, -50.0..50.0)) {
            let [a, b, to] = [a, b, to].map(|(x, y)| Point::new(x, y));
            prop_assume!((a - b).norm() > 1.0);
            let nearest = match cross_tapes((a, (to - a).norm()), (b, (to - b).norm())) {
                Crossing::Two { left, right } => {
                    prop_assert!((b - a).perp(&(left - a)) > 0.0);
                    (left - to).norm().min((right - to).norm())
                }
                // Within a centimetre of touching the place may be off along the line's square.
                Crossing::One(at) => (at - to).norm() - 0.02,
                none => return Err(TestCaseError::fail(format!("{none:?}"))),
            };
            prop_assert!(nearest < 1e-6, "{nearest}");
        }

        #[test]
        fn no_numbers_panic(a in any::<(f64, f64)>(), b in any::<(f64, f64)>(), r in any::<(f64, f64)>()) {
            let _ = cross_tapes((Point::new(a.0, a.1), r.0), (Point::new(b.0, b.1), r.1));
        }
    }
}
