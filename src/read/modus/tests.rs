use super::*;
use crate::field::RawSample;
use crate::read::{CationSettings, LaboratorySettings, Read, SampleSettings, samples};

const XML: &[u8] = include_bytes!("../../../fixtures/laboratory/modus_result.xml");
const JSON: &[u8] = include_bytes!("../../../fixtures/laboratory/modus_result.json");
const POINTS: &[u8] = include_bytes!("../../../fixtures/laboratory/points.csv");

fn joined(laboratory: &Source) -> Result<Read<Vec<RawSample>>, ReadError> {
    let settings = LaboratorySettings::default();
    let points = Source::of("points.csv", POINTS);
    let laboratory = Some((laboratory, &settings));
    samples(&points, laboratory, &SampleSettings::default(), &CationSettings::default())
}

fn said(xml: &str) -> String {
    of_xml(&Source::of("lab.xml", xml)).unwrap_err().to_string()
}

/// The laboratory's own CEC of its first, eleventh and last sample; and from its Ca, Mg and K and
/// the share that hydrogen has, as fixtures/laboratory/README.md gives it.
#[test]
fn a_laboratory_s_results_in_both_forms() {
    for source in [Source::of("lab.xml", XML), Source::of("lab.json", JSON)] {
        let Read { value, warnings, .. } = joined(&source).unwrap();
        assert_eq!((value.len(), warnings.len()), (20, 0), "{}: {warnings:?}", source.name);
        let cec: Vec<f64> = value.iter().map(|sample| sample.cec.unwrap()).collect();
        assert_eq!((cec[0], cec[10], cec[19]), (8.2, 10.4, 6.3));
        let table = if source.name == "lab.xml" {
            of_xml(&source)
        } else {
            of_json("lab.json", std::str::from_utf8(JSON).unwrap())
        };
        let table = table.unwrap();
        let column = |header: &str| table.columns.iter().position(|c| c == header).unwrap();
        let (hydrogen, depth) = (column("BS-H (%)"), column("Depth"));
        let mut off = Vec::new();
        for (sample, row) in value.iter().zip(&table.rows) {
            assert_eq!(row.cell(depth), "0-8");
            let cations = sample.cations.unwrap();
            let share: f64 = row.cell(hydrogen).parse().unwrap_or(0.0);
            let bases = cations.calcium + cations.magnesium + cations.potassium;
            off.push((bases / (1.0 - share / 100.0) - sample.cec.unwrap()).abs());
        }
        // The eleventh is calcareous: lime is measured as exchangeable calcium.
        assert!(off.remove(10) > 6.0);
        assert!(off.iter().all(|off| *off < 0.14), "{off:?}");
    }
}

#[test]
fn depths_units_and_places() {
    let result = |element: &str, value: &str, unit: &str, test: &str| {
        format!(
            "<NutrientResult><Element>{element}</Element><Value>{value}</Value><ValueUnit>{unit}</ValueUnit><ModusTestID>{test}</ModusTestID></NutrientResult>"
        )
    };
    let xml = format!(
        "<?xml version=\"1.0\"?><ModusResult Version=\"1.0\"><Event><EventSamples><Soil><DepthRefs><DepthRef DepthID=\"1\"><StartingDepth>0</StartingDepth><EndingDepth>6</EndingDepth></DepthRef><DepthRef DepthID=\"2\"><StartingDepth>6</StartingDepth><EndingDepth>12</EndingDepth></DepthRef></DepthRefs><SoilSample><SampleMetaData><SampleNumber>A &amp; 1</SampleNumber><Geometry>POINT(-87.43 40.59)</Geometry></SampleMetaData><Depths><Depth DepthID=\"1\"><NutrientResults>{}</NutrientResults></Depth><Depth DepthID=\"2\"><NutrientResults>{}</NutrientResults></Depth></Depths></SoilSample></Soil></EventSamples></Event></ModusResult>",
        result("CEC", "8.2", "cmol(+)/kg", "S-CEC.19"),
        result("CEC", "9.9", "cmol(+)/kg", "S-CEC.19"),
    );
    let source = Source::of("lab.xml", xml.as_str());
    let read = |settings: &SampleSettings| {
        let read = samples(&source, None, settings, &CationSettings::default()).unwrap();
        let sample = read.value[0].clone();
        assert_eq!((read.value.len(), sample.wgs84), (1, Coord { x: -87.43, y: 40.59 }));
        (sample.id, sample.cec)
    };
    assert_eq!(read(&SampleSettings::default()), ("A & 1".to_owned(), Some(8.2)));
    let deeper = SampleSettings { depth: Some("6-12".to_owned()), ..SampleSettings::default() };
    assert_eq!(read(&deeper).1, Some(9.9));
    assert_eq!(
        said(&xml.replace("POINT(", "POLYGON(")),
        "lab.xml, sample 1: found the geometry \"POLYGON(-87.43 40.59)\", expected a point such as POINT(-87.43 40.59)"
    );
    let two = result("CEC", "8.2", "%", "S-CEC.19") + &result("CEC", "8.3", "%", "S-CEC.19");
    let twice = xml.replace(&result("CEC", "8.2", "cmol(+)/kg", "S-CEC.19"), &two);
    assert_eq!(
        said(&twice),
        "lab.xml, sample 1, CEC: found \"8.2\" and \"8.3\", expected one result of a test for each depth"
    );
}

#[test]
fn what_is_no_modus() {
    assert_eq!(said("<kml/>"), "lab.xml: found the element kml, expected ModusResult");
    assert_eq!(
        said("<ModusResult Version=\"2.0\"/>"),
        "lab.xml: found Modus version 2.0, expected version 1.0"
    );
    assert_eq!(
        said("<ModusResult Version=\"1.0\"><Event/></ModusResult>"),
        "lab.xml: found no soil sample, expected results of soil samples"
    );
    assert_eq!(
        said("<ModusResult><Event>"),
        "lab.xml: the content is not Modus XML: it ends inside an element"
    );
    assert!(
        said(&"<a>".repeat(100_000)).ends_with("elements stand more than 32 deep in each other")
    );
    let bomb = "<!DOCTYPE a [<!ENTITY x \"ha\">]><a>&x;</a>";
    assert!(said(bomb).ends_with("it has a document type; entities are not followed"));
}
