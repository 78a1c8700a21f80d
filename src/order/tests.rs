use super::*;
use crate::spreader::Range;
use crate::units::{Density, Share, Speed, Time, Volume};

fn settings() -> OrderSettings {
    let first = FirstLoads { count: 1, share: Share::percent(50.0) };
    let density = Density::pounds_per_cubic_foot(60.0);
    let fill = Fill::new(Volume::cubic_feet(300.0), density, Mass::tons(12.0), first);
    OrderSettings {
        extra: OrderExtra { loss: Share::percent(2.0), margin: Share::percent(3.0) },
        delivery: Some(Mass::tons(24.0)),
        fill: Some(fill),
        driving: Some(Driving {
            swath: Length::feet(40.0),
            speed: Range::new(Speed::miles_per_hour(6.0), Speed::miles_per_hour(12.0)),
            turn: Time::seconds(30.0),
            refill: Time::minutes(8.0),
            road_speed: None,
        }),
        variation: Variation {
            loss: Some([Share::ZERO, Share::percent(5.0)]),
            ..Variation::default()
        },
        prices: Prices {
            product: Some((Mass::tons(1.0), Money(38.5))),
            spreading: Some((SpreadingPer::Acre, Money(11.0))),
        },
        ..OrderSettings::default()
    }
}

fn spread(tons: f64) -> Spread {
    Spread {
        mass: Mass::tons(tons),
        area: Area::acres(40.0),
        flat_mass: Mass::tons(1.5 * tons),
        field: Area::acres(50.0),
        zones: vec![Mass::tons(0.25 * tons), Mass::tons(0.75 * tons)],
        piles: Vec::new(),
        way: None,
        across: vec![Length::feet(1320.0)],
    }
}

/// By hand, with fills of 9 tons: 70 tons need 70 x 1.03 / 0.98 = 73.571, four trucks of 24 (3.07);
/// the first load is 4.5, the rest 65.5 / 9 = 7.28, so 9 loads; 1.4667 h for turns and refills and
/// 0.6875 to 1.375 h for the passes; 73.57 x 38.50 + 40 x 11 = 3,272.45 (3,272.445); the flat
/// rate takes 110.36 x 38.50 + 50 x 11 = 4,798.86, and the map's tons spread evenly 3,382.45. With
/// 0 to 5 % lost 70 to 70 / 0.95 = 73.684 tons are taken.
#[test]
fn a_field() {
    let order = Order::new(&spread(70.0), &settings());
    assert!((order.planned.ordered.as_tons() - 70.0 * 1.03 / 0.98).abs() < 1e-9);
    assert_eq!(order.deliveries.len(), 4);
    assert!((order.delivered().as_tons() - 96.0).abs() < 1e-9);
    let loads = order.loads.as_ref().unwrap();
    assert_eq!((loads.first, loads.count), (1, 9));
    let hours = order.hours.unwrap().range();
    assert!((hours.least.as_hours() - (0.6875 + 88.0 / 60.0)).abs() < 1e-9);
    let total = |cost: Option<Cost>| cost.unwrap().total().to_string();
    assert_eq!((total(order.variable), total(order.flat)), ("3,272.45".into(), "4,798.86".into()));
    assert_eq!(total(order.even), "3,382.45");
    let [low, high] = order.range.unwrap().map(|need| need.ordered.as_tons());
    assert!((low - 70.0).abs() < 1e-9 && (high - 70.0 / 0.95).abs() < 1e-9);
}

/// What holds for any mass: the trucks bring enough and none is idle, so do the loads, and the
/// zones' fills are the field's.
#[test]
fn trucks_and_loads_suffice() {
    for tenths in 1..2000 {
        let order = Order::new(&spread(0.1 * f64::from(tenths)), &settings());
        let (ordered, payload) = (order.planned.ordered.as_tons(), 24.0);
        let trucks = order.deliveries.len() as f64;
        assert!(trucks * payload >= ordered - 1e-6 && (trucks - 1.0) * payload < ordered);
        let loads = order.loads.unwrap();
        let mass = order.planned.spread.as_tons();
        let carried = 4.5 * loads.first as f64 + 9.0 * (loads.count - loads.first) as f64;
        assert!(carried >= mass - 1e-6 && carried - 9.0 < mass, "{mass}: {loads:?}");
        assert!(loads.count as f64 >= loads.fills - 1e-6);
        assert!((loads.zones.iter().sum::<f64>() - loads.fills).abs() < 1e-9);
        let cost = |cost: Option<Cost>| cost.unwrap().total();
        assert!(cost(order.variable) <= cost(order.flat));
    }
}

#[test]
fn what_is_not_known_is_left_out() {
    let order = Order::new(&spread(70.0), &OrderSettings::default());
    assert_eq!(order.planned.ordered, Mass::tons(70.0));
    assert!(order.deliveries.is_empty() && order.loads.is_none() && order.hours.is_none());
    assert!(order.variable.is_none() && order.flat.is_none() && order.even.is_none());
    assert!(order.range.is_none() && order.trucks.is_none());
}
