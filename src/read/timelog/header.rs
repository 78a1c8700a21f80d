use crate::read::taskdata::Element;
use crate::timelog::ValueChange;

/// What the records of a log hold, after their time.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Header {
    /// The fields of the position, in the order of the records.
    pub position: [Field; 9],
    /// The values, by the index that records name them by.
    pub values: Vec<Value>,
}

/// A field of the position.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Field {
    /// It is not there.
    Absent,
    /// It stands in each record.
    Stored,
    /// It is the same for all.
    Fixed(f64),
}

/// A value that is logged.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Value {
    /// Its entry in the data dictionary, if what is written is one.
    pub ddi: Option<u16>,
    /// The machine's element that it belongs to.
    pub element: String,
    /// The number, where it is the same for all records.
    pub fixed: Option<i32>,
}

/// The attributes of a position (PTN) with the bytes that each takes in a record: north, east, up,
/// status, PDOP, HDOP, satellites, time and date.
pub(super) const POSITION: [(&str, usize); 9] =
    [("A", 4), ("B", 4), ("C", 4), ("D", 1), ("E", 2), ("F", 2), ("G", 1), ("H", 4), ("I", 2)];

impl Header {
    /// The header of a log, whose outermost element is a time (TIM); what is wrong with it otherwise.
    pub fn of(time: &Element) -> Result<Self, String> {
        if time.name != "TIM" {
            return Err(format!("found <{}> in the header, expected <TIM>", time.name));
        }
        let mut position = [Field::Absent; 9];
        if let Some(element) = time.all("PTN").next() {
            for (field, (attribute, _)) in position.iter_mut().zip(POSITION) {
                *field = match element.get(attribute).map(str::trim) {
                    None => Field::Absent,
                    Some("") => Field::Stored,
                    Some(text) => Field::Fixed(text.parse().map_err(|_| {
                        format!("found \"{text}\" as PTN {attribute} in the header, expected a number or nothing")
                    })?),
                };
            }
        }
        let values: Vec<Value> = time.all("DLV").map(value).collect();
        // A record counts its values in one byte.
        if values.len() > 255 {
            return Err(format!(
                "found {} values in the header, expected at most 255",
                values.len()
            ));
        }
        Ok(Self { position, values })
    }

    /// What holds from the beginning.
    pub fn fixed(&self) -> Vec<ValueChange> {
        let fixed = (0..=u8::MAX).zip(&self.values);
        let change =
            |(channel, value): (u8, &Value)| Some(ValueChange { channel, value: value.fixed? });
        fixed.filter_map(change).collect()
    }
}

fn value(element: &Element) -> Value {
    let text = |attribute| element.get(attribute).unwrap_or("").trim();
    Value {
        ddi: u16::from_str_radix(text("A"), 16).ok(),
        element: text("C").to_owned(),
        fixed: text("B").parse().ok(),
    }
}
