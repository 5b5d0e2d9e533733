//! What stands on, over and under the lot, each by its own sign.

use tober::Point;
use tober::site::{
    BreaklineKind, Building, BuriedService, Cover, Disconnect, Extinguisher, FireLane, FuelStore,
    Gate, OverheadLine, PowerSource, Rope, Site, Tree,
};
use tober::units::LengthStyle;

use crate::labels::{Area, Labels, around, bold_width, short, text_width, write_along};
use crate::svg::{PathData, Svg};
use crate::terrain::centroid;
use crate::window::{Px, View};
use crate::words::volts_text;

const TEXT: f64 = 12.0;
/// From one edge tick of a fire lane to the next, pixels.
const TICK_STEP: f64 = 13.0;
const TICK: f64 = 6.0;
/// From so many pixels a metre on, what stands beside a console has its name: drawn smaller, the
/// ride would lie over it.
const NAMED_FROM: f64 = 24.0;

/// What lies flat under everything: walkways and fire lanes, as bands of their real width.
pub(crate) fn flat(svg: &mut Svg, site: &Site, view: &View) {
    let features = &site.file().features;
    for walkway in &features.walkways {
        band(svg, "walkway", &walkway.path, walkway.width, view);
    }
    for lane in &features.fire_lanes {
        band(svg, "fire-lane", &lane.path, lane.width, view);
        fire_lane_ticks(svg, lane, view);
    }
}

/// What stands, hangs and is buried, with the words for it and for the bands.
pub(crate) fn standing(svg: &mut Svg, labels: &mut Labels, site: &Site, view: &View) {
    let style = site.file().units;
    let features = &site.file().features;
    for service in &features.buried_services {
        buried_service(svg, service, view);
    }
    for cover in &features.covers {
        cover_in_ground(svg, labels, cover, view);
    }
    for building in &features.buildings {
        outline_building(svg, building, view);
        stakes(svg, building.stakes.iter().map(|it| it.at), view);
    }
    for tree in &features.trees {
        canopy(svg, labels, tree, view);
    }
    for source in &features.power_sources {
        power_source(svg, labels, source, view);
    }
    for fuel in &features.fuel_stores {
        fuel_store(svg, labels, fuel, view);
    }
    for extinguisher in &features.extinguishers {
        extinguisher_sign(svg, labels, extinguisher, view);
    }
    for rope in &features.ropes {
        rope_line(svg, rope, view);
    }
    for disconnect in &features.disconnects {
        disconnect_sign(svg, labels, disconnect, view);
    }
    for gate in &features.gates {
        gateway(svg, gate, view);
    }
    for line in &features.overhead_lines {
        overhead_line(svg, line, view);
    }
    words(svg, labels, site, style, view);
}

/// The words last, so that they stand over every sign; what is dangerous first, so that it
/// gets the best places.
fn words(svg: &mut Svg, labels: &mut Labels, site: &Site, style: LengthStyle, view: &View) {
    let features = &site.file().features;
    for line in &features.overhead_lines {
        let lowest = line.points.iter().map(|point| point.height);
        let lowest = lowest.fold(f64::INFINITY, f64::min);
        let text = format!(
            "{} · {} · {} up",
            named(&line.name, "Overhead line"),
            volts_text(line.volts),
            style.format_down(lowest),
        );
        let path: Vec<Point> = line.points.iter().map(|p| Point::new(p.x, p.y)).collect();
        label_along(svg, labels, view, "overhead", &path, &text);
    }
    for lane in &features.fire_lanes {
        let text = format!("{} · keep clear", named(&lane.name, "Fire lane"));
        label_along(svg, labels, view, "fire-lane", &lane.path, &text);
    }
    for building in &features.buildings {
        let name = named(&building.name, "Building");
        let mut height = format!("{} high", style.format_up(building.height));
        if let Some(underside) = building.underside {
            height = format!("{} clear beneath", style.format_down(underside));
        }
        label_building(svg, labels, view, building, &name, &height);
    }
    for walkway in &features.walkways {
        let text = named(&walkway.name, "Walkway");
        label_along(svg, labels, view, "walkway", &walkway.path, &text);
    }
    for service in &features.buried_services {
        let text = format!("{} (buried)", named(&service.name, "Service"));
        label_along(svg, labels, view, "buried", &service.path, &text);
    }
    for source in &features.power_sources {
        let at = view.px(source.at);
        let reach = view.length(source.radius).max(7.0) + 11.0;
        label_beside(
            svg,
            labels,
            view,
            "power",
            at,
            reach,
            &named(&source.name, "Power"),
        );
    }
    for fuel in &features.fuel_stores {
        let at = view.px(fuel.at);
        let reach = view.length(fuel.radius).max(8.0) + 11.0;
        let name = named(&fuel.name, "Fuel");
        label_beside(svg, labels, view, "fuel", at, reach, &name);
    }
    let is_near = view.length(1.0) >= NAMED_FROM;
    for extinguisher in features.extinguishers.iter().filter(|_| is_near) {
        let at = view.px(extinguisher.at);
        let name = named(&extinguisher.name, "Extinguisher");
        label_beside(svg, labels, view, "extinguisher", at, 17.0, &name);
    }
    for rope in &features.ropes {
        let name = named(&rope.name, "Rope");
        let marked = if rope.marked { " · marked" } else { "" };
        let text = format!("{name}{marked}");
        label_along(
            svg,
            labels,
            view,
            "rope",
            &[rope.from.at, rope.to.at],
            &text,
        );
    }
    for disconnect in features.disconnects.iter().filter(|_| is_near) {
        let at = view.px(disconnect.at);
        let name = named(&disconnect.name, "Disconnect");
        label_beside(svg, labels, view, "power", at, 17.0, &name);
    }
    for gate in &features.gates {
        let at = view.px(gate.from + (gate.to - gate.from) / 2.0);
        label_beside(
            svg,
            labels,
            view,
            "gate",
            at,
            14.0,
            &named(&gate.name, "Gate"),
        );
    }
    for line in &site.file().breaklines {
        let text = named(&line.name, breakline_word(line.kind));
        let shots = line.points.iter();
        let path: Vec<Point> = shots.map(|shot| Point::new(shot.x, shot.y)).collect();
        label_along(svg, labels, view, "breakline", &path, &text);
    }
    for cover in &features.covers {
        let at = view.px(cover.at);
        let reach = view.length(cover.radius).max(4.0) + 11.0;
        let name = named(&cover.name, "Cover");
        label_beside(svg, labels, view, "buried", at, reach, &name);
    }
    for tree in &features.trees {
        let at = view.px(tree.at);
        let text = named(&tree.name, "Tree");
        let reach = view.length(tree.trunk_radius).max(3.0) + 11.0;
        label_beside(svg, labels, view, "tree", at, reach, &text);
    }
}

fn breakline_word(kind: BreaklineKind) -> &'static str {
    match kind {
        BreaklineKind::Kerb => "Kerb",
        BreaklineKind::Ditch => "Ditch",
        BreaklineKind::PavementEdge => "Edge of pavement",
        BreaklineKind::Other => "Breakline",
    }
}

fn named(name: &str, otherwise: &str) -> String {
    if name.is_empty() {
        otherwise.to_owned()
    } else {
        short(name)
    }
}

/// A band along a path: its edges are what is left of a broad stroke under a narrower one.
fn band(svg: &mut Svg, class: &str, path: &[Point], width: f64, view: &View) {
    let mut data = PathData::new();
    data.run(view.all_px(path));
    let width = view.length(width).max(2.0);
    for (part, width) in [("edge", width + 1.5), ("band", width)] {
        svg.element("path")
            .attr("class", &format!("{class}-{part}"))
            .px("stroke-width", width)
            .attr("d", data.as_str())
            .end();
    }
}

/// Slanting ticks inwards from both edges of a fire lane.
fn fire_lane_ticks(svg: &mut Svg, lane: &FireLane, view: &View) {
    let half = view.length(lane.width) / 2.0;
    if half < TICK {
        return;
    }
    let run: Vec<Px> = view.all_px(&lane.path).collect();
    let mut path = PathData::new();
    for (&a, &b) in run.iter().zip(run.iter().skip(1)) {
        let Some(ahead) = a.towards(b) else { continue };
        let right = ahead.turned_right();
        // Only the part that shows: a lane may be far longer than the drawing.
        let ticks = (a.distance(b) / TICK_STEP).min(4000.0) as u32;
        for tick in 0..ticks {
            let middle = a.along(ahead, (f64::from(tick) + 0.5) * TICK_STEP);
            if !view.shows(middle, half + TICK) {
                continue;
            }
            for side in [half, -half] {
                let edge = middle.along(right, side);
                let inner = edge
                    .along(right, -TICK * side.signum())
                    .along(ahead, TICK * side.signum());
                path.stroke(edge, inner);
            }
        }
    }
    svg.path("fire-lane-tick", &path);
}

fn outline_building(svg: &mut Svg, building: &Building, view: &View) {
    let mut ring = PathData::new();
    ring.ring(view.all_px(&building.outline));
    if building.underside.is_some() {
        // Room beneath: no wall, only the edge of the roof.
        svg.path("awning", &ring);
        return;
    }
    svg.path("building", &ring);
    svg.path("building-hatch", &ring);
}

fn canopy(svg: &mut Svg, labels: &mut Labels, tree: &Tree, view: &View) {
    let at = view.px(tree.at);
    let trunk = view.length(tree.trunk_radius).max(2.5);
    svg.circle("canopy", at, view.length(tree.canopy_radius));
    svg.circle("trunk", at, trunk);
    labels.take(Area::around(at, 2.0 * trunk, 2.0 * trunk));
}

/// Wires as a line with a spark at the middle of each span, poles as crossed circles.
fn overhead_line(svg: &mut Svg, line: &OverheadLine, view: &View) {
    let run: Vec<Px> = line
        .points
        .iter()
        .map(|point| view.px(Point::new(point.x, point.y)))
        .collect();
    let mut wire = PathData::new();
    wire.run(run.iter().copied());
    svg.path("overhead", &wire);
    let mut sparks = PathData::new();
    for (&a, &b) in run.iter().zip(run.iter().skip(1)) {
        let at = a.middle(b);
        sparks.run(
            [(2.0, -8.0), (-3.0, 1.0), (3.0, -1.0), (-2.0, 8.0)]
                .map(|(x, y)| Px::new(at.x + x, at.y + y)),
        );
    }
    svg.path("spark", &sparks);
    for &pole in run.iter().filter(|&&pole| view.shows(pole, 8.0)) {
        svg.circle("pole", pole, 4.5);
        let mut cross = PathData::new();
        cross
            .stroke(
                Px::new(pole.x - 3.2, pole.y - 3.2),
                Px::new(pole.x + 3.2, pole.y + 3.2),
            )
            .stroke(
                Px::new(pole.x - 3.2, pole.y + 3.2),
                Px::new(pole.x + 3.2, pole.y - 3.2),
            );
        svg.path("pole-cross", &cross);
    }
}

fn buried_service(svg: &mut Svg, service: &BuriedService, view: &View) {
    let mut path = PathData::new();
    path.run(view.all_px(&service.path));
    svg.path("buried", &path);
}

fn power_source(svg: &mut Svg, labels: &mut Labels, source: &PowerSource, view: &View) {
    let at = view.px(source.at);
    let radius = view.length(source.radius);
    svg.circle("power-reach", at, radius);
    svg.rect("power", at, 14.0, 14.0);
    let mut bolt = PathData::new();
    bolt.run(
        [(1.5, -5.0), (-2.5, 1.0), (2.5, -1.0), (-1.5, 5.0)]
            .map(|(x, y)| Px::new(at.x + x, at.y + y)),
    );
    svg.path("power-bolt", &bolt);
    labels.take(Area::around(at, 16.0, 16.0));
}

/// A lid: a ring with a cross in it.
fn cover_in_ground(svg: &mut Svg, labels: &mut Labels, cover: &Cover, view: &View) {
    let at = view.px(cover.at);
    let radius = view.length(cover.radius).max(4.0);
    svg.circle("cover", at, radius);
    let half = radius * 0.7;
    let mut cross = PathData::new();
    cross
        .stroke(Px::new(at.x - half, at.y), Px::new(at.x + half, at.y))
        .stroke(Px::new(at.x, at.y - half), Px::new(at.x, at.y + half));
    svg.path("cover-cross", &cross);
    labels.take(Area::around(at, 2.0 * radius, 2.0 * radius));
}

/// A diamond with a flame in it, and how far the store reaches.
fn fuel_store(svg: &mut Svg, labels: &mut Labels, fuel: &FuelStore, view: &View) {
    let at = view.px(fuel.at);
    svg.circle("fuel-reach", at, view.length(fuel.radius));
    let place = |x: f64, y: f64| Px::new(at.x + x, at.y + y);
    let mut sign = PathData::new();
    sign.ring([
        place(0.0, -10.0),
        place(10.0, 0.0),
        place(0.0, 10.0),
        place(-10.0, 0.0),
    ]);
    svg.path("fuel", &sign);
    let mut flame = PathData::new();
    flame.ring([
        place(0.5, -5.5),
        place(3.5, 0.5),
        place(1.5, 4.5),
        place(-1.5, 4.5),
        place(-3.5, 0.0),
        place(-1.0, -1.0),
    ]);
    svg.path("fuel-flame", &flame);
    labels.take(Area::around(at, 20.0, 20.0));
}

/// A bottle with its valve.
fn extinguisher_sign(svg: &mut Svg, labels: &mut Labels, it: &Extinguisher, view: &View) {
    let at = view.px(it.at);
    if !view.shows(at, 12.0) {
        return;
    }
    let place = |x: f64, y: f64| Px::new(at.x + x, at.y + y);
    let mut bottle = PathData::new();
    bottle.ring([
        place(-3.5, 8.0),
        place(-3.5, -2.0),
        place(-1.5, -4.5),
        place(1.5, -4.5),
        place(3.5, -2.0),
        place(3.5, 8.0),
    ]);
    svg.path("extinguisher", &bottle);
    let mut valve = PathData::new();
    valve.run([place(0.0, -4.5), place(0.0, -7.5), place(5.0, -5.5)]);
    svg.path("extinguisher-valve", &valve);
    labels.take(Area::around(at, 12.0, 18.0));
}

/// A switch that stands open.
fn disconnect_sign(svg: &mut Svg, labels: &mut Labels, it: &Disconnect, view: &View) {
    let at = view.px(it.at);
    if !view.shows(at, 12.0) {
        return;
    }
    let place = |x: f64, y: f64| Px::new(at.x + x, at.y + y);
    svg.rect("disconnect", at, 12.0, 14.0);
    let mut switch = PathData::new();
    switch
        .stroke(place(0.0, -7.0), place(0.0, -3.5))
        .stroke(place(0.0, 3.0), place(4.0, -3.0))
        .stroke(place(0.0, 3.0), place(0.0, 7.0));
    svg.path("disconnect-switch", &switch);
    labels.take(Area::around(at, 14.0, 16.0));
}

/// A thin line from end to end; small flags along one that is marked.
fn rope_line(svg: &mut Svg, rope: &Rope, view: &View) {
    /// From one flag to the next, pixels.
    const FLAG_STEP: f64 = 22.0;
    let (from, to) = (view.px(rope.from.at), view.px(rope.to.at));
    let mut line = PathData::new();
    line.stroke(from, to);
    svg.path("rope", &line);
    svg.circle("rope-end", from, 2.2);
    svg.circle("rope-end", to, 2.2);
    let Some(ahead) = from.towards(to).filter(|_| rope.marked) else {
        return;
    };
    let mut flags = PathData::new();
    // Only those that show: a rope may be far longer than the drawing.
    let count = (from.distance(to) / FLAG_STEP).min(400.0) as u32;
    for flag in 1..=count {
        let at = from.along(ahead, (f64::from(flag) - 0.5) * FLAG_STEP);
        if view.shows(at, 8.0) {
            flags.ring([
                at,
                Px::new(at.x + 5.0, at.y + 2.5),
                Px::new(at.x, at.y + 6.0),
            ]);
        }
    }
    svg.path("rope-flag", &flags);
}

/// Stakes: a small wedge each, its tip where it is driven.
pub(crate) fn stakes(svg: &mut Svg, places: impl Iterator<Item = Point>, view: &View) {
    let mut wedges = PathData::new();
    for at in places
        .map(|at| view.px(at))
        .filter(|&at| view.shows(at, 6.0))
    {
        wedges.ring([
            Px::new(at.x, at.y),
            Px::new(at.x - 2.6, at.y - 6.5),
            Px::new(at.x + 2.6, at.y - 6.5),
        ]);
    }
    svg.path("stake", &wedges);
}

/// A gap in the lot line between two posts.
fn gateway(svg: &mut Svg, gate: &Gate, view: &View) {
    let (from, to) = (view.px(gate.from), view.px(gate.to));
    let mut gap = PathData::new();
    gap.stroke(from, to);
    svg.path("gate-gap", &gap);
    svg.path("gate", &gap);
    for post in [from, to] {
        svg.rect("gate-post", post, 6.0, 6.0);
    }
}

/// Words along a path: on a band, beside a line; on its longest span, where there is room.
fn label_along(
    svg: &mut Svg,
    labels: &mut Labels,
    view: &View,
    class: &str,
    path: &[Point],
    text: &str,
) {
    let run: Vec<Px> = view.all_px(path).collect();
    let mut spans: Vec<(Px, Px)> = run
        .iter()
        .copied()
        .zip(run.iter().copied().skip(1))
        .collect();
    spans.sort_by(|(a, b), (c, d)| c.distance(*d).total_cmp(&a.distance(*b)));
    let offsets: &[f64] = match class {
        "walkway" | "fire-lane" => &[0.0],
        _ => &[-10.0, 10.0],
    };
    // From the middle outwards: a span may run far off the drawing.
    let places = (0..24).map(|step| {
        let off = 0.02 * f64::from(step);
        if step % 2 == 0 { 0.5 + off } else { 0.5 - off }
    });
    let candidates = spans.iter().take(6).flat_map(|&(a, b)| {
        let ahead = a.towards(b).unwrap_or(Px::new(1.0, 0.0));
        let side = ahead.turned_right();
        places.clone().flat_map(move |share| {
            let at = a.along(ahead, a.distance(b) * share);
            offsets
                .iter()
                .map(move |&offset| (at.along(side, offset), ahead))
        })
    });
    let width = match class {
        "overhead" | "fire-lane" => bold_width(text, TEXT),
        _ => text_width(text, TEXT),
    };
    if let Some((at, along)) = labels.place_along(view, candidates, width + 4.0, 15.0) {
        write_along(svg, &format!("label {class}-label"), at, along, text);
    }
}

/// Words beside a sign that reaches `reach` pixels.
fn label_beside(
    svg: &mut Svg,
    labels: &mut Labels,
    view: &View,
    class: &str,
    at: Px,
    reach: f64,
    text: &str,
) {
    let width = text_width(text, TEXT);
    let candidates = around(at, reach + width / 2.0, reach);
    if !view.shows(at, 0.0) {
        return;
    }
    if let Some(place) = labels.place(view, candidates, width + 4.0, 15.0) {
        svg.text(
            &format!("label {class}-label"),
            Px::new(place.x, place.y + 4.0),
            text,
        );
    }
}

fn label_building(
    svg: &mut Svg,
    labels: &mut Labels,
    view: &View,
    building: &Building,
    name: &str,
    height: &str,
) {
    let at = view.px(centroid(&building.outline));
    let width = text_width(name, TEXT).max(text_width(height, TEXT));
    let candidates = [at].into_iter().chain(around(at, width / 2.0 + 20.0, 34.0));
    if !view.shows(at, 0.0) {
        return;
    }
    if let Some(place) = labels.place(view, candidates, width + 4.0, 30.0) {
        svg.text(
            "label building-label",
            Px::new(place.x, place.y - 3.0),
            name,
        );
        svg.text(
            "label building-label small",
            Px::new(place.x, place.y + 11.0),
            height,
        );
    }
}
