//! Takes away the parts of zones that are too narrow to drive.

use super::clean_up::Prefer;
use super::distance_map::DistanceMap;
use super::mesh::Mesh;

/// How deep, in steps, a part may reach beyond what is wide enough and be left: what the lattice
/// cannot tell from a corner. Where three classes meet, some corner is always left.
const SHALLOW: f64 = 0.25;

/// What a disc may cover outside the field.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Outside {
    /// Nothing: strips along the boundary go too, but for corners of the field.
    Other,
    /// Anything: what then is narrow lies between zones, however near to the boundary.
    Free,
}

/// No class: a node outside the field.
const OUTSIDE: u32 = u32::MAX;

/// Opens every class on the lattice by a disc of diameter `width` metres: a node keeps its class
/// where such a disc within the class covers it; the others go to the nearest node that kept one.
///
/// Morphological opening by distance maps (Serra 1982, *Image Analysis and Mathematical
/// Morphology*), on all classes at once, so that the tiling stays whole. What lies outside the field
/// is in no class at first, and then free. Repeated until nothing moves, at most `ROUNDS` times: what is given to a
/// neighbour may leave a narrow part there.
pub fn open(mesh: &Mesh, classes: &[u32], width: f64, prefer: Prefer) -> Vec<u32> {
    const ROUNDS: usize = 12;
    let lattice = &mesh.lattice;
    let mut field: Vec<u32> = mesh
        .inside
        .iter()
        .zip(classes)
        .map(|(&inside, &class)| if inside { class } else { OUTSIDE })
        .collect();
    // Half a step more: between two nodes, borders run half way on the average.
    let radius = 0.5 * width / lattice.step() + 0.5;
    let mut prefer = prefer;
    for outside in [Outside::Other, Outside::Free] {
        for _ in 0..ROUNDS {
            let Some(next) = round(&field, lattice.columns(), radius, prefer, outside) else {
                break;
            };
            // What is given may leave a corner somewhere else; that one settles where it is.
            prefer = Prefer::Nearest;
            let done = next == field;
            field = next;
            if done {
                break;
            }
        }
    }
    spread_to_extras(mesh, classes, &field)
}

/// One opening; none if no class has a place wide enough.
fn round(
    field: &[u32],
    columns: usize,
    radius: f64,
    prefer: Prefer,
    outside: Outside,
) -> Option<Vec<u32>> {
    let mut present: Vec<u32> = field.iter().copied().filter(|class| *class != OUTSIDE).collect();
    present.sort_unstable();
    present.dedup();
    let mut kept = vec![OUTSIDE; field.len()];
    // Whether a node is farther from what its class keeps than the lattice can tell.
    let mut deep = vec![false; field.len()];
    // No distance beyond the disc matters.
    let reach = radius + 1.0;
    for class in present {
        let free = |other: u32| other == class || (outside == Outside::Free && other == OUTSIDE);
        let others: Vec<bool> = field.iter().map(|other| !free(*other)).collect();
        // The same disc both times, so that a second opening by itself changes nothing.
        let inner = DistanceMap::to_marked(&others, columns, reach);
        let core: Vec<bool> = inner.squared.iter().map(|d| d.sqrt() > radius).collect();
        let outer = DistanceMap::to_marked(&core, columns, reach);
        let nodes = kept.iter_mut().zip(&mut deep).zip(field.iter().zip(&outer.squared));
        for ((kept, deep), (own, squared)) in nodes {
            if *own != class {
                continue;
            }
            if *squared <= radius * radius {
                *kept = class;
            } else {
                *deep = *squared > (radius + SHALLOW).powi(2);
            }
        }
    }
    if kept.iter().all(|class| *class == OUTSIDE) {
        return None;
    }
    let anchors: Vec<bool> = kept.iter().map(|class| *class != OUTSIDE).collect();
    let nearest = DistanceMap::to_marked(&anchors, columns, f64::INFINITY);
    let nearest: Vec<u32> = nearest
        .nearest
        .iter()
        .map(|anchor| kept.get(*anchor).copied().unwrap_or(OUTSIDE))
        .collect();
    // A node stays whose own class is the nearest by: it is a corner of the field.
    let goes = deep.iter().zip(&nearest).zip(field).map(|((deep, near), own)| *deep && near != own);
    let mut next = field.to_vec();
    for part in parts(goes.collect(), field, columns) {
        let given = match prefer {
            Prefer::Nearest => None,
            Prefer::Higher => part.around.iter().max(),
            Prefer::Lower => part.around.iter().min(),
        };
        for node in part.nodes {
            if let (Some(slot), Some(class)) = (next.get_mut(node), given.or(nearest.get(node))) {
                *slot = *class;
            }
        }
    }
    Some(next)
}

/// A connected set of nodes that go.
struct Part {
    nodes: Vec<usize>,
    /// The classes beside it, of nodes that stay.
    around: Vec<u32>,
}

/// The nodes that go, by connected sets of one class.
fn parts(mut goes: Vec<bool>, field: &[u32], columns: usize) -> Vec<Part> {
    let stays: Vec<bool> = goes.iter().map(|goes| !goes).collect();
    let mut parts = Vec::new();
    for start in 0..field.len() {
        if !take(&mut goes, start) {
            continue;
        }
        let own = field.get(start);
        let mut part = Part { nodes: Vec::new(), around: Vec::new() };
        let mut queue = vec![start];
        while let Some(node) = queue.pop() {
            part.nodes.push(node);
            for other in neighbours(node, columns, field.len()) {
                let class = field.get(other).copied().unwrap_or(OUTSIDE);
                if Some(&class) == own && take(&mut goes, other) {
                    queue.push(other);
                } else if Some(&class) != own
                    && class != OUTSIDE
                    && stays.get(other).copied().unwrap_or(false)
                {
                    part.around.push(class);
                }
            }
        }
        parts.push(part);
    }
    parts
}

/// Whether a flag was set; it is not any more.
fn take(flags: &mut [bool], index: usize) -> bool {
    flags.get_mut(index).is_some_and(std::mem::take)
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
    let map = DistanceMap::to_marked(&inside, lattice.columns(), f64::INFINITY);
    for (i, at) in mesh.extras.iter().enumerate() {
        let own = classes.get(field.len() + i).copied().unwrap_or(0);
        let around = mesh.nodes_around(*at);
        let keeps = around.iter().any(|&node| field.get(node) == Some(&own));
        let nearest = around.first().and_then(|node| map.nearest.get(*node));
        let given =
            nearest.and_then(|node| field.get(*node)).copied().filter(|class| *class != OUTSIDE);
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
