use std::iter::Sum;
use std::ops::{Add, Div, Mul, Sub};

use super::System;

/// A unit that a quantity is written in.
#[derive(Clone, Copy, Debug)]
pub struct Unit {
    /// The spellings that are read; the first is the one that is printed.
    pub spellings: &'static [&'static str],
    /// How many SI units one of it is.
    pub si: f64,
    /// The system that it belongs to.
    pub system: System,
}

impl Unit {
    /// The spelling that is printed.
    #[must_use]
    pub fn symbol(&self) -> &'static str {
        self.spellings.first().copied().unwrap_or("")
    }

    /// What stands behind a number in prose and tables.
    #[must_use]
    pub fn plural(&self) -> &'static str {
        match self.symbol() {
            "ton" => "tons",
            "ac" => "acres",
            symbol => symbol,
        }
    }

    /// The same behind a number that may be a bare 1.
    fn behind(&self, number: &str) -> &'static str {
        match self.plural() {
            "tons" if number == "1" => "ton",
            "acres" if number == "1" => "acre",
            plural => plural,
        }
    }

    /// Whether a text names this unit. Letter case does not count, but where it
    /// tells units apart: `t` is the tonne, and `T/A` short tons an acre.
    #[must_use]
    pub fn is_spelled(&self, text: &str) -> bool {
        self.spellings.iter().any(|known| {
            *known == text || (!is_one_case(known) && known.eq_ignore_ascii_case(text))
        })
    }
}

/// Whether a spelling counts in its own letter case alone.
pub(super) fn is_one_case(spelling: &str) -> bool {
    matches!(spelling, "t" | "Mg" | "Mg/ha" | "T/A" | "T/ac" | "T/acre")
}

/// What every quantity can do.
pub trait Quantity: Copy + 'static {
    /// What it is called in a message.
    const NAME: &'static str;
    /// Its units; within a system the first is the one that is printed.
    const UNITS: &'static [Unit];

    /// Builds it from its SI unit.
    fn from_si(si: f64) -> Self;

    /// The value in its SI unit.
    fn si(self) -> f64;

    /// The unit that a system prints it in.
    #[must_use]
    fn unit(system: System) -> &'static Unit {
        const NONE: Unit = Unit { spellings: &[], si: 1.0, system: System::Us };
        Self::UNITS.iter().find(|unit| unit.system == system).unwrap_or(&NONE)
    }

    /// The value in the unit that a system prints it in.
    #[must_use]
    fn value_in(self, system: System) -> f64 {
        self.si() / Self::unit(system).si
    }

    /// The value and its unit, rounded to a number of decimals; what is absurd in powers of ten, so
    /// that a message stays a line.
    #[must_use]
    fn show(self, system: System, decimals: usize) -> String {
        const ABSURD: f64 = 1e15;
        let value = self.value_in(system);
        let number = if value.abs() < ABSURD {
            format!("{value:.decimals$}")
        } else {
            format!("{value:.decimals$e}")
        };
        format!("{number} {}", Self::unit(system).behind(&number))
    }
}

macro_rules! quantity {
    (
        $(#[$doc:meta])*
        $name:ident ($word:literal, $si_doc:literal) {
            $($system:ident $make:ident $get:ident = $si:expr => $($spelling:literal)|+;)+
        }
    ) => {
        $(#[$doc])*
        #[derive(Clone, Copy, Debug, Default, PartialEq, PartialOrd)]
        pub struct $name(f64);

        impl $name {
            /// None of it.
            pub const ZERO: Self = Self(0.0);
            $(
                #[doc = concat!("Built from ", stringify!($make), ".")]
                #[must_use]
                pub const fn $make(value: f64) -> Self {
                    Self(value * $si)
                }

                #[doc = concat!("In ", stringify!($make), ".")]
                #[must_use]
                pub const fn $get(self) -> f64 {
                    self.0 / $si
                }
            )+
        }

        impl Quantity for $name {
            const NAME: &'static str = $word;
            const UNITS: &'static [Unit] = &[
                $(Unit { spellings: &[$($spelling),+], si: $si, system: System::$system },)+
            ];

            fn from_si(si: f64) -> Self {
                Self(si)
            }

            #[doc = $si_doc]
            fn si(self) -> f64 {
                self.0
            }
        }

        impl Add for $name {
            type Output = Self;
            fn add(self, other: Self) -> Self {
                Self(self.0 + other.0)
            }
        }

        impl Sub for $name {
            type Output = Self;
            fn sub(self, other: Self) -> Self {
                Self(self.0 - other.0)
            }
        }

        impl Mul<f64> for $name {
            type Output = Self;
            fn mul(self, factor: f64) -> Self {
                Self(self.0 * factor)
            }
        }

        impl Div<f64> for $name {
            type Output = Self;
            fn div(self, divisor: f64) -> Self {
                Self(self.0 / divisor)
            }
        }

        /// The ratio of two of a kind, without unit.
        impl Div for $name {
            type Output = f64;
            fn div(self, other: Self) -> f64 {
                self.0 / other.0
            }
        }

        impl Sum for $name {
            fn sum<I: Iterator<Item = Self>>(items: I) -> Self {
                // Not `sum`, which is -0 of nothing and would be printed so.
                Self(items.fold(0.0, |sum, item| sum + item.0))
            }
        }
    };
}

const FOOT: f64 = 0.3048;
const ACRE: f64 = 4_046.856_422_4;
const HECTARE: f64 = 10_000.0;
const POUND: f64 = 0.453_592_37;
const TON: f64 = 2000.0 * POUND;
const TONNE: f64 = 1000.0;
const CUBIC_FOOT: f64 = FOOT * FOOT * FOOT;

quantity! {
    /// A length on the ground.
    Length ("length", "In meters.") {
        Us feet as_feet = FOOT => "ft" | "feet" | "foot" | "ft." | "'" | "\u{2019}" | "\u{2032}";
        Us inches as_inches = FOOT / 12.0
            => "in" | "inch" | "inches" | "in." | "\"" | "\u{201d}" | "\u{2033}";
        Us miles as_miles = 5280.0 * FOOT => "mi" | "mile" | "miles";
        Metric metres as_metres = 1.0 => "m" | "metre" | "metres" | "meter" | "meters";
        Metric centimetres as_centimetres = 0.01 => "cm";
        Metric millimetres as_millimetres = 0.001 => "mm";
        Metric kilometres as_kilometres = 1000.0 => "km";
    }
}

quantity! {
    /// An area on the ellipsoid.
    Area ("area", "In square meters.") {
        Us acres as_acres = ACRE => "ac" | "acre" | "acres";
        Us square_feet as_square_feet = FOOT * FOOT => "ft2" | "sq ft";
        Metric hectares as_hectares = HECTARE => "ha" | "hectare" | "hectares";
        Metric square_metres as_square_metres = 1.0 => "m2" | "sq m";
    }
}

quantity! {
    /// A volume of material.
    Volume ("volume", "In cubic meters.") {
        Us cubic_feet as_cubic_feet = CUBIC_FOOT => "ft3" | "cu ft";
        Us cubic_yards as_cubic_yards = 27.0 * CUBIC_FOOT => "yd3" | "cu yd";
        Us gallons as_gallons = 231.0 * (FOOT / 12.0) * (FOOT / 12.0) * (FOOT / 12.0)
            => "gal" | "gallon" | "gallons";
        Metric cubic_metres as_cubic_metres = 1.0 => "m3" | "cu m";
        Metric litres as_litres = 0.001 => "l" | "L" | "litre" | "litres" | "liter" | "liters";
    }
}

quantity! {
    /// A mass of material. `ton` is the short ton of 2000 lb, `t` the tonne.
    Mass ("mass", "In kilograms.") {
        Us tons as_tons = TON => "ton" | "tons";
        Us pounds as_pounds = POUND => "lb" | "lbs" | "pound" | "pounds";
        Metric tonnes as_tonnes = TONNE => "t" | "Mg" | "tonne" | "tonnes";
        Metric kilograms as_kilograms = 1.0 => "kg";
        Metric grams as_grams = 0.001 => "g";
    }
}

quantity! {
    /// Mass spread on an area.
    Rate ("rate", "In kilograms per square meter.") {
        Us tons_per_acre as_tons_per_acre = TON / ACRE
            => "ton/ac" | "tons/ac" | "ton/acre" | "tons/acre" | "ton/a" | "tons/a"
            | "T/A" | "T/ac" | "T/acre";
        Us pounds_per_acre as_pounds_per_acre = POUND / ACRE
            => "lb/ac" | "lbs/ac" | "lb/acre" | "lbs/acre" | "pounds/acre" | "lb/a" | "lbs/a"
            | "#/ac" | "#/acre" | "#/a";
        Metric tonnes_per_hectare as_tonnes_per_hectare = TONNE / HECTARE
            => "t/ha" | "Mg/ha" | "tonne/ha" | "tonnes/ha";
        Metric kilograms_per_hectare as_kilograms_per_hectare = 1.0 / HECTARE => "kg/ha";
    }
}

quantity! {
    /// A speed, of the machine over the ground or of its belt.
    Speed ("speed", "In meters per second.") {
        Us miles_per_hour as_miles_per_hour = 5280.0 * FOOT / 3600.0 => "mph" | "mi/h";
        Us feet_per_minute as_feet_per_minute = FOOT / 60.0 => "ft/min" | "fpm";
        Metric kilometres_per_hour as_kilometres_per_hour = 1.0 / 3.6 => "km/h" | "kph";
        Metric metres_per_second as_metres_per_second = 1.0 => "m/s";
        Metric metres_per_minute as_metres_per_minute = 1.0 / 60.0 => "m/min";
    }
}

quantity! {
    /// Mass in a volume, as loaded.
    Density ("bulk density", "In kilograms per cubic meter.") {
        Us pounds_per_cubic_foot as_pounds_per_cubic_foot = POUND / CUBIC_FOOT
            => "lb/ft3" | "lbs/ft3" | "lb/cu ft";
        Metric kilograms_per_cubic_metre as_kilograms_per_cubic_metre = 1.0 => "kg/m3";
        Metric tonnes_per_cubic_metre as_tonnes_per_cubic_metre = TONNE => "t/m3";
        Metric kilograms_per_litre as_kilograms_per_litre = 1000.0 => "kg/l" | "kg/L";
    }
}

quantity! {
    /// Mass leaving the machine in a time.
    MassFlow ("mass flow", "In kilograms per second.") {
        Us pounds_per_minute as_pounds_per_minute = POUND / 60.0 => "lb/min";
        Metric kilograms_per_minute as_kilograms_per_minute = 1.0 / 60.0 => "kg/min";
    }
}

quantity! {
    /// Volume leaving the machine in a time.
    VolumeFlow ("volume flow", "In cubic meters per second.") {
        Us cubic_feet_per_minute as_cubic_feet_per_minute = CUBIC_FOOT / 60.0 => "ft3/min";
        Metric cubic_metres_per_minute as_cubic_metres_per_minute = 1.0 / 60.0 => "m3/min";
    }
}

quantity! {
    /// A time that passes.
    Time ("time", "In seconds.") {
        Us seconds as_seconds = 1.0 => "s" | "second" | "seconds";
        Us minutes as_minutes = 60.0 => "min" | "minute" | "minutes";
        Us hours as_hours = 3600.0 => "h" | "hour" | "hours";
    }
}

quantity! {
    /// How fast a shaft turns.
    Turning ("spinner speed", "In turns per second.") {
        Us turns_per_minute as_turns_per_minute = 1.0 / 60.0 => "rpm" | "r/min";
    }
}

quantity! {
    /// An angle, of a slope to the level.
    Angle ("angle", "In radians.") {
        Us degrees as_degrees = std::f64::consts::PI / 180.0
            => "degrees" | "degree" | "deg" | "\u{b0}";
    }
}

quantity! {
    /// A part of a whole.
    Share ("share", "As a fraction of one.") {
        Us percent as_percent = 0.01 => "%" | "percent";
    }
}

impl Rate {
    /// Built from milligrams per square meter, what task data for rate controllers counts in.
    #[must_use]
    pub const fn milligrams_per_square_metre(value: f64) -> Self {
        Self(value / 1e6)
    }

    /// In milligrams per square meter.
    #[must_use]
    pub const fn as_milligrams_per_square_metre(self) -> f64 {
        self.0 * 1e6
    }
}

quantity! {
    /// A mass carried over a way.
    Haul ("loaded travel", "In kilogram meters.") {
        Us ton_miles as_ton_miles = TON * 5280.0 * FOOT => "ton-mi";
        Metric tonne_kilometres as_tonne_kilometres = TONNE * 1000.0 => "t-km";
    }
}

/// A mass carried over a way.
impl Mul<Length> for Mass {
    type Output = Haul;
    fn mul(self, way: Length) -> Haul {
        Haul(self.0 * way.0)
    }
}

/// How far each part of a mass is carried, in the mean.
impl Div<Mass> for Haul {
    type Output = Length;
    fn div(self, mass: Mass) -> Length {
        Length(self.0 / mass.0)
    }
}

/// What a rate puts on an area.
impl Mul<Area> for Rate {
    type Output = Mass;
    fn mul(self, area: Area) -> Mass {
        Mass(self.0 * area.0)
    }
}

/// The rate that spreads a mass evenly on an area.
impl Div<Area> for Mass {
    type Output = Rate;
    fn div(self, area: Area) -> Rate {
        Rate(self.0 / area.0)
    }
}

impl Length {
    /// In feet and meters, for messages whose reader has no system of units.
    #[must_use]
    pub fn in_feet_and_metres(self) -> String {
        let (feet, metres) = (self.as_feet(), self.as_metres());
        let decimals = usize::from(metres < 10.0);
        format!("{feet:.decimals$} ft ({metres:.decimals$} m)")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// NIST Handbook 44 (appendix C): acre 4046.856 4224 m², short ton 907.184 74 kg.
    #[test]
    fn definitions() {
        assert_eq!(Area::acres(1.0).si(), 4_046.856_422_4);
        assert_eq!(Area::square_feet(43_560.0).as_acres(), 1.0);
        assert_eq!(Mass::tons(1.0).as_kilograms(), 907.184_74);
    }

    /// 1 Mg/ha = 0.44609 ton/ac (NDSU Extension, gypsum requirement after Oster 1999).
    #[test]
    fn rates_cross_systems() {
        assert!((Rate::tonnes_per_hectare(1.0).as_tons_per_acre() - 0.446_09).abs() < 5e-6);
    }

    #[test]
    fn rate_times_area_is_mass() {
        let mass = Rate::tons_per_acre(0.5) * Area::acres(160.0);
        assert!((mass.as_tons() - 80.0).abs() < 1e-12);
        assert!(((mass / Area::acres(160.0)).as_tons_per_acre() - 0.5).abs() < 1e-15);
    }

    #[test]
    fn prints_in_the_system_asked_for() {
        assert_eq!(Mass::tons(8.676).show(System::Us, 2), "8.68 tons");
        assert_eq!(Mass::tons(1.0).show(System::Us, 0), "1 ton");
        assert_eq!(Area::acres(1.0).show(System::Us, 2), "1.00 acres");
        assert_eq!(Mass::tonnes(2.0).show(System::Metric, 1), "2.0 t");
        assert_eq!(Rate::tons_per_acre(0.5).show(System::Us, 2), "0.50 ton/ac");
        assert_eq!(Rate::tons_per_acre(1.0).show(System::Metric, 2), "2.24 t/ha");
        assert_eq!(Length::metres(3.048).show(System::Us, 0), "10 ft");
    }
}
