//! A log made of what a machine that follows the map does: laid down again, it is that landed map.

use std::path::Path;

use landplaster::landing::{
    Landing, LandingSettings, Logged, PassDirection, Prescription, Release,
};
use landplaster::plan::{self, Plan};
use landplaster::spreader::Machine;
use landplaster::spreader::pans::Pattern;
use landplaster::timelog::{
    Log, LoggedMachine as OfLog, MassSource, Number, Section, Stamp, ValueChange,
};
use landplaster::units::Length;
use landplaster::work::{Disk, Work};

/// The demo field with a spreader and a pan test, its machine and its pattern.
fn pond() -> (Plan, Machine, Pattern) {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("demo-farm/pond-quarter.toml");
    let text = std::fs::read_to_string(&path).unwrap();
    let prepared = Work::of_file(&path, &text).unwrap().prepare(&Disk).unwrap();
    let machine = prepared.extras.sheet.machine.clone().unwrap();
    let pattern = prepared.extras.sheet.pans.as_ref().unwrap().test.pattern.clone();
    (plan::plan(prepared.field, prepared.settings).unwrap(), machine, pattern)
}

/// Every tenth of a second where the antenna is and how much is released until the next record, in
/// mg/s. Between two runs the machine is a minute away.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "steps, mg/s and milliseconds as logs have them"
)]
fn log_of(plan: &Plan, landing: &Landing, machine: &Machine) -> Log {
    let frame = plan.field.boundary.frame();
    let (mut stamps, mut changes) = (Vec::new(), Vec::new());
    let mut clock = 0.0;
    for run in &landing.driven.runs {
        let asked = Prescription::of(&landing.driven.ground, run);
        let release =
            Release::new(run, &asked, &landing.spreading.response, landing.spreading.swath);
        for leg in run.places.windows(2) {
            let ((from, start), (to, end)) = (leg[0], leg[1]);
            let steps = ((end - start) / 0.1).ceil();
            for step in 0..=steps as i32 {
                let share = |step: f64| start + (end - start) * (step / steps).min(1.0);
                let (now, next) = (share(f64::from(step)), share(f64::from(step) + 1.0));
                let at = from + (to - from) * (f64::from(step) / steps);
                let at = landing.driven.ground.turned().to_plane(at);
                let flow = match next - now {
                    time if time > 0.0 => (release.until(next) - release.until(now)) / time,
                    _ => 0.0,
                };
                changes.push(ValueChange { channel: 0, value: (flow * 1e6).round() as i32 });
                stamps.push(Stamp {
                    time: ((clock + now) * 1000.0).round() as u64,
                    at: Some(frame.to_wgs84(at).unwrap()),
                    end: changes.len(),
                });
            }
        }
        clock += run.places.last().unwrap().1 + 60.0;
    }
    let section = Section {
        width: Number { channel: None, otherwise: Some(machine.swath) },
        ..Section::default()
    };
    let of_log = OfLog { sections: vec![section], flow: Some(0), ..OfLog::default() };
    Log { name: "log".into(), stamps, changes, machines: vec![of_log], ..Log::default() }
}

#[test]
fn a_log_of_a_landed_map_is_that_map() {
    let (plan, machine, pattern) = pond();
    // Without headland rounds, where the map alone says where to spread.
    let settings = LandingSettings {
        heading: PassDirection::Heading(0.0),
        rounds: 0,
        ..LandingSettings::default()
    };
    let landing = Landing::new(&plan, &machine, Some(&pattern), &settings).unwrap();
    let log = log_of(&plan, &landing, &machine);
    let logged = Logged::new(&plan, &[log], &machine, Some(&pattern), (None, None)).unwrap();
    let logged = logged.unwrap();
    assert_eq!((logged.logs, logged.by.as_slice()), (1, &[MassSource::Flow][..]));
    // All that was released lands, but for what positions closer than half a meter round off.
    let (by_log, reckoned) = (logged.cells.total(), landing.cells.total());
    assert!((by_log / reckoned - 1.0).abs() < 0.01, "{by_log} {reckoned} kg");
    for (one, other) in logged.landed.zones.iter().zip(&landing.landed.zones) {
        let off = (one.landed - other.landed).abs();
        assert!(off < 0.02 * other.planned, "zone {}: {} {}", one.zone, one.landed, other.landed);
        assert!((one.cv - other.cv).abs() < 0.02, "zone {}: {} {}", one.zone, one.cv, other.cv);
    }
    let share = |landed: &landplaster::landing::Landed| landed.within_a_tenth / landed.spread_area;
    let apart = share(&logged.landed) - share(&landing.landed);
    assert!(apart.abs() < 0.02, "{apart}");
    // And a machine that follows the map on the way of the log does what it did.
    let apart = logged.by_map.misplaced() / landing.landed.misplaced() - 1.0;
    assert!(apart.abs() < 0.05, "{apart}");
}

#[test]
fn a_log_of_another_field_lands_nothing() {
    let (plan, machine, pattern) = pond();
    let settings = LandingSettings {
        heading: PassDirection::Heading(0.0),
        rounds: 0,
        ..LandingSettings::default()
    };
    let landing = Landing::new(&plan, &machine, Some(&pattern), &settings).unwrap();
    let mut log = log_of(&plan, &landing, &machine);
    for at in log.stamps.iter_mut().filter_map(|stamp| stamp.at.as_mut()) {
        at.x += 1.0;
    }
    let settings = (None, Some(Length::feet(8.0)));
    let logged = Logged::new(&plan, &[log], &machine, Some(&pattern), settings).unwrap();
    assert!(logged.is_none());
}
