/// WGS84 longitude and latitude as the text of a `.prj` file (the ESRI form of WKT 1).
#[must_use]
pub fn wgs84_prj() -> String {
    // The text that PROJ's `projinfo -o WKT1_ESRI EPSG:4326` prints.
    "GEOGCS[\"GCS_WGS_1984\",DATUM[\"D_WGS_1984\",SPHEROID[\"WGS_1984\",6378137.0,298.257223563]],\
     PRIMEM[\"Greenwich\",0.0],UNIT[\"Degree\",0.0174532925199433]]"
        .to_owned()
}

#[cfg(test)]
mod tests {
    use proj::Proj;
    use proj::wkt::WktVersion;

    #[test]
    fn it_is_what_proj_writes() {
        let proj = Proj::new("EPSG:4326").unwrap();
        let text = proj.as_wkt(Some(WktVersion::Wkt1_Esri), None).unwrap();
        assert_eq!(super::wgs84_prj(), text);
    }
}
