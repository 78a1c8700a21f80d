/// WGS84 longitude and latitude as the text of a `.prj` file (the ESRI form of WKT 1).
#[must_use]
pub fn wgs84_prj() -> String {
    // The text that PROJ's `projinfo -o WKT1_ESRI EPSG:4326` prints.
    "GEOGCS[\"GCS_WGS_1984\",DATUM[\"D_WGS_1984\",SPHEROID[\"WGS_1984\",6378137.0,298.257223563]],\
     PRIMEM[\"Greenwich\",0.0],UNIT[\"Degree\",0.0174532925199433]]"
        .to_owned()
}

/// Whether the text of a `.prj` file describes WGS84 longitude and latitude, in the forms of WKT 1.
pub(super) fn is_wgs84(text: &str) -> bool {
    let text: String = text.split_whitespace().collect::<String>().to_ascii_uppercase();
    let number = |after: &str, expected: f64, off: f64| {
        let value = text.split_once(after).and_then(|(_, rest)| {
            rest.split([',', ']']).next().and_then(|value| value.parse::<f64>().ok())
        });
        value.is_some_and(|value| (value - expected).abs() <= off)
    };
    let one_of = |names: [&str; 2]| names.iter().any(|name| text.contains(name));
    text.starts_with("GEOGCS[")
        && one_of(["DATUM[\"D_WGS_1984\",", "DATUM[\"WGS_1984\","])
        && one_of(["SPHEROID[\"WGS_1984\",6378137", "SPHEROID[\"WGS84\",6378137"])
        && number("PRIMEM[\"GREENWICH\",", 0.0, 0.0)
        && number("UNIT[\"DEGREE\",", 1f64.to_radians(), 1e-12)
        && !one_of(["TOWGS84", "VERT"])
}

#[cfg(test)]
mod tests {
    use super::*;

    /// As ESRI's and OGC's forms of WKT 1 have it (OGC 01-009, section 7.4), and what is not it.
    #[test]
    fn wgs84_is_known_in_both_forms() {
        let ogc = r#"GEOGCS["WGS 84",
            DATUM["WGS_1984",SPHEROID["WGS 84",6378137,298.257223563,AUTHORITY["EPSG","7030"]]],
            PRIMEM["Greenwich",0],UNIT["degree",0.0174532925199433],AUTHORITY["EPSG","4326"]]"#;
        assert!(is_wgs84(&wgs84_prj()) && is_wgs84(ogc));
        for (from, to) in [
            ("GEOGCS", "GEOCCS"),
            ("D_WGS_1984", "D_WGS_1972"),
            ("\"Greenwich\",0.0", "\"Greenwich\",2.5"),
            ("0.0174532925199433", "0.0157079632679"),
            ("]],PRIMEM", "],TOWGS84[1,2,3,0,0,0,0]],PRIMEM"),
        ] {
            let other = wgs84_prj().replace(from, to);
            assert!(other != wgs84_prj() && !is_wgs84(&other), "{other}");
        }
    }

    #[cfg(feature = "proj")]
    #[test]
    fn it_is_what_proj_writes() {
        let context = super::super::proj::Context::new().unwrap();
        let text = context.read(c"EPSG:4326").unwrap().prj().unwrap();
        assert_eq!(wgs84_prj(), text);
    }
}
