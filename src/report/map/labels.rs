//! Where the numbers of a map stand: rates inside their zones, what does not fit on a leader line in
//! free space, the CEC beside its sample. No two of them overlap, and none hides a sample.

use geo::{Coord, InteriorPoint, Intersects, Line, MultiPolygon, Polygon, Rect, Simplify};

use super::free::{FreeCells, is_clear};
use super::pole::pole;
use crate::report::letters::Letters;
use crate::report::text::shortened;

/// What a label says.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum LabelKind {
    /// The rate of a zone.
    Rate,
    /// What is not spread, and why.
    KeepOut,
    /// A sample's name.
    Sample,
    /// A sample's CEC.
    Cec,
    /// A pile.
    Pile,
    /// A field on a farm's map.
    Field,
}

impl LabelKind {
    /// The letter sizes to try inside, from the largest; the last serves on a leader line.
    fn sizes(self) -> &'static [f64] {
        match self {
            Self::Rate => &[26.0, 20.0, 16.0, 14.0],
            Self::KeepOut | Self::Pile | Self::Field => &[14.0, 12.0],
            Self::Sample | Self::Cec => &[11.0],
        }
    }

    /// Whether its letters are bold.
    pub fn is_bold(self) -> bool {
        self == Self::Rate
    }
}

/// A label in its place.
#[derive(Clone, Debug)]
pub struct Label {
    pub kind: LabelKind,
    pub text: String,
    /// The middle of its box.
    pub at: Coord<f64>,
    /// The half sides of its box.
    pub half: Coord<f64>,
    pub size: f64,
    /// Where its leader line ends, when it has one.
    pub leader: Option<Coord<f64>>,
}

impl Label {
    /// What it covers.
    pub fn area(&self) -> Rect<f64> {
        Rect::new(self.at - self.half, self.at + self.half)
    }

    /// The line to what it names.
    fn line(&self) -> Option<Line<f64>> {
        self.leader.map(|end| Line::new(self.at, end))
    }
}

/// Ground that wants a label.
#[derive(Clone, Debug)]
pub struct LabeledGround<'a> {
    pub kind: LabelKind,
    pub text: String,
    pub ground: &'a Polygon<f64>,
}

/// The labels of a map.
#[derive(Clone, Debug, Default)]
pub struct Labels {
    pub placed: Vec<Label>,
    /// Subjects with neither room inside nor beside.
    pub without: usize,
}

/// The height of a digit, for a letter size of 1 (DejaVu Sans).
pub const DIGIT: f64 = 0.742;
/// Room around letters in their box, for a letter size of 1.
const AROUND: f64 = 0.18;
/// The half side of a sample's dot with its rim, in pixels.
const DOT: f64 = 3.5;
/// From a dot to the letters beside it, in pixels: what the page is taken by is known to two.
const GAP: f64 = 2.2;
/// Half the width of a ditch or lane with its rim, in pixels.
const LINE: f64 = 3.0;
/// What stays free around a label beside the field, in pixels.
const RIM: f64 = 3.0;
/// How far corners may move to find a place faster, in pixels: less than a box's own rim.
const COARSE: f64 = 0.5;
/// More leader lines than these make a map unreadable.
const MOST_LEADERS: usize = 24;
/// Longer names go on in the tables.
pub const MOST_LETTERS: usize = 24;

/// What is already on the map.
pub struct Occupied<'a> {
    letters: &'a Letters,
    /// Samples, which no label may hide.
    dots: &'a [Coord<f64>],
    /// What no label may be on.
    taken: FreeCells,
    /// What no label beside the field may be on.
    ground: FreeCells,
    labels: Labels,
}

impl<'a> Occupied<'a> {
    /// A frame with a field and its samples.
    pub fn new(
        (width, height): (f64, f64),
        field: &MultiPolygon<f64>,
        dots: &'a [Coord<f64>],
        letters: &'a Letters,
    ) -> Self {
        let mut taken = FreeCells::of_frame(width, height);
        for dot in dots {
            taken.take(around(*dot, DOT));
        }
        let mut ground = taken.clone();
        ground.take_ground(field);
        Self { letters, dots, taken, ground, labels: Labels::default() }
    }

    /// Keeps labels beside the field, and numbers of samples, off lines that are drawn.
    pub fn keep_off(&mut self, lines: impl Iterator<Item = Line<f64>>) {
        for line in lines {
            self.take_line(line, LINE);
        }
    }

    /// The labels that were placed.
    pub fn into_labels(self) -> Labels {
        self.labels
    }

    /// Labels grounds: those that have room inside, then the others beside the field.
    pub fn label(&mut self, subjects: &[LabeledGround<'_>]) {
        let mut beside = Vec::new();
        for subject in subjects {
            let text = shortened(&subject.text, MOST_LETTERS);
            let unit = self.half(&text, 1.0, subject.kind);
            let largest = subject.kind.sizes().first().copied().unwrap_or(12.0);
            let coarse = subject.ground.simplify(COARSE);
            let dot = Coord { x: DOT, y: DOT };
            let found =
                pole(&coarse, unit * largest, self.dots, dot).filter(|pole| pole.times > 0.0);
            // A sliver may have no room at all, but a place.
            let place = found.map(|pole| pole.at);
            let place = place.or_else(|| subject.ground.interior_point().map(Coord::from));
            let Some(place) = place else {
                self.labels.without += 1;
                continue;
            };
            // The coarse outline may lie half a pixel outside the true one.
            let rim = 1.0 + 2.0 * COARSE / (unit.y * largest);
            let times = found.map_or(0.0, |pole| pole.times);
            match subject.kind.sizes().iter().find(|size| **size / largest * rim <= times) {
                Some(&size) => self.put(subject.kind, text, place, size, None),
                None => beside.push((subject.kind, text, place)),
            }
        }
        for (kind, text, end) in beside {
            self.point_to(kind, text, end, 0.0);
        }
    }

    /// Puts a label beside the field, with an arrow to what it names, which ends so far from its middle.
    pub fn point_to(&mut self, kind: LabelKind, text: String, end: Coord<f64>, clear_of: f64) {
        let size = kind.sizes().last().copied().unwrap_or(12.0);
        let half = self.half(&text, size, kind);
        let boxes: Vec<Rect<f64>> = self.labels.placed.iter().map(Label::area).collect();
        let lines: Vec<Line<f64>> = self.labels.placed.iter().filter_map(Label::line).collect();
        let clear = |area: Rect<f64>| {
            let line = Line::new(area.center(), end);
            is_clear(line, &boxes) && !lines.iter().any(|other| other.intersects(&line))
        };
        let wide = half + Coord { x: RIM, y: RIM };
        let place = (lines.len() < MOST_LEADERS).then(|| self.ground.nearest(end, wide, clear));
        match place.flatten() {
            Some(at) => {
                let way = at - end;
                let end =
                    end + way * (clear_of / libm::hypot(way.x, way.y).max(clear_of).max(1e-9));
                self.put(kind, text, at, size, Some(end));
            }
            None => self.labels.without += 1,
        }
    }

    /// Writes the CEC beside each sample where there is room; where there is none, the dot says
    /// where the sample was taken.
    pub fn write_beside(&mut self, texts: &[String]) {
        let kind = LabelKind::Cec;
        let size = kind.sizes().last().copied().unwrap_or(11.0);
        for (dot, text) in self.dots.iter().zip(texts) {
            let half = self.half(text, size, kind) - Coord { x: 1.5, y: 0.5 };
            let (x, y) = (half.x + DOT + GAP, half.y + DOT + GAP);
            let around =
                [(0.0, y), (0.0, -y), (x, 0.0), (-x, 0.0), (x, y), (-x, y), (x, -y), (-x, -y)];
            let places = around.into_iter().map(|(x, y)| *dot + Coord { x, y });
            let free = |at: &Coord<f64>| self.taken.is_free(Rect::new(*at - half, *at + half));
            if let Some(at) = places.into_iter().find(free) {
                let label = Label { kind, text: text.clone(), at, half, size, leader: None };
                self.taken.take(label.area());
                self.labels.placed.push(label);
            }
        }
    }

    fn put(
        &mut self,
        kind: LabelKind,
        text: String,
        at: Coord<f64>,
        size: f64,
        leader: Option<Coord<f64>>,
    ) {
        let half = self.half(&text, size, kind);
        let label = Label { kind, text, at, half, size, leader };
        for free in [&mut self.taken, &mut self.ground] {
            free.take(label.area());
        }
        if let Some(line) = label.line() {
            self.take_line(line, 0.5);
        }
        self.labels.placed.push(label);
    }

    /// Takes what a line of some half width covers.
    fn take_line(&mut self, line: Line<f64>, half: f64) {
        for free in [&mut self.taken, &mut self.ground] {
            let steps = libm::hypot(line.delta().x, line.delta().y).ceil();
            let mut done = 0.0;
            while done <= steps {
                free.take(around(line.start + line.delta() * (done / steps.max(1.0)), half));
                done += 1.0;
            }
        }
    }

    /// The half sides of a text's box.
    fn half(&self, text: &str, size: f64, kind: LabelKind) -> Coord<f64> {
        let width = self.letters.width(text, size, kind.is_bold());
        Coord { x: width / 2.0 + AROUND * size, y: (DIGIT / 2.0 + AROUND) * size }
    }
}

fn around(at: Coord<f64>, half: f64) -> Rect<f64> {
    let half = Coord { x: half, y: half };
    Rect::new(at - half, at + half)
}
