//! What needs PROJ: its own systems, and ours held against it.

use std::ffi::CString;

use geo::Coord;

use super::Crs;
use super::proj::{Context, Object};
use crate::geometry::Frame;

#[test]
fn state_plane_feet() {
    let crs = Crs::named("EPSG:2965").unwrap();
    assert_eq!(crs.name(), "NAD83 / Indiana East (ftUS) (EPSG:2965)");
    assert!(!crs.is_geographic());
    // The zone's origin: 37°30' N, 85°40' W at 328083.333 ft E, 820208.333 ft N.
    let mut coords = [Coord { x: 328_083.333, y: 820_208.333 }];
    let accuracy = crs.to_wgs84(&mut coords).unwrap();
    assert!((coords[0].x + 85.0 + 40.0 / 60.0).abs() < 1e-9, "{coords:?}");
    assert!((coords[0].y - 37.5).abs() < 1e-9, "{coords:?}");
    assert!(accuracy.is_some_and(|metres| metres > 0.0 && metres < 10.0), "{accuracy:?}");
}

#[test]
fn what_is_no_map_system_is_refused() {
    let said = |name: &str| Crs::named(name).unwrap_err().to_string();
    assert_eq!(
        said("EPSG:99999"),
        "\"EPSG:99999\": found no coordinate system of that name, expected one such as \"EPSG:4326\" or \"EPSG:2965\"; check the code"
    );
    assert_eq!(
        said("EPSG:5703"),
        "\"EPSG:5703\": found a VerticalCRS coordinate system, expected a geographic or projected one"
    );
    assert_eq!(
        said("+proj=pipeline +step +proj=merc"),
        "\"+proj=pipeline +step +proj=merc\": found a Conversion coordinate system, expected a geographic or projected one"
    );
    for text in ["", "\0", "LOCAL_CS[\"site\",UNIT[\"metre\",1]]", "EPSG:4978", "nonsense"] {
        assert!(Crs::named(text).is_err(), "{text}");
        assert!(Crs::from_prj(text).is_err(), "{text}");
    }
}

/// PROJ's way from a system to WGS84.
fn way(definition: &str) -> Object {
    let context = Context::new().unwrap();
    let system = context.read(&CString::new(definition).unwrap()).unwrap();
    context.way(&system, &context.read(c"EPSG:4326").unwrap()).unwrap()
}

/// Against PROJ (its `tmerc`), out to 2,000 km from the center. A millionth of a millionth of a
/// tenth of a degree is 10 nm.
#[test]
fn a_frame_is_what_proj_gives_to_ten_nanometers() {
    for (longitude, latitude) in [(-85.2, 40.1), (18.5, -33.9), (25.0, 69.0), (170.0, 0.0)] {
        let proj = way(&format!(
            "+proj=tmerc +lon_0={longitude} +lat_0={latitude} +k=1 +datum=WGS84 +units=m +type=crs"
        ));
        let frame = Frame::around(Coord { x: longitude, y: latitude });
        for easting in [0.0, 1.0, -400.0, 1_600.0, -9_000.0, 200_000.0, -900_000.0, 2_000_000.0] {
            for northing in [0.0, -0.3, 300.0, -2_000.0, 50_000.0, -1_200_000.0, 1_600_000.0] {
                let place = Coord { x: easting, y: northing };
                let theirs = proj.convert(place).unwrap();
                let ours = frame.to_wgs84(place).unwrap();
                let off =
                    ((ours.x - theirs.x) * theirs.y.to_radians().cos()).hypot(ours.y - theirs.y);
                assert!(off < 1e-13, "{longitude} {latitude} {place:?}: {off}");
                let back = frame.to_local(theirs).unwrap();
                let off = (back.x - easting).hypot(back.y - northing);
                assert!(off < 2e-8, "{longitude} {latitude} {place:?}: {off}");
            }
        }
    }
}

#[test]
fn utm_is_what_proj_gives_to_ten_nanometers() {
    for (code, northing) in
        [(32616, 4_465_000.0), (32601, 12.0), (32733, 6_250_000.0), (32660, 5_100_000.0)]
    {
        let (proj, ours) = (way(&format!("EPSG:{code}")), Crs::named(&format!("EPSG:{code}")));
        for easting in [500_000.0, 653_427.25, 166_000.0, 840_000.5] {
            let mut places = [Coord { x: easting, y: northing }];
            let theirs = proj.convert(places[0]).unwrap();
            assert_eq!(ours.as_ref().unwrap().to_wgs84(&mut places), Ok(Some(0.0)));
            let off = places[0] - theirs;
            assert!(off.x.hypot(off.y) < 1e-13, "{code} {easting}: {off:?}");
        }
        assert_eq!(proj.accuracy(), Some(0.0));
    }
    let name = |code: &str| Crs::named(code).unwrap().name().to_owned();
    let context = Context::new().unwrap();
    for (code, utm) in [("EPSG:32616", c"EPSG:32616"), ("EPSG:32705", c"EPSG:32705")] {
        let system = context.read(utm).unwrap();
        let json: serde_json::Value = serde_json::from_str(&system.json().unwrap()).unwrap();
        assert_eq!(name(code), format!("{} ({code})", json["name"].as_str().unwrap()));
        let (ours, area) = (super::utm::Utm::of_epsg(&code[5..]).unwrap().area(), system.area());
        assert_eq!(format!("{:?}", Some(ours)), format!("{area:?}"));
    }
}

/// More systems than a thread keeps ways for, from several threads at once, round and round.
#[test]
fn systems_go_from_thread_to_thread() {
    let zones: Vec<Crs> =
        (26901..=26923).map(|code| Crs::named(&format!("EPSG:{code}")).unwrap()).collect();
    let converted = || -> Vec<Coord<f64>> {
        let place = |crs: &Crs| {
            let mut places = [Coord { x: 500_000.0, y: 4_400_000.0 }];
            crs.to_wgs84(&mut places).unwrap();
            places[0]
        };
        zones.iter().chain(&zones).map(place).collect()
    };
    let here = converted();
    let there = std::thread::scope(|scope| {
        [(); 3].map(|()| scope.spawn(converted)).map(|thread| thread.join().unwrap())
    });
    assert!(there.iter().all(|places| *places == here));
    // On the zone's meridian: zone 16's is 87 degrees west.
    assert!((here[15].x + 87.0).abs() < 1e-9, "{:?}", here[15]);
}
