use crate::plan::{Joined, Plan};
use crate::units::{Quantity, System, count};

/// What the zones were made to keep to, and how many became how many.
pub fn clean_up(plan: &Plan) -> Option<String> {
    let done = plan.cleaned_up.as_ref()?;
    let system = plan.settings.system;
    let how = if let Some(rows) = &plan.settings.rows {
        let (swath, cell) = (rows.swath.show(system, 0), rows.cell.show(system, 0));
        format!("along the passes, of cells {swath} wide and {cell} long")
    } else {
        let asked = plan.settings.clean_up.as_ref()?;
        let (area, width) = (asked.min_zone.show(system, 2), asked.min_width.show(system, 0));
        format!("cleaned up to {area} and {width} wide at least")
    };
    let before = count(done.zones_before, "zone", "zones");
    let islands = islands(&done.islands, system).unwrap_or_default();
    Some(format!("{how}: {before} became {}{islands}", plan.zones.len()))
}

/// Islands that joined the tier around them; none where none did.
fn islands(of: &Joined, system: System) -> Option<String> {
    (of.count > 0).then(|| {
        format!(
            "; {} joined the more probable tier around {}, {}",
            count(of.count, "island", "islands"),
            if of.count == 1 { "it" } else { "them" },
            of.area.show(system, 2),
        )
    })
}
