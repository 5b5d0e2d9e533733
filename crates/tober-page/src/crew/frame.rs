//! The frame seen from above, tongue up: numbered feet, and beside each what it stands on.
//!
//! Holes, turns and stacks are the plan's. The sums here lay them out on the paper.

use leptos::prelude::*;
use tober::Point;
use tober::level::{JackSetting, LevelPlan, Stack};
use tober::ride::RideProfile;
use tober::units::LengthStyle;

use super::now;
use crate::level::number;
use crate::stack;
use crate::state::Store;
use crate::words;

/// Width of the drawing and of the words at either side, px.
const WIDTH: f64 = 400.0;
const SIDE: f64 = 120.0;
/// Between two feet's words.
const GAP: f64 = 12.0;
/// Above the words: which side is which.
const HEAD: f64 = 26.0;
/// Tallest stack, and most pixels for a metre of it: all stacks have one scale.
const TALLEST: f64 = 64.0;
const STACK_SCALE: f64 = 160.0;

/// What a foot stands on.
enum Under<'a> {
    Jack(&'a JackSetting),
    Outrigger(&'a Stack),
}

/// A foot and where its words go.
struct Foot<'a> {
    id: &'a str,
    number: usize,
    at: Point,
    under: Under<'a>,
    /// Height of its words.
    tall: f64,
    /// Top of its words.
    top: f64,
}

/// Draws the ride that is worked on; nothing where its ground is not known.
pub(super) fn frame(store: Store) -> Option<impl IntoView + use<>> {
    let current = now::current_support(&store);
    let index = store.ride.get();
    store.site.with(|site| {
        let profile = site.profile(index)?;
        store.with_ride(|ride, style| {
            let plan = &ride.level;
            (!plan.jacks.is_empty()).then(|| {
                view! {
                    <h3>"The frame from above"</h3>
                    {draw(profile, plan, style, current.as_deref())}
                    <p class="hint">
                        "Squares are jacks, rounds are outriggers. Jacks: hole, turns until it \
                         touches, turns of lifting, turns back down. Stacks are drawn to one scale."
                    </p>
                }
            })
        })?
    })
}

fn draw(
    profile: &RideProfile,
    plan: &LevelPlan,
    style: LengthStyle,
    current: Option<&str>,
) -> impl IntoView + use<> {
    let tallest = plan.outriggers.iter().map(|it| it.height);
    let tallest = tallest.fold(0.0_f64, f64::max);
    let stack_scale = STACK_SCALE.min(TALLEST / tallest.max(0.01));
    let (mut left, mut right): (Vec<Foot>, Vec<Foot>) = feet(profile, plan, stack_scale)
        .into_iter()
        .partition(|foot| foot.at.y >= 0.0);
    let height = HEAD + side_height(&left).max(side_height(&right)).max(260.0);
    let paper = Paper::new(profile, height);
    for side in [&mut left, &mut right] {
        place_words(side, &paper, height);
    }
    let body: Vec<String> = profile
        .body
        .iter()
        .map(|&corner| {
            let (x, y) = paper.at(corner);
            format!("{x:.1},{y:.1}")
        })
        .collect();
    let wheels = profile
        .wheels
        .iter()
        .map(|wheel| {
            let (x, y) = paper.at(wheel.at);
            view! { <rect class="frame-wheel" x=x - 3.0 y=y - 6.0 width="6" height="12" rx="2"/> }
        })
        .collect_view();
    let drawn = |feet: &[Foot], x: f64| {
        feet.iter()
            .map(|foot| drawn_foot(foot, x, &paper, stack_scale, style, current))
            .collect_view()
    };
    let (left, right) = (drawn(&left, 0.0), drawn(&right, WIDTH - SIDE));
    view! {
        <svg class="frame" viewBox=format!("0 0 {WIDTH} {height:.0}") role="img"
            aria-label="The frame seen from above, tongue up, with its feet numbered. What each \
                        foot stands on is written below.">
            <text class="frame-side" x="4" y="14">"Left"</text>
            <text class="frame-side" x=WIDTH / 2.0 y="14" text-anchor="middle">"▲ tongue"</text>
            <text class="frame-side" x=WIDTH - 4.0 y="14" text-anchor="end">"Right"</text>
            <polygon class="frame-body" points=body.join(" ")/>
            {wheels}
            {left}
            {right}
        </svg>
    }
}

/// Where places of the ride frame come to lie: x goes up, y to the left.
struct Paper {
    scale: f64,
    middle: Point,
    centre: (f64, f64),
}

impl Paper {
    fn new(profile: &RideProfile, height: f64) -> Paper {
        let jacks = profile.jacks.iter().map(|it| it.at);
        let outriggers = profile.outriggers.iter().map(|it| it.at);
        let body = profile.body.iter().copied();
        let all = jacks.chain(outriggers).chain(body);
        let (mut low, mut high) = (Point::new(-0.5, -0.5), Point::new(0.5, 0.5));
        for at in all {
            low = Point::new(low.x.min(at.x), low.y.min(at.y));
            high = Point::new(high.x.max(at.x), high.y.max(at.y));
        }
        let (wide, long) = (WIDTH - 2.0 * SIDE - 44.0, height - HEAD - 24.0);
        Paper {
            scale: (wide / (high.y - low.y)).min(long / (high.x - low.x)),
            middle: low + (high - low) / 2.0,
            centre: (WIDTH / 2.0, (height + HEAD) / 2.0),
        }
    }

    fn at(&self, place: Point) -> (f64, f64) {
        (
            self.centre.0 - self.scale * (place.y - self.middle.y),
            self.centre.1 - self.scale * (place.x - self.middle.x),
        )
    }
}

/// Every jack and outrigger, the ones nearest to the tongue first.
fn feet<'a>(profile: &'a RideProfile, plan: &'a LevelPlan, stack_scale: f64) -> Vec<Foot<'a>> {
    let jacks = profile
        .jacks
        .iter()
        .zip(&plan.jacks)
        .map(|(jack, setting)| (&jack.id, jack.at, Under::Jack(setting), 64.0));
    let outriggers = profile
        .outriggers
        .iter()
        .zip(&plan.outriggers)
        .map(|(outrigger, stack)| {
            let tall = 46.0 + stack::height(&stack.pieces, stack_scale);
            (&outrigger.id, outrigger.at, Under::Outrigger(stack), tall)
        });
    let mut feet: Vec<Foot> = jacks
        .chain(outriggers)
        .map(|(id, at, under, tall)| Foot {
            id,
            number: number(plan, id).unwrap_or(0),
            at,
            under,
            tall,
            top: 0.0,
        })
        .collect();
    feet.sort_by(|a, b| b.at.x.total_cmp(&a.at.x));
    feet
}

fn side_height(feet: &[Foot]) -> f64 {
    feet.iter().map(|foot| foot.tall + GAP).sum()
}

/// Puts each foot's words as near to it as the ones above and below leave room.
fn place_words(feet: &mut [Foot], paper: &Paper, height: f64) {
    let mut below = side_height(feet);
    let mut top = HEAD;
    for foot in feet {
        let wanted = paper.at(foot.at).1 - foot.tall / 2.0;
        foot.top = wanted.min(height - below).max(top);
        top = foot.top + foot.tall + GAP;
        below -= foot.tall + GAP;
    }
}

fn drawn_foot(
    foot: &Foot,
    left: f64,
    paper: &Paper,
    stack_scale: f64,
    style: LengthStyle,
    current: Option<&str>,
) -> impl IntoView + use<> {
    let (x, y) = paper.at(foot.at);
    let top = foot.top;
    let edge = if left > 0.0 { left - 2.0 } else { SIDE + 2.0 };
    let class = if current == Some(foot.id) {
        "frame-foot current"
    } else {
        "frame-foot"
    };
    let jack = matches!(foot.under, Under::Jack(_));
    let sign = move |x: f64, y: f64| {
        if jack {
            view! {
                <rect class="foot-sign" x=x - 9.0 y=y - 9.0 width="18" height="18" rx="2"/>
            }
            .into_any()
        } else {
            view! { <circle class="foot-sign" cx=x cy=y r="10"/> }.into_any()
        }
    };
    let numbered = |x: f64, y: f64| {
        view! {
            {sign(x, y)}
            <text class="foot-digit" x=x y=y + 4.5 text-anchor="middle">{foot.number}</text>
        }
    };
    let words = match foot.under {
        Under::Jack(jack) => {
            let mut turns = format!(
                "{} + {}",
                words::turns(jack.turns_free),
                words::turns(jack.turns_loaded)
            );
            if jack.turns_down != 0.0 {
                turns += &format!(" − {}", words::turns(jack.turns_down));
            }
            view! {
                <text class="foot-words" x=left + 4.0 y=top + 38.0>
                    {match jack.packing.len() {
                        0 => format!("hole {} of {}", jack.hole, jack.holes),
                        pieces => format!("hole {}, on {pieces} pcs", jack.hole),
                    }}
                </text>
                <text class="foot-words" x=left + 4.0 y=top + 56.0>{turns}</text>
            }
            .into_any()
        }
        Under::Outrigger(it) => {
            let ground = top + foot.tall - 18.0;
            view! {
                <g inner_html=stack::pieces_svg(&it.pieces, left + 46.0, ground, stack_scale)></g>
                <text class="foot-words" x=left + 4.0 y=ground + 15.0>
                    {if it.pieces.is_empty() {
                        "on the ground".to_owned()
                    } else {
                        format!("{} pcs, {}", it.pieces.len(), style.format(it.height))
                    }}
                </text>
            }
            .into_any()
        }
    };
    view! {
        <g class=class>
            <path class="foot-leader" d=format!("M{edge:.1} {:.1}L{x:.1} {y:.1}", top + 12.0)/>
            <rect class="foot-plate" x=left y=top - 1.0 width=SIDE height=foot.tall + 4.0 rx="6"/>
            {numbered(left + 14.0, top + 12.0)}
            <text class="foot-id" x=left + 30.0 y=top + 17.0>{foot.id.to_owned()}</text>
            {words}
            {numbered(x, y)}
        </g>
    }
}
