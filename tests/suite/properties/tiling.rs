//! Zones tile the field, whatever the field and the samples.

use geo::Coord;
use landplaster::geometry::Coverage;
use landplaster::soil::Tiers;
use landplaster::surface::{Idw, Lattice, Surface};
use landplaster::zones::{BetweenClasses, Mesh, Tiered, partition};
use proptest::prelude::*;

use super::fields::{Case, case, tiles};

struct Made {
    coverage: Coverage,
    surface: Surface,
    corners: usize,
}

fn made(case: &Case, step: f64) -> Made {
    let surface = Surface::new(case.points.clone(), Idw::default()).unwrap();
    let lattice = Lattice::over(&case.field, step).unwrap();
    let places: Vec<Coord<f64>> =
        case.points.iter().map(|p| Coord { x: p.easting, y: p.northing }).collect();
    let mesh = Mesh::fill(&case.field, &[], &places, lattice).unwrap();
    let mut values = surface.on_lattice(&lattice);
    values.extend(mesh.extras().iter().map(|at| surface.at(at.x, at.y)));
    let tiers = Tiers::common_practice();
    let classes: Vec<u32> = values.iter().map(|&value| tiers.class(value)).collect();
    let tiered = Tiered { surface: &surface, tiers: &tiers };
    let coverage = partition(&mesh, &values, &classes, BetweenClasses::Strips, &tiered).coverage;
    let corners = mesh.corner_vertices().count();
    Made { coverage, surface, corners }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(200))]

    /// Sound polygons, areas that add up, and every inner border in two zones, once each way.
    #[test]
    fn zones_tile_the_field(case in case()) {
        let Made { coverage, .. } = made(&case, 3.048);
        tiles(&coverage, &case.field)?;
    }

    /// Every vertex of a level line has the surface on both sides of a break within 0.25 m.
    #[test]
    fn level_lines_follow_the_surface(case in case()) {
        let Made { coverage, surface, corners } = made(&case, 3.048);
        let tiers = Tiers::common_practice();
        let mut inner = 0;
        for face in &coverage.faces {
            for &id in face.exterior.iter().skip(1).step_by(7) {
                if (id as usize) < corners {
                    continue;
                }
                inner += 1;
                let at = coverage.vertices[id as usize];
                let mut classes: Vec<u32> = (0_u8..48).map(|i| {
                    let turn = f64::from(i % 16) * std::f64::consts::TAU / 16.0;
                    let reach = [0.25, 0.12, 0.05][usize::from(i / 16)];
                    tiers.class(surface.at(at.x + reach * turn.cos(), at.y + reach * turn.sin()))
                }).collect();
                classes.sort_unstable();
                classes.dedup();
                prop_assert!(classes.len() > 1, "{at:?} is no crossing");
            }
        }
        prop_assume!(inner > 0);
    }
}
