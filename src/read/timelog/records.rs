//! The binary file of a log. Little-endian: milliseconds of the day (u32), days since 1980-01-01
//! (u16), the fields of the position that the header leaves open, a count (u8), and as many values,
//! each with its index (u8) and number (i32).

use geo::Coord;

use super::header::{Field, Header, POSITION};
use crate::timelog::{Stamp, ValueChange};

/// Milliseconds of a day, with a leap second.
const DAY: u64 = 86_400_000;
const LONGEST_DAY: u64 = DAY + 1000;

/// The records up to the end of the file, or to the first that is not whole.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct WholeRecords {
    pub stamps: Vec<Stamp>,
    pub changes: Vec<ValueChange>,
    /// How much of the file they take.
    pub bytes: usize,
}

/// Reads records until one is cut or cannot be: a time that no day has, or a value that the header
/// does not name. Nothing in a record says where the next begins, so all after it is lost.
pub(super) fn whole(header: &Header, bytes: &[u8]) -> WholeRecords {
    let mut found = WholeRecords::default();
    let mut rest = Rest(bytes);
    while let Some(stamp) = record(header, &mut rest, &mut found.changes) {
        found.stamps.push(stamp);
        found.bytes = bytes.len() - rest.0.len();
    }
    let end = found.stamps.last().map_or(0, |stamp| stamp.end);
    found.changes.truncate(end);
    found
}

fn record(header: &Header, rest: &mut Rest, changes: &mut Vec<ValueChange>) -> Option<Stamp> {
    let (milliseconds, days) = (u64::from(rest.u32()?), u64::from(rest.u16()?));
    if milliseconds > LONGEST_DAY {
        return None;
    }
    let at = position(&header.position, rest)?;
    for _ in 0..rest.u8()? {
        let change = ValueChange { channel: rest.u8()?, value: rest.i32()? };
        if usize::from(change.channel) >= header.values.len() {
            return None;
        }
        changes.push(change);
    }
    Some(Stamp { time: days * DAY + milliseconds, at: at.place(), end: changes.len() })
}

/// Latitude and longitude as far as they are there.
struct At([Option<f64>; 2]);

impl At {
    /// The place, if it is one: 0, 0 stands for none.
    fn place(&self) -> Option<Coord<f64>> {
        let [Some(y), Some(x)] = self.0 else { return None };
        let known = (x != 0.0 || y != 0.0) && x.abs() <= 180.0 && y.abs() <= 90.0;
        known.then_some(Coord { x, y })
    }
}

/// A position; `None` where the file ends in it.
fn position(fields: &[Field; 9], rest: &mut Rest) -> Option<At> {
    let mut at = [None; 2];
    for (number, (field, (_, size))) in fields.iter().zip(POSITION).enumerate() {
        let value = match field {
            Field::Absent => None,
            Field::Fixed(value) => Some(*value),
            // Of what is stored the place alone is of use.
            Field::Stored if number < 2 => Some(f64::from(rest.i32()?) / 1e7),
            Field::Stored => {
                rest.take(size)?;
                None
            }
        };
        if let Some(slot) = at.get_mut(number) {
            *slot = value;
        }
    }
    Some(At(at))
}

/// What is not read yet.
struct Rest<'a>(&'a [u8]);

impl Rest<'_> {
    fn take(&mut self, count: usize) -> Option<()> {
        self.0 = self.0.get(count..)?;
        Some(())
    }

    fn bytes<const N: usize>(&mut self) -> Option<[u8; N]> {
        let (first, rest) = self.0.split_first_chunk::<N>()?;
        self.0 = rest;
        Some(*first)
    }

    fn u8(&mut self) -> Option<u8> {
        self.bytes().map(u8::from_le_bytes)
    }

    fn u16(&mut self) -> Option<u16> {
        self.bytes().map(u16::from_le_bytes)
    }

    fn u32(&mut self) -> Option<u32> {
        self.bytes().map(u32::from_le_bytes)
    }

    fn i32(&mut self) -> Option<i32> {
        self.bytes().map(i32::from_le_bytes)
    }
}
