use super::database::{self, Database, not_format, quoted};
use crate::read::error::quoted as listed;
use crate::read::{ReadError, Source};

/// The most layers that are looked at.
const MOST_LAYERS: usize = 1000;

/// A layer of features.
#[derive(Debug, PartialEq)]
pub(super) struct Layer {
    /// The table that it is.
    pub table: String,
    /// What it is called beside.
    identifier: String,
    /// The column with the geometry.
    shape: String,
    /// The coordinate system's number in the package.
    pub srs: i64,
}

/// The layers of a package, by the name of their table.
pub(super) fn all(database: &Database) -> Result<Vec<Layer>, ReadError> {
    let sql = "SELECT c.table_name, c.identifier, g.column_name, g.srs_id, m.sql \
               FROM gpkg_contents c \
               JOIN gpkg_geometry_columns g ON lower(g.table_name) = lower(c.table_name) \
               LEFT JOIN sqlite_schema m ON lower(m.name) = lower(c.table_name) AND m.type = 'table' \
               WHERE c.data_type = 'features' ORDER BY c.table_name LIMIT 1001";
    let mut layers = Vec::new();
    database.rows(sql, &[], |row| {
        let (table, definition) = (row.text(0), row.text(4));
        let plain = definition.get(..13).is_some_and(|sql| {
            sql.eq_ignore_ascii_case("CREATE TABLE ") || sql.eq_ignore_ascii_case("CREATE TABLE\"")
        });
        // A view or a virtual table is computed by whatever the file says.
        if !plain {
            let reason = format!("the layer {table:?} is no table of its own; save it as one");
            return Err(not_format(database.name(), reason));
        }
        let (identifier, shape) = (row.text(1), row.text(2));
        layers.push(Layer { table, identifier, shape, srs: row.integer(3).unwrap_or(-1) });
        Ok(())
    })?;
    if layers.len() > MOST_LAYERS {
        let reason = format!("found more than {MOST_LAYERS} layers");
        return Err(not_format(database.name(), reason));
    }
    Ok(layers)
}

/// The layer that a setting names, or the only one.
pub(super) fn chosen<'a>(
    source: &Source,
    layers: &'a [Layer],
    wanted: Option<&str>,
) -> Result<&'a Layer, ReadError> {
    let name = source.name.clone();
    let found = || listed(layers.iter().map(|layer| &layer.table));
    match (wanted, layers) {
        (_, []) => Err(not_format(&name, "it has no layer of features".to_owned())),
        (None, [layer]) => Ok(layer),
        (None, _) => {
            let (what, key, or) = ("layers", "layer", String::new());
            Err(ReadError::Several { name, what, found: found(), key, or })
        }
        (Some(wanted), _) => {
            let folded = wanted.trim().to_lowercase();
            let exact = layers.iter().find(|layer| layer.table == wanted);
            let alike = || {
                let names =
                    |layer: &Layer| [layer.table.to_lowercase(), layer.identifier.to_lowercase()];
                layers.iter().find(|layer| names(layer).contains(&folded))
            };
            exact.or_else(alike).ok_or_else(|| {
                let (what, wanted) = ("layer", wanted.to_owned());
                ReadError::NoneOfThatName { name, what, wanted, found: found() }
            })
        }
    }
}

impl Layer {
    /// The attributes, by their number among all columns, and the number of the geometry.
    pub fn columns(&self, database: &Database) -> Result<(Vec<(usize, String)>, usize), ReadError> {
        let all = database.columns(&format!("SELECT * FROM {}", quoted(&self.table)))?;
        let shape = all.iter().position(|name| name.eq_ignore_ascii_case(&self.shape));
        let Some(shape) = shape else {
            let reason = format!("its layer {:?} has no column {:?}", self.table, self.shape);
            return Err(database::not_format(database.name(), reason));
        };
        let others = all.into_iter().enumerate().filter(|(number, _)| *number != shape);
        Ok((others.collect(), shape))
    }
}
