//! Shared by tests: a plain ride on plain ground.

use crate::Point;
use crate::ground::{Elevation, Ground};
use crate::ride::{
    FenceStock, Frame, Jack, Levelling, Loading, Outrigger, RideClass, RideProfile, RigidArms,
    Swing, Wheel,
};
use crate::site::{
    Features, GroundZone, Lot, PlacedRide, Placement, SITE_FORMAT, SITE_VERSION, SiteFile,
    SpotLevel, Surface,
};
use crate::units::LengthStyle;

/// Ground of five rows of five shots, 5 m apart, round the origin.
pub(crate) fn five_by_five(heights: &[f64]) -> Ground {
    let shot = |(index, &height): (usize, &f64)| {
        let place = |steps: usize| steps as f64 * 5.0 - 10.0;
        SpotLevel::new(place(index % 5), place(index / 5), Elevation(height))
    };
    Ground::new(&heights.iter().enumerate().map(shot).collect::<Vec<_>>())
}

/// A plain trailer: jacks and outriggers at (±2, ±1.5) m, one axle under the hub.
pub(crate) fn trailer() -> RideProfile {
    let corners = [
        ("FL", 2.0, 1.5),
        ("FR", 2.0, -1.5),
        ("BL", -2.0, 1.5),
        ("BR", -2.0, -1.5),
    ];
    RideProfile {
        id: "plain-trailer".to_owned(),
        name: "Plain trailer".to_owned(),
        class: RideClass::Major,
        body: [(2.0, 1.5), (2.0, -1.5), (-2.0, -1.5), (-2.0, 1.5)]
            .map(|(x, y)| Point::new(x, y))
            .to_vec(),
        body_height: 2.0,
        jacks: corners
            .iter()
            .map(|&(id, x, y)| Jack {
                id: id.to_owned(),
                at: Point::new(x, y),
                drop: 0.2,
                holes: vec![0.0, 0.1, 0.2, 0.3],
                screw_retracted: 0.05,
                screw_extended: 0.45,
                lift_per_turn: 0.01,
                pad_thickness: 0.04,
                foot_plate: None,
            })
            .collect(),
        outriggers: corners
            .iter()
            .map(|&(id, x, y)| Outrigger {
                id: format!("O{id}"),
                at: Point::new(x, y),
                foot_drop: 0.4,
                foot_plate: None,
            })
            .collect(),
        wheels: [("WL", 1.0), ("WR", -1.0)]
            .iter()
            .map(|&(id, y)| Wheel {
                id: id.to_owned(),
                at: Point::new(0.0, y),
                drop: 0.5,
                droop: 0.06,
            })
            .collect(),
        levelling: Levelling {
            tolerance_along_deg: Some(0.5),
            tolerance_across_deg: Some(0.5),
            tolerance_along: None,
            tolerance_across: None,
            rack_limit: 0.03,
            travel_tilt_deg: None,
            tyre_clearance: 0.02,
            lift_over: 0.03,
            stroke_reserve: 0.02,
            snug_turns: 1.5,
            crank_order: Vec::new(),
            steps: Default::default(),
        },
        frame: Frame::default(),
        loads: Loading::default(),
        swing: Swing::RigidArms(RigidArms {
            radius: 4.0,
            low: 1.0,
            high: 3.0,
            reach: 0.5,
        }),
        spaces: Vec::new(),
        console: None,
        console_radius: None,
        stakes: Vec::new(),
        fence: FenceStock {
            standoff: 1.0,
            panel: 2.0,
            height: 1.1,
            stake_depth: None,
            panels: 30,
            gates: 2,
            gaps: Default::default(),
        },
    }
}

/// The plain trailer at the middle of a flat paved lot of 80 m by 80 m, surveyed all over.
pub(crate) fn flat_lot() -> SiteFile {
    let corners = [(-40.0, -40.0), (40.0, -40.0), (40.0, 40.0), (-40.0, 40.0)];
    let boundary: Vec<Point> = corners.iter().map(|&(x, y)| Point::new(x, y)).collect();
    SiteFile {
        format: SITE_FORMAT.to_owned(),
        version: SITE_VERSION,
        name: "Flat lot".to_owned(),
        units: LengthStyle::Metres,
        lot: Lot {
            boundary: boundary.clone(),
        },
        spot_levels: corners
            .iter()
            .map(|&(x, y)| SpotLevel::new(x, y, Elevation(0.0)))
            .collect(),
        breaklines: Vec::new(),
        field_books: Vec::new(),
        imported_points: Vec::new(),
        features: Features {
            ground_zones: vec![GroundZone {
                id: "all".to_owned(),
                name: String::new(),
                outline: boundary,
                surface: Surface::Pavement,
                bearing: None,
                subgrade: None,
            }],
            ..Features::default()
        },
        profiles: vec![trailer()],
        rides: vec![PlacedRide {
            fence_gaps: Default::default(),
            id: "ride".to_owned(),
            name: String::new(),
            profile: trailer().id,
            placement: Placement {
                x: 0.0,
                y: 0.0,
                heading: 0.0,
            },
        }],
        blocks: vec![crate::site::Block {
            id: "crib".to_owned(),
            thickness: 0.09,
            length: 0.3,
            width: 0.3,
            count: 16,
        }],
        clearance_values: Vec::new(),
        bonds: Vec::new(),
        load_values: Vec::new(),
        level_rounds: Vec::new(),
        groundwork: Vec::new(),
    }
}
