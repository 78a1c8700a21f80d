//! Where the interpolated surface crosses the breaks between classes, along edges of the mesh.

use geo::Coord;
use rayon::prelude::*;

/// The surface as the tracer sees it: a value anywhere, and the class that a value is in.
pub trait Classes: Sync {
    /// The value of the surface at a position in the field's meters.
    fn value(&self, at: Coord<f64>) -> f64;
    /// The value of the surface at positions within a distance of one.
    fn values_within<'a>(
        &'a self,
        _middle: Coord<f64>,
        _distance: f64,
    ) -> Box<dyn Fn(Coord<f64>) -> f64 + 'a> {
        Box::new(|at| self.value(at))
    }
    /// The class of a value, from 0 for the lowest.
    fn class(&self, value: f64) -> u32;
    /// The value at the border between a class and the next.
    fn break_above(&self, class: u32) -> f64;
}

/// How closely a crossing is located, in meters: far under the 0.25 m that the map promises, and
/// under what a spreader can place.
pub const CROSSING_TOLERANCE: f64 = 0.05;
/// The least distance between vertices on an edge, in meters: several times the 1 mm to which
/// coordinates are written, so that rounding cannot fold a zone.
const SEPARATION: f64 = 0.02;

/// The end of an edge: its vertex, place, value and class.
#[derive(Clone, Copy, Debug)]
pub struct EdgeEnd {
    /// The vertex number in the mesh.
    pub vertex: u32,
    /// Where it is.
    pub at: Coord<f64>,
    /// The value of the surface there.
    pub value: f64,
    /// The class that it has been given: the value's own, unless the clean-up moved it.
    pub class: u32,
}

/// What is between two classes on an edge.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum BetweenClasses {
    /// A strip of each class between them: one border at each break.
    Strips,
    /// Nothing: one border, where they meet.
    OneBorder,
}

/// The crossings on every edge whose ends are in different classes.
#[derive(Debug)]
pub struct LevelCrossings {
    between: BetweenClasses,
    /// The edges, by their vertices, each with the number of the first crossing on it; those of the
    /// higher breaks follow.
    edges: Vec<(Edge, u32)>,
    /// Where the crossings are.
    pub positions: Vec<Coord<f64>>,
}

/// An edge between two classes, from its end in the lower one.
#[derive(Clone, Copy, Debug)]
pub struct Edge {
    /// The end in the lower class.
    pub low: EdgeEnd,
    /// The end in the higher class.
    pub high: EdgeEnd,
}

impl Edge {
    fn vertices(&self) -> [u32; 2] {
        [self.low.vertex, self.high.vertex]
    }
}

impl LevelCrossings {
    /// Locates the crossings of edges that are in the order of their vertices, each once. Numbers
    /// follow that order, whatever the thread count. What `located` has of the same edges, with
    /// [`BetweenClasses::Strips`], is taken from there.
    pub fn locate(
        edges: Vec<Edge>,
        between: BetweenClasses,
        surface: &impl Classes,
        located: Option<&Self>,
    ) -> Self {
        debug_assert!(edges.is_sorted_by(|a, b| a.vertices() < b.vertices()), "edges out of order");
        let on_edge = |edge: &Edge| {
            let known = located.and_then(|located| located.of(edge));
            known.map_or_else(|| on_edge(edge, surface), <[_]>::to_vec)
        };
        let locate = |edge: &Edge| match between {
            BetweenClasses::Strips => on_edge(edge),
            BetweenClasses::OneBorder => vec![meeting(edge, surface, on_edge)],
        };
        let found: Vec<Vec<Coord<f64>>> = edges.par_iter().map(locate).collect();
        let mut crossings = Self { between, edges: Vec::new(), positions: Vec::new() };
        for (edge, positions) in edges.into_iter().zip(found) {
            #[expect(clippy::cast_possible_truncation, reason = "fewer crossings than nodes")]
            let first = crossings.positions.len() as u32;
            crossings.edges.push((edge, first));
            crossings.positions.extend(positions);
        }
        crossings
    }

    /// The crossings of an edge from its lower end: the class below, the class above, the number.
    pub fn on(
        &self,
        low: &EdgeEnd,
        high: &EdgeEnd,
    ) -> impl DoubleEndedIterator<Item = (u32, u32, u32)> {
        let (from, to) = (low.class, high.class);
        let place = (from < to).then(|| self.find([low.vertex, high.vertex])).flatten();
        let first = place.map_or(u32::MAX, |(_, first)| *first);
        let one = self.between == BetweenClasses::OneBorder;
        (from..to)
            .filter(move |class| !one || *class == from)
            .map(move |class| (class, if one { to } else { class + 1 }, first + (class - from)))
    }

    fn find(&self, vertices: [u32; 2]) -> Option<&(Edge, u32)> {
        let place = self.edges.binary_search_by_key(&vertices, |(edge, _)| edge.vertices()).ok()?;
        self.edges.get(place)
    }

    /// The crossings of an edge, if its ends have the same classes here.
    fn of(&self, edge: &Edge) -> Option<&[Coord<f64>]> {
        let (known, first) = self.find(edge.vertices())?;
        let classes = |edge: &Edge| [edge.low.class, edge.high.class];
        let [from, to] = classes(edge);
        let positions = self.positions.get(*first as usize..(*first + (to - from)) as usize);
        positions.filter(|_| self.between == BetweenClasses::Strips && classes(known) == [from, to])
    }
}

/// Where two classes meet on an edge that has one border: where the surface crosses the break
/// between them, if both ends still have the class of their value, else half way.
fn meeting(
    edge: &Edge,
    surface: &impl Classes,
    on_edge: impl Fn(&Edge) -> Vec<Coord<f64>>,
) -> Coord<f64> {
    let Edge { low, high } = edge;
    let own = |end: &EdgeEnd| surface.class(end.value) == end.class;
    let shares = if own(low) && own(high) { on_edge(edge) } else { Vec::new() };
    let between = shares.get((shares.len().saturating_sub(1)) / 2).copied();
    between.unwrap_or(low.at + (high.at - low.at) * 0.5)
}

/// The crossings on one edge, from the lower end: one for each break between the classes of its
/// ends, in order.
fn on_edge(Edge { low, high }: &Edge, surface: &impl Classes) -> Vec<Coord<f64>> {
    let along = high.at - low.at;
    let length = libm::hypot(along.x, along.y);
    let count = f64::from(high.class - low.class);
    let gap = (SEPARATION / length).min(0.5 / (count + 1.0));
    let place = |share: f64| low.at + along * share;
    let value = surface.values_within(place(0.5), 0.5 * length);
    let mut shares = Vec::new();
    let mut from = Bracket { share: 0.0, value: low.value };
    for class in low.class..high.class {
        let to = Bracket { share: 1.0, value: high.value };
        from = crossing(
            from,
            to,
            class,
            CROSSING_TOLERANCE / length,
            |share| value(place(share)),
            surface,
        );
        let left = f64::from(high.class - class - 1);
        let (least, most) =
            (shares.last().map_or(gap, |last| last + gap), 1.0 - gap * (left + 1.0));
        // Where breaks crowd at the far end both are one place, which rounding puts in either order.
        shares.push(from.share.min(most).max(least));
    }
    shares.into_iter().map(place).collect()
}

/// An end of the part of an edge that is being searched.
#[derive(Clone, Copy)]
struct Bracket {
    share: f64,
    value: f64,
}

/// Where the surface rises out of `class` between two places, the first of which is in it or below
/// unless an earlier break was crossed at the same jump.
///
/// Bisection with a false-position guess (the ITP idea of Oliveira and Takahashi 2020, in its
/// simplest form): every second step halves the bracket, so that the number of steps is bounded
/// even where the surface jumps because the set of nearest samples changes.
fn crossing(
    mut low: Bracket,
    mut high: Bracket,
    class: u32,
    tolerance: f64,
    value: impl Fn(f64) -> f64,
    surface: &impl Classes,
) -> Bracket {
    let level = surface.break_above(class);
    if surface.class(low.value) > class {
        return low;
    }
    let mut halve = false;
    while high.share - low.share > tolerance {
        let width = high.share - low.share;
        let guess = (level - low.value) / (high.value - low.value);
        let guess = if halve || !guess.is_finite() { 0.5 } else { guess };
        // Kept off the ends by half the tolerance, a good guess closes the bracket from both sides.
        let inset = (0.45 * tolerance / width).min(0.5);
        let aimed = low.share + width * guess.clamp(inset, 1.0 - inset);
        let found = Bracket { share: aimed, value: value(aimed) };
        let rises = surface.class(found.value) > class;
        if rises {
            high = found;
        } else {
            low = found;
        }
        halve = !halve && (high.share - low.share) > 0.5 * width;
    }
    let share = f64::midpoint(low.share, high.share);
    Bracket { share: high.share.min(share), value: high.value }
}

#[cfg(test)]
mod tests {
    use super::*;

    struct Slope;
    impl Classes for Slope {
        fn value(&self, at: Coord<f64>) -> f64 {
            at.x * at.x
        }
        fn class(&self, value: f64) -> u32 {
            u32::from(value >= 10.0) + u32::from(value > 15.0)
        }
        fn break_above(&self, class: u32) -> f64 {
            if class == 0 { 10.0 } else { 15.0 }
        }
    }

    fn end(vertex: u32, x: f64) -> EdgeEnd {
        let value = x * x;
        EdgeEnd { vertex, at: Coord { x, y: 0.0 }, value, class: Slope.class(value) }
    }

    #[test]
    fn both_breaks_on_one_edge() {
        let (low, high) = (end(0, 0.0), end(1, 8.0));
        let crossings =
            LevelCrossings::locate(vec![Edge { low, high }], BetweenClasses::Strips, &Slope, None);
        let [ten, fifteen] = crossings.positions[..] else { panic!() };
        assert!((ten.x - 10.0_f64.sqrt()).abs() < CROSSING_TOLERANCE);
        assert!((fifteen.x - 15.0_f64.sqrt()).abs() < CROSSING_TOLERANCE);
        assert_eq!(crossings.on(&low, &high).collect::<Vec<_>>(), [(0, 1, 0), (1, 2, 1)]);
    }

    struct Jump;
    impl Classes for Jump {
        fn value(&self, at: Coord<f64>) -> f64 {
            if at.x < 1.0 { 5.0 } else { 20.0 }
        }
        fn class(&self, value: f64) -> u32 {
            Slope.class(value)
        }
        fn break_above(&self, class: u32) -> f64 {
            Slope.break_above(class)
        }
    }

    #[test]
    fn a_jump_over_two_breaks_keeps_their_order() {
        let at = |x: f64| Coord { x, y: 0.0 };
        let low = EdgeEnd { vertex: 0, at: at(0.0), value: 5.0, class: 0 };
        let high = EdgeEnd { vertex: 1, at: at(3.0), value: 20.0, class: 2 };
        let crossings =
            LevelCrossings::locate(vec![Edge { low, high }], BetweenClasses::Strips, &Jump, None);
        let [first, second] = crossings.positions[..] else { panic!() };
        assert!((first.x - 1.0).abs() < 0.1 && (second.x - 1.0).abs() < 0.1);
        assert!(second.x - first.x >= 0.019);
    }
    /// Whatever the length of an edge and however many breaks it crosses at its very end.
    #[test]
    fn breaks_at_the_far_end_keep_their_order_and_distance() {
        let at = |x: f64| Coord { x, y: 0.0 };
        for hundredths in 1..2000 {
            let length = f64::from(hundredths) * 0.01;
            for count in 2..6 {
                let low = EdgeEnd { vertex: 0, at: at(0.0), value: 5.0, class: 0 };
                let high = EdgeEnd { vertex: 1, at: at(length), value: 20.0, class: count };
                let surface = Stairs(length, count);
                let crossings = LevelCrossings::locate(
                    vec![Edge { low, high }],
                    BetweenClasses::Strips,
                    &surface,
                    None,
                );
                let places: Vec<f64> = crossings.positions.iter().map(|place| place.x).collect();
                let gap = SEPARATION.min(length * 0.5 / (f64::from(count) + 1.0));
                assert_eq!(places.len(), count as usize);
                let ends = [&[0.0], places.as_slice(), &[length]].concat();
                let apart = ends.windows(2).map(|pair| pair[1] - pair[0]);
                assert!(apart.min_by(f64::total_cmp).unwrap() > gap * (1.0 - 1e-9), "{ends:?}");
            }
        }
    }

    /// A surface that rises over so many breaks only at the end.
    struct Stairs(f64, u32);
    impl Classes for Stairs {
        fn value(&self, at: Coord<f64>) -> f64 {
            if at.x < self.0 { 5.0 } else { 20.0 }
        }
        fn class(&self, value: f64) -> u32 {
            if value < 10.0 { 0 } else { self.1 }
        }
        fn break_above(&self, class: u32) -> f64 {
            10.0 + f64::from(class)
        }
    }
}
