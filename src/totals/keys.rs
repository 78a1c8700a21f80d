use super::in_units::Key;
use crate::units::{Area, Mass};

macro_rules! keys {
    ($($name:ident: $quantity:ident, $us:literal | $metric:literal, $about:literal;)+) => {$(
        #[doc = concat!("`", $us, "` or `", $metric, "`: ", $about)]
        #[derive(Clone, Copy, Debug, PartialEq)]
        pub struct $name;

        impl Key for $name {
            type Quantity = $quantity;
            const NAMES: &'static [&'static str; 2] = &[$us, $metric];
            const ABOUT: &'static str = $about;
        }
    )+};
}

keys! {
    Acres: Area, "acres" | "hectares", "Area on the ellipsoid.";
    AcresLeft: Area, "acres_left" | "hectares_left",
        "What is to be spread and is not, in cells that overlap a keep-out area.";
    AcresMoved: Area, "acres_moved" | "hectares_moved",
        "Ground that simpler borders put elsewhere than the plan has it.";
    Tons: Mass, "tons" | "tonnes", "Material to spread.";
    TonsLow: Mass, "tons_low" | "tonnes_low",
        "The low end of what the field would take if every acre got the rate its soil calls for (4 in 5).";
    TonsPlanned: Mass, "tons_planned" | "tonnes_planned", "What the map takes.";
    TonsHigh: Mass, "tons_high" | "tonnes_high",
        "The high end of what the field would take if every acre got the rate its soil calls for (4 in 5).";
    TonsShort: Mass, "tons_short" | "tonnes_short",
        "Expected short: material that ground of a higher tier within the zone lacks.";
    TonsOver: Mass, "tons_over" | "tonnes_over",
        "Expected over: material that ground of a lower tier within the zone gets too much.";
    TonsLanded: Mass, "tons_landed" | "tonnes_landed", "What lands, by simulation.";
    TonsSpread: Mass, "tons_spread" | "tonnes_spread", "Material to spread.";
    TonsMargin: Mass, "tons_margin" | "tonnes_margin", "The margin on it.";
    TonsLost: Mass, "tons_lost" | "tonnes_lost", "What is lost of the deliveries.";
    TonsOrdered: Mass, "tons_ordered" | "tonnes_ordered", "What is ordered: all three together.";
    TonsOrderedLow: Mass, "tons_ordered_low" | "tonnes_ordered_low",
        "What is taken at the low end (4 in 5), without margin; null where it is not known.";
    TonsOrderedHigh: Mass, "tons_ordered_high" | "tonnes_ordered_high",
        "The same at the high end.";
    TonsPerDelivery: Mass, "tons_per_delivery" | "tonnes_per_delivery",
        "What a road truck delivers; null where no payload is set, or not the same everywhere.";
    TonsDelivered: Mass, "tons_delivered" | "tonnes_delivered", "What all trucks deliver.";
    TonsHopper: Mass, "tons_hopper" | "tonnes_hopper", "What the hopper holds.";
    TonsLegal: Mass, "tons_legal" | "tonnes_legal", "What may be loaded.";
    TonsFill: Mass, "tons_fill" | "tonnes_fill", "One full load: the lesser of the two.";
    FlatRateTons: Mass, "flat_rate_tons" | "flat_rate_tonnes",
        "What one rate for each whole field would take.";
}
