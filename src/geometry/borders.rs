//! A coverage as lines: each border between two faces once.

use std::collections::{BTreeMap, BTreeSet};

use super::{Coverage, Face};

/// The borders of a coverage, cut where more than two faces meet and where the outline begins.
#[derive(Debug)]
pub struct Borders {
    /// Each border as vertices from end to end; a closed one ends where it starts.
    pub lines: Vec<Vec<u32>>,
    /// Whether a border is between two faces that may both change.
    pub free: Vec<bool>,
    /// Whether each border is a ring that no other border meets.
    pub round: Vec<bool>,
    /// Where three borders or more meet that are all between faces that may change.
    pub junctions: BTreeSet<u32>,
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
        let ways = Ways::of(coverage, may_change);
        let mut ends = vec![true; coverage.vertices.len()];
        let mut junctions = BTreeSet::new();
        for around in ways.0.chunk_by(|one, other| one.from == other.from) {
            let Some(id) = around.first().map(|way| way.from) else { continue };
            let held = fixed(id) || around.iter().any(|way| !way.is_free());
            if let Some(end) = ends.get_mut(id as usize) {
                *end = held || around.len() > 2;
            }
            if !held && around.len() > 2 {
                junctions.insert(id);
            }
        }
        let is_end = |id: u32| ends.get(id as usize).copied().unwrap_or(true);
        let mut borders = Self {
            lines: Vec::new(),
            free: Vec::new(),
            round: Vec::new(),
            junctions,
            rings: Vec::new(),
        };
        let mut known: BTreeMap<Vec<u32>, usize> = BTreeMap::new();
        for face in &coverage.faces {
            let rings = std::iter::once(&face.exterior).chain(&face.holes);
            let rings = rings.map(|ring| borders.cut(ring, is_end, &mut known)).collect();
            borders.rings.push(rings);
        }
        let free = |line: &Vec<u32>| matches!(line[..], [a, b, ..] if ways.is_free(a, b));
        borders.free = borders.lines.iter().map(free).collect();
        let round = |line: &Vec<u32>| {
            line.first() == line.last() && line.first().is_some_and(|id| !is_end(*id))
        };
        borders.round = borders.lines.iter().map(round).collect();
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

/// An edge as it leaves one of its ends.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
struct Way {
    from: u32,
    to: u32,
    /// Whether the face on its left may change.
    left: bool,
    /// Whether the face on its right may.
    right: bool,
}

impl Way {
    fn is_free(self) -> bool {
        self.left && self.right
    }
}

/// All edges from both their ends, in order.
struct Ways(Vec<Way>);

impl Ways {
    fn of(coverage: &Coverage, may_change: impl Fn(&Face) -> bool) -> Self {
        let mut ways = Vec::new();
        for face in &coverage.faces {
            let changes = may_change(face);
            for [from, to] in face.edges() {
                ways.push(Way { from, to, left: changes, right: false });
                ways.push(Way { from: to, to: from, left: false, right: changes });
            }
        }
        ways.sort_unstable();
        ways.dedup_by(|later, kept| {
            let same = (later.from, later.to) == (kept.from, kept.to);
            if same {
                kept.left |= later.left;
                kept.right |= later.right;
            }
            same
        });
        Self(ways)
    }

    fn is_free(&self, from: u32, to: u32) -> bool {
        let place = self.0.binary_search_by_key(&(from, to), |way| (way.from, way.to)).ok();
        place.and_then(|place| self.0.get(place)).is_some_and(|way| way.is_free())
    }
}
