//! Breaklines: where the ground has an edge that triangles must not be laid across, and where
//! such lines meet.
//!
//! ```text
//!   ●────────●────────●   kerb, top        a triangle's side runs along every piece
//!   ●────────●────────●   kerb, foot
//! ```

use std::cmp::Ordering;
use std::collections::HashMap;

use geo::line_intersection::{LineIntersection, line_intersection};
use spade::Point2;

use super::shot::{Shot, is_usable};
use super::{Elevation, step};
use crate::site::{Breakline, SpotLevel};
use crate::{Point, Step};

/// A straight piece of a breakline from shot to shot, in the surface's own frame.
pub(super) type Piece = [Point2<f64>; 2];

/// A place where two pieces of breaklines meet.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Meeting {
    pub(crate) pieces: [PieceOf; 2],
    /// How far along each piece it is, 0 to 1.
    pub(crate) shares: [f64; 2],
    /// The height that each piece has there.
    pub(crate) heights: [Elevation; 2],
    /// Whether it is inside both, where neither has a shot.
    crosses: bool,
}

/// Names a piece of a breakline.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct PieceOf {
    /// Which breakline of the list.
    pub(crate) line: usize,
    /// Which of its points the piece starts at.
    pub(crate) from: usize,
}

/// Where breaklines meet, each other or themselves, and whether there were more such places
/// than asked for.
///
/// Pieces are met from west to east, each against those that still overlap it in x: quick where
/// pieces are short beside the lot.
pub(crate) fn meetings(breaklines: &[Breakline], most: usize) -> (Vec<Meeting>, bool) {
    let mut pieces: Vec<(PieceOf, [&SpotLevel; 2])> = Vec::new();
    for (line, breakline) in breaklines.iter().enumerate() {
        for (from, pair) in breakline.points.windows(2).enumerate() {
            if let [a, b] = pair
                && is_usable(a)
                && is_usable(b)
            {
                pieces.push((PieceOf { line, from }, [a, b]));
            }
        }
    }
    let west = |ends: &[&SpotLevel; 2]| ends[0].x.min(ends[1].x) - TOUCH;
    let east = |ends: &[&SpotLevel; 2]| ends[0].x.max(ends[1].x);
    let south = |ends: &[&SpotLevel; 2]| ends[0].y.min(ends[1].y) - TOUCH;
    let north = |ends: &[&SpotLevel; 2]| ends[0].y.max(ends[1].y);
    pieces.sort_by(|a, b| west(&a.1).total_cmp(&west(&b.1)));

    let mut found = Vec::new();
    let mut overlapping: Vec<(PieceOf, [&SpotLevel; 2])> = Vec::new();
    for piece in pieces {
        overlapping.retain(|other| east(&other.1) >= west(&piece.1));
        let beside = |other: &&(PieceOf, [&SpotLevel; 2])| {
            south(&other.1) <= north(&piece.1) && south(&piece.1) <= north(&other.1)
        };
        for other in overlapping.iter().filter(beside) {
            found.extend(meet(other, &piece));
            if found.len() > most {
                found.truncate(most);
                return (found, true);
            }
        }
        overlapping.push(piece);
    }
    (found, false)
}

/// An end of a piece this near to another piece, metres, lies on it. More than anything is moved
/// by rounding or to where it is [`SAME`], and far less than anyone can measure.
const TOUCH: f64 = 1e-5;

/// A crossing this near to a shot or to another crossing, metres, is there.
const SAME: f64 = 2e-6;

/// Where two pieces meet: ends of the one on the other, or else a place inside both. That they
/// share a shot, as a piece does with the one that goes on from it, is no meeting.
fn meet(one: &(PieceOf, [&SpotLevel; 2]), other: &(PieceOf, [&SpotLevel; 2])) -> Vec<Meeting> {
    let meeting = |shares: [f64; 2], crosses: bool| {
        let height =
            |[a, b]: [&SpotLevel; 2], share: f64| a.elevation + share * (b.elevation - a.elevation);
        Meeting {
            pieces: [one.0, other.0],
            shares,
            heights: [height(one.1, shares[0]), height(other.1, shares[1])],
            crosses,
        }
    };
    let ends = [0.0, 1.0];
    let of_one = ends
        .into_iter()
        .zip(one.1)
        .filter_map(|(end, shot)| Some(meeting([end, touch(other.1, shot)?], false)));
    let of_other = ends
        .into_iter()
        .zip(other.1)
        .filter_map(|(end, shot)| Some(meeting([touch(one.1, shot)?, end], false)));
    let touches: Vec<Meeting> = of_one.chain(of_other).collect();
    let share_a_shot = one
        .1
        .iter()
        .any(|a| other.1.iter().any(|b| place(a) == place(b)));
    if !touches.is_empty() || share_a_shot {
        return touches;
    }
    let line = |[a, b]: [&SpotLevel; 2]| geo::Line::new((a.x, a.y), (b.x, b.y));
    match line_intersection(line(one.1), line(other.1)) {
        Some(LineIntersection::SinglePoint { intersection, .. }) => {
            let at = Point::new(intersection.x, intersection.y);
            vec![meeting([share(one.1, at), share(other.1, at)], true)]
        }
        _ => Vec::new(),
    }
}

/// How far along a piece a shot lies on it, if it does and is neither of its ends.
fn touch(piece: [&SpotLevel; 2], shot: &SpotLevel) -> Option<f64> {
    let [from, to] = piece.map(place);
    let at = place(shot);
    let share = share(piece, at);
    let off = at - (from + share * (to - from));
    (at != from && at != to && off.norm() <= TOUCH).then_some(share)
}

fn place(shot: &SpotLevel) -> Point {
    Point::new(shot.x, shot.y)
}

/// How far along a piece a place is, 0 to 1.
fn share([from, to]: [&SpotLevel; 2], at: Point) -> f64 {
    let along = Step::new(to.x - from.x, to.y - from.y);
    let to_place = Step::new(at.x - from.x, at.y - from.y);
    (to_place.dot(&along) / along.norm_squared().max(f64::MIN_POSITIVE)).clamp(0.0, 1.0)
}

/// The shots of all breaklines, and the pieces between them. A line with a point that cannot be
/// a shot is left out. Where two lines cross between their
/// shots, both get one more there: at the mean of their heights, with an error that covers what
/// they differ by.
pub(super) fn nodes_and_pieces(
    origin: Point,
    breaklines: &[Breakline],
    most_meetings: usize,
) -> (Vec<Shot>, Vec<Piece>) {
    let strands: Vec<Vec<Shot>> = breaklines
        .iter()
        .map(|line| match line.points.iter().all(is_usable) {
            true => line.points.iter().map(|it| Shot::new(origin, it)).collect(),
            false => Vec::new(),
        })
        .collect();
    let mut settled = Settled::default();
    strands.iter().flatten().for_each(|shot| settled.add(*shot));
    // Every crossing as a node of either piece, and every end of a piece that lies on another as
    // a node of that one.
    let mut crossings: Vec<(PieceOf, f64, Shot)> = Vec::new();
    let (meetings, _) = meetings(breaklines, most_meetings);
    for meeting in &meetings {
        let [one, other] = [0, 1].map(|side| {
            let piece = meeting.pieces[side];
            let strand = strands.get(piece.line)?;
            Some([*strand.get(piece.from)?, *strand.get(piece.from + 1)?])
        });
        let (Some(one), Some(other)) = (one, other) else {
            continue;
        };
        let [share, other_share] = meeting.shares;
        let nodes = if meeting.crosses {
            let node = settled.settle(joined(between(one, share), between(other, other_share)));
            [Some(node), Some(node)]
        } else {
            [end_at(other, other_share), end_at(one, share)]
        };
        for ((piece, share), node) in meeting.pieces.into_iter().zip(meeting.shares).zip(nodes) {
            crossings.extend(node.map(|node| (piece, share, node)));
        }
    }
    crossings.sort_by(|a, b| by_piece(&a.0, &b.0).then(a.1.total_cmp(&b.1)));

    let mut nodes: Vec<Shot> = Vec::new();
    let mut pieces: Vec<Piece> = Vec::new();
    for (line, strand) in strands.iter().enumerate() {
        nodes.extend(strand);
        for (from, ends) in strand.windows(2).enumerate() {
            let [start, end] = ends else { continue };
            let piece = PieceOf { line, from };
            let first = crossings.partition_point(|it| by_piece(&it.0, &piece) == Ordering::Less);
            let on_piece = crossings
                .get(first..)
                .into_iter()
                .flatten()
                .take_while(|it| it.0 == piece);
            let mut before = start.at;
            for (_, _, node) in on_piece {
                nodes.push(*node);
                pieces.push([before, node.at]);
                before = node.at;
            }
            pieces.push([before, end.at]);
        }
    }
    pieces.retain(|[from, to]| from != to);
    pieces.sort_by(|a, b| {
        let key = |piece: &Piece| [piece[0].x, piece[0].y, piece[1].x, piece[1].y];
        let pairs = key(a).into_iter().zip(key(b));
        pairs.fold(Ordering::Equal, |order, (a, b)| order.then(a.total_cmp(&b)))
    });
    (nodes, pieces)
}

fn by_piece(a: &PieceOf, b: &PieceOf) -> Ordering {
    a.line.cmp(&b.line).then(a.from.cmp(&b.from))
}

/// A place on the straight line between two shots.
fn between([from, to]: [Shot; 2], share: f64) -> Shot {
    let along = step(from.at, to.at);
    Shot {
        at: spade::mitigate_underflow(Point2::new(
            from.at.x + share * along.x,
            from.at.y + share * along.y,
        )),
        elevation: from.elevation + share * (to.elevation - from.elevation),
        error: libm::hypot((1.0 - share) * from.error, share * to.error),
        rough: 1.0,
    }
}

/// The end of a piece that is so far along it, if it is an end.
fn end_at([from, to]: [Shot; 2], share: f64) -> Option<Shot> {
    if share == 0.0 {
        Some(from)
    } else {
        (share == 1.0).then_some(to)
    }
}

/// One shot where two lines cross.
fn joined(one: Shot, other: Shot) -> Shot {
    let apart = other.elevation - one.elevation;
    Shot {
        elevation: one.elevation + apart / 2.0,
        error: libm::hypot(one.error.max(other.error), apart / 2.0),
        ..one
    }
}

/// Nodes by the square that they lie in, [`SAME`] wide, so that near ones are found at once.
#[derive(Default)]
struct Settled(HashMap<(i64, i64), Vec<Shot>>);

impl Settled {
    fn add(&mut self, node: Shot) {
        self.0.entry(square(node.at)).or_default().push(node);
    }

    /// The node that is there already, or this one.
    fn settle(&mut self, node: Shot) -> Shot {
        let (column, row) = square(node.at);
        let around = (column - 1..=column + 1)
            .flat_map(|column| (row - 1..=row + 1).map(move |row| (column, row)));
        let there = around
            .filter_map(|square| self.0.get(&square))
            .flatten()
            .find(|other| other.at.distance_2(node.at) <= SAME * SAME);
        if let Some(there) = there {
            return *there;
        }
        self.add(node);
        node
    }
}

/// Places are far too near for an `i64` to overflow.
fn square(at: Point2<f64>) -> (i64, i64) {
    ((at.x / SAME).floor() as i64, (at.y / SAME).floor() as i64)
}

#[cfg(test)]
mod tests {
    use super::*;

    use crate::site::BreaklineKind;

    pub(super) fn breakline(points: &[(f64, f64, f64)]) -> Breakline {
        Breakline {
            id: "line".to_owned(),
            name: String::new(),
            kind: BreaklineKind::Other,
            points: points
                .iter()
                .map(|&(x, y, z)| SpotLevel::new(x, y, Elevation(z)))
                .collect(),
        }
    }

    #[test]
    fn lines_that_cross_are_joined_half_way_between_their_heights() {
        let east = breakline(&[(0.0, 2.0, 1.0), (8.0, 2.0, 3.0)]);
        let north = breakline(&[(2.0, 0.0, 2.0), (2.0, 4.0, 2.0)]);
        let (found, more) = meetings(&[east.clone(), north.clone()], 9);
        assert!(!more && found.len() == 1);
        assert_eq!(found[0].heights.map(|height| height.0), [1.5, 2.0]);
        let (nodes, pieces) = nodes_and_pieces(Point::origin(), &[east, north], 9);
        assert_eq!(pieces.len(), 4);
        let joint = nodes
            .iter()
            .find(|it| it.at == Point2::new(2.0, 2.0))
            .unwrap();
        assert_eq!(joint.elevation, Elevation(1.75));
        // Half of what they differ by, at the least.
        assert!((0.25..0.26).contains(&joint.error), "{}", joint.error);
    }

    #[test]
    fn a_line_that_crosses_itself_is_found_and_one_that_bends_does_not_meet_itself() {
        let loop_back = [
            (0.0, 0.0, 1.0),
            (4.0, 0.0, 1.0),
            (4.0, 3.0, 1.0),
            (2.0, -1.0, 1.0),
        ];
        assert_eq!(meetings(&[breakline(&loop_back)], 9).0.len(), 1);
        assert_eq!(meetings(&[breakline(&loop_back[..3])], 9).0.len(), 0);
    }

    #[test]
    fn meetings_are_counted_no_further_than_asked() {
        let lines: Vec<Breakline> = (0..20)
            .map(|i| breakline(&[(0.0, f64::from(i), 0.0), (20.0, 19.0 - f64::from(i), 0.0)]))
            .collect();
        let (found, more) = meetings(&lines, 50);
        assert!(more && found.len() == 50);
        assert!(!meetings(&lines, 190).1);
    }
}
