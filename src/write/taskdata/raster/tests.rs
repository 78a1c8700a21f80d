use super::*;
use crate::units::Rate;

const CENTRE: Coord<f64> = Coord { x: -85.2, y: 40.4 };

/// A rectangle between two corners, in meters from the center.
fn rectangle(low: (f64, f64), high: (f64, f64)) -> Polygon<f64> {
    let frame = Frame::around(CENTRE);
    let at = |(x, y)| frame.to_wgs84(Coord { x, y }).unwrap();
    Rect::new(at(low), at(high)).to_polygon()
}

fn class(value: i32, tons: f64, polygon: Polygon<f64>) -> Class {
    Class { value, polygons: vec![polygon], rate: Rate::tons_per_acre(tons), is_kept_out: false }
}

#[test]
fn the_most_area_wins_and_the_grid_counts_from_the_south_west() {
    // 30 m by 20 m: the southern 12 m take one rate, the rest another; cells of 10 m.
    let classes = [
        class(1, 1.0, rectangle((0.0, 0.0), (30.0, 12.0))),
        class(2, 1.01, rectangle((0.0, 12.0), (30.0, 20.0))),
    ];
    let planned = Rate::tons_per_acre(1.0) * Area::square_metres(600.0);
    let side = Length::metres(10.0);
    let made = raster(Form::ZoneGrid, &classes, planned, side, &Frame::around(CENTRE)).unwrap();
    let columns = made.grid.columns;
    assert!(made.values.starts_with(&[1, 1, 1]), "{:?}", made.values);
    assert_eq!(made.values[columns..columns + 3], [2, 2, 2]);
    assert_eq!(made.bytes().len(), made.grid.len());
    let corner = Frame::around(CENTRE).to_local(made.grid.corner).unwrap();
    assert!(corner.x.hypot(corner.y) < 0.001, "{corner:?}");
}

/// By hand: of cells of 10 m, a strip of 2 m is a fifth and stays at rate 0 with the 8 m beside it,
/// over 20 m; one of 5 cm is half a hundredth.
#[test]
fn cells_on_ground_that_is_kept_from_have_rate_0() {
    let frame = Frame::around(CENTRE);
    for (strip, left) in [(2.0, 160.0), (0.05, 0.0)] {
        let kept_out =
            Class { is_kept_out: true, ..class(0, 0.0, rectangle((0.0, 0.0), (strip, 20.0))) };
        let classes = [kept_out, class(7, 1.0, rectangle((strip, 0.0), (30.0, 20.0)))];
        let planned = Rate::tons_per_acre(1.0) * Area::square_metres((30.0 - strip) * 20.0);
        let side = Length::metres(10.0);
        let made = raster(Form::RateGrid, &classes, planned, side, &frame).unwrap();
        assert_eq!(made.side, side);
        let first = if left > 0.0 { 0 } else { 7 };
        assert_eq!(made.values[..3], [first, 7, 7]);
        assert!((made.left.as_square_metres() - left).abs() < 0.1, "{:?}", made.left);
        assert!(is_close(made.mass + made.left_mass, planned));
        let why = "what is left beside keep-out areas; set a smaller [taskdata] cell";
        assert_eq!(made.reason.as_deref(), (left > 0.0).then_some(why));
    }
}

#[test]
fn cells_shrink_until_the_tons_are_near() {
    let classes = [
        class(1, 1.0, rectangle((0.0, 0.0), (93.0, 45.2))),
        class(2, 3.0, rectangle((0.0, 45.2), (93.0, 93.0))),
    ];
    let tons = |low: f64, high: f64| 93.0 * (low + 3.0 * high);
    let planned = Rate::tons_per_acre(1.0) * Area::square_metres(tons(45.2, 47.8));
    let frame = Frame::around(CENTRE);
    let made = raster(Form::RateGrid, &classes, planned, Length::metres(30.0), &frame).unwrap();
    // By hand: rows of 30 m give 60 m to the lower rate, rows of 15 m 45 m.
    assert!(made.side == Length::metres(15.0) && made.reason.is_none());
    assert!(is_close(made.mass, planned));
    assert_eq!(made.bytes().len(), 4 * made.grid.len());
    // What cannot come near says why.
    let other = planned * 2.0;
    let made = raster(Form::RateGrid, &classes, other, Length::metres(30.0), &frame).unwrap();
    assert_eq!(made.reason.unwrap(), "cells under 1 m are finer than a receiver can tell");
}

#[test]
fn a_grid_that_is_too_large() {
    let classes = [class(1, 1.0, rectangle((0.0, 0.0), (2000.0, 2000.0)))];
    let side = Length::metres(1.0);
    let said = raster(Form::RateGrid, &classes, Mass::ZERO, side, &Frame::around(CENTRE));
    let said = said.err().unwrap().to_string();
    assert!(
        said.starts_with("TASKDATA/TASKDATA.XML: cells of 1.00 m make a grid of 20")
            && said.ends_with("expected at most 1000000 cells; set a larger [taskdata] cell"),
        "{said}"
    );
    let none = raster(Form::RateGrid, &[], Mass::ZERO, side, &Frame::around(CENTRE));
    assert_eq!(none.err().unwrap().to_string(), "TASKDATA/TASKDATA.XML: found no zones");
}
