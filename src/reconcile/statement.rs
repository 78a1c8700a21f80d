use super::Reconciliation;

/// What a record can show and what it cannot, in plain words.
#[must_use]
pub fn statement(of: &Reconciliation) -> Vec<&'static str> {
    let mut lines = vec![if of.fields.iter().any(|field| field.lost > 0.0) {
        "The scale shows how much left the pile in all: delivered less left. What was lost before it was spread is the job's own share, not weighed. The scale does not show where the rest fell."
    } else {
        "The scale shows how much left each field's spreader in all: delivered less left. It does not show where it fell."
    }];
    if of.fields.iter().any(|field| field.applied.is_some()) {
        lines.extend([
            "The record of the application is what the controller believed, by its own constant. It shows where the machine was and which rate it aimed at, not what fell: a wrong constant, a bridged hopper or a worn spinner does not show in it.",
            "Within 10 % of target is by that record too. What fell across the swath, only catch pans show.",
        ]);
    } else {
        lines.push(
            "Without a record of the application nothing shows which zone got what: only the field's total is known.",
        );
    }
    if matches!(of.correction, Some(Ok(_))) {
        lines.push(
            "The suggested constant rests on the season's totals. It is right if the material was the same throughout and every load was weighed; confirm it by weigh tests before setting it.",
        );
    }
    lines
}
