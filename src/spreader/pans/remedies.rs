use super::Shape;

/// What to see to before anything is adjusted (common practice, no source).
const FIRST: [&str; 2] = [
    "Take out inserts and shields over the belt that were made for other products.",
    "Clean blades, spinners and flow divider; replace blades that are worn or caked.",
];

/// How to go about it (common practice, no source).
const LAST: &str = "Change one thing at a time, then run the pans again.";

/// The usual remedies for what is the matter with a pattern, in the order to try them. All of them
/// are common practice, no source.
///
/// Fine, damp material stays on the spinner blades longer than granular fertilizer and so lands
/// farther out towards the edges.
#[must_use]
pub fn remedies(shapes: &[Shape]) -> Vec<&'static str> {
    if shapes.iter().all(|shape| *shape == Shape::Even) {
        return vec!["Leave it as it is; write the settings down with this test."];
    }
    let found = shapes.iter().flat_map(|shape| for_shape(*shape));
    let mut list: Vec<&str> = FIRST.into_iter().collect();
    for remedy in found {
        if !list.contains(remedy) {
            list.push(remedy);
        }
    }
    list.push(LAST);
    list
}

fn for_shape(shape: Shape) -> &'static [&'static str] {
    match shape {
        Shape::OneSided => &[
            "Test along the wind, not across it, and level the machine.",
            "Center the flow divider and the belt; feed both spinners alike.",
            "Check that both spinners turn at one speed.",
        ],
        Shape::Narrow => &[
            "Raise the spinner speed, within its range, for width.",
            "Drive a narrower swath if the material will not go farther.",
        ],
        Shape::HeavyEdges => &[
            "Move the drop point so that the material meets the blades sooner and leaves them sooner \
             (by machine, the flow divider or the spinner assembly moves).",
            "Lower the spinner speed if the material still lands wide.",
            "Lower the gate and run the belt faster if the stream comes in lumps.",
        ],
        Shape::HeavyCentre => &[
            "Move the drop point so that the material meets the blades later and stays on them longer \
             (by machine, the flow divider or the spinner assembly moves).",
            "Raise the spinner speed, within its range, for width.",
            "Lower the gate and run the belt faster if the stream overshoots the blades.",
        ],
        Shape::Even => &[],
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn in_order() {
        let list = remedies(&[Shape::OneSided, Shape::HeavyEdges]);
        assert_eq!(list.len(), 2 + 3 + 3 + 1);
        assert_eq!(list[0], FIRST[0]);
        assert!(
            list[5].starts_with("Move the drop point so that the material meets the blades sooner")
        );
        assert_eq!(list.last(), Some(&LAST));
        assert_eq!(remedies(&[Shape::Even]).len(), 1);
    }
}
