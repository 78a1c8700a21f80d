use rusqlite::types::Value;
use rusqlite::{Connection, Error, MAIN_DB, params, params_from_iter};

use super::wkb::{WGS84, WkbShape};

/// When each layer was last changed, which the standard wants to know: always the same, as the same
/// plan gives the same bytes whenever it is written. It is no date of anything.
const LAST_CHANGE: &str = "1970-01-01T00:00:00.000Z";

/// What OGC 12-128r18 has: "GPKG" as the application, version 1.3.0, and the tables of its annex C
/// with the three systems that must be there.
const BEGINNING: &str = r#"
PRAGMA application_id = 1196444487;
PRAGMA user_version = 10300;
CREATE TABLE gpkg_spatial_ref_sys (
  srs_name TEXT NOT NULL, srs_id INTEGER PRIMARY KEY, organization TEXT NOT NULL,
  organization_coordsys_id INTEGER NOT NULL, definition TEXT NOT NULL, description TEXT
);
INSERT INTO gpkg_spatial_ref_sys VALUES
  ('Undefined cartesian SRS', -1, 'NONE', -1, 'undefined', 'undefined cartesian coordinate reference system'),
  ('Undefined geographic SRS', 0, 'NONE', 0, 'undefined', 'undefined geographic coordinate reference system'),
  ('WGS 84 geodetic', 4326, 'EPSG', 4326,
   'GEOGCS["WGS 84",DATUM["WGS_1984",SPHEROID["WGS 84",6378137,298.257223563,AUTHORITY["EPSG","7030"]],AUTHORITY["EPSG","6326"]],PRIMEM["Greenwich",0,AUTHORITY["EPSG","8901"]],UNIT["degree",0.0174532925199433,AUTHORITY["EPSG","9122"]],AXIS["Latitude",NORTH],AXIS["Longitude",EAST],AUTHORITY["EPSG","4326"]]',
   'longitude and latitude in decimal degrees on the WGS 84 spheroid');
CREATE TABLE gpkg_contents (
  table_name TEXT NOT NULL PRIMARY KEY, data_type TEXT NOT NULL, identifier TEXT UNIQUE,
  description TEXT DEFAULT '',
  last_change DATETIME NOT NULL DEFAULT (strftime('%Y-%m-%dT%H:%M:%fZ','now')),
  min_x DOUBLE, min_y DOUBLE, max_x DOUBLE, max_y DOUBLE, srs_id INTEGER,
  CONSTRAINT fk_gc_r_srs_id FOREIGN KEY (srs_id) REFERENCES gpkg_spatial_ref_sys(srs_id)
);
CREATE TABLE gpkg_geometry_columns (
  table_name TEXT NOT NULL, column_name TEXT NOT NULL, geometry_type_name TEXT NOT NULL,
  srs_id INTEGER NOT NULL, z TINYINT NOT NULL, m TINYINT NOT NULL,
  CONSTRAINT pk_geom_cols PRIMARY KEY (table_name, column_name),
  CONSTRAINT uk_gc_table_name UNIQUE (table_name),
  CONSTRAINT fk_gc_tn FOREIGN KEY (table_name) REFERENCES gpkg_contents(table_name),
  CONSTRAINT fk_gc_srs FOREIGN KEY (srs_id) REFERENCES gpkg_spatial_ref_sys (srs_id)
);
"#;

/// A layer.
pub(super) struct Table {
    pub name: &'static str,
    /// What it holds, for people.
    pub told: &'static str,
    /// The kind of its geometries, as the standard calls it.
    pub kind: &'static str,
    /// The names and types of its attributes.
    pub columns: Vec<(&'static str, &'static str)>,
    pub rows: Vec<Row>,
}

/// A row of a layer.
pub(super) struct Row {
    pub shape: WkbShape,
    /// The attributes, in the table's order.
    pub values: Vec<Value>,
}

/// A package in memory.
pub(super) struct Package(Connection);

impl Package {
    /// One without layers.
    pub fn new() -> Result<Self, Error> {
        let connection = Connection::open_in_memory()?;
        connection.execute_batch(BEGINNING)?;
        Ok(Self(connection))
    }

    /// Adds a layer.
    pub fn add(&self, table: &Table) -> Result<(), Error> {
        let name = table.name;
        let columns: Vec<String> =
            table.columns.iter().map(|(name, kind)| format!(", {name} {kind}")).collect();
        self.0.execute_batch(&format!(
            "CREATE TABLE {name} (fid INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL, geom {}{})",
            table.kind,
            columns.concat()
        ))?;
        let [mut west, mut south] = [f64::INFINITY; 2];
        let [mut east, mut north] = [f64::NEG_INFINITY; 2];
        for at in table.rows.iter().flat_map(|row| row.shape.coords()) {
            (west, south) = (west.min(at.x), south.min(at.y));
            (east, north) = (east.max(at.x), north.max(at.y));
        }
        self.0.execute(
            "INSERT INTO gpkg_contents VALUES (?1, 'features', ?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8)",
            params![name, table.told, LAST_CHANGE, west, south, east, north, WGS84],
        )?;
        self.0.execute(
            "INSERT INTO gpkg_geometry_columns VALUES (?1, 'geom', ?2, ?3, 0, 0)",
            params![name, table.kind, WGS84],
        )?;
        let places = ", ?".repeat(table.columns.len() + 1);
        let mut insert = self.0.prepare(&format!("INSERT INTO {name} VALUES (NULL{places})"))?;
        for row in &table.rows {
            let shape = Value::Blob(row.shape.bytes());
            insert.execute(params_from_iter(std::iter::once(&shape).chain(&row.values)))?;
        }
        Ok(())
    }

    /// The file's bytes.
    pub fn bytes(&self) -> Result<Vec<u8>, Error> {
        Ok(self.0.serialize(MAIN_DB)?.to_vec())
    }
}
