//! `tober check`: the clearance record for an organizer and whoever asks: every distance of every
//! ride by margin, what is left of the ways, the values in force, and what was not checked. No
//! calculation of its own.

use anyhow::{Context, Result, bail};
use clap::ValueEnum;
use serde::Serialize;
use tober::assess::{Assessment, Cure, Verdict, cures};
use tober::clearance::{
    Asks, AtHand, BondCheck, ClearanceRow, CordCheck, FAR, FAR_LINE, LotClearance, NotChecked,
    Passage, RopeCheck, RuleInForce, WayCheck, WayKind,
};
use tober::fence::Openings;
use tober::site::Site;
use tober::units::LengthStyle;
use tober_drawing::{Pair, side_svg};

use crate::sheet::clearance::{Rules, against, remarks};
use crate::sheet::ground;
use crate::sheet::layout::{Column, heading, item, numbered, table};
use crate::sheet::words;

/// Who asks, as the command line names it.
#[derive(Clone, Copy, Debug, ValueEnum)]
pub(crate) enum By {
    /// The ride beside it, and the ride inspector.
    NeighbourRide,
    /// The utility that owns a line or a service.
    Utility,
    /// The fire marshal.
    FireMarshal,
    /// Whoever answers for ways that people walk.
    Access,
    /// The event organizer.
    Organizer,
    /// The ride's maker.
    RideMaker,
    /// The electrician.
    Electrician,
}

impl By {
    fn asks(self) -> Asks {
        match self {
            By::NeighbourRide => Asks::NeighbourRide,
            By::Utility => Asks::Utility,
            By::FireMarshal => Asks::FireMarshal,
            By::Access => Asks::Access,
            By::Organizer => Asks::Organizer,
            By::RideMaker => Asks::RideMaker,
            By::Electrician => Asks::Electrician,
        }
    }
}

/// What is printed as JSON: lengths in metres.
#[derive(Debug, Serialize)]
pub(crate) struct Record<'a> {
    site: &'a str,
    verdict: Verdict,
    rows: Vec<RideRow<'a>>,
    /// What fuel, generators and the stakes of tents keep from other things.
    lot: Vec<&'a LotClearance>,
    /// Features and other rides that keep too far to matter, of all rides together.
    far: usize,
    ways: Vec<&'a WayCheck>,
    passages: Vec<&'a Passage>,
    cords: Vec<&'a CordCheck>,
    at_hand: Vec<&'a AtHand>,
    bonds: Vec<&'a BondCheck>,
    ropes: Vec<&'a RopeCheck>,
    /// What gets through the fences of which somebody has told.
    fences: Vec<FenceRow<'a>>,
    /// Where rides would keep what they do not keep, each tried by assessing the site anew.
    cures: Vec<RideCure<'a>>,
    rules: &'a [RuleInForce],
    not_checked: &'a [NotChecked],
    cautions: &'a [String],
    #[serde(skip_serializing_if = "<[String]>::is_empty")]
    unclosed: &'a [String],
    #[serde(skip)]
    assessment: &'a Assessment,
    #[serde(skip)]
    by: Option<Asks>,
}

/// Over what would cure a distance.
const TRIED: &str = "What would cure it: tried by checking the whole site with the ride there";

/// Size of a side view, CSS pixels.
const SIDE: (f64, f64) = (900.0, 480.0);

/// A distance, and whose it is.
#[derive(Debug, Serialize)]
struct RideRow<'a> {
    ride: &'a str,
    ride_name: &'a str,
    /// Its place in the assessment.
    #[serde(skip)]
    pair: Pair,
    #[serde(flatten)]
    row: &'a ClearanceRow,
}

/// What gets through a fence, and whose it is.
#[derive(Debug, Serialize)]
struct FenceRow<'a> {
    ride: &'a str,
    ride_name: &'a str,
    #[serde(flatten)]
    openings: &'a Openings,
}

/// Where a ride would keep what it does not keep.
#[derive(Debug, Serialize)]
struct RideCure<'a> {
    ride: &'a str,
    words: String,
    #[serde(flatten)]
    cure: Cure,
}

/// A row of the table as it is printed.
struct Line<'a> {
    /// Whose distance it is.
    whose: &'a str,
    row: &'a ClearanceRow,
    /// Its place in the assessment.
    pair: Pair,
}

impl<'a> Record<'a> {
    /// The record of a site, or the part of it that one asks for.
    pub(crate) fn new(site: &Site, assessment: &'a Assessment, by: Option<By>) -> Record<'a> {
        let by = by.map(By::asks);
        let asked = |asks: Asks| by.is_none_or(|by| by == asks);
        let rows = assessment.each_once().into_iter();
        let rows = rows.filter_map(|(index, row_index)| {
            let ride = assessment.rides.get(index)?;
            Some(RideRow {
                ride: &ride.id,
                ride_name: &ride.name,
                pair: Pair::Ride {
                    ride: index,
                    row: row_index,
                },
                row: ride.clearances.get(row_index)?,
            })
        });
        let rows: Vec<RideRow<'_>> = rows.filter(|it| asked(it.row.asks)).collect();
        let lot = assessment.lot_clearances.iter();
        let lot: Vec<&LotClearance> = lot.filter(|it| asked(it.row.asks)).collect();
        let ways: Vec<&WayCheck> = assessment
            .ways
            .iter()
            .filter(|way| {
                asked(match way.kind {
                    WayKind::Walkway => Asks::Access,
                    WayKind::FireLane => Asks::FireMarshal,
                })
            })
            .collect();
        let passages = assessment.passages.iter();
        let passages: Vec<&Passage> = passages.filter(|_| asked(Asks::FireMarshal)).collect();
        let cords = assessment.cords.iter();
        let cords: Vec<&CordCheck> = cords.filter(|_| asked(Asks::Electrician)).collect();
        let at_hand = assessment.at_hand.iter();
        let at_hand: Vec<&AtHand> = at_hand.filter(|it| asked(it.asks)).collect();
        let bonds = assessment.bonds.iter();
        let bonds: Vec<&BondCheck> = bonds.filter(|it| asked(it.asks)).collect();
        let ropes = assessment.ropes.iter();
        let crosses = |it: &&RopeCheck| {
            it.crossings.is_empty() || it.crossings.iter().any(|it| asked(it.asks))
        };
        let ropes: Vec<&RopeCheck> = ropes.filter(crosses).collect();
        let fences = assessment
            .rides
            .iter()
            .filter(|ride| asked(Asks::NeighbourRide) && ride.fence.openings.verdict.is_some());
        let fences: Vec<FenceRow<'_>> = fences
            .map(|ride| FenceRow {
                ride: &ride.id,
                ride_name: &ride.name,
                openings: &ride.fence.openings,
            })
            .collect();
        let cures = assessment
            .rides
            .iter()
            .enumerate()
            .flat_map(|(index, ride)| {
                let found = cures(site, assessment, index).into_iter();
                found.map(move |cure| RideCure {
                    ride: &ride.id,
                    words: cure.in_words(ride, assessment.units),
                    cure,
                })
            });
        let of_asked = |it: &RideCure<'_>| {
            let ride = assessment.rides.iter().find(|ride| ride.id == it.ride);
            let rows = it.cure.rows.iter();
            let mut rows = rows.filter_map(|&row| ride?.clearances.get(row));
            rows.any(|row| asked(row.asks))
        };
        // Heights enter into lines overhead and services below.
        let heights = (!assessment.unclosed.is_empty()).then_some(Verdict::Unknown);
        let verdicts = rows.iter().map(|it| it.row.verdict);
        let verdicts = verdicts
            .chain(heights)
            .chain(lot.iter().map(|it| it.row.verdict))
            .chain(ways.iter().map(|way| way.verdict))
            .chain(passages.iter().map(|passage| passage.verdict))
            .chain(cords.iter().filter_map(|cord| cord.verdict))
            .chain(at_hand.iter().map(|it| it.verdict))
            .chain(bonds.iter().map(|it| it.verdict))
            .chain(ropes.iter().map(|it| it.verdict))
            .chain(fences.iter().filter_map(|it| it.openings.verdict));
        Record {
            site: &assessment.site,
            verdict: verdicts.fold(Verdict::Pass, Verdict::and),
            rows,
            lot,
            far: assessment.far_pairs(),
            ways,
            passages,
            cords,
            at_hand,
            bonds,
            ropes,
            fences,
            cures: cures.filter(of_asked).collect(),
            rules: &assessment.rules,
            not_checked: &assessment.not_checked,
            cautions: &assessment.cautions,
            unclosed: &assessment.unclosed,
            assessment,
            by,
        }
    }

    /// How everything that is in the record came out.
    pub(crate) fn verdict(&self) -> Verdict {
        self.verdict
    }

    /// The side view of a row of the table or of a narrow place, by its number on the page.
    pub(crate) fn side(&self, site: &Site, number: usize) -> Result<String> {
        let rows = self.lines().into_iter().map(|line| line.pair);
        let pairs: Vec<Pair> = rows.chain(self.narrow_places()).collect();
        let pair = number.checked_sub(1).and_then(|at| pairs.get(at));
        let Some(&pair) = pair else {
            bail!(
                "there is no row {number} to draw; there are {}",
                pairs.len()
            );
        };
        side_svg(site, self.assessment, pair, SIDE).context("no side view of that row")
    }

    /// The whole record as a page of text.
    pub(crate) fn page(&self) -> String {
        let units = self.assessment.units;
        let rules = Rules::of(self.assessment);
        let mut head = heading(&format!("Clearance record: {}", self.site), "=");
        head += &item("", &format!("All of it: {}", self.verdict.word()));
        if let Some(by) = self.by {
            head += &item("", &format!("Only what is asked by: {}", by.words()));
        }
        head += &item(
            "",
            &format!(
                "Lengths in {}. Distances and what is left are rounded down, requirements up.",
                units.label()
            ),
        );
        head += &ground::unclosed("", self.assessment);
        let mut sections = vec![
            head,
            heading("Distances, tightest first", "-") + &self.distances(&rules),
        ];
        if !self.cures.is_empty() {
            let words = self.cures.iter().map(|it| &it.words);
            sections.push(heading(TRIED, "-") + &numbered(words));
        }
        // Side views are numbered on from the table's rows.
        let mut view = self.lines().len() + 1;
        if !self.ways.is_empty() {
            let ways = self.ways.iter().map(|way| of_way(way, units, &mut view));
            sections.push(heading("Ways kept free", "-") + &ways.collect::<String>());
        }
        if !self.passages.is_empty() {
            let passages = self.passages.iter();
            let passages = passages.map(|it| of_passage(it, units, &mut view));
            sections.push(heading("From gate to gate", "-") + &passages.collect::<String>());
        }
        if !self.cords.is_empty() {
            let cords = self.cords.iter().map(|it| of_cord(it, units, &mut view));
            sections.push(heading("Power cords", "-") + &cords.collect::<String>());
        }
        if !self.at_hand.is_empty() {
            let at_hand = self.at_hand.iter();
            let at_hand = at_hand.map(|it| of_at_hand(it, units, &rules));
            sections.push(heading("At the operator's hand", "-") + &at_hand.collect::<String>());
        }
        if !self.bonds.is_empty() {
            let bonds = self.bonds.iter().map(|it| of_bond(it, units, &rules));
            sections.push(heading("Bonding of supplies", "-") + &bonds.collect::<String>());
        }
        if !self.ropes.is_empty() {
            let ropes = self.ropes.iter().map(|it| of_rope(it, units, &rules));
            sections.push(heading("Ropes and braces", "-") + &ropes.collect::<String>());
        }
        if !self.fences.is_empty() {
            let fences = self.fences.iter().map(|it| of_fence(it, units, &rules));
            sections.push(heading("Openings of fences", "-") + &fences.collect::<String>());
        }
        let told = rules.section();
        if !told.is_empty() {
            sections.push(heading("Values in force", "-") + &told);
        }
        let missing = self
            .not_checked
            .iter()
            .map(|it| format!("{}. Source: {}.", it.what, it.source));
        sections.push(heading("Not checked", "-") + &numbered(missing));
        sections.push(heading("Cautions", "-") + &numbered(self.cautions));
        sections.join("\n")
    }

    /// Every distance, whosever it is, the tightest margin first.
    fn lines(&self) -> Vec<Line<'a>> {
        let rides = self.rows.iter().map(|it| Line {
            whose: it.ride_name,
            row: it.row,
            pair: it.pair,
        });
        let lot = self.lot.iter().map(|it| Line {
            whose: &it.name,
            row: &it.row,
            pair: Pair::Lot(place_of(*it, &self.assessment.lot_clearances)),
        });
        let mut lines: Vec<Line<'_>> = rides.chain(lot).collect();
        let margin = |it: &Line<'_>| it.row.margin.unwrap_or(f64::NEG_INFINITY);
        lines.sort_by(|a, b| margin(a).total_cmp(&margin(b)));
        lines
    }

    /// Narrow places of ways, the narrowest from gate to gate, and cords, as the page tells them.
    fn narrow_places(&self) -> Vec<Pair> {
        let ways = self.ways.iter().flat_map(|way| {
            let at = place_of(*way, &self.assessment.ways);
            (0..way.pinches.len()).map(move |pinch| Pair::Pinch { way: at, pinch })
        });
        let passages = self.passages.iter().filter(|it| it.narrowest.is_some());
        let passages = passages.map(|it| Pair::Passage(place_of(*it, &self.assessment.passages)));
        let cords = self.cords.iter();
        let cords = cords.map(|it| Pair::Cord(place_of(*it, &self.assessment.cords)));
        ways.chain(passages).chain(cords).collect()
    }

    fn distances(&self, rules: &Rules<'_>) -> String {
        let units = self.assessment.units;
        let far = match self.far {
            0 => String::new(),
            far => item(
                "  ",
                &format!(
                    "{far} pairs of a ride and something else have no row: no rule speaks of them, \
                     or they keep more than {} beyond what is asked ({} for an overhead line).",
                    units.format(FAR),
                    units.format(FAR_LINE)
                ),
            ),
        };
        let lines = self.lines();
        if lines.is_empty() {
            return item("  ", "Nothing is near that a rule speaks of.") + &far;
        }
        let cells = lines.iter().zip(1..).map(|(line, number)| {
            let Line { whose, row, .. } = line;
            vec![
                number.to_string(),
                format!("{whose}: {}", row.from_words()),
                against(row),
                words::or_not_known(row.value, |value| units.format_down(value)),
                units.format_up(row.required),
                words::or_not_known(row.margin, |margin| units.format_down(margin)),
                row.verdict.word().to_owned(),
                rules.number(&row.rule),
                row.asks.words().to_owned(),
            ]
        });
        let columns = [
            ("", Column::Number),
            ("From", Column::Words),
            ("To", Column::Words),
            ("Distance", Column::Number),
            ("Required", Column::Number),
            ("Margin", Column::Number),
            ("", Column::Words),
            ("Rule", Column::Number),
            ("Asks", Column::Words),
        ];
        let mut text = table(2, &columns, cells.collect());
        text += &remarks(lines.iter().map(|line| line.row), rules);
        for ride in &self.assessment.rides {
            if let Some(ground) = &ride.over_ground {
                let words = ground.in_words(units);
                text += &item("  ", &format!("{}: {words}", ride.name));
            }
        }
        text + &far
    }
}

/// The place of something in the list that it is borrowed from.
fn place_of<T>(it: &T, list: &[T]) -> usize {
    let place = list.iter().position(|other| std::ptr::eq(it, other));
    place.unwrap_or(list.len())
}

/// The next side view's number, in brackets.
fn numbered_view(view: &mut usize) -> String {
    let words = format!(" (side view {view})");
    *view += 1;
    words
}

fn of_way(way: &WayCheck, units: LengthStyle, view: &mut usize) -> String {
    let kind = match way.kind {
        WayKind::Walkway => "Walkway",
        WayKind::FireLane => "Fire lane",
    };
    let mut text = item(
        "  ",
        &format!(
            "{kind}: {}: {}. Drawn {} wide; {} is left at the narrowest, {} is asked for.",
            way.name,
            way.verdict.word(),
            units.format(way.width),
            units.format_down(way.clear_width),
            units.format_up(way.width_required),
        ),
    );
    for pinch in &way.pinches {
        text += &item(
            "    ",
            &format!(
                "{} is left beside {}, at {} east, {} north{}.",
                units.format_down(pinch.clear),
                words::listed(&pinch.by),
                units.format(pinch.at.x),
                units.format(pinch.at.y),
                numbered_view(view),
            ),
        );
    }
    if let Some(height) = way.clear_height {
        text += &item(
            "    ",
            &format!(
                "Lowest overhead: {}; {} is asked for.",
                units.format_down(height),
                units.format_up(way.height_required)
            ),
        );
    }
    for (name, steep) in [
        ("along", way.steepest_along),
        ("across", way.steepest_across),
    ] {
        if let Some(steep) = steep {
            text += &item(
                "    ",
                &format!(
                    "Steepest {name}: {:.2} %, at {} east, {} north; {:.2} % is accessible.",
                    (steep.slope * 1e4 - 1e-6).ceil().abs() / 100.0,
                    units.format(steep.at.x),
                    units.format(steep.at.y),
                    (steep.limit * 1e4 + 1e-6).floor() / 100.0
                ),
            );
        }
    }
    for bend in &way.bends {
        let by = match bend.by.as_slice() {
            [] => String::new(),
            by => format!(", beside {}", words::listed(by)),
        };
        text += &item(
            "    ",
            &format!(
                "Bend of {:.0}° at {} east, {} north: an inside radius of {} is free{by}; {} is \
                 asked for.",
                bend.turn_deg,
                units.format(bend.at.x),
                units.format(bend.at.y),
                units.format_down(bend.inside_radius),
                units.format_up(bend.required),
            ),
        );
    }
    for note in &way.notes {
        text += &item("    ", &format!("{note}."));
    }
    text
}

fn of_passage(passage: &Passage, units: LengthStyle, view: &mut usize) -> String {
    let (from, to) = &passage.names;
    let found = match (passage.width, passage.narrowest) {
        (Some(width), Some((at, _))) => format!(
            "{} at its narrowest, beside {}, at {} east, {} north{}; {} is asked for",
            units.format_down(width),
            words::listed(&passage.between),
            units.format(at.x),
            units.format(at.y),
            numbered_view(view),
            units.format_up(passage.required),
        ),
        _ => passage.note.clone(),
    };
    let word = passage.verdict.word();
    item("  ", &format!("{from} to {to}: {word}. {found}."))
}

fn of_at_hand(check: &AtHand, units: LengthStyle, rules: &Rules<'_>) -> String {
    let found = check.distance.map_or_else(String::new, |distance| {
        format!(
            " {} is {} from the farthest place of the operator's station;",
            check.name,
            units.format_up(distance)
        )
    });
    let mut text = item(
        "  ",
        &format!(
            "{}, {}: {}.{found} {} at most, rule {}.",
            check.kind.words(),
            check.ride_name,
            check.verdict.word(),
            units.format_down(check.at_most),
            rules.number(&check.rule)
        ),
    );
    for note in &check.notes {
        text += &item("    ", &format!("{note}."));
    }
    text
}

fn of_bond(bond: &BondCheck, units: LengthStyle, rules: &Rules<'_>) -> String {
    let [one, other] = &bond.names;
    let [by_one, by_other] = bond.supplied_by.each_ref().map(|ids| match ids.as_slice() {
        [] => "nobody has told what".to_owned(),
        ids => words::listed(ids),
    });
    let mut text = item(
        "  ",
        &format!(
            "{one} (supplied by {by_one}) and {other} ({by_other}): {}. {} apart; nearer than {} \
             they are bonded, rule {}.",
            bond.verdict.word(),
            units.format_down(bond.apart),
            units.format_up(bond.within),
            rules.number(&bond.rule),
        ),
    );
    let confirmed = bond.confirmed.iter().map(|who| format!(": {who}"));
    let confirmed: String = confirmed.collect();
    text += &item("    ", &format!("{}{confirmed}.", bond.note));
    text
}

fn of_rope(rope: &RopeCheck, units: LengthStyle, rules: &Rules<'_>) -> String {
    let marked = if rope.marked { "marked" } else { "not marked" };
    let crosses = match rope.crossings.as_slice() {
        [] => " It crosses no walkway, fire lane or gate.",
        _ => "",
    };
    let mut text = item(
        "  ",
        &format!("{}: {}, {marked}.{crosses}", rope.name, rope.verdict.word()),
    );
    for crossing in &rope.crossings {
        text += &item(
            "    ",
            &format!(
                "Over the {} {}, at {} east, {} north: {} up, {} is asked for, rule {}: {}.",
                crossing.over.words(),
                crossing.name,
                units.format(crossing.at.x),
                units.format(crossing.at.y),
                words::or_not_known(crossing.height, |height| units.format_down(height)),
                units.format_up(crossing.required),
                rules.number(&crossing.rule),
                crossing.verdict.word(),
            ),
        );
    }
    text
}

fn of_fence(fence: &FenceRow<'_>, units: LengthStyle, rules: &Rules<'_>) -> String {
    let found = fence.openings;
    let told = |gap: Option<f64>| words::or_not_known(gap, |gap| units.format_up(gap));
    let mut text = item(
        "  ",
        &format!(
            "{}: {}. Largest opening {}, largest gap below {}; a ball of {} must not get through, \
             rule {}.",
            fence.ride_name,
            found.verdict.unwrap_or(Verdict::Unknown).word(),
            told(found.opening),
            told(found.below),
            units.format_down(found.ball),
            rules.number("fence-opening")
        ),
    );
    for note in &found.notes {
        text += &item("    ", &format!("{note}."));
    }
    text
}

fn of_cord(cord: &CordCheck, units: LengthStyle, view: &mut usize) -> String {
    let word = cord.verdict.map_or("length not told", |it| it.word());
    let has = cord.has.map_or_else(String::new, |has| {
        format!("; the cord is {} long", units.format_down(has))
    });
    let mut text = item(
        "  ",
        &format!(
            "{} to {}: {word}. {} is needed along the ground, a tenth for slack in it{has}{}.",
            cord.source_name,
            cord.ride_name,
            units.format_up(cord.needed),
            numbered_view(view),
        ),
    );
    for note in &cord.notes {
        text += &item("    ", &format!("{note}."));
    }
    if !cord.crossings.is_empty() {
        let other = match cord.needed_without_crossing {
            Some(needed) => format!("{} without crossing a way.", units.format_up(needed)),
            None => "No way was found that crosses nothing.".to_owned(),
        };
        text += &item("    ", &other);
    }
    text
}
