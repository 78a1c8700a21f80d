//! Piles on random fields, held against brute force on a lattice. Distances by `geo`, travel by the
//! integral in closed form: neither is the program's own way.

use geo::{
    Area as _, BooleanOps, BoundingRect, Contains, Coord, Distance, Euclidean, LineString,
    MultiPolygon, Point, Polygon, Rect,
};
use landplaster::field::{Boundary, Field, KeepOutLayer, RawSample};
use landplaster::geometry::Feature;
use landplaster::geometry::Frame;
use landplaster::projection::Coordinates;
use landplaster::stockpile::{PileRequest, Stockpile, Supply, place};
use landplaster::units::{Length, Mass, Quantity, System, Written};

use super::drawn::Dice;

/// 5 ft.
const LATTICE: f64 = 1.524;
const CENTRE: Coord<f64> = Coord { x: -93.31, y: 42.07 };

/// A random field with what its piles must heed, everything in meters but the field itself.
struct Case {
    field: Field,
    zones: Vec<(Polygon<f64>, Mass)>,
    setbacks: Vec<(Feature, f64)>,
    access: Option<(Feature, f64)>,
}

fn between(dice: &mut Dice, low: f64, high: f64) -> f64 {
    low + (high - low) * dice.uniform()
}

fn place_in(dice: &mut Dice, reach: f64) -> Coord<f64> {
    Coord { x: between(dice, -reach, reach), y: between(dice, -reach, reach) }
}

fn ring(dice: &mut Dice, middle: Coord<f64>, low: f64, high: f64) -> Vec<Coord<f64>> {
    let corners = between(dice, 5.0, 16.0).floor();
    let mut ring = Vec::new();
    for corner in 0_u8..16 {
        if f64::from(corner) < corners {
            let turn = f64::from(corner) / corners * std::f64::consts::TAU;
            let reach = between(dice, low, high);
            ring.push(middle + Coord { x: turn.cos(), y: turn.sin() } * reach);
        }
    }
    ring.push(ring[0]);
    ring
}

fn case(seed: u64) -> Case {
    let mut dice = Dice(seed);
    let around = Frame::around(CENTRE);
    let degrees = |line: Vec<Coord<f64>>| -> Vec<Coord<f64>> {
        line.into_iter().map(|at| around.to_wgs84(at).unwrap()).collect()
    };
    let outer = degrees(ring(&mut dice, Coord { x: 0.0, y: 0.0 }, 90.0, 240.0));
    let boundary = Polygon::new(LineString(outer), vec![]);
    let boundary = Boundary::new(MultiPolygon(vec![boundary]), "field").unwrap();
    let frame = *boundary.frame();
    let samples = [0.0, 20.0, 40.0].map(|x| RawSample {
        id: String::new(),
        place: String::new(),
        wgs84: frame.to_wgs84(Coord { x, y: x }).unwrap(),
        cec: Some(10.0),
        cations: None,
        esp: None,
    });
    let wgs84 = || Coordinates { crs: "WGS 84".into(), accuracy: None };
    let field = Field::new((boundary, wgs84()), (samples.to_vec(), wgs84()), vec![]).unwrap();
    let layer = |feature: &Feature, distance: f64| {
        let lines = feature
            .lines
            .iter()
            .map(|line| line.iter().map(|at| frame.to_wgs84(*at).unwrap()).collect());
        KeepOutLayer {
            called: "layer".into(),
            why: "a cause".into(),
            distance: Written { value: Length::metres(distance), system: System::Metric },
            features: vec![Feature { lines: lines.collect(), filled: feature.filled }],
        }
    };
    let mut features: Vec<(Feature, f64)> = Vec::new();
    for chance in [1.0, 0.8, 0.6, 0.4] {
        if dice.uniform() >= chance {
            continue;
        }
        let kind = dice.uniform();
        let feature = if kind < 0.33 {
            Feature::point(place_in(&mut dice, 250.0))
        } else if kind < 0.67 {
            Feature::line((0..4).map(|_| place_in(&mut dice, 250.0)).collect())
        } else {
            let middle = place_in(&mut dice, 250.0);
            Feature::polygon(vec![ring(&mut dice, middle, 10.0, 60.0)])
        };
        features.push((feature, between(&mut dice, 0.0, 130.0)));
    }
    let mut field = field;
    if dice.uniform() < 0.4 {
        // Kept out and kept from at no distance are the same to a pile's edge.
        let pond = Feature::polygon(vec![ring(&mut dice, Coord { x: 9.0, y: 5.0 }, 10.0, 50.0)]);
        field = field.keeping_out(vec![layer(&pond, 0.0)]).unwrap();
        features.push((pond, 0.0));
    }
    let access = (dice.uniform() < 0.6).then(|| {
        let lane = vec![place_in(&mut dice, 300.0), place_in(&mut dice, 120.0)];
        (Feature::line(lane), between(&mut dice, 15.0, 60.0))
    });
    let kept = if field.keep_outs.is_empty() { features.len() } else { features.len() - 1 };
    let setbacks: Vec<KeepOutLayer> =
        features.iter().take(kept).map(|(feature, distance)| layer(feature, *distance)).collect();
    let lane = access.as_ref().map(|(feature, reach)| layer(feature, *reach));
    let field = field.with_site(&setbacks, lane.as_ref()).unwrap();
    let zones = zones(&mut dice, &field);
    Case { field, zones, setbacks: features, access }
}

/// The field in strips of different rates, what is kept out left out.
fn zones(dice: &mut Dice, field: &Field) -> Vec<(Polygon<f64>, Mass)> {
    let mut spread = field.boundary.local().clone();
    for keep_out in &field.keep_outs {
        spread = spread.difference(&keep_out.area);
    }
    let bounds = spread.bounding_rect().unwrap();
    let (mut west, mut zones) = (bounds.min().x, Vec::new());
    while west < bounds.max().x {
        let east = west + between(dice, 40.0, 160.0);
        let (low, high) = (Coord { x: west, y: -999.0 }, Coord { x: east, y: 999.0 });
        let strip = MultiPolygon(vec![Rect::new(low, high).to_polygon()]);
        let rate = between(dice, 0.05, 0.5);
        for piece in spread.intersection(&strip) {
            let mass = Mass::kilograms(rate * piece.unsigned_area());
            zones.push((piece, mass));
        }
        west = east;
    }
    zones
}

/// By geo: the distance to a feature, negative inside a filled one.
fn distance(feature: &Feature, at: Coord<f64>) -> f64 {
    let (line, at) = (LineString(feature.lines[0].clone()), Point(at));
    if feature.filled && Polygon::new(line.clone(), vec![]).contains(&at) {
        -Euclidean.distance(&at, &line)
    } else if line.0.len() == 1 {
        Euclidean.distance(&at, &Point(line.0[0]))
    } else {
        Euclidean.distance(&at, &line)
    }
}

/// By hand: the radius of a cone of some kilograms at 881.0 kg/m3 (55 lb/ft3), whose sides rise by
/// tan 37° = 0.753554.
fn radius(mass: f64) -> f64 {
    (3.0 * mass / 881.015 / (std::f64::consts::PI * 0.753_554)).cbrt()
}

impl Case {
    /// The radius of a pile of everything.
    fn whole(&self) -> f64 {
        radius(self.zones.iter().map(|(_, mass)| mass.as_kilograms()).sum())
    }

    /// By how much a pile of a radius misses what it misses most, the field's edge among it; 0 or less
    /// where all is kept.
    fn short(&self, at: Coord<f64>, radius: f64) -> f64 {
        let missed = self.setbacks.iter().map(|(feature, asked)| asked - distance(feature, at));
        let edge = self.field.boundary.local().0[0].exterior();
        missed.fold(-Euclidean.distance(&Point(at), edge), f64::max) + radius
    }

    fn reached(&self, at: Coord<f64>, radius: f64) -> bool {
        self.access.as_ref().is_none_or(|(lane, reach)| distance(lane, at) <= reach + radius)
    }

    /// The nodes of a lattice in the field and in reach of a pile of a radius.
    fn nodes(&self, step: f64, radius: f64) -> Vec<Coord<f64>> {
        let field = self.field.boundary.local();
        let bounds = field.bounding_rect().unwrap();
        let mut nodes = Vec::new();
        let mut y = bounds.min().y;
        while y < bounds.max().y {
            let mut x = bounds.min().x;
            while x < bounds.max().x {
                let at = Coord { x, y };
                if self.reached(at, radius) && field.contains(&at) {
                    nodes.push(at);
                }
                x += step;
            }
            y += step;
        }
        nodes
    }

    fn placed(&self, asked: &PileRequest) -> Stockpile {
        let site = self.field.site.clone().unwrap();
        let mass = self.zones.iter().map(|(_, mass)| *mass).sum();
        let supply = Supply { mass, truck: None };
        place(&self.field, &site, &self.zones, asked, &supply, System::Us).unwrap()
    }

    /// What is spread, as points `step` meters apart: (place, kilograms).
    fn demand(&self, step: f64) -> Vec<(Coord<f64>, f64)> {
        let mut demand = Vec::new();
        for (zone, mass) in &self.zones {
            let rate = mass.as_kilograms() / zone.unsigned_area();
            let bounds = zone.bounding_rect().unwrap();
            let mut y = bounds.min().y + 0.5 * step;
            while y < bounds.max().y {
                let mut x = bounds.min().x + 0.5 * step;
                while x < bounds.max().x {
                    if zone.contains(&Coord { x, y }) {
                        demand.push((Coord { x, y }, rate * step * step));
                    }
                    x += step;
                }
                y += step;
            }
        }
        demand
    }

    /// The loaded travel to a place in closed form, kilogram meters.
    fn travel(&self, to: Coord<f64>) -> f64 {
        let over = |(zone, mass): &(Polygon<f64>, Mass)| {
            mass.as_kilograms() / zone.unsigned_area() * integral(zone, to)
        };
        self.zones.iter().map(over).sum()
    }
}

/// The integral of the distance from a place over a polygon. Over the triangle of the place and an
/// edge at height h, whose ends lie at t1 and t2 from the foot of the height, it is F(t2) - F(t1)
/// with F(t) = (h t sqrt(h² + t²) + h³ asinh(t / h)) / 6, in polar coordinates.
fn integral(polygon: &Polygon<f64>, at: Coord<f64>) -> f64 {
    let mut sum = 0.0;
    for ring in std::iter::once(polygon.exterior()).chain(polygon.interiors()) {
        let turn: f64 = ring.lines().map(|l| l.start.x * l.end.y - l.end.x * l.start.y).sum();
        let is_hole = !std::ptr::eq(ring, polygon.exterior());
        let sign = if (turn > 0.0) == is_hole { -1.0 } else { 1.0 };
        for line in ring.lines() {
            let (a, b) = (line.start - at, line.end - at);
            let (along, cross) = (b - a, a.x * b.y - a.y * b.x);
            let length = along.x.hypot(along.y);
            let h = cross.abs() / length;
            if h < 1e-9 {
                continue;
            }
            let foot = |p: Coord<f64>| (p.x * along.x + p.y * along.y) / length;
            let part = |t: f64| (h * t * h.hypot(t) + h.powi(3) * (t / h).asinh()) / 6.0;
            sum += sign * cross.signum() * (part(foot(b)) - part(foot(a)));
        }
    }
    sum
}

/// The closed form itself: the mean distance in a unit square from its middle is
/// (sqrt 2 + ln(1 + sqrt 2)) / 6 (OEIS A103712).
#[test]
fn the_integral_is_the_known_one() {
    let square = Rect::new(Coord { x: 0.0, y: 0.0 }, Coord { x: 1.0, y: 1.0 }).to_polygon();
    let known = (2_f64.sqrt() + (1.0 + 2_f64.sqrt()).ln()) / 6.0;
    assert!((integral(&square, Coord { x: 0.5, y: 0.5 }) - known).abs() < 1e-12);
}

/// On 100 fields: the pile is never inside a setback and its travel is within 0.5 % of the best node
/// of a 5 ft lattice, and its printed travel is the integral's. Where there is no pile no node will
/// do, and none misses less.
#[test]
fn no_node_of_a_five_foot_lattice_is_better() {
    let (mut placed, mut none, mut worst, mut off) = (0, 0, f64::NEG_INFINITY, 0.0_f64);
    for seed in 0..100 {
        let case = case(seed);
        let stockpile = case.placed(&PileRequest::default());
        let demand = case.demand(12.0);
        let cost = |at: Coord<f64>| -> f64 {
            let way = |to: Coord<f64>| ((to.x - at.x).powi(2) + (to.y - at.y).powi(2)).sqrt();
            demand.iter().map(|(to, mass)| mass * way(*to)).sum()
        };
        let radius = case.whole();
        let nodes = case.nodes(LATTICE, radius);
        let best = nodes.iter().filter(|at| case.short(**at, radius) <= 0.0);
        let best = best.map(|at| (cost(*at), *at)).min_by(|a, b| a.0.total_cmp(&b.0));
        let Some(pile) = stockpile.piles.first() else {
            none += 1;
            assert!(best.is_none(), "seed {seed}: {best:?}");
            let miss = stockpile.nearest_miss.as_ref().unwrap();
            assert!(!miss.is_allowed());
            let is_open = |at: &&Coord<f64>| {
                !case.field.keep_outs.iter().any(|keep_out| keep_out.area.contains(*at))
            };
            for node in nodes.iter().filter(is_open) {
                let short = |at| case.short(at, radius);
                assert!(short(miss.position) <= short(*node) + 0.02, "seed {seed}");
            }
            continue;
        };
        placed += 1;
        let at = pile.spot.position;
        assert!(case.field.boundary.local().contains(&at), "seed {seed}");
        assert!((pile.cone.radius.as_metres() - radius).abs() < 1e-4, "seed {seed}");
        let short = case.short(at, radius);
        assert!(short <= 0.0 && case.reached(at, radius), "seed {seed}: {short}");
        assert!(pile.spot.is_allowed());
        let exact = case.travel(at);
        off = off.max((pile.travel.si() / exact - 1.0).abs());
        if let Some((_, node)) = best {
            worst = worst.max(exact / case.travel(node) - 1.0);
        }
        for corner in stockpile.allowed.iter().flat_map(|part| part.exterior().0.clone()) {
            let corner = case.field.boundary.frame().to_local(corner).unwrap();
            let keeps = case.short(corner, radius) <= 0.0;
            assert!(keeps && case.reached(corner, radius), "seed {seed}: {corner:?}");
        }
    }
    println!(
        "{placed} piles, {none} fields without; at most {worst:.2e} over the best node, travel off by {off:.1e}"
    );
    assert!(placed >= 50 && none >= 3);
    assert!(worst <= 0.005 && off <= 2e-4, "{worst} {off}");
}

/// Two piles against all pairs of a coarse lattice. For two piles the best shares are known: loads by
/// the difference of their ways, until one pile is full.
#[test]
fn two_piles_are_as_good_as_any_pair() {
    let mut worst = f64::NEG_INFINITY;
    let mut tried = 0;
    for seed in 200..224 {
        let case = case(seed);
        let whole: f64 = case.zones.iter().map(|(_, mass)| mass.as_kilograms()).sum();
        let capacity = whole * [0.52, 0.65, 1.0][usize::try_from(seed % 3).unwrap()];
        let asked = PileRequest {
            piles: Some(2),
            capacity: Some(Mass::kilograms(capacity)),
            ..PileRequest::default()
        };
        let stockpile = case.placed(&asked);
        let [one, two] = &stockpile.piles[..] else { continue };
        tried += 1;
        for pile in [one, two] {
            let (at, radius) = (pile.spot.position, radius(pile.mass.as_kilograms()));
            assert!((pile.cone.radius.as_metres() - radius).abs() < 1e-4, "seed {seed}");
            assert!(case.short(at, radius) <= 0.0 && case.reached(at, radius), "seed {seed}");
            assert!(pile.mass.as_kilograms() <= capacity * (1.0 + 1e-9));
        }
        assert!(((one.mass + two.mass).as_kilograms() / whole - 1.0).abs() < 1e-9);
        let demand = case.demand(16.0);
        // The points stand for a little more or less than all.
        let room = capacity / whole * demand.iter().map(|(_, mass)| mass).sum::<f64>();
        let cost = |a: Coord<f64>, b: Coord<f64>| {
            let way = |p: Coord<f64>, q: Coord<f64>| (p.x - q.x).hypot(p.y - q.y);
            let mut ways: Vec<(f64, f64, f64)> =
                demand.iter().map(|(at, mass)| (way(*at, a), way(*at, b), *mass)).collect();
            ways.sort_by(|p, q| (p.0 - p.1).total_cmp(&(q.0 - q.1)));
            let total: f64 = ways.iter().map(|way| way.2).sum();
            let (mut sum, mut given) = (0.0, 0.0);
            for (to_a, to_b, mass) in ways {
                // From a while it is nearer and has some left, and as long as b could not hold the rest.
                let wanted = if to_a <= to_b { mass } else { 0.0 };
                let forced = (total - room - given).clamp(0.0, mass);
                let from_a = wanted.max(forced).min(room - given);
                given += from_a;
                sum += from_a * to_a + (mass - from_a) * to_b;
            }
            sum
        };
        // Places where either of the two could lie.
        let [small, large] = [one, two].map(|pile| pile.cone.radius.as_metres());
        let (small, large) = (small.min(large), small.max(large));
        let nodes: Vec<Coord<f64>> = case.nodes(24.0, small);
        let nodes: Vec<Coord<f64>> =
            nodes.into_iter().filter(|at| case.short(*at, large) <= 0.0).collect();
        let ours = cost(one.spot.position, two.spot.position);
        let pairs = nodes.iter().flat_map(|a| nodes.iter().map(|b| (*a, *b)));
        let best = pairs.map(|(a, b)| cost(a, b)).fold(f64::INFINITY, f64::min);
        if best.is_finite() {
            worst = worst.max(ours / best - 1.0);
            assert!(ours <= best * 1.005, "seed {seed}: {}", ours / best - 1.0);
        }
    }
    println!("{tried} fields with two piles, at most {worst:.2e} over the best pair of nodes");
    assert!(tried >= 8);
}
