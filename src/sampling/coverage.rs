use geo::Coord;
use rayon::prelude::*;

use super::generator::Generator;
use super::ground::{Ground, squared};
use super::nearest::{Places, mean_squared_distance};
use super::pattern::Pattern;

/// How many starts are tried: half of them spread by chance, half on triangular grids.
const STARTS: u64 = 96;
/// How many of the best starts are improved further.
const IMPROVED: usize = 8;
/// Distances between a node and a place that all starts may take together.
const DISTANCES: f64 = 1.0e9;
/// Nodes for each place by which starts are compared.
const NODES_EACH: usize = 60;
/// The most rounds of one descent, and the least share by which one must gain.
const ROUNDS: usize = 200;
const GAIN: f64 = 1e-6;

/// Places for a number of samples that minimize the mean squared distance of the ground to the
/// nearest sample, those that are fixed among them: spatial coverage sampling (D. J. J. Walvoort,
/// D. J. Brus, J. J. de Gruijter, "An R package for spatial coverage sampling and random sampling
/// from compact geographical strata by k-means", *Computers & Geosciences* 36, 2010, 1261-1267).
///
/// k-means on the ground's nodes from many starts, from a fixed seed: the same ground gives the same
/// places, on any number of threads. A place outside the allowed ground moves to the nearest allowed
/// one in every round: for the nodes nearest to it that is the best allowed place, since their mean
/// squared distance grows with the squared distance from their middle alone.
#[must_use]
pub fn coverage(ground: &Ground, count: usize, fixed: &[Coord<f64>]) -> Vec<Coord<f64>> {
    let count = count.min(ground.may_hold().len());
    let nodes = ground.nodes();
    if count == 0 || nodes.is_empty() {
        return Vec::new();
    }
    // To tell the starts apart, fewer nodes do.
    let every = nodes.len() / (NODES_EACH * (count + fixed.len())).max(2000);
    let few: Vec<Coord<f64>> = nodes.iter().step_by(every.max(1)).copied().collect();
    let each = few.len() as f64 * (count + fixed.len()) as f64 * 40.0;
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a small number above 0"
    )]
    let starts = STARTS.min(((DISTANCES / each) as u64).max(4));
    let started = |start: u64| {
        let mut generator = Generator::new(start);
        let chosen = if start.is_multiple_of(2) {
            by_chance(nodes, count, fixed, &mut generator)
        } else {
            on_a_grid(ground, count, fixed, &mut generator)
        };
        descended(ground, &few, chosen, fixed, false)
    };
    let mut found: Vec<Layout> = (0..starts).into_par_iter().map(started).collect();
    found.sort_by(|a, b| a.squares.total_cmp(&b.squares));
    found.truncate(IMPROVED);
    let improved = |layout: Layout| {
        let moved = moved(ground, &few, layout, fixed);
        descended(ground, ground.nodes(), moved.free, fixed, true)
    };
    let found: Vec<Layout> = found.into_par_iter().map(improved).collect();
    let best = found.into_iter().min_by(|a, b| a.squares.total_cmp(&b.squares));
    best.map(|layout| layout.free).unwrap_or_default()
}

/// Places that may still move, and the mean squared distance with those that may not.
struct Layout {
    free: Vec<Coord<f64>>,
    squares: f64,
    /// What each free place's own nodes add to the sum of squares.
    own: Vec<f64>,
}

/// Nodes by chance, each by its squared distance from those before (k-means++: D. Arthur,
/// S. Vassilvitskii, *SODA* 2007, 1027-1035).
fn by_chance(
    nodes: &[Coord<f64>],
    count: usize,
    fixed: &[Coord<f64>],
    generator: &mut Generator,
) -> Vec<Coord<f64>> {
    let mut away: Vec<f64> = if fixed.is_empty() {
        vec![1.0; nodes.len()]
    } else {
        let places = Places::new(fixed);
        nodes.iter().map(|node| places.nearest(*node).1).collect()
    };
    let mut chosen = Vec::with_capacity(count);
    for number in 0..count {
        let all: f64 = away.iter().sum();
        let mut left = generator.share() * all;
        let hit = away.iter().position(|part| {
            left -= part;
            left < 0.0
        });
        let Some(at) = nodes.get(hit.unwrap_or(nodes.len() - 1)).copied() else { break };
        chosen.push(at);
        let first = number == 0 && fixed.is_empty();
        for (node, away) in nodes.iter().zip(&mut away) {
            let apart = squared(*node - at);
            *away = if first { apart } else { away.min(apart) };
        }
    }
    chosen
}

/// The points of a triangular grid, turned and shifted by chance, as many as there are to be: the
/// best pattern of an unbounded plane is a good start in a bounded one.
fn on_a_grid(
    ground: &Ground,
    count: usize,
    fixed: &[Coord<f64>],
    generator: &mut Generator,
) -> Vec<Coord<f64>> {
    let area = ground.plane_area() / (count + fixed.len()) as f64;
    let turn = generator.share() * std::f64::consts::TAU;
    let shift = Coord { x: generator.share(), y: generator.share() };
    let grid = Pattern::Triangular.laid(area, turn, shift);
    let mut cells: Vec<Coord<f64>> = Vec::new();
    let mut seen = std::collections::BTreeSet::new();
    for node in ground.nodes() {
        let cell = grid.cell(*node);
        if seen.insert(cell) {
            cells.push(grid.middle(cell));
        }
    }
    if !fixed.is_empty() {
        // Those nearest to the fixed ones go: their ground is seen to.
        let places = Places::new(fixed);
        cells.sort_by(|a, b| places.nearest(*b).1.total_cmp(&places.nearest(*a).1));
        cells.truncate(count);
    }
    while cells.len() > count {
        let gone = generator.below(cells.len());
        cells.swap_remove(gone);
    }
    if cells.len() < count {
        let all: Vec<Coord<f64>> = fixed.iter().chain(&cells).copied().collect();
        cells.extend(by_chance(ground.nodes(), count - cells.len(), &all, generator));
    }
    cells
}

/// Lloyd's descent: every free place moves to the middle of its nodes, or to the allowed place
/// nearest to it, until that gains no more.
fn descended(
    ground: &Ground,
    nodes: &[Coord<f64>],
    mut free: Vec<Coord<f64>>,
    fixed: &[Coord<f64>],
    on_allowed: bool,
) -> Layout {
    if on_allowed {
        for at in &mut free {
            *at = ground.nearest_allowed(*at);
        }
    }
    let mut before = f64::INFINITY;
    for round in 0.. {
        let places: Vec<Coord<f64>> = free.iter().chain(fixed).copied().collect();
        let index = Places::new(&places);
        let mut own = vec![(Coord { x: 0.0, y: 0.0 }, 0.0, 0.0); places.len()];
        let mut squares = 0.0;
        for node in nodes {
            let (number, apart) = index.nearest(*node);
            squares += apart;
            if let Some((sum, count, part)) = own.get_mut(number) {
                *sum = *sum + *node;
                *count += 1.0;
                *part += apart;
            }
        }
        let squares = squares / nodes.len() as f64;
        if squares >= before * (1.0 - GAIN) || round == ROUNDS {
            let own = own.iter().take(free.len()).map(|(_, _, part)| *part).collect();
            return Layout { free, squares, own };
        }
        before = squares;
        for (at, (sum, count, _)) in free.iter_mut().zip(own) {
            if count > 0.0 {
                let middle = sum / count;
                *at = if on_allowed { ground.nearest_allowed(middle) } else { middle };
            }
        }
    }
    Layout { squares: mean_squared_distance(nodes, &free), own: vec![], free }
}

/// What a descent cannot do: the place with the least ground moves into the ground of the place with
/// the most, as long as that gains.
fn moved(
    ground: &Ground,
    nodes: &[Coord<f64>],
    mut layout: Layout,
    fixed: &[Coord<f64>],
) -> Layout {
    const TRIES: usize = 3;
    'again: loop {
        let mut by_ground: Vec<usize> = (0..layout.free.len()).collect();
        let part = |number: &usize| layout.own.get(*number).copied().unwrap_or(0.0);
        by_ground.sort_by(|a, b| part(a).total_cmp(&part(b)));
        let least: Vec<usize> = by_ground.iter().take(TRIES).copied().collect();
        let most: Vec<usize> = by_ground.iter().rev().take(TRIES).copied().collect();
        for (from, into) in
            least.iter().flat_map(|from| most.iter().map(move |into| (*from, *into)))
        {
            if from == into {
                continue;
            }
            let mut free = layout.free.clone();
            let reach = (layout.squares).sqrt();
            let beside =
                free.get(into).map(|at| Coord { x: at.x + 0.7 * reach, y: at.y + 0.4 * reach });
            if let (Some(slot), Some(beside)) = (free.get_mut(from), beside) {
                *slot = beside;
            }
            let other = descended(ground, nodes, free, fixed, false);
            if other.squares < layout.squares * (1.0 - 10.0 * GAIN) {
                layout = other;
                continue 'again;
            }
        }
        return layout;
    }
}
