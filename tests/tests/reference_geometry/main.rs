//! The geometry against reference libraries in the same run: GEOS for hulls, areas, lengths and
//! distances, and a second Delaunay library (`delaunator`) for the ground.

mod distances;
mod ground;
mod shapes;
