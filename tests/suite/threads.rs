//! Whatever a caller keeps may go from thread to thread. Checked when this is compiled.

use landplaster::{
    certainty, farm, field, geometry, inspect, job, order, plan, projection, read, reconcile, soil,
    spreader, stockpile, surface, tonnage, units, warning, work, write, zones,
};

const fn shared<T: Send + Sync>() {}

const _: () = {
    shared::<certainty::Certainty>();
    shared::<farm::FarmTotals>();
    shared::<field::Boundary>();
    shared::<field::Field>();
    shared::<field::KeepOut>();
    shared::<field::KeepOutLayer>();
    shared::<field::Samples>();
    shared::<geometry::Coverage>();
    shared::<geometry::Feature>();
    shared::<geometry::Frame>();
    shared::<inspect::Inspection>();
    shared::<job::Farm>();
    shared::<job::Job>();
    shared::<job::JobError>();
    shared::<order::Order>();
    shared::<plan::Plan>();
    shared::<plan::PlanError>();
    shared::<plan::Settings>();
    shared::<plan::Surfaced>();
    shared::<plan::Zoned>();
    shared::<projection::Coordinates>();
    shared::<projection::Crs>();
    shared::<projection::CrsError>();
    shared::<read::Read<field::Boundary>>();
    shared::<read::ReadError>();
    shared::<read::Source>();
    shared::<read::ZoneFile>();
    shared::<reconcile::Reconciliation>();
    shared::<soil::Tiers>();
    shared::<spreader::Machine>();
    shared::<stockpile::Stockpile>();
    shared::<surface::Idw>();
    shared::<surface::Kriging>();
    shared::<surface::Surface>();
    shared::<tonnage::Tonnage>();
    shared::<units::Length>();
    shared::<warning::Warning>();
    shared::<work::FarmWork>();
    shared::<work::Memory>();
    shared::<work::Prepared>();
    shared::<work::Work>();
    shared::<write::Extras>();
    shared::<write::FormatError>();
    shared::<write::Output>();
    shared::<zones::Mesh>();
    shared::<zones::Partition>();
};
