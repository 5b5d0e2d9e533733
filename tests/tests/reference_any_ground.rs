//! The most and the least that a foot carries on any ground within a range, against a second solver.
//!
//! `microlp` solves the linear program of every set of feet that may push, one after the other;
//! nothing of it is shared with the branch and bound, nor with the simplex method, of `loads`. The
//! circle of what may tip the frame is a polygon for it: one inside the circle must not exceed what
//! was found, and one outside may fall short of it by a few thousandths of the weight only.

use std::f64::consts::TAU;

use microlp::{ComparisonOp, LinearExpr, OptimizationDirection, Problem, Variable};
use tober::loads::{Extreme, Fan, extremes, extremes_on_any_ground};
use tober::statics::{Load, Support};
use tober::{Point, Step};
use tober_tests::Random;

/// Corners of the reference's polygon.
const CORNERS: usize = 48;

/// Feet under a load, and what tips it.
struct Frame {
    load: Load,
    tips: f64,
    fans: Vec<Fan>,
}

impl Frame {
    fn random(random: &mut Random) -> Frame {
        let count = random.between(3.0, 7.0) as usize;
        // Some stand nearly even, and lift seldom.
        let uneven = libm::pow(10.0, random.between(-4.0, -2.0));
        let fans = (0..count).map(|_| {
            let own = libm::pow(10.0, random.between(-7.5, -6.0));
            let ground = libm::pow(10.0, random.between(-7.5, -5.5));
            let more = libm::pow(10.0, random.between(0.0, 1.0));
            Fan {
                at: Point::new(random.between(-3.0, 3.0), random.between(-2.5, 2.5)),
                top: random.between(-1.0, 1.0) * uneven,
                firm: own + ground,
                soft: own + ground * more,
            }
        });
        let fans: Vec<Fan> = fans.collect();
        let stiff = random.between(5.0, 10.0);
        Frame {
            load: Load {
                weight: random.between(2e4, 2e5),
                centre: Point::new(random.between(-0.8, 0.8), random.between(-0.5, 0.5)),
                tipping: Step::zeros(),
                twist_stiffness: if stiff > 9.0 {
                    f64::INFINITY
                } else {
                    libm::pow(10.0, stiff)
                },
            },
            tips: random.between(0.0, 8e4),
            fans,
        }
    }

    /// The greatest of `sign` times a foot's share, tipped by so much of the circle's polygon, while
    /// the feet of `set` push and no other. `None` where the frame does not rest so.
    fn most(&self, (foot, sign): (usize, f64), set: u32, far: f64) -> Option<f64> {
        let Load {
            weight,
            centre,
            twist_stiffness,
            ..
        } = self.load;
        let unit = self.fans.iter().map(|fan| fan.soft).sum::<f64>() / self.fans.len() as f64;
        let unit = unit * weight;
        let mut program = Problem::new(OptimizationDirection::Maximize);
        let any = (f64::NEG_INFINITY, f64::INFINITY);
        let pushes = |index: usize| set >> index & 1 == 1;
        let loads: Vec<Variable> = (0..self.fans.len())
            .map(|index| {
                let gain = if index == foot { sign } else { 0.0 };
                program.add_var(gain, (0.0, if pushes(index) { f64::INFINITY } else { 0.0 }))
            })
            .collect();
        let plane: [Variable; 3] = std::array::from_fn(|_| program.add_var(0.0, any));
        let twist = twist_stiffness
            .is_finite()
            .then(|| program.add_var(0.0, any));
        let corners: Vec<Variable> = (0..CORNERS)
            .map(|_| program.add_var(0.0, (0.0, f64::INFINITY)))
            .collect();
        let mut holds = |terms: Vec<(Variable, f64)>, how: ComparisonOp, sum: f64| {
            let mut row = LinearExpr::empty();
            for (variable, by) in terms {
                row.add(variable, by);
            }
            program.add_constraint(row, how, sum);
        };
        let over = |of: &dyn Fn(Point) -> f64| -> Vec<(Variable, f64)> {
            let each = loads.iter().zip(&self.fans);
            each.map(|(&load, fan)| (load, of(fan.at))).collect()
        };
        let tipped = |of: &dyn Fn(f64) -> f64| -> Vec<(Variable, f64)> {
            let each = corners.iter().enumerate();
            let by = -self.tips * far / weight;
            each.map(|(corner, &it)| (it, by * of(TAU * corner as f64 / CORNERS as f64)))
                .collect()
        };
        let both = |mut a: Vec<(Variable, f64)>, b: Vec<(Variable, f64)>| {
            a.extend(b);
            a
        };
        holds(over(&|_| 1.0), ComparisonOp::Eq, 1.0);
        let along = both(over(&|at| at.x), tipped(&libm::cos));
        holds(along, ComparisonOp::Eq, centre.x);
        let across = both(over(&|at| at.y), tipped(&libm::sin));
        holds(across, ComparisonOp::Eq, centre.y);
        let all = corners.iter().map(|&corner| (corner, 1.0)).collect();
        holds(all, ComparisonOp::Eq, 1.0);
        if let Some(twist) = twist {
            let held = (twist, -twist_stiffness * unit / weight);
            let row = both(over(&|at| at.x * at.y), vec![held]);
            holds(row, ComparisonOp::Eq, centre.x * centre.y);
        }
        for (index, (fan, &load)) in self.fans.iter().zip(&loads).enumerate() {
            let at = fan.at;
            let gives = |by: f64| {
                let frame = plane.iter().zip([1.0, at.x, at.y]);
                let mut row: Vec<(Variable, f64)> = frame
                    .map(|(&variable, place)| (variable, -by * place))
                    .collect();
                row.extend(twist.map(|twist| (twist, -by * at.x * at.y)));
                row
            };
            let top = fan.top / unit;
            // No more than on soft ground; and where it pushes no less than on firm.
            let soft = both(gives(1.0), vec![(load, -fan.soft * weight / unit)]);
            holds(soft, ComparisonOp::Le, -top);
            if pushes(index) {
                let firm = both(gives(-1.0), vec![(load, fan.firm * weight / unit)]);
                holds(firm, ComparisonOp::Le, top);
            }
        }
        let solved = program.solve().ok()?.into_solution().ok()?;
        Some(solved.objective())
    }

    /// Over every set of feet.
    fn reference(&self, of: (usize, f64), far: f64) -> f64 {
        let sets = 1_u32..1 << self.fans.len();
        let each = sets.filter_map(|set| self.most(of, set, far));
        each.fold(f64::NEG_INFINITY, f64::max)
    }
}

#[test]
fn any_ground_agrees_with_every_set_of_feet() {
    let mut random = Random(11);
    let outside = 1.0 / libm::cos(TAU / CORNERS as f64 / 2.0);
    let (mut frames, mut lifts, mut wider, mut over) = (0, 0, 0, 0.0_f64);
    while frames < 150 {
        let frame = Frame::random(&mut random);
        let Some(found) = extremes_on_any_ground(&frame.load, frame.tips, &frame.fans) else {
            continue;
        };
        frames += 1;
        let halfway: Vec<Support> = frame.fans.iter().map(Fan::halfway).collect();
        let halfway = extremes(&frame.load, frame.tips, &halfway).unwrap();
        let foot = random.between(0.0, frame.fans.len() as f64) as usize;
        let Extreme {
            least, greatest, ..
        } = found[foot];
        let share = |load: f64| load / frame.load.weight;
        let (inner, outer) = (
            frame.reference((foot, 1.0), 1.0),
            frame.reference((foot, 1.0), outside),
        );
        assert!(share(greatest) >= inner - 1e-6, "{greatest} {inner}");
        assert!(share(greatest) <= outer + 4e-3, "{greatest} {outer}");
        over = over.max(share(greatest) - outer);
        let (inner, outer) = (
            -frame.reference((foot, -1.0), 1.0),
            -frame.reference((foot, -1.0), outside),
        );
        assert!(share(least) <= inner + 1e-6, "{least} {inner}");
        assert!(share(least) >= outer - 4e-3, "{least} {outer}");
        over = over.max(outer - share(least));
        lifts += usize::from(least <= 0.0);
        wider += usize::from(greatest > halfway[foot].greatest + 0.01 * frame.load.weight);
    }
    println!(
        "{frames} frames, in {lifts} the foot lifts, in {wider} it carries more than halfway; told \
         by {over:.1e} of the weight too much at the most"
    );
    assert!(lifts > 20 && lifts < 140 && wider > 20, "{lifts} {wider}");
}
