//! Takes away the parts of zones that are too narrow to drive.

use super::distance_map::DistanceMap;
use super::mesh::Mesh;

/// Where a part goes that is too narrow or too small for a zone of its own.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, serde::Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Prefer {
    /// To the zone nearest by, or with the longest common border.
    #[default]
    Nearest,
    /// To the neighbour with the higher tier, if there is one: nowhere is under-applied.
    Higher,
    /// To the neighbour with the lower tier, if there is one.
    Lower,
}

/// No class: a node outside the field.
const OUTSIDE: u32 = u32::MAX;

/// Opens every class on the lattice by a disc of diameter `width` metres: a node keeps its class
/// where such a disc within the class covers it; the others go to the nearest node that kept one.
///
/// Morphological opening by distance maps (Serra 1982, *Image Analysis and Mathematical
/// Morphology*), on all classes at once, so that the tiling stays whole. What lies outside the field
/// is in no class. Repeated until nothing moves, at most `ROUNDS` times: what is given to a
/// neighbour may leave a narrow part there.
pub fn open(mesh: &Mesh, classes: &[u32], width: f64, prefer: Prefer) -> Vec<u32> {
    const ROUNDS: usize = 8;
    let lattice = &mesh.lattice;
    let mut field: Vec<u32> = mesh
        .inside
        .iter()
        .zip(classes)
        .map(|(&inside, &class)| if inside { class } else { OUTSIDE })
        .collect();
    let radius = 0.5 * width / lattice.step();
    for _ in 0..ROUNDS {
        let Some(next) = round(&field, lattice.columns(), radius, prefer) else { break };
        let done = next == field;
        field = next;
        if done {
            break;
        }
    }
    spread_to_extras(mesh, classes, &field)
}

/// One opening; none if no class has a place wide enough.
fn round(field: &[u32], columns: usize, radius: f64, prefer: Prefer) -> Option<Vec<u32>> {
    let mut present: Vec<u32> = field.iter().copied().filter(|class| *class != OUTSIDE).collect();
    present.sort_unstable();
    present.dedup();
    let mut kept = vec![OUTSIDE; field.len()];
    for class in present {
        let others: Vec<bool> = field.iter().map(|other| *other != class).collect();
        // A border runs half a step on the near side of the first node beyond it.
        let inner = DistanceMap::to_marked(&others, columns);
        let core: Vec<bool> = inner.squared.iter().map(|d| d.sqrt() >= radius + 0.5).collect();
        let reach = DistanceMap::to_marked(&core, columns);
        for (kept, squared) in kept.iter_mut().zip(&reach.squared) {
            if *squared <= radius * radius {
                *kept = class;
            }
        }
    }
    if kept.iter().all(|class| *class == OUTSIDE) {
        return None;
    }
    let anchors: Vec<bool> = kept.iter().map(|class| *class != OUTSIDE).collect();
    let nearest = DistanceMap::to_marked(&anchors, columns);
    let mut next: Vec<u32> = Vec::with_capacity(field.len());
    for (node, (&class, &kept_class)) in field.iter().zip(&kept).enumerate() {
        next.push(match (class, kept_class) {
            (OUTSIDE, _) => OUTSIDE,
            (_, OUTSIDE) => {
                let anchor = nearest.nearest.get(node).copied().unwrap_or(node);
                kept.get(anchor).copied().unwrap_or(class)
            }
            (_, kept) => kept,
        });
    }
    if prefer != Prefer::Nearest {
        lean(field, &kept, &mut next, columns, prefer);
    }
    Some(next)
}

/// Gives each connected leftover to its highest or lowest neighbour instead of the nearest.
fn lean(field: &[u32], kept: &[u32], next: &mut [u32], columns: usize, prefer: Prefer) {
    let loose = |node: usize| {
        field.get(node).is_some_and(|class| *class != OUTSIDE)
            && kept.get(node).is_some_and(|class| *class == OUTSIDE)
    };
    let mut seen = vec![false; field.len()];
    for start in 0..field.len() {
        if !loose(start) || seen.get(start).copied().unwrap_or(true) {
            continue;
        }
        let (mut part, mut around, mut queue) = (Vec::new(), Vec::new(), vec![start]);
        if let Some(seen) = seen.get_mut(start) {
            *seen = true;
        }
        while let Some(node) = queue.pop() {
            part.push(node);
            for other in neighbours(node, columns, field.len()) {
                if loose(other) {
                    if let Some(seen) = seen.get_mut(other).filter(|seen| !**seen) {
                        *seen = true;
                        queue.push(other);
                    }
                } else if let Some(&class) = kept.get(other).filter(|class| **class != OUTSIDE) {
                    around.push(class);
                }
            }
        }
        let chosen = match prefer {
            Prefer::Lower => around.into_iter().min(),
            _ => around.into_iter().max(),
        };
        if let Some(class) = chosen {
            for node in part {
                if let Some(slot) = next.get_mut(node) {
                    *slot = class;
                }
            }
        }
    }
}

/// The nodes beside a node, along the mesh's edges: rows, columns, and the one diagonal.
fn neighbours(node: usize, columns: usize, count: usize) -> impl Iterator<Item = usize> {
    let steps = [1, columns, columns + 1];
    steps
        .into_iter()
        .flat_map(move |step| [node.checked_add(step), node.checked_sub(step)])
        .flatten()
        .filter(move |other| *other < count)
}

/// The classes of all the mesh's vertices: a vertex off the lattice keeps its own class where a node
/// near it has that class still, and else takes the nearest node's.
pub fn spread_to_extras(mesh: &Mesh, classes: &[u32], field: &[u32]) -> Vec<u32> {
    let lattice = &mesh.lattice;
    let inside: Vec<bool> = field.iter().map(|class| *class != OUTSIDE).collect();
    let mut all = field.to_vec();
    let map = DistanceMap::to_marked(&inside, lattice.columns());
    for (i, at) in mesh.extras.iter().enumerate() {
        let own = classes.get(field.len() + i).copied().unwrap_or(0);
        let around = mesh.nodes_around(*at);
        let keeps = around.iter().any(|&node| field.get(node) == Some(&own));
        let nearest = around.first().and_then(|node| map.nearest.get(*node));
        let given = nearest.and_then(|node| field.get(*node)).copied().filter(|class| *class != OUTSIDE);
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
