//! The numbers of a map, read out of the picture: no two overlap, each stands inside its zone or on
//! a line to it, none hides a sample.

use geo::{
    Contains, Coord, Distance, Euclidean, Intersects, LineString, MapCoords, MultiPolygon, Point,
    Polygon, Rect,
};
use landplaster::field::{Boundary, Field, RawSample};
use landplaster::geometry::Frame;
use landplaster::job::Job;
use landplaster::plan::{Plan, plan};
use landplaster::projection::Coordinates;
use landplaster::report::map_svg;
use proptest::prelude::*;
use resvg::usvg::roxmltree::{Document, Node};

use super::fields::{Case, case};

/// Coordinates in a picture are rounded to tenths of a pixel, both a box's and an outline's.
const ROUNDED: f64 = 0.2;

fn planned(case: &Case, clean_up: bool) -> Option<Plan> {
    let frame = Frame::around(Coord { x: -85.0, y: 40.0 });
    let wgs84 = |at: Coord<f64>| frame.to_wgs84(at).unwrap();
    let system = || Coordinates { crs: "WGS 84".into(), accuracy: None };
    let field: MultiPolygon<f64> = case.field.map_coords(wgs84);
    let boundary = Boundary::new(field, "field").ok()?;
    let samples = case.points.iter().enumerate().map(|(number, point)| RawSample {
        id: number.to_string(),
        place: format!("row {number}"),
        wgs84: wgs84(Coord { x: point.easting, y: point.northing }),
        cec: Some(point.value),
        cations: None,
        esp: None,
    });
    let field = Field::new((boundary, system()), (samples.collect(), system()), vec![]).ok()?;
    // Small zones stay either way: they are what labels have no room in.
    let zones = if clean_up { "min_zone = \"0.05 acres\"" } else { "clean_up = false" };
    let text = format!("boundary = \"b\"\nsamples = \"s\"\n[zones]\n{zones}\n");
    let job = Job::read("job.toml", &text).unwrap();
    plan(field, job.settings("job.toml", "job", None).unwrap()).ok()
}

fn number(node: &Node<'_, '_>, name: &str) -> f64 {
    node.attribute(name).unwrap().parse().unwrap()
}

/// The rings of a path of relative steps, which is all that a zone is drawn with.
fn rings(path: &str) -> Vec<LineString<f64>> {
    let ring = |text: &str| {
        let text = text.trim_end_matches('z').replace('-', " -").replace('l', " ");
        let numbers: Vec<f64> =
            text.split_ascii_whitespace().map(|number| number.parse().unwrap()).collect();
        let mut at = Coord { x: 0.0, y: 0.0 };
        let steps = numbers.chunks_exact(2).map(|step| {
            at = at + Coord { x: step[0], y: step[1] };
            at
        });
        steps.collect::<LineString<f64>>()
    };
    path.split('M').skip(1).map(ring).collect()
}

struct Zone {
    rate: String,
    ground: Polygon<f64>,
}

struct Label {
    text: String,
    area: Rect<f64>,
    pill: bool,
    end: Option<Coord<f64>>,
}

struct Picture {
    zones: Vec<Zone>,
    labels: Vec<Label>,
    dots: Vec<Coord<f64>>,
    frame: Rect<f64>,
    without: usize,
}

fn picture(svg: &str) -> Picture {
    let document = Document::parse(svg).unwrap();
    let all =
        |name: &'static str| document.descendants().filter(move |node| node.has_tag_name(name));
    let map = all("g").find(|node| node.attribute("transform") == Some("translate(0 64)")).unwrap();
    let inside = |name: &'static str| map.descendants().filter(move |node| node.has_tag_name(name));
    let zones = inside("path").filter_map(|node| {
        let title = node.children().find(|child| child.has_tag_name("title"))?;
        let (_, rate) = title.text()?.strip_prefix("Zone ")?.split_once(": ")?;
        let mut rings = rings(node.attribute("d")?).into_iter();
        let ground = Polygon::new(rings.next()?, rings.collect());
        Some(Zone { rate: rate.split(' ').next()?.to_owned(), ground })
    });
    let numbers = |node: &Node| -> Option<Vec<f64>> {
        let ends = node.attribute("d")?.strip_prefix('M')?.trim_end_matches('z').replace('L', " ");
        ends.split(' ').map(|end| end.parse().ok()).collect()
    };
    // A line to the base of its arrow, whose tip is the next path's first corner.
    let leaders: Vec<[Coord<f64>; 2]> = inside("path")
        .filter(|node| node.attribute("stroke") == Some("#111"))
        .filter_map(|node| {
            let [x, y, _, _] = numbers(&node)?.try_into().ok()?;
            let [tip_x, tip_y, ..] = numbers(&node.next_sibling_element()?)?[..] else {
                return None;
            };
            Some([Coord { x, y }, Coord { x: tip_x, y: tip_y }])
        })
        .collect();
    let pills = inside("rect").map(|node| {
        let low = Coord { x: number(&node, "x"), y: number(&node, "y") };
        let high = low + Coord { x: number(&node, "width"), y: number(&node, "height") };
        let area = Rect::new(low, high);
        let near = |at: Coord<f64>| (at - area.center()).x.hypot((at - area.center()).y) < 0.3;
        let end = leaders.iter().find(|line| near(line[0])).map(|line| line[1]);
        let text = node.next_sibling_element().and_then(|text| text.text()).unwrap().to_owned();
        Label { text, area, pill: true, end }
    });
    let cec = inside("text").filter(|node| node.attribute("paint-order").is_some()).map(|node| {
        let (width, size) = (number(&node, "textLength"), number(&node, "font-size"));
        let at = Coord { x: number(&node, "x"), y: number(&node, "y") };
        // A digit is 0.742 high.
        let low = Coord { x: at.x, y: at.y - 0.742 * size };
        let high = Coord { x: at.x + width, y: at.y };
        Label {
            text: node.text().unwrap().to_owned(),
            area: Rect::new(low, high),
            pill: false,
            end: None,
        }
    });
    let dots = inside("circle").filter(|node| node.attribute("r") == Some("2.6"));
    let dots = dots.map(|node| Coord { x: number(&node, "cx"), y: number(&node, "cy") });
    let frame = inside("path").find_map(|node| {
        let text = node.attribute("d")?.strip_prefix("M1 1H")?.strip_suffix("H1z")?;
        let (right, bottom) = text.split_once('V')?;
        let corner = Coord { x: right.parse().ok()?, y: bottom.parse().ok()? };
        Some(Rect::new(Coord { x: 1.0, y: 1.0 }, corner))
    });
    let mut said = all("text").filter_map(|node| node.text());
    let without = said.find_map(|text| text.split_once("too small for a number: "));
    Picture {
        zones: zones.collect(),
        labels: pills.chain(cec).collect(),
        dots: dots.collect(),
        frame: frame.unwrap(),
        without: without.map_or(0, |(_, count)| count.trim_end_matches('.').parse().unwrap()),
    }
}

/// A box without what rounding may have added on each side.
fn shrunk(area: Rect<f64>) -> Rect<f64> {
    let by = Coord { x: ROUNDED, y: ROUNDED };
    Rect::new(area.min() + by, area.max() - by)
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 200, max_global_rejects: 20_000, ..ProptestConfig::default() })]

    #[test]
    fn labels_have_their_room(case in case(), clean_up in any::<bool>()) {
        let Some(plan) = planned(&case, clean_up) else { return Err(TestCaseError::reject("no plan")) };
        let Picture { zones, labels, dots, frame, without } = picture(&map_svg(&plan).unwrap());
        prop_assert_eq!(zones.len(), plan.zones.len());
        // Samples outside the field may be outside the frame too.
        prop_assert!(dots.len() <= plan.field.samples.len());
        prop_assert!(dots.iter().all(|dot| frame.contains(&Point(*dot))));
        let rates: Vec<&Label> = labels.iter().filter(|label| label.pill).collect();
        prop_assert_eq!(rates.len() + without, zones.len());
        for (i, label) in labels.iter().enumerate() {
            prop_assert!(frame.contains(&shrunk(label.area)), "{} is in the frame", label.text);
            for other in &labels[..i] {
                let apart = !shrunk(label.area).intersects(&shrunk(other.area));
                prop_assert!(apart, "{} is on {}", label.text, other.text);
            }
        }
        for label in rates {
            let mine = |zone: &&Zone| zone.rate == label.text;
            let area = shrunk(label.area);
            let found = match label.end {
                None => zones.iter().filter(mine).any(|zone| zone.ground.contains(&area)),
                Some(end) => {
                    let away = |zone: &Zone| Euclidean.distance(&Point(end), &zone.ground);
                    zones.iter().filter(mine).any(|zone| away(zone) <= ROUNDED)
                }
            };
            prop_assert!(found, "{} at {:?}, its line to {:?}", label.text, label.area, label.end);
            for dot in &dots {
                prop_assert!(!area.intersects(&Point(*dot)), "{} hides a sample", label.text);
            }
        }
    }
}
