//! After the clean-up zones tile the field and none is too small, whatever the field and the samples.
//! Their width is judged by GEOS: `tests/outside/check.py` on the demo farm, `random_fields.py` on
//! random fields.

use geo::{Area as _, Coord};
use landplaster::geometry::{Coverage, Face};
use landplaster::soil::Tiers;
use landplaster::surface::{Idw, Lattice, Surface};
use landplaster::units::{Area, Length};
use landplaster::zones::{
    BetweenClasses, ClassedNodes, CleanUp, Islands, Mesh, NodeOdds, Passes, Prefer, Tiered,
    along_passes, clean_up, partition,
};
use proptest::prelude::*;

use super::fields::{Case, case, tiles};

const STEP: f64 = 3.048;

fn zones(case: &Case, asked: &CleanUp) -> Coverage {
    let surface = Surface::new(case.points.clone(), Idw::default()).unwrap();
    let lattice = Lattice::over(&case.field, STEP).unwrap();
    let places: Vec<Coord<f64>> =
        case.points.iter().map(|p| Coord { x: p.easting, y: p.northing }).collect();
    let mesh = Mesh::fill(&case.field, &[], &places, lattice).unwrap();
    let mut values = surface.on_lattice(&lattice);
    values.extend(mesh.extras().iter().map(|at| surface.at(at.x, at.y)));
    let tiers = Tiers::common_practice();
    let classes: Vec<u32> = values.iter().map(|&value| tiers.class(value)).collect();
    let tiered = Tiered { surface: &surface, tiers: &tiers };
    let raw = partition(&mesh, &values, &classes, BetweenClasses::Strips, &tiered);
    let odds = NodeOdds { lattice: &lattice, nodes: Vec::new(), samples: Vec::new() };
    clean_up(&raw, &mesh, &values, &classes, &tiered, asked, &odds).coverage
}

/// The zones along passes.
fn cells(case: &Case, passes: &Passes, min_zone: Area) -> Coverage {
    let surface = Surface::new(case.points.clone(), Idw::default()).unwrap();
    let lattice = Lattice::over(&case.field, STEP).unwrap();
    let mesh = Mesh::fill(&case.field, &[], &[], lattice).unwrap();
    let tiers = Tiers::common_practice();
    let values = surface.on_lattice(&lattice);
    let classes: Vec<u32> = values.iter().map(|&value| tiers.class(value)).collect();
    let nodes = ClassedNodes { lattice: &lattice, inside: mesh.inside(), classes: &classes };
    let class_at = |at: Coord<f64>| tiers.class(surface.at(at.x, at.y));
    let least = (min_zone, Prefer::Nearest);
    let odds = NodeOdds { lattice: &lattice, nodes: Vec::new(), samples: Vec::new() };
    along_passes(&case.field, &[], nodes, class_at, passes, least, &odds).unwrap().coverage
}

/// Whether a face has a border with another.
fn has_neighbour(coverage: &Coverage, face: &Face) -> bool {
    let mut theirs = std::collections::HashSet::new();
    for other in coverage.faces.iter().filter(|other| *other != face) {
        theirs.extend(other.edges());
    }
    face.edges().any(|[a, b]| theirs.contains(&[b, a]))
}

fn asked() -> impl Strategy<Value = CleanUp> {
    let prefer = prop::sample::select(vec![Prefer::Nearest, Prefer::Higher, Prefer::Lower]);
    (0.1..1.5_f64, 9.0..30.0_f64, prefer).prop_map(|(acres, min_width, prefer)| CleanUp {
        min_zone: Area::acres(acres),
        min_width: Length::metres(min_width),
        tolerance: Length::feet(15.0),
        prefer,
        islands: Islands::Keep,
    })
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(200))]

    #[test]
    fn zones_are_large_enough(case in case(), asked in asked()) {
        let coverage = zones(&case, &asked);
        tiles(&coverage, &case.field)?;
        let passes = Passes { heading: case.points[0].value, swath: asked.min_width.as_metres(), cell: 25.0 };
        tiles(&cells(&case, &passes, asked.min_zone), &case.field)?;
        for face in &coverage.faces {
            let area = coverage.plane_polygon(face).unsigned_area();
            prop_assert!(!has_neighbour(&coverage, face) || area >= asked.min_zone.as_square_metres(), "{area} m2");
        }
    }
}
