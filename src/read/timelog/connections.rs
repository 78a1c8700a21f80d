use crate::read::taskdata::Element;

/// A connection of two machines (CNN): each by its device and the element that is its connector.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Joint(pub [[String; 2]; 2]);

/// How the machines of a task are coupled.
pub(super) fn of(task: &Element) -> Vec<Joint> {
    let end = |element: &Element, device: &str, part: &str| {
        Some([element.get(device)?.to_owned(), element.get(part)?.to_owned()])
    };
    let joint = |element| Some(Joint([end(element, "A", "B")?, end(element, "C", "D")?]));
    task.all("CNN").filter_map(joint).collect()
}
