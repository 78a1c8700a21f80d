use super::tile::Rectangle;

/// Places whose distances are ranked: nodes, or rectangles of nodes about a center.
#[derive(Clone, Debug, Default)]
pub(super) struct Places {
    /// Center eastings.
    pub eastings: Vec<f64>,
    /// Center northings.
    pub northings: Vec<f64>,
    /// Half extents east; none when the places are single nodes.
    pub half_east: Vec<f64>,
    /// Half extents north; as many as `half_east`.
    pub half_north: Vec<f64>,
    /// Found: the squared distance of the nearest sample.
    pub nearest: Vec<f64>,
    /// Found: the squared distance of the n-th nearest sample.
    pub nth: Vec<f64>,
}

impl Places {
    /// Empties the list of places.
    pub fn clear(&mut self) {
        self.eastings.clear();
        self.northings.clear();
        self.half_east.clear();
        self.half_north.clear();
    }

    /// Adds a rectangle.
    pub fn push(&mut self, place: &Rectangle) {
        let Rectangle { centre, half } = *place;
        self.eastings.push(centre[0]);
        self.northings.push(centre[1]);
        self.half_east.push(half[0]);
        self.half_north.push(half[1]);
    }

    /// Repeats the last place until the list fills whole vectors, and makes room for the answers.
    pub fn pad(&mut self, lanes: usize) {
        let whole = self.eastings.len().next_multiple_of(lanes);
        for list in
            [&mut self.eastings, &mut self.northings, &mut self.half_east, &mut self.half_north]
        {
            if let Some(&last) = list.last() {
                list.resize(whole, last);
            }
        }
        self.nearest.resize(whole, 0.0);
        self.nth.resize(whole, 0.0);
    }
}
