//! A ride on the drawing: fence, envelope, body, feet, and the words for it.

use tober::assess::{Assessment, RideAssessment};
use tober::level::{GroundPoint, SupportKind};
use tober::ride::SpaceKind;
use tober::units::LengthStyle;

use crate::labels::{Area, Labels, around, bold_width, short};
use crate::svg::{PathData, Svg};
use crate::verdict;
use crate::window::{Px, View};
use crate::{PlanOptions, dimension, features, furniture};

/// From this scale on, feet carry their height below the high corner, metres for a pixel.
const FEET_HEIGHTS_UNTIL: f64 = 0.045;
/// From this scale on, feet carry their ids.
const FEET_IDS_UNTIL: f64 = 0.12;
/// From the envelope's edge to the middle of the handle, pixels.
const HANDLE_REACH: f64 = 26.0;

/// Draws every ride, the selected one over the others, then the words over all of them.
pub(crate) fn draw_all(
    svg: &mut Svg,
    assessment: &Assessment,
    options: &PlanOptions,
    under: &Labels,
) {
    let view = options.view();
    let mut labels = furniture::reserved(assessment.units, &view).over(under);
    // Cords lie on the ground, under the rides.
    for cord in &assessment.cords {
        let mut line = PathData::new();
        line.run(view.all_px(&cord.route));
        svg.path("cord", &line);
    }
    let mut order: Vec<(usize, &RideAssessment)> = assessment.rides.iter().enumerate().collect();
    order.sort_by_key(|(index, _)| options.selected == Some(*index));
    for &(index, ride) in &order {
        let selected = options.selected == Some(index);
        draw(svg, &mut labels, index, ride, selected, &view);
    }
    // The selected ride's words first: they get the best places. A small drawing has no room
    // for those of the others.
    let dimensioned = order
        .iter()
        .rev()
        .filter(|(index, _)| !view.is_small() || options.selected.is_none_or(|it| it == *index));
    let rows = dimensioned.filter_map(|&(index, ride)| {
        let picked = options.picked.filter(|_| options.selected == Some(index));
        let picked = picked.and_then(|row| ride.clearances.get(row));
        match picked {
            Some(row) => Some((row, "picked")),
            None => Some((ride.clearances.first()?, "tightest")),
        }
    });
    let dimensions = dimension::once(rows);
    if let Some(ride) = options.selected.and_then(|it| assessment.rides.get(it)) {
        labels.take(Area::around(handle_place(ride, &view), 36.0, 36.0));
    }
    for (row, _) in &dimensions {
        labels.take_stroke(view.px(row.from), view.px(row.to));
    }
    svg.group("over", |svg| {
        for &(index, ride) in order.iter().rev() {
            feet_words(svg, &mut labels, ride, assessment.units, &view);
            name(
                svg,
                &mut labels,
                ride,
                options.selected == Some(index),
                &view,
            );
        }
        for (row, weight) in dimensions {
            dimension::draw(svg, &mut labels, &view, row, assessment.units, weight);
        }
    });
    if let Some(index) = options.selected
        && let Some(ride) = assessment.rides.get(index)
    {
        handle(svg, index, ride, &view);
    }
}

fn draw(
    svg: &mut Svg,
    labels: &mut Labels,
    index: usize,
    ride: &RideAssessment,
    selected: bool,
    view: &View,
) {
    let class = format!(
        "ride {}{}",
        verdict::class(ride.verdict),
        if selected { " selected" } else { "" }
    );
    svg.element("g")
        .attr("class", &class)
        .attr("data-ride", &index.to_string())
        .children(|svg| {
            let hub = view.px(ride.placement.hub());
            svg.circle("envelope", hub, view.length(ride.envelope.radius));
            spaces(svg, ride, selected, view);
            fence(svg, ride, view);
            features::stakes(svg, ride.stakes.iter().copied(), view);
            body(svg, ride, view);
            for foot in &ride.ground.points {
                support(svg, ride, foot, view);
                labels.take(Area::around(view.px(foot.at), 14.0, 14.0));
            }
            if let Some(console) = ride.console {
                self::console(svg, view.px(console));
                labels.take(Area::around(view.px(console), 16.0, 16.0));
            }
            hub_cross(svg, hub);
        });
}

/// What else takes up room; what is there only while building up, of the selected ride.
fn spaces(svg: &mut Svg, ride: &RideAssessment, selected: bool, view: &View) {
    for space in &ride.spaces {
        let class = match space.kind {
            SpaceKind::Moving => "envelope",
            SpaceKind::Standing => "body",
            SpaceKind::BuildUp if selected => "build-up",
            SpaceKind::BuildUp => continue,
        };
        let mut ring = PathData::new();
        ring.ring(view.all_px(&space.outline));
        svg.path(class, &ring);
    }
}

/// The standing parts, with an arrow from the hub out over the tongue.
fn body(svg: &mut Svg, ride: &RideAssessment, view: &View) {
    let mut ring = PathData::new();
    ring.ring(view.all_px(&ride.body));
    svg.path("body", &ring);

    let (hub, ahead) = (view.px(ride.placement.hub()), screen_ahead(ride));
    let right = ahead.turned_right();
    let tip = hub.along(ahead, view.length(front(ride)) + 15.0);
    let mut line = PathData::new();
    line.stroke(hub, tip.along(ahead, -9.0));
    svg.path("heading", &line);
    let base = tip.along(ahead, -13.0);
    let mut head = PathData::new();
    head.ring([
        tip,
        base.along(right, 6.5),
        tip.along(ahead, -9.5),
        base.along(right, -6.5),
    ]);
    svg.path("heading-head", &head);
}

/// How far the standing parts reach ahead of the hub, metres.
fn front(ride: &RideAssessment) -> f64 {
    let (ahead, _) = ride.placement.axes();
    ride.body
        .iter()
        .map(|corner| (corner - ride.placement.hub()).dot(&ahead))
        .fold(0.0, f64::max)
}

/// The way the tongue points, on the screen.
fn screen_ahead(ride: &RideAssessment) -> Px {
    let (ahead, _) = ride.placement.axes();
    Px::new(ahead.x, -ahead.y)
}

fn hub_cross(svg: &mut Svg, hub: Px) {
    svg.circle("hub", hub, 4.0);
    let mut cross = PathData::new();
    cross
        .stroke(Px::new(hub.x - 7.0, hub.y), Px::new(hub.x + 7.0, hub.y))
        .stroke(Px::new(hub.x, hub.y - 7.0), Px::new(hub.x, hub.y + 7.0));
    svg.path("hub-cross", &cross);
}

/// Jacks are square, outriggers round, tyres narrow; the high corner wears a ring.
fn support(svg: &mut Svg, ride: &RideAssessment, foot: &GroundPoint, view: &View) {
    let at = view.px(foot.at);
    let size = view.length(0.45).clamp(6.0, 18.0);
    let known = if foot.elevation.is_some() {
        ""
    } else {
        " unknown"
    };
    match foot.kind {
        SupportKind::Jack => svg.rect(&format!("jack{known}"), at, size, size),
        SupportKind::Outrigger => svg.circle(&format!("outrigger{known}"), at, size / 2.0),
        SupportKind::Wheel => {
            let ahead = screen_ahead(ride);
            let mut tyre = PathData::new();
            let half = (size * 0.5).min(6.0);
            tyre.stroke(at.along(ahead, -half), at.along(ahead, half));
            svg.path("wheel", &tyre);
        }
    }
    if ride.ground.high_corner.as_deref() == Some(foot.id.as_str()) {
        svg.circle("high-corner", at, size / 2.0 + 4.5);
    }
}

fn console(svg: &mut Svg, at: Px) {
    svg.rect("console", at, 13.0, 13.0);
    svg.text("console-letter", Px::new(at.x, at.y + 3.8), "C");
}

/// Panels between posts; a gate stands open, with the arc that its leaf swings through.
fn fence(svg: &mut Svg, ride: &RideAssessment, view: &View) {
    let posts: Vec<Px> = view.all_px(&ride.fence.posts).collect();
    let hub = view.px(ride.placement.hub());
    let mut panels = PathData::new();
    let mut leaves = PathData::new();
    for (index, (&post, &next)) in posts.iter().zip(posts.iter().cycle().skip(1)).enumerate() {
        if !ride.fence.gates.contains(&index) {
            panels.stroke(post, next);
            continue;
        }
        let (Some(across), length) = (post.towards(next), post.distance(next)) else {
            continue;
        };
        // The leaf opens away from the ride.
        let right = across.turned_right();
        let outwards = if hub.distance(post.along(right, 1.0)) > hub.distance(post) {
            right
        } else {
            right.along(right, -2.0)
        };
        let open = post.along(outwards, length);
        let clockwise = outwards != right;
        leaves
            .move_to(post)
            .line_to(open)
            .arc_to(length, clockwise, next);
    }
    svg.path("fence-halo", &panels);
    svg.path("fence", &panels);
    svg.path("fence-gate", &leaves);
    let close = posts
        .iter()
        .zip(posts.iter().skip(1))
        .any(|(a, b)| a.distance(*b) < 7.0);
    if !close {
        for &post in &posts {
            svg.circle("post", post, 1.9);
        }
    }
}

/// Numbers of the feet (jacks, then outriggers, as the crew's list counts them) and their ids, and
/// when near enough how far each ground lies below the high corner.
fn feet_words(
    svg: &mut Svg,
    labels: &mut Labels,
    ride: &RideAssessment,
    style: LengthStyle,
    view: &View,
) {
    if view.metres_per_px() > FEET_IDS_UNTIL {
        return;
    }
    let hub = view.px(ride.placement.hub());
    let with_heights = view.metres_per_px() <= FEET_HEIGHTS_UNTIL;
    let feet = ride.ground.points.iter();
    let feet = feet.filter(|foot| foot.kind != SupportKind::Wheel);
    for (foot, number) in feet.zip(1..) {
        let at = view.px(foot.at);
        if !view.shows(at, 0.0) {
            continue;
        }
        let high = ride.ground.high_corner.as_deref() == Some(foot.id.as_str());
        let id = format!("{number} {}", short(&foot.id));
        let height = match foot.below_high {
            _ if !with_heights => None,
            _ if high => Some("high corner".to_owned()),
            Some(below) => Some(format!("−{}", style.format(below))),
            None => Some("not known".to_owned()),
        };
        let text = match height {
            None if high => format!("{id} high"),
            None => id,
            Some(height) => format!("{id}  {height}"),
        };
        let width = bold_width(&text, 12.0);
        let outwards = hub.towards(at).unwrap_or(Px::new(0.0, -1.0));
        let first = Px::new(
            at.x + outwards.x * (width / 2.0 + 14.0),
            at.y + outwards.y * 18.0,
        );
        let candidates = [first]
            .into_iter()
            // Farther off it would seem to belong to another foot.
            .chain(around(at, width / 2.0 + 14.0, 19.0).into_iter().take(8));
        if let Some(place) = labels.place(view, candidates, width + 2.0, 14.0) {
            svg.text("label foot", Px::new(place.x, place.y + 4.2), &text);
        }
    }
}

/// The name with the verdict's mark and word, over the ride or wherever there is room.
fn name(svg: &mut Svg, labels: &mut Labels, ride: &RideAssessment, selected: bool, view: &View) {
    let hub = view.px(ride.placement.hub());
    let reach = view.length(ride.envelope.radius);
    if !view.shows(hub, reach) {
        return;
    }
    let name = short(&ride.name);
    let word = ride.verdict.word();
    let width = bold_width(&name, 14.0).max(bold_width(word, 12.0) + 22.0) + 8.0;
    let outside = around(hub, reach + width / 2.0 + 8.0, reach + 24.0);
    let inside = [-0.62, 0.62].map(|share| Px::new(hub.x, hub.y + reach * share));
    // Inside where the circle is wide enough for the words, else round about it.
    let candidates: Vec<Px> = if reach > 0.9 * width {
        inside.into_iter().chain(outside).collect()
    } else {
        outside
    };
    let at = labels.place_surely(view, &candidates, width, 36.0);
    let class = if selected {
        "label ride-name selected"
    } else {
        "label ride-name"
    };
    svg.text(class, Px::new(at.x, at.y - 3.0), &name);
    let left = at.x - (bold_width(word, 12.0) + 18.0) / 2.0;
    verdict::mark(svg, ride.verdict, Px::new(left + 6.0, at.y + 9.5), 6.5);
    svg.text(
        "label ride-verdict",
        Px::new(left + 18.0, at.y + 14.0),
        word,
    );
}

/// Where the handle's middle stands.
fn handle_place(ride: &RideAssessment, view: &View) -> Px {
    let reach = view.length(ride.envelope.radius.max(front(ride)));
    view.px(ride.placement.hub())
        .along(screen_ahead(ride), reach + HANDLE_REACH)
}

/// The handle that turns the selected ride: out beyond the envelope, where the tongue points.
fn handle(svg: &mut Svg, index: usize, ride: &RideAssessment, view: &View) {
    let hub = view.px(ride.placement.hub());
    let ahead = screen_ahead(ride);
    let reach = view.length(ride.envelope.radius.max(front(ride)));
    let at = handle_place(ride, view);
    svg.element("g")
        .attr("class", "handle")
        .attr("data-ride", &index.to_string())
        .attr("data-handle", "turn")
        .children(|svg| {
            let mut arm = PathData::new();
            arm.stroke(hub.along(ahead, reach), at.along(ahead, -13.0));
            svg.path("handle-arm", &arm);
            // A finger in a glove needs more than what shows.
            svg.circle("handle-touch", at, 26.0);
            svg.circle("handle-grip", at, 13.0);
            let place = |x: f64, y: f64| Px::new(at.x + x, at.y + y);
            let mut arc = PathData::new();
            arc.move_to(place(-4.6, 4.6))
                .arc_to(6.5, true, place(-4.6, -4.6))
                .arc_to(6.5, true, place(4.6, -4.6))
                .arc_to(6.5, true, place(4.6, 4.6));
            svg.path("handle-arc", &arc);
            let mut head = PathData::new();
            head.ring([place(1.4, 3.6), place(7.6, 2.4), place(4.2, 8.2)]);
            svg.path("handle-head", &head);
        });
}
