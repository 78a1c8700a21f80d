use super::Pattern;
use crate::units::{Area, Length, Quantity, Rate, System, Written};

/// The settings before the table: lines `# key: value`.
#[derive(Default)]
pub(super) struct PanSettings {
    pub pan_area: Option<Area>,
    pub target: Option<Rate>,
    pub swath: Option<Length>,
    pub passes: Option<f64>,
    /// Whether the pans' size is given, soundly or not.
    pub pan_is_told: bool,
}

const KEYS: &str = "pan size, pan area, target, swath, passes, note";

impl PanSettings {
    /// Takes in one line, without its `#`.
    pub fn take(&mut self, text: &str) -> Result<(), String> {
        let (key, value) = text.split_once(':').unwrap_or((text, ""));
        let (key, value) = (key.trim(), value.trim());
        self.pan_is_told |= key.starts_with("pan ");
        match key {
            "note" => {}
            "pan size" => self.pan_area = Some(checked(key, value, pan_size(value)?)?),
            "pan area" => self.pan_area = Some(checked(key, value, above_zero(key, value)?)?),
            "target" => self.target = Some(above_zero(key, value)?),
            "swath" => self.swath = Some(above_zero(key, value)?),
            "passes" => {
                let passes = value.parse::<u32>().ok().filter(|passes| *passes > 0);
                let expected = "expected a whole number from 1; count the passes over the pans";
                let passes = passes.ok_or(format!("passes: found \"{value}\", {expected}"))?;
                self.passes = Some(f64::from(passes));
            }
            _ => {
                return Err(format!(
                    "found the setting \"{key}\", expected one of {KEYS}; correct its name"
                ));
            }
        }
        Ok(())
    }
}

/// A swath that the row can say something about: two pan spacings to four times the row.
pub(super) fn check_swath(swath: Length, pattern: &Pattern, system: System) -> Result<(), String> {
    let (least, most) = (pattern.spacing() * 2.0, pattern.throw() * 4.0);
    if (least..=most).contains(&swath) {
        return Ok(());
    }
    Err(format!(
        "swath: found {}, expected {} to {} with these pans; correct it",
        swath.show(system, 1),
        least.show(system, 1),
        most.show(system, 1)
    ))
}

fn above_zero<Q: Quantity>(key: &str, text: &str) -> Result<Q, String> {
    let read = Written::<Q>::read(text).map_err(|error| format!("{key}: {error}"))?;
    if read.value.si() > 0.0 {
        return Ok(read.value);
    }
    Err(format!("{key}: found {text}, expected more than zero; measure it again"))
}

/// A pan's area between a square centimeter and 100 m2.
fn checked(key: &str, text: &str, area: Area) -> Result<Area, String> {
    if (1e-4..=100.0).contains(&area.si()) {
        return Ok(area);
    }
    Err(format!("{key}: found {text}, expected 1 cm2 to 100 m2; measure the inside of a pan"))
}

fn pan_size(text: &str) -> Result<Area, String> {
    let sides: Vec<&str> = text.split(['x', '×']).collect();
    let [length, width] = *sides.as_slice() else {
        return Err(format!(
            "pan size: found \"{text}\", expected two sides such as \"20 in x 20 in\""
        ));
    };
    let side = |text: &str| above_zero::<Length>("pan size", text.trim());
    Ok(Area::square_metres(side(length)?.as_metres() * side(width)?.as_metres()))
}
