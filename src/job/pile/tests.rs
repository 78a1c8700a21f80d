use super::*;
use crate::job::Job;

/// What a job comes to that has these lines besides its two files.
fn asked(lines: &str) -> Result<Option<PileRequest>, JobError> {
    let text = format!("boundary = \"b.shp\"\nsamples = \"s.csv\"\n{lines}");
    Job::read("job.toml", &text)?.settings("job.toml", "job", None).map(|settings| settings.piles)
}

fn said(lines: &str) -> String {
    asked(&format!("[pile]\n{lines}")).unwrap_err().to_string()
}

#[test]
fn everything_has_a_default() {
    assert_eq!(asked("").unwrap(), None);
    assert_eq!(asked("[pile]").unwrap(), Some(PileRequest::default()));
    let text = "boundary = \"b\"\nsamples = \"s\"\n[pile]\naccess = \"lane.shp\"\n\
        [[pile.setback]]\nfile = \"d.shp\"\nwhy = \"ditch\"\n";
    let pile = Job::read("job.toml", text).unwrap().pile.unwrap();
    assert_eq!(pile.reach().value, Length::feet(100.0));
    assert_eq!(pile.setbacks()[0].distance.value, Length::feet(200.0));
}

#[test]
fn everything_can_be_said() {
    let lines = "access = { file = \"lane.shp\", crs = \"EPSG:2965\" }\nreach = \"30 m\"\npiles = 1\n\
        capacity = \"150 t\"\nplace = [-85, 40.1]\nrepose = \"35 degrees\"\nbulk_density = \"900 kg/m3\"\n\
        [[pile.setback]]\nfile = \"d.shp\"\ndistance = \"60 m\"\nwhy = \"ditch\"\ncrs = \"EPSG:2965\"";
    let place = Some(Coord { x: -85.0, y: 40.1 });
    let heap =
        Heap { density: Density::kilograms_per_cubic_metre(900.0), repose: Angle::degrees(35.0) };
    let wanted = PileRequest { piles: Some(1), capacity: Some(Mass::tonnes(150.0)), place, heap };
    assert_eq!(asked(&format!("[pile]\n{lines}")).unwrap(), Some(wanted));
    assert_eq!(
        said("capacity = \"150 tons\"\naccess = \"l\"\nreach = \"30 m\""),
        "job.toml: found quantities in both US customary and metric units; add units = \"us\" or units = \"metric\" to say which to print in"
    );
}

#[test]
fn faults() {
    let setback = |lines: &str| format!("[[pile.setback]]\nfile = \"d.shp\"\n{lines}");
    for (lines, expected) in [
        ("piles = 0".to_owned(), ", [pile] piles: found 0, expected 1 to 12"),
        ("piles = -1".to_owned(), ", [pile] piles: found -1, expected 1 to 12"),
        ("piles = 13".to_owned(), ", [pile] piles: found 13, expected 1 to 12"),
        (
            "capacity = \"0 tons\"".to_owned(),
            ", [pile] capacity: found 0.00 tons, expected a mass above 0",
        ),
        (
            "reach = \"50 ft\"".to_owned(),
            ", [pile] reach: found a setting that does not apply without access; remove it",
        ),
        (
            "access = \"lane.shp\"\nreach = \"0 ft\"".to_owned(),
            ", [pile] reach: found 0.00 ft, expected 1 ft to 5,280 ft (0.31 m to 1609 m)",
        ),
        (
            "repose = \"5 degrees\"".to_owned(),
            ", [pile] repose: found 5.00 degrees, expected 15 to 60 degrees",
        ),
        (
            "bulk_density = \"5 lb/ft3\"".to_owned(),
            ", [pile] bulk_density: found 5.00 lb/ft3, expected 25 lb/ft3 to 125 lb/ft3 (400 kg/m3 to 2002 kg/m3)",
        ),
        (
            "piles = 2\nplace = [-85.1, 40.1]".to_owned(),
            ", [pile] place: found a place for several piles, expected piles = 1 with a place: leave one of the two out",
        ),
        (
            "place = [40.1, -95.1]".to_owned(),
            ", [pile] place: found 40.1, -95.1, expected longitude and latitude in degrees, longitude first",
        ),
        (
            "place = [nan, 40.1]".to_owned(),
            ", [pile] place: found NaN, 40.1, expected longitude and latitude in degrees, longitude first",
        ),
        (
            setback("why = \"ditch\"\ndistance = \"-5 ft\""),
            ", [[pile.setback]] 1 (d.shp), distance: found -5.00 ft, expected 0 ft to 5,280 ft (0 m to 1609 m)",
        ),
        (
            setback("why = \"\""),
            ", [[pile.setback]] 1 (d.shp), why: found nothing, expected a name for it, such as why = \"drainage ditch\"",
        ),
        (
            setback("distance = \"5 ft\""),
            ", line 4: found no \"why\", expected one; add it to this table",
        ),
        (
            setback("why = \"ditch\"\ndist = \"5 ft\""),
            ", line 7: found unknown key \"dist\"; known keys here: file, distance, why, crs, layer, field",
        ),
        (
            "setbacks = 1".to_owned(),
            ", line 4: found unknown key \"setbacks\", did you mean \"setback\"?; known keys here: access, reach, piles, capacity, place, repose, bulk_density, setback",
        ),
    ] {
        assert_eq!(said(&lines), format!("job.toml{expected}"), "{lines}");
    }
}
