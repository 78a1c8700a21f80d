//! The coordinate systems that PROJ knows.

use std::cell::RefCell;
use std::ffi::{CStr, CString};
use std::rc::Rc;
use std::sync::Arc;

use super::error::first_line;
use super::proj::{Context, Object};
use super::{Area, CrsError};

const WGS84: &CStr = c"EPSG:4326";

/// How many ways to WGS84 a thread keeps: a job's files are in three or four systems at the most.
const KEPT: usize = 8;

thread_local! {
    /// PROJ's objects are of one thread, and take it some ten milliseconds each.
    static CONTEXT: Option<Rc<Context>> = Context::new();
    /// The last ones first.
    static WAYS: RefCell<Vec<(Arc<CStr>, Rc<Object>)>> = const { RefCell::new(Vec::new()) };
}

/// A coordinate system by its definition.
#[derive(Clone, Debug)]
pub(super) struct Registered {
    pub geographic: bool,
    /// Where it is used.
    pub area: Option<Area>,
    definition: Arc<CStr>,
}

impl Registered {
    /// What a definition stands for, and what people call it.
    pub fn read(definition: &str) -> Result<(String, Self), CrsError> {
        let shown = || first_line(definition);
        let unknown = || CrsError::Unknown { definition: shown() };
        // What an init file would say depends on the environment.
        if definition.is_empty() || definition.contains("init=") {
            return Err(unknown());
        }
        let text = CString::new(definition).map_err(|_| unknown())?;
        let context = CONTEXT.with(Clone::clone).ok_or(CrsError::NoDatabase)?;
        let system = context.read(&text).ok_or_else(unknown)?;
        // The JSON form says what PROJ took the text for, before anything is converted with it.
        let json = system.json().ok_or_else(unknown)?;
        let json: serde_json::Value = serde_json::from_str(&json).map_err(|_| unknown())?;
        let text_of = |value: &serde_json::Value, key: &str| {
            value.get(key).and_then(serde_json::Value::as_str).map(str::to_owned)
        };
        let source = json
            .get("source_crs")
            .filter(|_| text_of(&json, "type").as_deref() == Some("BoundCRS"));
        let described = source.unwrap_or(&json);
        let kind = text_of(described, "type").unwrap_or_default();
        let geographic = match kind.as_str() {
            "GeographicCRS" => true,
            "ProjectedCRS" => false,
            _ => return Err(CrsError::WrongKind { definition: shown(), kind }),
        };
        let name = match text_of(described, "name") {
            Some(name) if definition.starts_with("EPSG:") => format!("{name} ({definition})"),
            Some(name) => name,
            None => shown(),
        };
        let registered =
            Registered { geographic, area: system.area(), definition: Arc::from(text) };
        match registered.way() {
            Some(_) => Ok((name, registered)),
            None => Err(CrsError::Unknown { definition: name }),
        }
    }

    /// The way to WGS84, of this thread.
    pub fn way(&self) -> Option<Rc<Object>> {
        WAYS.with_borrow_mut(|ways| {
            let kept = ways.iter().position(|(definition, _)| *definition == self.definition);
            let (definition, way) = match kept {
                Some(index) => ways.remove(index),
                None => (Arc::clone(&self.definition), Rc::new(self.made()?)),
            };
            ways.truncate(KEPT - 1);
            ways.insert(0, (definition, Rc::clone(&way)));
            Some(way)
        })
    }

    fn made(&self) -> Option<Object> {
        let context = CONTEXT.with(Clone::clone)?;
        context.way(&context.read(&self.definition)?, &context.read(WGS84)?)
    }
}
