use geo::{Area as _, polygon};

use super::*;
use crate::field::{Boundary, KeepOutLayer, RawSample};
use crate::projection::Coordinates;
use crate::units::{Rate, Written};

/// About 510 m by 500 m; its frame's origin is its middle.
fn field() -> Field {
    let square = polygon![(x: -85.2, y: 40.1), (x: -85.194, y: 40.1), (x: -85.194, y: 40.1045), (x: -85.2, y: 40.1045)];
    let boundary = Boundary::new(MultiPolygon(vec![square]), "field.geojson").unwrap();
    let wgs84 = || Coordinates { crs: "WGS 84".into(), accuracy: None };
    let sample = |x: f64| RawSample {
        id: String::new(),
        place: String::new(),
        wgs84: Coord { x: -85.197 + x, y: 40.102 },
        cec: Some(10.0),
        cations: None,
        esp: None,
    };
    let samples = [0.0, 0.001, 0.002].map(sample).to_vec();
    Field::new((boundary, wgs84()), (samples, wgs84()), vec![]).unwrap()
}

/// By hand: 51.13 t at 881.0 kg/m3 (55 lb/ft3) are 58.03 m3; r³ = 3 x 58.03 / (pi x 0.753554).
const RADIUS: f64 = 4.190;

/// A layer of features in the field's meters.
fn layer(why: &str, metres: f64, features: Vec<Feature>) -> KeepOutLayer {
    let frame = *field().boundary.frame();
    let mut features = features;
    for at in features.iter_mut().flat_map(|f| f.lines.iter_mut().flatten()) {
        *at = frame.to_wgs84(*at).unwrap();
    }
    KeepOutLayer {
        called: format!("setback ({why})"),
        why: why.to_owned(),
        distance: Written { value: Length::metres(metres), system: System::Metric },
        features,
    }
}

fn line(pairs: &[(f64, f64)]) -> Feature {
    Feature::line(pairs.iter().map(|&(x, y)| Coord { x, y }).collect())
}

fn well(x: f64, y: f64) -> Feature {
    Feature::point(Coord { x, y })
}

/// The field at one rate.
fn zones() -> Vec<(Polygon<f64>, Mass)> {
    let rate = Rate::tonnes_per_hectare(2.0);
    let zone = |polygon: &Polygon<f64>| {
        (polygon.clone(), rate * Area::square_metres(polygon.unsigned_area()))
    };
    field().boundary.local().iter().map(zone).collect()
}

fn placed(
    setbacks: &[KeepOutLayer],
    access: Option<&KeepOutLayer>,
    asked: &PileRequest,
) -> Stockpile {
    let field = field().with_site(setbacks, access).unwrap();
    let site = field.site.clone().unwrap();
    place(&field, &site, &zones(), asked, &supply(&zones()), System::Metric).unwrap()
}

/// Just what is spread.
fn supply(zones: &[(Polygon<f64>, Mass)]) -> Supply {
    Supply { mass: zones.iter().map(|(_, mass)| *mass).sum(), truck: None }
}

fn refused(asked: &PileRequest) -> String {
    refused_of(asked, &supply(&zones()))
}

fn refused_of(asked: &PileRequest, supply: &Supply) -> String {
    let field = field();
    let error = place(&field, &Site::default(), &zones(), asked, supply, System::Metric);
    error.unwrap_err().to_string()
}

/// By hand: piles of 30 t take one truck of 24 t; three trucks bring 72 t, and a third of the 51.13 t
/// is spread from each.
#[test]
fn piles_hold_whole_trucks() {
    let [truck, mass, capacity] = [24.0, 72.0, 30.0].map(Mass::tonnes);
    let supply = Supply { mass, truck: Some(truck) };
    let asked = PileRequest { capacity: Some(capacity), ..PileRequest::default() };
    let made = place(&field(), &Site::default(), &zones(), &asked, &supply, System::Metric);
    let made = made.unwrap();
    assert_eq!(made.piles.len(), 3);
    for pile in &made.piles {
        assert!((pile.mass.as_kilograms() / 1000.0 - 51.13 / 3.0).abs() < 0.01, "{:?}", pile.mass);
    }
    assert_eq!(
        refused_of(&PileRequest { piles: Some(2), ..asked }, &supply),
        "[pile] capacity: found room for 48.00 t in 2 piles, expected room for 72.00 t; set piles = 3, or leave it out"
    );
    let capacity = Some(Mass::tonnes(20.0));
    assert_eq!(
        refused_of(&PileRequest { capacity, ..asked }, &supply),
        "[pile] capacity: found 20.00 t, expected room for a delivery of 24.00 t at the least; raise the capacity, or lower [order] delivery"
    );
}

/// By symmetry: the middle of a field that is alike all around; kept 100 m from a well there, any
/// place just that far from it in the direction in which the field is narrower.
#[test]
fn where_symmetry_says() {
    let free = placed(&[], None, &PileRequest::default());
    let [pile] = &free.piles[..] else { panic!("{:?}", free.piles) };
    assert!(pile.spot.position.x.hypot(pile.spot.position.y) < 2.0, "{:?}", pile.spot.position);
    // All of the pile lies in the field: its middle keeps off the edge of 511.6 m by 499.6 m.
    let field = field();
    let inner = |around: f64| (511.6 - 2.0 * around) * (499.6 - 2.0 * around);
    let share = free.allowed_area() / field.boundary.area();
    assert!((share - inner(RADIUS) / inner(0.0)).abs() < 1e-4, "{share}");
    assert!((pile.cone.radius.as_metres() - RADIUS).abs() < 0.001, "{:?}", pile.cone);
    let kept = placed(&[layer("well", 100.0, vec![well(0.0, 0.0)])], None, &PileRequest::default());
    let Clearance { found, .. } = &kept.piles[0].spot.setbacks[0];
    let found = found.unwrap().as_metres();
    assert!((100.0..100.02).contains(&found), "{found}");
    assert!(kept.travel() > free.travel());
    let round = std::f64::consts::PI * (100.0 + RADIUS).powi(2);
    let allowed = free.allowed_area().as_square_metres() - round;
    assert!((kept.allowed_area().as_square_metres() - allowed).abs() < 10.0);
}

/// Two piles serve the halves of the longer side.
#[test]
fn two_piles_share_the_field() {
    let asked = PileRequest { piles: Some(2), ..PileRequest::default() };
    let two = placed(&[], None, &asked);
    let [west, east] = &two.piles[..] else { panic!("{:?}", two.piles) };
    assert_eq!((west.number, east.number), (1, 2));
    assert!((west.mass / east.mass - 1.0).abs() < 0.05);
    for (pile, x) in [(west, -127.0), (east, 127.0)] {
        let at = pile.spot.position;
        assert!((at.x - x).hypot(at.y) < 6.0, "{at:?}");
    }
    assert!(two.travel() < placed(&[], None, &PileRequest::default()).travel());
    // Half of 51.0 t each, with one per cent to spare.
    let asked = PileRequest { capacity: Some(Mass::tonnes(25.8)), ..PileRequest::default() };
    let full = placed(&[], None, &asked);
    assert_eq!(full.piles.len(), 2);
    assert!(full.piles.iter().all(|pile| pile.mass.as_tonnes() <= 25.8 + 1e-9));
}

#[test]
fn reach_and_setback_are_kept() {
    let lane = layer("lane", 30.0, vec![line(&[(-400.0, 200.0), (-50.0, 200.0)])]);
    let ditch = layer("ditch", 61.0, vec![line(&[(-20.0, 300.0), (-20.0, 0.0)])]);
    let stockpile = placed(&[ditch], Some(&lane), &PileRequest::default());
    let spot = &stockpile.piles[0].spot;
    let access = spot.access.as_ref().unwrap();
    assert!(spot.is_allowed() && access.is_reached());
    // The corner of both, nearest to the middle.
    let at = spot.position;
    assert!((at.x + 81.0 + RADIUS).hypot(at.y - 170.0 + RADIUS) < 0.05, "{at:?}");
    assert_eq!(spot.tightest().unwrap().why, "ditch");
}

#[test]
fn nowhere_is_an_answer() {
    let everywhere = layer("creek", 200.0, vec![line(&[(0.0, -900.0), (0.0, 900.0)])]);
    let wells = layer("well", 300.0, vec![well(-255.0, 0.0), well(255.0, 0.0)]);
    let stockpile = placed(&[everywhere, wells], None, &PileRequest::default());
    assert!(stockpile.piles.is_empty() && stockpile.allowed.0.is_empty());
    let miss = stockpile.nearest_miss.unwrap();
    // On the northern or southern edge, 249.8 m from the middle, both are missed alike, by s:
    // (55 + s)² + 249.8² = (300 - s)²; and by the pile's radius more.
    for setback in &miss.setbacks {
        let spare = setback.to_spare().unwrap().as_metres();
        assert!((spare + 34.6 + RADIUS).abs() < 0.1, "{spare}");
    }
    let lane = layer("lane", 30.0, vec![line(&[(-400.0, 300.0), (400.0, 300.0)])]);
    let apart = placed(&[], Some(&lane), &PileRequest::default());
    let miss = apart.nearest_miss.unwrap();
    let found = miss.access.as_ref().unwrap().found.unwrap().as_metres();
    assert!(apart.piles.is_empty() && (found + RADIUS - 50.2).abs() < 0.3, "{found}");
    let faults = miss.faults(System::Metric);
    let over = "it reaches 4.2 m over the edge of the field";
    assert_eq!(faults, [over, "46.0 m from lane, trucks reach 30.0 m"]);
}

#[test]
fn named_places_are_checked() {
    let at = |x: f64, y: f64| {
        let place = Some(field().boundary.frame().to_wgs84(Coord { x, y }).unwrap());
        let ditch = layer("ditch", 61.0, vec![line(&[(-60.0, 300.0), (-60.0, -300.0)])]);
        placed(&[ditch], None, &PileRequest { place, ..PileRequest::default() })
    };
    let good = at(100.0, 0.0);
    let named = good.named.as_ref().unwrap();
    assert!(named.spot.is_allowed() && named.travel > named.best.unwrap());
    assert_eq!(good.piles[0].spot.wgs84, named.spot.wgs84);
    let near = at(-20.0, 10.0);
    let named = near.named.as_ref().unwrap();
    assert_eq!(named.spot.faults(System::Metric), ["35.8 m from ditch, 61.0 m required"]);
    assert!(near.piles[0].spot.is_allowed());
    let outside = at(300.0, 0.0);
    let faults = outside.named.as_ref().unwrap().spot.faults(System::Metric);
    assert_eq!(faults, ["it reaches 48.4 m over the edge of the field"]);
}

#[test]
fn what_cannot_be_asked() {
    let mass = |tonnes: f64| Some(Mass::tonnes(tonnes));
    let place = Some(Coord { x: -85.197, y: 40.102 });
    assert_eq!(
        refused(&PileRequest {
            piles: Some(2),
            capacity: mass(20.0),
            place: None,
            ..PileRequest::default()
        }),
        "[pile] capacity: found room for 40.00 t in 2 piles, expected room for 51.13 t; set piles = 3, or leave it out"
    );
    assert_eq!(
        refused(&PileRequest {
            piles: None,
            capacity: mass(4.0),
            place: None,
            ..PileRequest::default()
        }),
        "[pile] capacity: found room for 48.00 t in 12 piles, expected room for 51.13 t; raise the capacity, at most 12 piles are placed"
    );
    assert_eq!(
        refused(&PileRequest {
            piles: None,
            capacity: mass(40.0),
            place,
            ..PileRequest::default()
        }),
        "[pile] capacity: found room for 40.00 t in 1 pile, expected room for 51.13 t; one pile lies at the named place; raise the capacity, or leave the place out"
    );
    let far = Some(Coord { x: -85.0, y: 40.1 });
    assert_eq!(
        refused(&PileRequest { place: far, ..PileRequest::default() }),
        "[pile] place: found -85, 40.1, which is 16542 m from the field, expected longitude and latitude of a place in it"
    );
    let nowhere = Some(Coord { x: 85.0, y: 40.1 });
    assert_eq!(
        refused(&PileRequest { place: nowhere, ..PileRequest::default() }),
        "[pile] place: found 85, 40.1, expected longitude and latitude of a place in the field"
    );
}

/// Nothing to spread: a pile of nothing, and no division by it.
#[test]
fn nothing_to_spread() {
    let mut zones = zones();
    zones[0].1 = Mass::ZERO;
    let asked = PileRequest { capacity: Some(Mass::tonnes(1.0)), ..PileRequest::default() };
    let none = supply(&zones);
    let made = place(&field(), &Site::default(), &zones, &asked, &none, System::Us).unwrap();
    assert_eq!((made.piles.len(), made.travel()), (1, Haul::ZERO));
    assert!(mean_way(made.travel(), made.piles[0].mass).is_none());
}

/// By hand: three trucks of 24 t go to three piles, whatever is spread from each: 72 t / 3 at
/// 881.0 kg/m3 are 27.24 m3, r³ = 34.52, r = 3.256 m.
#[test]
fn piles_are_as_large_as_what_is_brought_to_them() {
    let [truck, mass, capacity] = [24.0, 72.0, 30.0].map(Mass::tonnes);
    let supply = Supply { mass, truck: Some(truck) };
    let asked = PileRequest { capacity: Some(capacity), ..PileRequest::default() };
    let ditch = layer("ditch", 61.0, vec![line(&[(-20.0, 300.0), (-20.0, -300.0)])]);
    let field = field().with_site(&[ditch], None).unwrap();
    let site = field.site.clone().unwrap();
    let made = place(&field, &site, &zones(), &asked, &supply, System::Metric).unwrap();
    assert_eq!(made.piles.len(), 3);
    for pile in &made.piles {
        assert!((pile.cone.radius.as_metres() - 3.256).abs() < 0.002, "{:?}", pile.cone);
        let found = pile.spot.setbacks[0].found.unwrap().as_metres();
        assert!(((pile.spot.position.x + 20.0).abs() - 3.256 - found).abs() < 0.01);
        assert!(pile.spot.is_allowed());
    }
}

/// A pile lies with all of it off what is kept out.
#[test]
fn all_of_a_pile_is_off_what_is_kept_out() {
    let yard = layer("yard", 10.0, vec![well(0.0, 0.0)]);
    let field = field().keeping_out(vec![yard]).unwrap().with_site(&[], None).unwrap();
    let site = field.site.clone().unwrap();
    let asked = PileRequest::default();
    let made = place(&field, &site, &zones(), &asked, &supply(&zones()), System::Metric).unwrap();
    let away = made.piles[0].spot.position;
    let away = away.x.hypot(away.y);
    assert!((14.19..14.25).contains(&away), "{away}");
}
