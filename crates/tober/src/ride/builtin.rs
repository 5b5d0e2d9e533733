//! The profiles that come with the library: four rides of kinds that are met on every
//! fairground.
//!
//! Their names and numbers are invented. The numbers are such as these rides have, and they go
//! together: with the tyres hanging free on a fall of two in a hundred, whichever way it runs,
//! the jacks still have stroke and the outriggers want stacks that can be built.

use std::sync::LazyLock;

use super::{
    FenceGaps, FenceStock, Frame, HungChairs, Jack, Levelling, Loading, Outrigger, RideClass,
    RideProfile, RigidArms, SeatRing, Silhouette, Space, SpaceKind, Steps, Swing, SwingRow,
    SwingTable, Wheel,
};
use crate::Point;

/// The built-in profiles.
///
/// ```
/// use tober::ride::builtin;
/// assert!(builtin().iter().any(|profile| profile.id == "marrowby-swing"));
/// ```
pub fn builtin() -> &'static [RideProfile] {
    static PROFILES: LazyLock<[RideProfile; 4]> = LazyLock::new(|| {
        [
            marrowby_swing(),
            tollick_round(),
            wrenlow_hop(),
            brandlewick_wheel(),
        ]
    });
    &*PROFILES
}

/// A swing ride: chairs hung from a turning top, on a trailer with outriggers.
fn marrowby_swing() -> RideProfile {
    RideProfile {
        id: "marrowby-swing".to_owned(),
        name: "Marrowby Chair Swing".to_owned(),
        class: RideClass::Major,
        body: rectangle(4.25, 1.2),
        body_height: 0.2,
        jacks: at_corners(3.6, 1.0, |corner, at| Jack {
            id: corner.to_owned(),
            at,
            drop: 0.27,
            holes: vec![0.0, 0.075, 0.15, 0.225, 0.3, 0.375],
            screw_retracted: 0.05,
            screw_extended: 0.45,
            lift_per_turn: 0.006,
            pad_thickness: 0.04,
            foot_plate: None,
        }),
        outriggers: at_corners(2.5, 2.5, |corner, at| Outrigger {
            id: format!("O-{corner}"),
            at,
            foot_drop: 0.4,
            foot_plate: None,
        }),
        wheels: tandem(-1.35, 1.0, 0.62, 0.09),
        levelling: Levelling {
            tolerance_along_deg: Some(0.5),
            tolerance_across_deg: Some(0.5),
            tolerance_along: None,
            tolerance_across: None,
            rack_limit: 0.02,
            travel_tilt_deg: None,
            tyre_clearance: 0.02,
            lift_over: 0.025,
            stroke_reserve: 0.02,
            snug_turns: 1.5,
            crank_order: Vec::new(),
            steps: Steps::default(),
        },
        frame: Frame::default(),
        loads: Loading {
            mass: Some(8_000.0),
            centre: Some(Point::origin()),
            centre_height: Some(2.2),
            seats: vec![SeatRing {
                cars: 16,
                seats_in_car: 1,
                rider_mass: None,
                radius: None,
                height: None,
                level_axis: false,
            }],
            full_speed_rpm: None,
            torque: Some(9_000.0),
            wind: Some(Silhouette {
                area: 14.0,
                height: 2.6,
                shape_factor: None,
                in_service: 15.0,
                out_of_service: Some(28.0),
            }),
            jack_capacity: Some(60e3),
            outrigger_capacity: Some(80e3),
            jack_pad: Some(0.45),
            tongue: Some(Point::new(5.7, 0.0)),
            ..Loading::default()
        },
        swing: Swing::HungChairs(HungChairs {
            pivot_radius: 2.6,
            pivot_height: 3.85,
            hanger: 2.9,
            reach: 0.7,
            full_speed_rpm: 11.0,
            allowance_deg: 6.0,
            top_radius: 2.8,
            top_height: 4.6,
        }),
        spaces: vec![
            build_up(
                "outriggers",
                "outriggers swinging down",
                (3.0, 3.2),
                (-0.9, 2.1),
            ),
            drawn_out(4.25, 2.4),
        ],
        console: Some(Point::new(1.5, -5.4)),
        console_radius: None,
        stakes: Vec::new(),
        fence: FenceStock {
            standoff: 1.0,
            panel: 2.5,
            height: 1.1,
            stake_depth: Some(0.35),
            panels: 24,
            gates: 2,
            gaps: FenceGaps::default(),
        },
    }
}

/// A round ride: cars on rigid arms, on a trailer with outriggers.
fn tollick_round() -> RideProfile {
    RideProfile {
        id: "tollick-round".to_owned(),
        name: "Tollick Round".to_owned(),
        class: RideClass::Major,
        body: rectangle(3.2, 1.15),
        body_height: 0.3,
        jacks: at_corners(2.7, 0.95, |corner, at| Jack {
            id: corner.to_owned(),
            at,
            drop: 0.22,
            holes: vec![0.0, 0.06, 0.12, 0.18, 0.24, 0.3],
            screw_retracted: 0.04,
            screw_extended: 0.4,
            lift_per_turn: 0.005,
            pad_thickness: 0.03,
            foot_plate: None,
        }),
        outriggers: at_corners(2.3, 2.3, |corner, at| Outrigger {
            id: format!("O-{corner}"),
            at,
            foot_drop: 0.3,
            foot_plate: None,
        }),
        wheels: tandem(-1.0, 0.95, 0.56, 0.08),
        levelling: Levelling {
            tolerance_along_deg: Some(0.4),
            tolerance_across_deg: Some(0.4),
            tolerance_along: None,
            tolerance_across: None,
            rack_limit: 0.02,
            travel_tilt_deg: None,
            tyre_clearance: 0.02,
            lift_over: 0.02,
            stroke_reserve: 0.02,
            snug_turns: 1.0,
            crank_order: Vec::new(),
            steps: Steps::default(),
        },
        frame: Frame::default(),
        loads: Loading {
            mass: Some(8_000.0),
            centre: Some(Point::origin()),
            centre_height: Some(1.4),
            seats: vec![SeatRing {
                cars: 10,
                seats_in_car: 2,
                rider_mass: None,
                radius: Some(4.0),
                height: Some(1.2),
                level_axis: false,
            }],
            full_speed_rpm: Some(10.0),
            torque: Some(6_000.0),
            wind: Some(Silhouette {
                area: 12.0,
                height: 1.6,
                shape_factor: None,
                in_service: 15.0,
                out_of_service: Some(28.0),
            }),
            jack_capacity: Some(60e3),
            outrigger_capacity: Some(80e3),
            jack_pad: Some(0.45),
            tongue: Some(Point::new(4.6, 0.0)),
            ..Loading::default()
        },
        swing: Swing::RigidArms(RigidArms {
            radius: 4.5,
            low: 0.35,
            high: 2.4,
            reach: 0.6,
        }),
        spaces: vec![
            build_up(
                "outriggers",
                "outriggers swinging down",
                (2.8, 3.0),
                (-0.8, 1.9),
            ),
            build_up("arms", "arms unfolding", (4.6, 4.6), (0.2, 3.0)),
        ],
        console: Some(Point::new(-1.0, 5.6)),
        console_radius: None,
        stakes: Vec::new(),
        fence: FenceStock {
            standoff: 1.2,
            panel: 2.0,
            height: 1.1,
            stake_depth: None,
            panels: 26,
            gates: 2,
            gaps: FenceGaps::default(),
        },
    }
}

/// A small round ride for children, which works on its jacks alone.
fn wrenlow_hop() -> RideProfile {
    RideProfile {
        id: "wrenlow-hop".to_owned(),
        name: "Wrenlow Hop".to_owned(),
        class: RideClass::Kiddie,
        body: rectangle(2.1, 1.0),
        body_height: 0.2,
        jacks: at_corners(1.8, 0.85, |corner, at| Jack {
            id: corner.to_owned(),
            at,
            drop: 0.2,
            holes: vec![0.0, 0.05, 0.1, 0.15, 0.2],
            screw_retracted: 0.03,
            screw_extended: 0.35,
            lift_per_turn: 0.004,
            pad_thickness: 0.04,
            foot_plate: None,
        }),
        outriggers: Vec::new(),
        wheels: vec![
            wheel("W-L", Point::new(-0.3, 0.9), 0.45, 0.06),
            wheel("W-R", Point::new(-0.3, -0.9), 0.45, 0.06),
        ],
        levelling: Levelling {
            tolerance_along_deg: Some(0.5),
            tolerance_across_deg: Some(0.5),
            tolerance_along: None,
            tolerance_across: None,
            rack_limit: 0.015,
            travel_tilt_deg: None,
            tyre_clearance: 0.015,
            lift_over: 0.0,
            stroke_reserve: 0.02,
            snug_turns: 0.0,
            crank_order: Vec::new(),
            steps: Steps::default(),
        },
        frame: Frame::default(),
        loads: Loading {
            mass: Some(2_600.0),
            centre: Some(Point::origin()),
            centre_height: Some(0.8),
            seats: vec![SeatRing {
                cars: 8,
                seats_in_car: 2,
                rider_mass: Some(40.0),
                radius: Some(2.0),
                height: Some(1.0),
                level_axis: false,
            }],
            full_speed_rpm: Some(8.0),
            torque: Some(800.0),
            wind: Some(Silhouette {
                area: 5.0,
                height: 0.9,
                shape_factor: None,
                in_service: 15.0,
                out_of_service: Some(25.0),
            }),
            jack_capacity: Some(25e3),
            outrigger_capacity: None,
            jack_pad: Some(0.45),
            tongue: Some(Point::new(3.2, 0.0)),
            ..Loading::default()
        },
        swing: Swing::RigidArms(RigidArms {
            radius: 2.4,
            low: 0.25,
            high: 1.6,
            reach: 0.5,
        }),
        spaces: Vec::new(),
        console: Some(Point::new(0.5, -3.3)),
        console_radius: None,
        stakes: Vec::new(),
        fence: FenceStock {
            standoff: 1.0,
            panel: 1.5,
            height: 1.1,
            stake_depth: None,
            panels: 20,
            gates: 2,
            gaps: FenceGaps::default(),
        },
    }
}

/// An upright wheel on a trailer with outriggers.
fn brandlewick_wheel() -> RideProfile {
    RideProfile {
        id: "brandlewick-wheel".to_owned(),
        name: "Brandlewick Wheel".to_owned(),
        class: RideClass::Major,
        body: rectangle(3.5, 1.2),
        body_height: 6.8,
        jacks: at_corners(3.0, 1.0, |corner, at| Jack {
            id: corner.to_owned(),
            at,
            drop: 0.25,
            holes: vec![0.0, 0.07, 0.14, 0.21, 0.28, 0.35],
            screw_retracted: 0.05,
            screw_extended: 0.42,
            lift_per_turn: 0.005,
            pad_thickness: 0.04,
            foot_plate: None,
        }),
        outriggers: at_corners(2.8, 2.6, |corner, at| Outrigger {
            id: format!("O-{corner}"),
            at,
            foot_drop: 0.32,
            foot_plate: None,
        }),
        wheels: tandem(-1.2, 1.0, 0.6, 0.08),
        levelling: Levelling {
            tolerance_along_deg: Some(0.3),
            tolerance_across_deg: Some(0.3),
            tolerance_along: None,
            tolerance_across: None,
            rack_limit: 0.02,
            travel_tilt_deg: None,
            tyre_clearance: 0.02,
            lift_over: 0.025,
            stroke_reserve: 0.02,
            snug_turns: 1.5,
            crank_order: Vec::new(),
            steps: Steps::default(),
        },
        frame: Frame::default(),
        loads: Loading {
            mass: Some(8_000.0),
            centre: Some(Point::origin()),
            centre_height: Some(4.5),
            seats: vec![SeatRing {
                cars: 12,
                seats_in_car: 4,
                rider_mass: None,
                radius: Some(4.7),
                height: Some(6.5),
                level_axis: true,
            }],
            full_speed_rpm: Some(4.0),
            torque: Some(4_000.0),
            wind: Some(Silhouette {
                area: 22.0,
                height: 6.2,
                shape_factor: None,
                in_service: 12.0,
                out_of_service: Some(24.0),
            }),
            jack_capacity: Some(60e3),
            outrigger_capacity: Some(80e3),
            jack_pad: Some(0.45),
            tongue: Some(Point::new(5.0, 0.0)),
            ..Loading::default()
        },
        // An octagon around the circle of 5.6 m that the gondolas go round: its sides touch the
        // circle from outside.
        swing: Swing::Table(SwingTable {
            rows: vec![
                SwingRow {
                    height: 0.9,
                    radius: 2.35,
                },
                SwingRow {
                    height: 4.15,
                    radius: 5.6,
                },
                SwingRow {
                    height: 8.85,
                    radius: 5.6,
                },
                SwingRow {
                    height: 12.1,
                    radius: 2.35,
                },
            ],
            reach: 0.6,
        }),
        spaces: vec![
            build_up(
                "outriggers",
                "outriggers swinging down",
                (3.3, 3.3),
                (-0.9, 2.1),
            ),
            drawn_out(3.5, 2.2),
        ],
        console: Some(Point::new(1.0, -6.8)),
        console_radius: None,
        stakes: Vec::new(),
        fence: FenceStock {
            standoff: 1.2,
            panel: 2.5,
            height: 1.1,
            stake_depth: None,
            panels: 26,
            gates: 2,
            gaps: FenceGaps::default(),
        },
    }
}

/// Room that is only taken while building up: half its length and half its width about the hub,
/// and its lowest and highest height above the datum plane, metres.
fn build_up(id: &str, name: &str, (ahead, left): (f64, f64), (low, high): (f64, f64)) -> Space {
    Space {
        id: id.to_owned(),
        name: name.to_owned(),
        kind: SpaceKind::BuildUp,
        outline: rectangle(ahead, left),
        low,
        high,
    }
}

/// The tongue, drawn out ahead of the frame to leave it, so many metres.
fn drawn_out(front: f64, by: f64) -> Space {
    let outline = [
        (front, 0.5),
        (front + by, 0.5),
        (front + by, -0.5),
        (front, -0.5),
    ];
    Space {
        outline: outline.map(|(x, y)| Point::new(x, y)).to_vec(),
        ..build_up("tongue", "tongue drawn out", (0.0, 0.0), (-0.7, 0.6))
    }
}

/// An outline around the hub, from half its length and half its width.
fn rectangle(ahead: f64, left: f64) -> Vec<Point> {
    vec![
        Point::new(ahead, left),
        Point::new(-ahead, left),
        Point::new(-ahead, -left),
        Point::new(ahead, -left),
    ]
}

/// One support at each corner: front left, front right, back left, back right.
fn at_corners<T>(ahead: f64, left: f64, support: impl Fn(&str, Point) -> T) -> Vec<T> {
    vec![
        support("FL", Point::new(ahead, left)),
        support("FR", Point::new(ahead, -left)),
        support("BL", Point::new(-ahead, left)),
        support("BR", Point::new(-ahead, -left)),
    ]
}

/// Two axles close together; `middle` is how far ahead of the hub the middle between them is.
fn tandem(middle: f64, left: f64, drop: f64, droop: f64) -> Vec<Wheel> {
    const HALF_SPACING: f64 = 0.44;
    let (front, back) = (middle + HALF_SPACING, middle - HALF_SPACING);
    vec![
        wheel("W-FL", Point::new(front, left), drop, droop),
        wheel("W-FR", Point::new(front, -left), drop, droop),
        wheel("W-BL", Point::new(back, left), drop, droop),
        wheel("W-BR", Point::new(back, -left), drop, droop),
    ]
}

fn wheel(id: &str, at: Point, drop: f64, droop: f64) -> Wheel {
    Wheel {
        id: id.to_owned(),
        at,
        drop,
        droop,
    }
}
