//! Takes away the parts of zones that are too narrow to drive.

use std::collections::BTreeMap;

use super::class::{OUTSIDE, class_at};
use super::mesh::Mesh;
use super::narrow::{BeyondField, Disc, Narrow};
use super::nearest_marked::NearestMarked;
use super::parts::{ClassPart, parts};
use super::prefer::Prefer;

/// Opens every class on the lattice by a disc of diameter `width` meters: a node keeps its class
/// where such a disc within the class covers it; the others go to the nearest node that kept one.
///
/// Morphological opening by distance maps (Serra 1982, *Image Analysis and Mathematical
/// Morphology*), on all classes at once, so that the tiling stays whole. What lies outside the field
/// is in no class at first, and then free. Repeated until nothing moves: what is given to a
/// neighbor may leave a narrow part there. Where zones meet crosswise, all are narrow and none is
/// nearer than its own other half; there one class gets a whole disc.
pub fn open(mesh: &Mesh, classes: &[u32], width: f64, prefer: Prefer) -> Vec<u32> {
    const SETTLEMENTS: usize = 6;
    let lattice = &mesh.lattice;
    let mut field: Vec<u32> = mesh
        .inside
        .iter()
        .zip(classes)
        .map(|(&inside, &class)| if inside { class } else { OUTSIDE })
        .collect();
    // Half a step more: between two nodes, borders run half way on the average.
    let disc = Disc { columns: lattice.columns(), radius: 0.5 * width / lattice.step() + 0.5 };
    converge(&mut field, disc, BeyondField::Other, prefer);
    for _ in 0..SETTLEMENTS {
        let Some(narrow) = converge(&mut field, disc, BeyondField::Free, Prefer::Nearest) else {
            break;
        };
        let tips = narrow.tips(&field, disc);
        if tips.is_empty() {
            break;
        }
        settle(&mut field, &tips, disc, prefer);
    }
    spread_to_extras(mesh, classes, &field)
}

/// Gives away what is narrow until nothing moves; what is left then, none if no class has a place
/// wide enough.
fn converge(
    field: &mut [u32],
    disc: Disc,
    outside: BeyondField,
    mut prefer: Prefer,
) -> Option<Narrow> {
    const ROUNDS: usize = 12;
    let mut narrow = Narrow::of(field, disc, outside)?;
    for _ in 0..ROUNDS {
        if narrow.is_nowhere() {
            break;
        }
        let nearest = narrow.nearest(field, disc.columns);
        let parts = parts(narrow.goes(field, &nearest), field, disc.columns);
        if parts.is_empty() {
            break;
        }
        give_away(field, &parts, &nearest, prefer);
        // What is given may leave a corner somewhere else; that one settles where it is.
        prefer = Prefer::Nearest;
        narrow = Narrow::of(field, disc, outside)?;
    }
    Some(narrow)
}

/// Gives each part to a class beside it.
fn give_away(field: &mut [u32], parts: &[ClassPart], nearest: &[u32], prefer: Prefer) {
    for part in parts {
        let given = match prefer {
            Prefer::Nearest => None,
            Prefer::Higher => part.around.iter().max(),
            Prefer::Lower => part.around.iter().min(),
        };
        for &node in &part.nodes {
            if let (Some(slot), Some(class)) = (field.get_mut(node), given.or(nearest.get(node))) {
                *slot = *class;
            }
        }
    }
}

/// Gives the disc around the middle of each part to one class: the one that has most of it, or the
/// highest or lowest in it, as asked.
fn settle(field: &mut [u32], parts: &[ClassPart], disc: Disc, prefer: Prefer) {
    for part in parts {
        let middle = part.middle(disc.columns);
        let mut found: BTreeMap<u32, usize> = BTreeMap::new();
        for class in disc.around(middle, field.len()).filter_map(|node| field.get(node)) {
            if *class != OUTSIDE {
                *found.entry(*class).or_default() += 1;
            }
        }
        let chosen = match prefer {
            Prefer::Nearest => found.iter().max_by_key(|(_, count)| **count),
            Prefer::Higher => found.last_key_value(),
            Prefer::Lower => found.first_key_value(),
        };
        let Some((&class, _)) = chosen else { continue };
        for node in disc.around(middle, field.len()) {
            if let Some(slot) = field.get_mut(node).filter(|slot| **slot != OUTSIDE) {
                *slot = class;
            }
        }
    }
}

/// The classes of all the mesh's vertices: a vertex off the lattice keeps its own class where a node
/// near it has that class still, and else takes the nearest node's.
pub fn spread_to_extras(mesh: &Mesh, classes: &[u32], field: &[u32]) -> Vec<u32> {
    let lattice = &mesh.lattice;
    let inside: Vec<bool> = field.iter().map(|class| *class != OUTSIDE).collect();
    let mut all = field.to_vec();
    let mut marked = NearestMarked::new(&inside, lattice.columns());
    for (i, at) in mesh.rim.extras.iter().enumerate() {
        let own = class_at(classes, field.len() + i);
        let around = mesh.nodes_around(*at);
        let keeps = around.iter().any(|&node| field.get(node) == Some(&own));
        let nearest = around.first().map(|node| marked.to(*node));
        let given =
            nearest.and_then(|node| field.get(node)).copied().filter(|class| *class != OUTSIDE);
        all.push(if keeps { own } else { given.unwrap_or(own) });
    }
    // Nodes outside the field are no vertices; any class will do.
    for (class, before) in all.iter_mut().zip(classes) {
        if *class == OUTSIDE {
            *class = *before;
        }
    }
    all
}

#[cfg(test)]
mod tests {
    use geo::{MultiPolygon, Rect, coord};

    use super::*;
    use crate::surface::Lattice;

    /// Two pairs of squares of two classes meet in a point, the worst of places.
    #[test]
    fn where_zones_meet_crosswise_one_of_them_gets_through() {
        let square = Rect::new(coord! { x: 0.0, y: 0.0 }, coord! { x: 120.0, y: 120.0 });
        let field = MultiPolygon(vec![square.to_polygon()]);
        let mesh = Mesh::fill(&field, &[], &[], Lattice::over(&field, 3.0).unwrap()).unwrap();
        let east = |i: usize| mesh.position(u32::try_from(i).unwrap()).x > 60.0;
        let north = |i: usize| mesh.position(u32::try_from(i).unwrap()).y > 60.0;
        let count = mesh.inside.len() + mesh.rim.extras.len();
        let classes: Vec<u32> = (0..count).map(|i| u32::from(east(i) == north(i))).collect();
        let columns = mesh.lattice.columns();
        let away = |node: &usize| {
            let at = mesh.position(u32::try_from(*node).unwrap());
            (at.x - 60.0).hypot(at.y - 60.0)
        };
        let middle = (0..mesh.inside.len()).min_by(|a, b| away(a).total_cmp(&away(b))).unwrap();
        for width in [12.0, 18.0, 24.0, 30.0] {
            let disc = Disc { columns, radius: 0.5 * width / 3.0 };
            for (prefer, winner) in [(Prefer::Higher, 1), (Prefer::Lower, 0)] {
                let opened = open(&mesh, &classes, width, prefer);
                let around: Vec<u32> =
                    disc.around(middle, mesh.inside.len()).map(|node| opened[node]).collect();
                assert_eq!(around, vec![winner; around.len()], "{width} m");
            }
        }
    }
}
