//! A coverage as lines: each border between two faces once.

use std::collections::BTreeMap;

use super::{Coverage, Face};

/// The borders of a coverage, cut where more than two faces meet and where the outline begins.
#[derive(Debug)]
pub struct Borders {
    /// Each border as vertices from end to end; a closed one ends where it starts.
    pub lines: Vec<Vec<u32>>,
    /// Whether a border is between two faces that may both change.
    pub free: Vec<bool>,
    /// The rings of each face as borders, `true` where one is walked backwards.
    rings: Vec<Vec<Vec<(usize, bool)>>>,
}

impl Borders {
    /// The borders of a coverage. `fixed` vertices end a border, as do those on the outline and on
    /// faces that may not change.
    pub fn of(
        coverage: &Coverage,
        fixed: impl Fn(u32) -> bool,
        may_change: impl Fn(&Face) -> bool,
    ) -> Self {
        // Each edge from both its ends.
        let mut changing: Vec<[u32; 2]> = Vec::new();
        let mut ways: Vec<[u32; 2]> = Vec::new();
        for face in &coverage.faces {
            if may_change(face) {
                changing.extend(face.edges());
            }
            ways.extend(face.edges().flat_map(|[a, b]| [[a, b], [b, a]]));
        }
        changing.sort_unstable();
        ways.sort_unstable();
        ways.dedup();
        let changes = |edge: [u32; 2]| changing.binary_search(&edge).is_ok();
        let is_free = |[a, b]: [u32; 2]| changes([a, b]) && changes([b, a]);
        let is_end = |id: u32| {
            let start = ways.partition_point(|[from, _]| *from < id);
            let mut around = ways.iter().skip(start).take_while(|[from, _]| *from == id);
            fixed(id)
                || around.clone().count() > 2
                || around.clone().next().is_none()
                || around.any(|way| !is_free(*way))
        };
        let mut borders = Self { lines: Vec::new(), free: Vec::new(), rings: Vec::new() };
        let mut known: BTreeMap<Vec<u32>, usize> = BTreeMap::new();
        for face in &coverage.faces {
            let rings = std::iter::once(&face.exterior).chain(&face.holes);
            let rings = rings.map(|ring| borders.cut(ring, is_end, &mut known)).collect();
            borders.rings.push(rings);
        }
        let free = |line: &Vec<u32>| matches!(line[..], [a, b, ..] if is_free([a, b]));
        borders.free = borders.lines.iter().map(free).collect();
        borders
    }

    /// A ring as borders.
    fn cut(
        &mut self,
        ring: &[u32],
        is_end: impl Fn(u32) -> bool,
        known: &mut BTreeMap<Vec<u32>, usize>,
    ) -> Vec<(usize, bool)> {
        // A ring without an end starts at its lowest vertex, from either side.
        let lowest = || (0..ring.len()).min_by_key(|&i| ring.get(i).copied());
        let start = ring.iter().position(|&id| is_end(id)).or_else(lowest).unwrap_or(0);
        let mut walk: Vec<u32> =
            ring.iter().cycle().skip(start).take(ring.len()).copied().collect();
        walk.extend(walk.first().copied());
        let mut pieces = Vec::new();
        let mut line = Vec::new();
        for (i, &id) in walk.iter().enumerate() {
            line.push(id);
            if i > 0 && (is_end(id) || i + 1 == walk.len()) {
                pieces.push(self.number(std::mem::replace(&mut line, vec![id]), known));
            }
        }
        pieces
    }

    /// The number of a line, and whether it is known the other way round.
    fn number(&mut self, line: Vec<u32>, known: &mut BTreeMap<Vec<u32>, usize>) -> (usize, bool) {
        let reversed: Vec<u32> = line.iter().rev().copied().collect();
        if let Some(&number) = known.get(&reversed) {
            return (number, true);
        }
        let number = *known.entry(line.clone()).or_insert(self.lines.len());
        if number == self.lines.len() {
            self.lines.push(line);
        }
        (number, false)
    }

    /// The faces again, from the borders as they are now.
    pub fn faces(&self, before: &[Face]) -> Vec<Face> {
        let ring = |pieces: &Vec<(usize, bool)>| {
            let mut ids: Vec<u32> = Vec::new();
            for &(number, backwards) in pieces {
                let line = self.lines.get(number).map_or(&[][..], Vec::as_slice);
                let kept = line.len().saturating_sub(1);
                if backwards {
                    ids.extend(line.iter().rev().take(kept));
                } else {
                    ids.extend(line.iter().take(kept));
                }
            }
            ids
        };
        let faces = before.iter().zip(&self.rings).map(|(face, rings)| Face {
            class: face.class,
            exterior: rings.first().map(ring).unwrap_or_default(),
            holes: rings.iter().skip(1).map(ring).collect(),
        });
        faces.collect()
    }
}
