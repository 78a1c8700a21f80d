use geo::Coord;

use super::*;
use crate::projection::wgs84_prj;
use crate::read::Acidity;
use crate::read::shapefile::tests::{dbf_bytes, point_shp};
use crate::soil::{CationUnit, Saturation};
use crate::units::Share;

type Result = std::result::Result<Read<Vec<RawSample>>, ReadError>;

fn read_with(csv: &str, settings: &SampleSettings, cations: &CationSettings) -> Result {
    samples(&Source::of("s.csv", csv), None, settings, cations)
}

fn read(csv: &str) -> Result {
    read_with(csv, &SampleSettings::default(), &CationSettings::default())
}

fn said(result: Result) -> String {
    result.unwrap_err().to_string()
}

fn crs(crs: &str) -> SampleSettings {
    SampleSettings { crs: Some(crs.to_owned()), ..SampleSettings::default() }
}

fn join_with(points: &str, laboratory: &str) -> Result {
    let lab = (&Source::of("lab.csv", laboratory), &LaboratorySettings::default());
    samples(
        &Source::of("p.csv", points),
        Some(lab),
        &SampleSettings::default(),
        &CationSettings::default(),
    )
}

#[test]
fn degrees_are_taken_as_they_are() {
    let read =
        read("Sample,Latitude,Longitude,CEC (meq/100g)\nA1,40.1,-85.12345678901234567,12.5\n")
            .unwrap();
    let sample = &read.value[0];
    assert_eq!(sample.wgs84, Coord { x: "-85.12345678901234567".parse().unwrap(), y: 40.1 });
    assert_eq!((sample.id.as_str(), sample.cec), ("A1", Some(12.5)));
    assert_eq!(sample.place, "s.csv, row 2");
    assert_eq!((read.coordinates.crs.as_str(), read.coordinates.accuracy), ("WGS 84", Some(0.0)));
}

#[test]
fn decimal_commas() {
    let read = read("id;lon;lat;CEC\nA;-85,2;40,1;12,5\n").unwrap();
    assert_eq!(read.value[0].wgs84, Coord { x: -85.2, y: 40.1 });
    assert_eq!(read.value[0].cec, Some(12.5));
}

#[test]
fn eastings_need_a_crs() {
    let csv = "id,x,y,cec\nA,653427.443624,4440408.974861,9\n";
    assert_eq!(
        said(read(csv)),
        "s.csv: found columns \"x\", \"y\" and no crs setting; say which coordinate system they are in, such as crs = \"EPSG:2965\""
    );
    let read = read_with(csv, &crs("EPSG:32616"), &CationSettings::default()).unwrap();
    let at = read.value[0].wgs84;
    assert!((at.x + 85.2).abs() < 1e-9 && (at.y - 40.1).abs() < 1e-9, "{at:?}");
}

#[test]
fn positions_that_are_not_there() {
    assert_eq!(
        said(read("id,cec\nA,9\n")),
        "s.csv: found no position column, expected longitude and latitude, or easting and northing with a crs setting; the columns are \"id\", \"cec\""
    );
    assert_eq!(
        said(read("id,lat,cec\nA,40,9\n")),
        "s.csv: found no position column, expected two of them; the columns are \"id\", \"lat\", \"cec\"; \"lat\" is only one of the two coordinates"
    );
    assert_eq!(
        said(read_with("lon,lat,cec\n-85,40,9\n", &crs("EPSG:32616"), &CationSettings::default())),
        "s.csv: found no position column, expected longitude and latitude, or easting and northing with a crs setting; the columns are \"lon\", \"lat\", \"cec\"; \"lon\", \"lat\" are in degrees, and the crs setting WGS 84 / UTM zone 16N (EPSG:32616) is not"
    );
    let read = read("lon,lat,cec\n-85,40,9\n,,8\n").unwrap();
    assert_eq!(read.value.len(), 1);
    assert_eq!(
        crate::report::warnings::said(&read.warnings),
        ["s.csv, row 3: found no position; left out"]
    );
    assert_eq!(
        said(self::read("lon,lat,cec\nwest,40,9\n")),
        "s.csv, row 2, column \"lon\": found \"west\", expected degrees, such as -86.40527, 86 24.316 W or 86°24'19\"W"
    );
}

#[test]
fn cec_cells() {
    let read = read("lon,lat,cec\n-85,40,\n-85,40.1,9\n").unwrap();
    assert_eq!(read.value[0].cec, None);
    for value in ["NaN", "12.5 H", "inf", "<0", "<x"] {
        assert_eq!(
            said(self::read(&format!("lon,lat,cec\n-85,40,{value}\n"))),
            format!("s.csv, row 2, column \"cec\": found \"{value}\", expected a number")
        );
    }
    assert_eq!(said(self::read("lon,lat,cec\n")), "s.csv: found no rows, expected samples");
    assert_eq!(
        said(self::read("lon,lat,cec\n-85,40,n/a\n-85,40.1,<5\n")),
        "s.csv, column \"cec\": found no number, expected results; is it the right column?"
    );
    let read = self::read("lon,lat,cec\n-85,40,n/a\n-85,40.1,<5\n-85,40.2,>90\n-85,40.3,9\n");
    let read = read.unwrap();
    let cec: Vec<_> = read.value.iter().map(|sample| sample.cec).collect();
    assert_eq!(cec, [None, Some(2.5), None, Some(9.0)]);
    assert_eq!(
        crate::report::warnings::said(&read.warnings),
        [
            "s.csv, column \"cec\": found \"n/a\" (row 2), words for no result; these samples are left out",
            "s.csv, column \"cec\": found \">90\" (row 4), above what the laboratory measures; these samples are left out",
            "s.csv, column \"cec\": found \"<5\" (row 3), below detection; 50 % of the limit is used (below_detection = \"leave out\" leaves such samples out)",
        ]
    );
    let below = |text: &str| SampleSettings {
        below_detection: Some(text.to_owned()),
        ..SampleSettings::default()
    };
    let csv = "lon,lat,cec\n-85,40,< 5\n-85,40.1,9\n";
    let read = read_with(csv, &below("70 %"), &CationSettings::default()).unwrap();
    assert_eq!(read.value[0].cec, Some(3.5));
    assert_eq!(
        said(read_with(csv, &below("120 %"), &CationSettings::default())),
        "s.csv, below_detection setting: found \"120 %\", expected \"leave out\", or the share of the limit to use: \"half\", or such as \"70 %\""
    );
}

#[test]
fn no_cec_column() {
    assert_eq!(
        said(read("id,lon,lat,pH\nA,-85,40,6\n")),
        "s.csv: found no CEC column, expected one such as \"CEC\", or its name as a setting (cec = \"…\"); the columns are \"id\", \"lon\", \"lat\", \"pH\""
    );
    assert_eq!(
        said(read("lon,lat,K (lb/ac),Mg (lb/ac),Ca (lb/ac)\n-85,40,1,2,3\n")),
        "s.csv: found no CEC column, expected one such as \"CEC\", or its name as a setting (cec = \"…\"); the columns are \"lon\", \"lat\", \"K (lb/ac)\", \"Mg (lb/ac)\", \"Ca (lb/ac)\"; to sum CEC from K, Mg and Ca, say where the acidity is ([cations] acidity)"
    );
    assert_eq!(
        said(read("lon,lat,CEC (mg/kg)\n-85,40,90\n")),
        "s.csv, column \"CEC (mg/kg)\": found unit \"mg/kg\", expected meq/100 g or cmol(+)/kg, or mmol(c)/kg, which is a tenth of it"
    );
}

/// 90 mmol(c)/kg are 9 cmol(+)/kg, by the header or by the job.
#[test]
fn cec_in_another_unit() {
    let cec = |header: &str, unit: Option<&str>| {
        let settings = SampleSettings { cec_unit: unit.map(str::to_owned), ..Default::default() };
        let csv = format!("lon,lat,{header}\n-85,40,90\n");
        read_with(&csv, &settings, &CationSettings::default()).unwrap().value[0].cec
    };
    assert_eq!(cec("CEC (mmol(c)/kg)", None), Some(9.0));
    assert_eq!(cec("CEC", Some("mmol/kg")), Some(9.0));
    assert_eq!(cec("CEC", None), Some(90.0));
}

/// What a table of three samples of a CEC is warned of whose Ca, Mg, K and H are these, with units as
/// given. By hand, in meq/100 g: 1600 ppm Ca are 8, 120 ppm Mg are 1, 391 ppm K are 1: in all 10.
fn warned(cec: &str, unit: &str, cells: &str, hydrogen: &str) -> Vec<(&'static str, String)> {
    let mut csv = format!("lon,lat,CEC,Ca{unit},Mg{unit},K{unit},H (meq/100 g)\n");
    for row in 0..3 {
        csv.extend([format!("-85.{row},40,{cec},{cells},{hydrogen}\n")]);
    }
    let warnings = read(&csv).unwrap().warnings;
    let codes = warnings.iter().map(crate::warning::Warning::code);
    codes.zip(crate::report::warnings::said(&warnings)).collect()
}

#[test]
fn cations_are_held_against_the_cec() {
    let ppm = "1600,120,391";
    let code = |cec, hydrogen| warned(cec, " (ppm)", ppm, hydrogen).first().map(|(code, _)| *code);
    assert_eq!((code("12.0", "2"), code("10.0", "0")), (None, None));
    assert_eq!(code("120", "2"), Some("cec-contradicted"));
    assert_eq!(code("20", "1"), Some("cec-contradicted"));
    assert_eq!(code("6", "0"), Some("bases-over-cec"));
    assert_eq!(code("1.2", "2"), Some("cec-contradicted"));
    // Without acidity, half of the CEC may well be acid.
    let bare = |cec: &str| {
        let csv = "lon,lat,CEC,Ca (ppm),Mg (ppm),K (ppm)\n".to_owned();
        let row = |n: u32| format!("-85.{n},40,{cec},{ppm}\n");
        read(&(csv + &row(0) + &row(1) + &row(2))).unwrap().warnings
    };
    assert!(bare("20").is_empty());
    assert_eq!(
        crate::report::warnings::said(&bare("120")),
        [
            "s.csv: Ca, Mg and K come to 8 % of the CEC in the middle of the samples, expected 20 to 130 %: the unit of the CEC or of the cations is mistaken, and every rate goes by the CEC; write units into the headers, or say cec_unit = \"mmol(c)/kg\" or [cations] unit"
        ]
    );
}

#[test]
fn cations_without_a_unit_are_told() {
    assert_eq!(
        warned("12", "", "1600,120,391", "2"),
        [(
            "cations-without-unit",
            "s.csv: nothing says the unit of \"K\", \"Mg\", \"Ca\", so base saturation is left out; write it behind the name (\"K ppm\"), or say [cations] unit = \"ppm\", \"lb/ac\" or \"meq/100 g\"".to_owned()
        )]
    );
}

fn clemson() -> CationSettings {
    let buffer_ph = "Buffer pH".to_owned();
    let acidity = Some(Acidity::Buffer { buffer_ph, reference: 8.0, factor: 8.0 });
    CationSettings { acidity, ..CationSettings::default() }
}

/// Worked example of the Clemson Agricultural Service Laboratory: 3.83 meq/100 g.
#[test]
fn cec_by_summation() {
    let csv = "lon,lat,Buffer pH,K (lb/ac),Mg lbs/A,Ca_lb_ac,Na (lb/acre),K %\n-85,40,7.70,221,28,400,12,7\n";
    let read = read_with(csv, &SampleSettings::default(), &clemson()).unwrap();
    let (cec, cations) = (read.value[0].cec.unwrap(), read.value[0].cations.unwrap());
    assert_eq!(format!("{cec:.2}"), "3.83");
    let saturation = Saturation::new(&cations, cec);
    assert_eq!(format!("{:.0}", saturation.bases().as_percent()), "37");
    assert_eq!(saturation.sodium, read.value[0].esp);
    assert!(read.warnings.is_empty());

    let bare = "lon,lat,H,K,Mg,Ca\n-85,40,2.4,110.5,14,200\n-85,40.1,2.4,,14,200\n";
    let column = CationSettings {
        acidity: Some(Acidity::Column("H".to_owned())),
        ..CationSettings::default()
    };
    assert_eq!(
        said(read_with(bare, &SampleSettings::default(), &column)),
        "s.csv, column \"K\": found no unit, expected it in the header, such as \"K (lb/ac)\", or as a setting ([cations] unit = \"lb/ac\")"
    );
    let ppm = CationSettings { unit: Some(CationUnit::PartsPerMillion), ..column };
    let read = read_with(bare, &SampleSettings::default(), &ppm).unwrap();
    assert_eq!(format!("{:.2}", read.value[0].cec.unwrap()), "3.80");
    assert_eq!(read.value[1].cec, None);
    assert_eq!(
        crate::report::warnings::said(&read.warnings),
        ["s.csv: found no Na column; CEC is summed without sodium"]
    );
    let csv = "lon,lat,H,K (lb/ac),Mg,Ca\n-85,40,2.4,1,2,3\n";
    assert_eq!(
        said(read_with(csv, &SampleSettings::default(), &ppm)),
        "s.csv, column \"K (lb/ac)\": found unit \"lb/ac\", expected ppm as the setting says"
    );
}

#[test]
fn cations_come_along_with_a_cec_column() {
    let read = read(
        "lon,lat,CEC,K (ppm),Mg (ppm),Ca (ppm)\n-85,40,9,391,120,1200\n-85,40.1,9,<5,120,1200\n",
    )
    .unwrap();
    let cations = read.value[0].cations.unwrap();
    assert_eq!((cations.potassium, cations.magnesium, cations.calcium), (1.0, 1.0, 6.0));
    assert_eq!(read.value[1].cations, None);
}

/// By hand: 230 ppm of sodium are 1 meq/100 g, 12.5 % of a CEC of 8.
#[test]
fn sodium_comes_as_a_percentage_or_as_an_amount() {
    let esp = |csv: &str| -> Vec<Option<f64>> {
        let samples = read(csv).unwrap().value;
        samples.iter().map(|sample| sample.esp.map(Share::as_percent)).collect()
    };
    assert_eq!(esp("lon,lat,CEC,Na (ppm)\n-85,40,8,230\n-85,40.1,8,<5\n"), [Some(12.5), None]);
    assert_eq!(esp("lon,lat,CEC,Na sat %\n-85,40,8,6.5\n-85,40.1,8,\n"), [Some(6.5), None]);
    assert_eq!(esp("lon,lat,CEC,Na\n-85,40,8,230\n"), [None]);
    assert_eq!(
        said(read("lon,lat,CEC,ESP (%)\n-85,40,8,101\n")),
        "s.csv, row 2, column \"ESP (%)\": found \"101\", expected a percentage of 0 to 100"
    );
}

#[test]
fn a_laboratory_table_is_joined_by_id() {
    let read = join_with(
        "id,lon,lat\nA1,-85,40\n a2 ,-85,40.1\nA3,-85,40.2\n,-85,40.3\n007,-85,40.4\n",
        "Sample ID,CEC\nA2,9\nA1,8\nB1,7\n7,6\n",
    )
    .unwrap();
    let found: Vec<_> =
        read.value.iter().map(|s| (s.id.as_str(), s.cec, s.place.as_str())).collect();
    assert_eq!(found, [("A1", Some(8.0), "lab.csv, row 3"), ("a2", Some(9.0), "lab.csv, row 2")]);
    assert_eq!(
        crate::report::warnings::said(&read.warnings),
        [
            "p.csv, row 5: found no id; left out",
            "p.csv: found no result in lab.csv for \"A3\", \"007\"; left out",
            "lab.csv: found no point in p.csv for \"B1\", \"7\"; left out",
        ]
    );
}

#[test]
fn joins_that_fail() {
    assert_eq!(
        said(join_with("id,lon,lat\nA1,-85,40\n", "id,CEC\nB1,9\n")),
        "p.csv and lab.csv: found no id that is in both, such as \"A1\" and \"B1\"; check the id columns"
    );
    assert_eq!(
        said(join_with("id,lon,lat\nA1,-85,40\n", "id,CEC\nA1,9\na1,8\n")),
        "lab.csv, row 2 and lab.csv, row 3: found the id \"a1\" twice, expected each id once"
    );
    assert_eq!(
        said(join_with("lon,lat\n-85,40\n", "id,CEC\nA1,9\n")),
        "p.csv: found no id column, expected one such as \"Sample ID\", to join the samples with the laboratory's table; the columns are \"lon\", \"lat\""
    );
}

#[test]
fn shapefile_points() {
    let shp = point_shp(&[(-85.2, 40.1), (-85.19, 40.11)]);
    let dbf = dbf_bytes(&[("ID", b'C', 6), ("CEC", b'N', 8)], &[&["A1", "12.500"], &["A2", ""]]);
    let source = Source::of("s.shp", shp).with("dbf", dbf).with("prj", wgs84_prj());
    let read =
        samples(&source, None, &SampleSettings::default(), &CationSettings::default()).unwrap();
    assert_eq!(read.value[0].wgs84, Coord { x: -85.2, y: 40.1 });
    assert_eq!((read.value[0].cec, read.value[1].cec), (Some(12.5), None));
    assert_eq!(read.value[1].place, "s.shp, record 2");
}

/// A limit is no result that bases could be shares of.
#[test]
fn bases_are_no_shares_of_a_limit() {
    let csv = "lon,lat,CEC,Ca (ppm),Mg (ppm),K (ppm),Na (ppm)\n-85,40,<0.5,1600,120,391,46\n-85.1,40,12,1600,120,391,46\n";
    let read = read(csv).unwrap().value;
    assert_eq!((read[0].cec, read[0].cations.is_none(), read[0].esp), (Some(0.25), true, None));
    assert!(read[1].cations.is_some());
}

#[test]
fn a_column_of_another_result_is_no_cec() {
    let named = |name: &str| {
        let settings = SampleSettings { cec: Some(name.to_owned()), ..Default::default() };
        read_with("lon,lat,O.M.,CEC,Result\n-85,40,3,12,9\n", &settings, &CationSettings::default())
    };
    assert_eq!(
        named("O.M.").unwrap_err().to_string(),
        "s.csv, cec = \"O.M.\": found the column \"O.M.\", which is another result, expected the column of the CEC; give the column its right heading if it is the CEC"
    );
    assert_eq!(named("Result").unwrap().value[0].cec, Some(9.0));
}
