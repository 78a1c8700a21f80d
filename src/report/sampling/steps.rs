//! How a sample is taken and bagged, and what to heed (common practice, no source, where none is
//! said).

use super::depth;
use crate::sampling::SamplingPlan;
use crate::units::Quantity;

/// What to heed before and on the way.
pub(super) const CAUTIONS: [&str; 6] = [
    "Before anything is pushed into the ground, have buried lines marked (in the United States: call 811, some days ahead), and ask the owner for tile, water and gas lines of his own. Stay off what is marked.",
    "Ask for leave to enter, and whether the field was sprayed or had anhydrous ammonia: keep to the re-entry time on the label and on posted signs.",
    "Heat, lightning and being alone: water, shade, somebody who knows where you are; leave the field when it thunders.",
    "On a quad bike or utility vehicle: helmet and belt, no passenger without a seat, slow across slopes and ditches; the way on the map is straight and knows no ditch.",
    "Powered probes: stop the engine and let the pressure off before clearing; keep hands and feet away.",
    "Local rules and the machine's manual come before this sheet.",
];

/// What is done at each point.
pub(super) fn steps(plan: &SamplingPlan) -> Vec<String> {
    let (taking, system) = (plan.field.taking, plan.field.system);
    let within = taking.within.show(system, 0);
    let deep = depth(taking, system).replace('-', " to ");
    vec![
        "The laboratory’s own instructions come first: depth, bag, amount and drying are theirs to say.".to_owned(),
        "Go to the point by phone or receiver (points.gpx, points.kml). Write its name on the bag before the first core.".to_owned(),
        format!("Scrape residue aside. Take {} cores, each {deep} deep and straight down, scattered within {within} of the point.", taking.cores),
        "Leave out what is unlike the rest: old fence rows, lanes, dead furrows, wet holes, spots of manure or lime. If the point itself lies on one, go to the nearest usual ground and note the new position.".to_owned(),
        "Mix all cores in a clean plastic bucket (no galvanized or brass one), take out stones and roots, and fill the bag to its line.".to_owned(),
        "Check the name on the bag against this sheet and tick it off. Keep bags cool and out of the sun; send them within a day or two.".to_owned(),
        "Send laboratory.csv along: results that come back under these names join by themselves.".to_owned(),
    ]
}
