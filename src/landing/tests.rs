//! Closed forms: what lands where is known without a simulation.

use std::f64::consts::PI;

use geo::{Coord, MultiPolygon, Polygon, Rect};

use super::deposit::lay;
use super::*;
use crate::spreader::pans::{DrivingPattern, Pattern, overlap};
use crate::units::{Length, MassFlow, Quantity, Rate, Speed, Time};

const SWATH: f64 = 12.0;
const SPEED: f64 = 4.0;
const RATE: f64 = 0.2;

fn rectangle(west: f64, south: f64, east: f64, north: f64) -> Polygon<f64> {
    Rect::new(Coord { x: west, y: south }, Coord { x: east, y: north }).to_polygon()
}

fn scene(patches: Vec<(PatchUse, f64, Polygon<f64>)>, field: Polygon<f64>) -> Scene {
    Scene { field: MultiPolygon(vec![field]), patches, asked: None }
}

/// 120 m wide, 240 m long; from 120 m on three times the rate.
fn two_zones() -> Scene {
    let zones = vec![
        (PatchUse::Zone(1), RATE, rectangle(0.0, 0.0, 120.0, 120.0)),
        (PatchUse::Zone(2), 3.0 * RATE, rectangle(0.0, 120.0, 120.0, 240.0)),
    ];
    scene(zones, rectangle(0.0, 0.0, 120.0, 240.0))
}

fn course(rounds: usize) -> Course {
    Course {
        swath: Length::metres(SWATH),
        rounds,
        speed: Speed::from_si(SPEED),
        run_out: Length::metres(60.0),
    }
}

fn spreading(response: Response) -> SpreaderAtWork {
    let swath = Length::metres(SWATH);
    SpreaderAtWork { response, throw: Throw::triangle(swath), swath }
}

fn side() -> Length {
    Length::metres(0.5)
}

/// A triangle of base 2S at spacing S overlaps to an even rate: away from the edges the CV is 0.
#[test]
fn a_triangle_overlaps_to_an_even_rate() {
    let driven = two_zones().driven(0.0, &course(0));
    let cells = driven.spread(&spreading(Response::IDEAL), side());
    for x in [20.1, 44.3, 60.0, 71.9, 99.9] {
        for (y, rate) in [(20.2, RATE), (119.8, RATE), (120.2, 3.0 * RATE), (239.8, 3.0 * RATE)] {
            let landed = cells.rate_at(Coord { x, y });
            assert!((landed - rate).abs() < 1e-9 * rate, "{x} {y}: {landed}");
        }
    }
    let landed = Landed::new(&driven.ground, &cells);
    // The outer 6 m of each side lack what a neighbor would add: a quarter of a swath's worth.
    let thrown_out = 0.125 * SWATH * 2.0 * (120.0 * RATE + 120.0 * 3.0 * RATE);
    assert!((landed.outside - thrown_out).abs() < 1e-6 * thrown_out, "{}", landed.outside);
}

/// All that leaves the machine lands, in any direction, with headland rounds, delay and ramps.
#[test]
fn mass_is_kept() {
    let response = Response {
        delay: Time::seconds(1.7),
        rise: Ramp::FirstOrder(Time::seconds(0.8)),
        fall: Ramp::Straight(Time::seconds(1.1)),
        behind: Length::metres(7.0),
        ..Response::IDEAL
    };
    for heading in [0.0, 0.6, 0.5 * PI, 2.0] {
        for rounds in [0, 2] {
            let driven = two_zones().driven(heading, &course(rounds));
            let spreading = spreading(response);
            let cells = driven.spread(&spreading, side());
            let released: f64 = driven
                .runs
                .iter()
                .map(|run| {
                    let asked = Prescription::of(&driven.ground, run);
                    let release = Release::new(run, &asked, &response, spreading.swath);
                    release.until(run.places.last().unwrap().1)
                })
                .sum();
            assert!((cells.total() / released - 1.0).abs() < 1e-9, "{heading} {rounds}");
            assert!(released > 0.9 * RATE * 2.0 * 120.0 * 240.0 * 0.9, "{released}");
        }
    }
}

/// Where along the middle of a field the landed rate passes the middle between two, going up: the
/// cell border nearest to it.
fn edge(cells: &LandedCells, x: f64) -> f64 {
    let middle = 2.0 * RATE;
    let step = cells.side;
    let mut y = 60.0 + 0.5 * step;
    while cells.rate_at(Coord { x, y }) < middle {
        y += step;
    }
    y - 0.5 * step
}

/// A delay t at speed v moves every edge by v x t the way that is driven, a lead back, and what lands
/// behind the antenna lands so much earlier: upward passes and downward ones apart.
#[test]
fn a_delay_moves_edges() {
    for (delay, lead, behind) in
        [(2.0, 0.0, 0.0), (2.0, 0.5, 0.0), (2.0, 0.0, 3.0), (1.0, 2.5, 0.0)]
    {
        let response = Response {
            delay: Time::seconds(delay),
            lead: Time::seconds(lead),
            behind: Length::metres(behind),
            ..Response::IDEAL
        };
        let driven = two_zones().driven(0.0, &course(0));
        let moved = (delay - lead) * SPEED - behind;
        for (pass, way) in [(0, 1.0), (1, -1.0)] {
            let run = driven.runs.iter().skip(4 + pass).step_by(2).take(1).cloned().collect();
            let alone = DrivenField::new(driven.ground.clone(), run);
            let mut spreading = spreading(response);
            // As much as all passes together put on the driven line.
            spreading.throw = Throw::of(&flat()).unwrap();
            let cells = alone.spread(&spreading, Length::metres(0.25));
            let x = alone.runs[0].places[0].0.x;
            assert!((edge(&cells, x) - (120.0 + way * moved)).abs() < 1e-9, "{delay} {pass}");
        }
    }
}

/// All over one swath, evenly.
fn flat() -> Pattern {
    let half = Length::metres(SWATH / 2.0);
    Pattern::new(half * -1.0, half * 2.0, vec![Rate::from_si(1.0); 2]).unwrap()
}

fn step_up(response: Response) -> f64 {
    let field = rectangle(0.0, 0.0, SWATH, 400.0);
    let zone = vec![(PatchUse::Zone(1), RATE, field.clone())];
    let driven = scene(zone, field).driven(0.0, &course(0));
    let cells = driven.spread(&spreading(response), side());
    RATE * SWATH * 400.0 - cells.total()
}

/// After a step from nothing a first-order lag is behind by rate x swath x speed x time constant, a
/// straight ramp by half its time: what is missing in the field, where the belt stops at once.
#[test]
fn what_a_ramp_withholds() {
    for tau in [0.5, 2.0] {
        let rise = Ramp::FirstOrder(Time::seconds(tau));
        let missing = step_up(Response { rise, ..Response::IDEAL });
        let expected = RATE * SWATH * SPEED * tau;
        // 400 m take 100 s, at least 50 time constants: e^-50 is nothing.
        assert!((missing / expected - 1.0).abs() < 1e-9, "{tau}: {missing}");
        let rise = Ramp::Straight(Time::seconds(tau));
        let missing = step_up(Response { rise, ..Response::IDEAL });
        assert!((missing / (0.5 * expected) - 1.0).abs() < 1e-9, "{tau}: {missing}");
    }
}

/// The belt's bounds: a rate that is too high is not reached, one that is too low is overdone.
#[test]
fn the_belt_has_its_bounds() {
    let flow = RATE * SWATH * SPEED;
    for (least, most, share) in [(0.0, 0.8, 0.8), (1.3, 2.0, 1.3), (0.5, 1.5, 1.0)] {
        let belt =
            Belt { least: MassFlow::from_si(least * flow), most: MassFlow::from_si(most * flow) };
        let missing = step_up(Response { belt: Some(belt), ..Response::IDEAL });
        let expected = RATE * SWATH * 400.0 * (1.0 - share);
        assert!((missing - expected).abs() < 1e-6, "{share}: {missing}");
    }
}

/// `fixtures/pattern/overlap_cv.csv`, computed with numpy: all rows, on cells of a four-thousandth of the
/// pan spacing. A pan on the last place of a pattern, where it ends at once, catches all.
#[test]
fn overlapped_rows_by_cells() {
    let rows = include_str!("../../fixtures/pattern/rows.csv");
    let mut checked = 0;
    for line in include_str!("../../fixtures/pattern/overlap_cv.csv").lines().skip(1) {
        let cells: Vec<&str> = line.split(',').collect();
        let number = |i: usize| cells[i].parse::<f64>().unwrap();
        let row: Vec<(f64, f64)> = rows
            .lines()
            .skip(1)
            .map(|line| line.split(',').collect::<Vec<_>>())
            .filter(|row| row[0] == cells[0])
            .map(|row| (row[1].parse().unwrap(), row[2].parse().unwrap()))
            .collect();
        let (spacing, swath) = (Length::feet(number(1)), Length::feet(number(2)));
        let caught = row.iter().map(|row| Rate::from_si(row.1)).collect();
        let pattern = Pattern::new(Length::feet(row[0].0), spacing, caught).unwrap();
        let driving =
            if cells[3] == "race" { DrivingPattern::Race } else { DrivingPattern::BackAndForth };
        let places: Vec<f64> =
            overlap(&pattern, swath, driving).iter().map(|place| place.0.si()).collect();
        let landed = landed_across(&pattern, swath.si(), driving, &places);
        let mean = landed.iter().sum::<f64>() / landed.len() as f64;
        let squares: f64 = landed.iter().map(|rate| (rate - mean).powi(2)).sum();
        let cv = 100.0 * (squares / (landed.len() as f64 - 1.0)).sqrt() / mean;
        assert!((cv - number(6)).abs() < 0.003, "{line}: {cv}");
        checked += 1;
    }
    assert_eq!(checked, 88);
}

/// What lands at places across passes a swath apart, all up or every second one down.
fn landed_across(
    pattern: &Pattern,
    swath: f64,
    driving: DrivingPattern,
    places: &[f64],
) -> Vec<f64> {
    let throw = Throw::of(pattern).unwrap();
    let side = pattern.spacing().si() / 4000.0;
    let reach = throw.reach()[1].max(-throw.reach()[0]);
    let field = MultiPolygon(vec![rectangle(-reach, 0.0, reach, side)]);
    let zone = [(PatchUse::Zone(1), 1.0, field.0[0].clone())];
    let ground = LandingGround::new(&field, &zone, TurnedPlane::to(0.0));
    let one = |upward: bool| {
        let (from, to) = if upward { (0.0, side) } else { (side, 0.0) };
        let way = [Coord { x: 0.0, y: from }, Coord { x: 0.0, y: to }];
        let run = Run::at_speed(&way, Speed::from_si(1.0), SpreadPart::Field);
        let asked = Prescription::of(&ground, &run);
        let release = Release::new(&run, &asked, &Response::IDEAL, Length::metres(swath));
        // One row of cells.
        let columns = 8000 * pattern.rates().len() + 20;
        let origin = Coord { x: -side * (columns / 2) as f64, y: 0.0 };
        let mut cells =
            LandedCells { origin, side, columns, rows: 1, mass: vec![0.0; columns], beyond: 0.0 };
        lay(&run, &release, Length::ZERO, &throw, &mut cells);
        cells
    };
    let (upward, downward) = (one(true), one(false));
    let last = (2.5 + 2.0 * reach / swath).ceil();
    let passes = || (0..).map(|pass| f64::from(pass) - last).take_while(|pass| *pass <= last);
    places
        .iter()
        .map(|place| {
            let caught = |pass: f64| {
                let down = driving == DrivingPattern::BackAndForth && pass.rem_euclid(2.0) == 1.0;
                let cells = if down { &downward } else { &upward };
                let at = |x: f64| cells.rate_at(Coord { x, y: 0.5 * side });
                let from_line = place - pass * swath;
                at(from_line - 0.5 * side).max(at(from_line + 0.5 * side))
            };
            passes().map(caught).sum()
        })
        .collect()
}

/// In other directions the drops are shared among cells: the same rates, but for the border of what
/// lands, and the same mass in each half of the field.
#[test]
fn any_direction_lands_the_same() {
    let zone = |heading: f64| {
        // The two zones, as they lie when the field is turned.
        let turned = TurnedPlane::to(-heading);
        let scene = two_zones();
        let patches = scene.patches.iter().map(|(is, rate, at)| (*is, *rate, turned.polygon(at)));
        let field = MultiPolygon(scene.field.iter().map(|part| turned.polygon(part)).collect());
        Scene { field, patches: patches.collect(), asked: None }
    };
    let straight = two_zones().driven(0.0, &course(0));
    let spreading = spreading(Response { delay: Time::seconds(1.0), ..Response::IDEAL });
    let expected = Landed::new(&straight.ground, &straight.spread(&spreading, side()));
    // The same passes over the same field, on cells that lie north.
    let heading = 0.3;
    let turned = zone(heading);
    let ground = LandingGround::new(&turned.field, &turned.patches, TurnedPlane::to(0.0));
    let back = TurnedPlane::to(-heading);
    let runs = straight.runs.iter().map(|run| Run {
        places: run.places.iter().map(|(at, time)| (back.from_plane(*at), *time)).collect(),
        over: run.over,
    });
    let across = DrivenField::new(ground, runs.collect());
    let found = Landed::new(&across.ground, &across.spread(&spreading, side()));
    assert!((found.total / expected.total - 1.0).abs() < 1e-9);
    for (found, expected) in found.zones.iter().zip(&expected.zones) {
        assert!((found.landed / expected.landed - 1.0).abs() < 2e-3, "{found:?} {expected:?}");
        assert!((found.cv - expected.cv).abs() < 5e-3, "{found:?} {expected:?}");
    }
}

/// The lead that cures a delay is the delay, less the time in which the machine drives the distance
/// that the material lands behind it; a ramp adds its own lag.
#[test]
fn the_lead_that_cures() {
    for (delay, behind, rise, expected) in
        [(2.0, 0.0, 0.0, 2.0), (3.2, 4.0, 0.0, 2.2), (0.4, 8.0, 0.0, 0.0), (2.0, 0.0, 1.0, 2.5)]
    {
        let ramp = Ramp::Straight(Time::seconds(rise));
        let response = Response {
            delay: Time::seconds(delay),
            behind: Length::metres(behind),
            rise: ramp,
            fall: ramp,
            ..Response::IDEAL
        };
        let driven = two_zones().driven(0.0, &course(0));
        let best = best_lead(&driven, &spreading(response), side()).unwrap();
        let lead = best.setting.as_seconds();
        assert!((lead - expected).abs() < 0.051, "{delay} {behind} {rise}: {lead}");
    }
}

/// Zones in strips three swaths wide: driven along them, with the passes on their borders' side, they
/// are hit; across them every border is smeared by the delay.
#[test]
fn the_heading_that_misplaces_least() {
    let heading = f64::to_radians(35.0);
    let turned = TurnedPlane::to(-heading);
    let strip = |i: usize| {
        let west = i as f64 * 3.0 * SWATH;
        let rate = if i.is_multiple_of(2) { RATE } else { 3.0 * RATE };
        (
            PatchUse::Zone(i + 1),
            rate,
            turned.polygon(&rectangle(west, 0.0, west + 3.0 * SWATH, 360.0)),
        )
    };
    let field = turned.polygon(&rectangle(0.0, 0.0, 10.0 * 3.0 * SWATH, 360.0));
    let scene = scene((0..10).map(strip).collect(), field);
    let response = Response { delay: Time::seconds(2.0), ..Response::IDEAL };
    let tried = headings(&scene, &[0.0], &course(0), &spreading(response), Length::metres(1.0));
    let best = least_misplaced(&tried).unwrap();
    assert!((best.setting.to_degrees() - 35.0).abs() < 1e-9, "{best:?}");
    assert_eq!(tried.len(), 37);
}

/// A strip that is kept out, beside passes that run along it: the outermost pass drives half a swath
/// from it and throws a whole swath. Half a swath more switches that pass off, and the next one does
/// not reach it.
#[test]
fn kept_out_ground_beside_the_passes() {
    let patches = vec![
        (PatchUse::Zone(1), RATE, rectangle(0.0, 0.0, 10.0 * SWATH, 240.0)),
        (PatchUse::KeptOut(0), 0.0, rectangle(10.0 * SWATH, 0.0, 12.0 * SWATH, 240.0)),
    ];
    let scene = scene(patches, rectangle(0.0, 0.0, 12.0 * SWATH, 240.0));
    let driven = scene.driven(0.0, &course(0));
    let spreading = spreading(Response::IDEAL);
    let landed = Landed::new(&driven.ground, &driven.spread(&spreading, side()));
    let [kept_out] = landed.kept_out[..] else { panic!("{landed:?}") };
    // An eighth of what a pass throws; half its peak at the border, a cell's middle further.
    let expected = 0.125 * RATE * SWATH * 240.0;
    assert!((kept_out.landed / expected - 1.0).abs() < 1e-9, "{kept_out:?}");
    let border = 0.5 - 0.25 / SWATH;
    assert!((kept_out.highest / RATE - border).abs() < 1e-9, "{kept_out:?}");
    let wider = wider(&scene, 0.0, &course(0), &spreading, side(), 0).unwrap();
    assert!((wider.as_metres() - 0.5 * SWATH).abs() < 0.16, "{wider:?}");
}

/// A strip across the passes: with a delay of 2 s at 4 m/s the belt runs on for 8 m, both ways.
#[test]
fn kept_out_ground_across_the_passes() {
    let patches = vec![
        (PatchUse::Zone(1), RATE, rectangle(0.0, 0.0, 120.0, 100.0)),
        (PatchUse::KeptOut(3), 0.0, rectangle(0.0, 100.0, 120.0, 140.0)),
        (PatchUse::Zone(2), RATE, rectangle(0.0, 140.0, 120.0, 240.0)),
    ];
    let scene = scene(patches, rectangle(0.0, 0.0, 120.0, 240.0));
    let late = spreading(Response { delay: Time::seconds(2.0), ..Response::IDEAL });
    let found = wider(&scene, 0.0, &course(0), &late, side(), 3).unwrap();
    assert!((found.as_metres() - 8.0).abs() < 0.16, "{found:?}");
    // A machine that stops at once keeps it clean.
    let at_once = scene.driven(0.0, &course(0)).spread(&spreading(Response::IDEAL), side());
    let driven = scene.driven(0.0, &course(0));
    assert!(Landed::new(&driven.ground, &at_once).kept_out[0].highest < TRACE);
}

/// Two headland rounds and the passes between them give all the ground its rate, but for the ends of
/// passes and the corners.
#[test]
fn headland_rounds_and_passes_share_the_field() {
    let driven = two_zones().driven(0.0, &course(2));
    assert_eq!(driven.runs.iter().filter(|run| run.over == SpreadPart::Field).count(), 2);
    // 120 m less two rounds of 12 m on both sides: six passes.
    assert_eq!(driven.runs.iter().filter(|run| run.over == SpreadPart::Inside).count(), 6);
    let cells = driven.spread(&spreading(Response::IDEAL), side());
    let landed = Landed::new(&driven.ground, &cells);
    let planned: f64 = landed.zones.iter().map(|zone| zone.planned).sum();
    let share = (landed.total - planned) / planned;
    assert!(share.abs() < 0.02, "{share}");
    for (x, y) in [(60.0, 60.0), (6.0, 60.0), (60.0, 30.0), (60.0, 200.0)] {
        let rate = if y < 120.0 { RATE } else { 3.0 * RATE };
        let found = cells.rate_at(Coord { x, y });
        assert!((found / rate - 1.0).abs() < 0.05, "{x} {y}: {found}");
    }
}

/// A speed that changes on the way: the controller follows it, so the rate on the ground stays.
#[test]
fn the_rate_keeps_when_the_speed_changes() {
    let field = rectangle(0.0, 0.0, SWATH, 300.0);
    let scene = scene(vec![(PatchUse::Zone(1), RATE, field.clone())], field);
    let ground = LandingGround::new(&scene.field, &scene.patches, TurnedPlane::to(0.0));
    let place = |y: f64, time: f64| (Coord { x: 0.5 * SWATH, y }, time);
    let places = vec![place(0.0, 0.0), place(100.0, 20.0), place(200.0, 60.0), place(300.0, 80.0)];
    let driven = DrivenField::new(ground, vec![Run { places, over: SpreadPart::Field }]);
    let even = SpreaderAtWork { throw: Throw::of(&flat()).unwrap(), ..spreading(Response::IDEAL) };
    let cells = driven.spread(&even, side());
    for y in [50.2, 99.9, 100.1, 150.2, 250.2] {
        let found = cells.rate_at(Coord { x: 6.1, y });
        assert!((found / RATE - 1.0).abs() < 1e-9, "{y}: {found}");
    }
    // A second late, the flow of the slow part begins 5 m into it only: twice the rate there.
    let delay = Response { delay: Time::seconds(1.0), ..Response::IDEAL };
    let cells = driven.spread(&SpreaderAtWork { response: delay, ..even }, side());
    for (y, share) in [(101.0, 2.0), (104.0, 1.0), (201.0, 0.5), (206.0, 1.0), (90.0, 1.0)] {
        let found = cells.rate_at(Coord { x: 6.1, y });
        assert!((found / RATE - share).abs() < 1e-9, "{y}: {found}");
    }
}

/// The whole of what cells say of a field is the same whatever ledger it is read from.
#[test]
fn misplaced_both_ways() {
    let driven = two_zones().driven(0.2, &course(1));
    let response = Response { delay: Time::seconds(2.0), ..Response::IDEAL };
    let cells = driven.spread(&spreading(response), side());
    let ledger = Ledger::new(&driven.ground, &cells);
    let landed = ledger.judged(&cells);
    assert!((ledger.misplaced(&cells) / landed.misplaced() - 1.0).abs() < 1e-9);
    assert!(
        (landed.within_a_tenth + landed.too_little + landed.too_much - landed.spread_area).abs()
            < 1e-6
    );
}
