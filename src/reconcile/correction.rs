use super::{FieldRecord, OffTheZones};
use crate::spreader::machine::Constant;
use crate::units::{Area, Quantity, System};

/// The least share of the ground to be spread that a record may cover and be called whole, and a
/// constant be suggested by it (common practice, no source).
pub const LEAST_COVER: f64 = 0.9;
/// The most that it may have, places that it has twice counted twice; and by how much of it, above
/// 1, a record may lie off the zones (common practice, no source).
const MOST_COVER: f64 = 1.1;
/// The least and the most that may have been spread for each unit counted; beyond, a unit or a file
/// is wrong, not the constant (common practice, no source).
const RATIO: [f64; 2] = [0.7, 1.4];

/// What the scale says about a controller's constant.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Correction {
    /// How much was spread for each unit that the controller counted, on the zones and off them.
    pub ratio: f64,
    /// The constant in use.
    pub was: Constant,
    /// The constant that would have counted what the scale says.
    pub suggested: Constant,
}

/// Why no constant is suggested. Areas are in the printed system's unit.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[expect(missing_docs, reason = "the fields are what the messages say they are")]
pub enum Unsuggested {
    #[error("no field has both weigh tickets and a record")]
    NothingToCompare,
    #[error(
        "the record covers {recorded:.2} of the {area:.2} {unit} of {field} that were to be spread, under 90 %: give the whole record"
    )]
    TooLittle { field: String, recorded: f64, area: f64, unit: &'static str },
    #[error(
        "the record has {recorded:.2} {unit} for the {area:.2} {unit} of {field} that were to be spread, over 110 %: take out what is in it twice"
    )]
    TooMuch { field: String, recorded: f64, area: f64, unit: &'static str },
    #[error(
        "{recorded:.2} {unit} of the record lie off the zones, over 10 % of the {area:.2} {unit} that were to be spread: give all the fields that it is of, or the record of these alone"
    )]
    Elsewhere { recorded: f64, area: f64, unit: &'static str },
    #[error(
        "the scale says {ratio:.4} times the controller, outside 0.7 to 1.4: check the units and the completeness of the record and of the tickets"
    )]
    Ratio { ratio: f64 },
}

/// What the fields that have both tickets and a record say about a constant. All that was recorded
/// counts, off the zones too, for it went over the scale.
pub(super) fn correction(
    was: Constant,
    records: &[FieldRecord],
    off: &OffTheZones,
    system: System,
) -> Result<Correction, Unsuggested> {
    let unit = Area::unit(system).plural();
    let (mut spread, mut counted, mut area) = (0.0, off.applied, 0.0);
    for record in records.iter().filter(|record| record.loads > 0) {
        let Some(applied) = record.applied else { continue };
        let field = || record.field.clone();
        if record.recorded < LEAST_COVER * record.to_spread {
            let (recorded, area) = (record.recorded, record.to_spread);
            return Err(Unsuggested::TooLittle { field: field(), recorded, area, unit });
        }
        if record.summed > MOST_COVER * record.to_spread {
            let (recorded, area) = (record.summed, record.to_spread);
            return Err(Unsuggested::TooMuch { field: field(), recorded, area, unit });
        }
        spread += record.spread;
        counted += applied;
        area += record.to_spread;
    }
    if area <= 0.0 || counted <= 0.0 {
        return Err(Unsuggested::NothingToCompare);
    }
    if off.area > (MOST_COVER - 1.0) * area {
        return Err(Unsuggested::Elsewhere { recorded: off.area, area, unit });
    }
    let ratio = spread / counted;
    let [least, most] = RATIO;
    if !(least..=most).contains(&ratio) {
        return Err(Unsuggested::Ratio { ratio });
    }
    Ok(Correction { ratio, was, suggested: was.corrected(ratio) })
}
