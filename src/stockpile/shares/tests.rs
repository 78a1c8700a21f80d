use super::*;

/// Knuth's MMIX generator.
fn random(state: &mut u64) -> f64 {
    *state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
    (*state >> 11) as f64 / (1_u64 << 53) as f64
}

fn place(state: &mut u64) -> Coord<f64> {
    Coord { x: 100.0 * random(state), y: 100.0 * random(state) }
}

/// Of nine loads of one mass, served whole, by every way to share them out: with capacities of whole
/// loads a least travel of divided loads is one of whole ones (G. B. Dantzig, 1951: the vertices of
/// the transportation polytope).
#[test]
fn no_way_to_share_out_is_better() {
    let mut state = 5;
    for round in 0..60_u32 {
        let loads: Vec<Load> =
            (0..9).map(|_| Load { at: place(&mut state), mass: 2.0, zone: 0 }).collect();
        let places: Vec<Coord<f64>> = (0..3).map(|_| place(&mut state)).collect();
        let holds = 3 + round % 4;
        let mut least = f64::INFINITY;
        for way in 0..3_usize.pow(9) {
            let (mut rest, mut given, mut travel) = (way, [0; 3], 0.0);
            for load in &loads {
                let pile = rest % 3;
                rest /= 3;
                given[pile] += 1;
                travel += load.mass * apart(load.at, places[pile]);
            }
            if given.iter().all(|count| *count <= holds) {
                least = least.min(travel);
            }
        }
        let shares = Shares::least(&loads, &places, 2.0 * f64::from(holds));
        assert!((shares.travel / least - 1.0).abs() < 1e-9, "{round}: {} {least}", shares.travel);
        let given: f64 = (0..3).flat_map(|pile| shares.of(pile, &loads)).map(|l| l.mass).sum();
        assert!((given - 18.0).abs() < 1e-9);
    }
}

/// Many loads, many piles, hardly any room: what cannot be cheaper is not. With the prices that the
/// shares imply no load would rather come from another pile (complementary slackness).
#[test]
fn full_piles_hold_what_they_can() {
    let mut state = 11;
    let loads: Vec<Load> = (0..2000)
        .map(|_| Load { at: place(&mut state), mass: 0.5 + random(&mut state), zone: 0 })
        .collect();
    let places: Vec<Coord<f64>> = (0..8).map(|_| place(&mut state)).collect();
    let whole: f64 = loads.iter().map(|load| load.mass).sum();
    let capacity = whole / 8.0 * 1.001;
    let shares = Shares::least(&loads, &places, capacity);
    let mut cheapest = [[f64::INFINITY; 8]; 8];
    let mut given = 0.0;
    for pile in 0..8 {
        let own = shares.of(pile, &loads);
        let mass: f64 = own.iter().map(|load| load.mass).sum();
        assert!(mass <= capacity * (1.0 + 1e-9));
        given += mass;
        for (load, other) in own.iter().flat_map(|load| (0..8).map(move |other| (load, other))) {
            let price = apart(load.at, places[other]) - apart(load.at, places[pile]);
            cheapest[pile][other] = cheapest[pile][other].min(price);
        }
    }
    assert!((given / whole - 1.0).abs() < 1e-9);
    // No circle of piles along which moving would gain (M. Klein, 1967), by Floyd and Warshall.
    for (via, from, to) in (0..512).map(|i| (i / 64, i / 8 % 8, i % 8)) {
        let through = cheapest[from][via] + cheapest[via][to];
        cheapest[from][to] = cheapest[from][to].min(through);
    }
    assert!((0..8).all(|pile| cheapest[pile][pile] > -1e-6));
}
