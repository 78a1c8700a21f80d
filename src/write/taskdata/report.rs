use super::super::in_units::area;
use super::raster::CLOSE;
use super::settings::{Form, TaskSettings};
use super::treatment::Task;
use crate::plan::Plan;
use crate::tonnage::AREA_DECIMALS;
use crate::totals::{self, TaskData, TaskForm};
use crate::units::{Area, Length, Mass, Quantity, Rate, System, round_to};

/// What is to be told about a task.
#[derive(Clone, Debug)]
pub struct TaskReport {
    /// The version of the standard.
    pub version: u8,
    /// What holds the rates.
    pub form: Form,
    /// The material for the zones or cells as written.
    pub mass: Mass,
    /// The material for the zones as planned.
    pub planned: Mass,
    /// The rate while the receiver has no position.
    pub position_lost: Rate,
    /// The ground that `max_vertices` puts elsewhere than the plan has it.
    pub moved: Area,
    /// All ground that has a zone, as planned.
    pub area: Area,
    /// The grid, if that is the form.
    pub grid: Option<GridReport>,
    system: System,
}

/// What is to be told about a grid.
#[derive(Clone, Debug)]
pub struct GridReport {
    /// A cell's sides on the ground.
    pub cell: Length,
    /// Cells from west to east.
    pub columns: usize,
    /// Cells from south to north.
    pub rows: usize,
    /// What is to be spread, and is not, in the cells that overlap a keep-out area.
    pub left: Area,
    /// Why the tons are more than 0.5 % off, if they are.
    pub reason: Option<String>,
}

pub fn of(plan: &Plan, settings: &TaskSettings, task: &Task) -> TaskReport {
    TaskReport {
        version: settings.version.major(),
        form: settings.form,
        mass: task.mass,
        planned: plan.total.mass,
        position_lost: settings.position_lost,
        moved: task.moved,
        area: plan.total.area,
        grid: task.grid.as_ref().map(|raster| GridReport {
            cell: raster.side,
            columns: raster.grid.columns,
            rows: raster.grid.rows,
            left: raster.left,
            reason: raster.reason.clone(),
        }),
        system: plan.settings.system,
    }
}

impl TaskReport {
    /// How far the material as written is from that as planned, in per cent.
    #[must_use]
    pub fn difference_percent(&self) -> f64 {
        if self.planned == self.mass { 0.0 } else { (self.mass / self.planned - 1.0) * 100.0 }
    }

    /// What is said on the screen.
    #[must_use]
    pub fn lines(&self) -> Vec<String> {
        let mut held = self.form.to_string();
        if let Some(grid) = &self.grid {
            let cell = grid.cell.show(self.system, 1);
            held = format!("{held} of {} by {} cells of {cell}", grid.columns, grid.rows);
        }
        let mut lines = vec![format!(
            "Task data (ISO 11783-10, version {}): {held}; {}, {:+.2} % off the plan; rate 0 outside of the field, {} while the position is lost.",
            self.version,
            self.mass.show(self.system, 2),
            // Adding zero makes a negative zero a plain one.
            round_to(self.difference_percent(), 2) + 0.0,
            self.position_lost.show(self.system, 2),
        )];
        lines.extend(self.simplified());
        let left = self.grid.as_ref().map(|grid| grid.left).filter(|left| *left > Area::ZERO);
        lines.extend(left.map(|left| {
            let left = left.show(self.system, 2);
            format!("Cells that overlap a keep-out area have rate 0, and {left} to be spread lies in them: smaller cells leave less.")
        }));
        let reason = self.grid.as_ref().and_then(|grid| grid.reason.as_ref());
        lines.extend(reason.map(|why| {
            format!("warning: the task data's tons are more than 0.5 % off the plan: {why}")
        }));
        lines
    }

    /// What `max_vertices` does to the map, if that can be seen; a warning where it is more than a
    /// grid may be off.
    fn simplified(&self) -> Option<String> {
        let decimals = AREA_DECIMALS;
        if round_to(self.moved.value_in(self.system), decimals) <= 0.0 {
            return None;
        }
        let (moved, area) = (self.moved.show(self.system, 2), self.area.show(self.system, 2));
        let said = format!(
            "max_vertices moves {moved} of {area} into another zone, out of the field or beyond it"
        );
        if self.moved.si() <= CLOSE * self.area.si() {
            return Some(format!("Task data: {said}."));
        }
        Some(format!(
            "warning: task data: {said}; set more, or form = \"zone grid\" or \"rate grid\""
        ))
    }

    /// What stands in `totals.json`.
    #[must_use]
    pub fn totals(&self) -> TaskData {
        let grid = self.grid.as_ref().map(|grid| totals::Grid {
            cell: round_to(grid.cell.value_in(self.system), 3),
            cell_unit: Length::unit(self.system).symbol().to_owned(),
            columns: grid.columns,
            rows: grid.rows,
            left: area(grid.left, self.system),
            difference_reason: grid.reason.clone(),
        });
        TaskData {
            version: self.version,
            form: match self.form {
                Form::Zones => TaskForm::Zones,
                Form::ZoneGrid => TaskForm::ZoneGrid,
                Form::RateGrid => TaskForm::RateGrid,
            },
            grid,
            moved: (self.form == Form::Zones).then(|| area(self.moved, self.system)),
            mass: round_to(self.mass.value_in(self.system), 4),
            mass_unit: Mass::unit(self.system).symbol().to_owned(),
            difference_percent: round_to(self.difference_percent(), 4),
            position_lost_rate: round_to(self.position_lost.value_in(self.system), 4),
            rate_unit: Rate::unit(self.system).symbol().to_owned(),
        }
    }
}
