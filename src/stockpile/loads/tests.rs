use super::*;

fn square(x: f64, y: f64, side: f64) -> Polygon<f64> {
    let corners = [(x, y), (x + side, y), (x + side, y + side), (x, y + side)];
    Polygon::new(corners.to_vec().into(), vec![])
}

#[test]
fn masses_are_the_zones_own() {
    let sliver = Polygon::new(vec![(400.2, 0.0), (400.3, 0.0), (400.3, 0.2)].into(), vec![]);
    let zones = [
        (square(0.0, 0.0, 400.0), Mass::tonnes(30.0)),
        (square(400.0, 0.3, 90.0), Mass::ZERO),
        (sliver, Mass::kilograms(2.0)),
    ];
    let loads = loads(&zones);
    let of = |zone: usize| -> f64 {
        loads.iter().filter(|load| load.zone == zone).map(|load| load.mass).sum()
    };
    assert!((of(0) / 30_000.0 - 1.0).abs() < 1e-12);
    assert!(of(1) == 0.0 && (of(2) / 2.0 - 1.0).abs() < 1e-9);
    let few = fewer(&loads, 100.0);
    assert!(few.len() < 200, "{}", few.len());
    assert!((few.iter().map(|load| load.mass).sum::<f64>() / 30_002.0 - 1.0).abs() < 1e-12);
}

/// No place of a square is below what is promised of it.
#[test]
fn squares_keep_their_promise() {
    let loads = loads(&[(square(0.0, 0.0, 100.0), Mass::tonnes(1.0))]);
    let travel = Travel(&loads);
    for number in 0..50_i32 {
        let middle = Coord { x: f64::from(number) * 3.1 - 20.0, y: f64::from(number * 37 % 130) };
        let half = 1.0 + f64::from(number % 7);
        let (height, least) = travel.look(middle, half);
        assert_eq!(height, travel.height(middle));
        for (east, north) in [(-1.0, -1.0), (1.0, -0.3), (0.2, 0.1), (-1.0, 1.0), (0.7, 1.0)] {
            let at = middle + Coord { x: east, y: north } * half;
            assert!(travel.height(at) >= least - 1e-9 * height);
        }
    }
}
