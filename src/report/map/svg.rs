//! The text of a picture: SVG that any viewer and printer reads, numbers to a tenth of a pixel.

use std::fmt::{self, Write as _};

use geo::{Coord, LineString, MultiPolygon, Polygon};

use crate::report::text::legible;

/// A picture being written.
#[derive(Debug, Default)]
pub struct Svg(String);

impl Svg {
    /// A picture of a size in pixels that says what it is and tells it in words; `id` is its own on a page.
    pub fn opened([width, height]: [f64; 2], id: &str, title: &str, told: &str) -> Self {
        let mut svg = Self::default();
        svg.add(format_args!(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {width:.0} {height:.0}\" \
             width=\"{width:.0}\" height=\"{height:.0}\" role=\"img\" aria-labelledby=\"{id}-title {id}-told\" \
             font-family=\"'DejaVu Sans', Verdana, sans-serif\" fill=\"#111\">\n\
             <title id=\"{id}-title\">{}</title>\n<desc id=\"{id}-told\">{}</desc>",
            escaped(title),
            escaped(told)
        ));
        svg
    }

    /// Adds marks as they are: only what this program made itself, or [`escaped`].
    pub fn add(&mut self, marks: fmt::Arguments<'_>) {
        let _ = self.0.write_fmt(marks);
        self.0.push('\n');
    }

    /// The text so far.
    pub fn into_text(self) -> String {
        self.0
    }
}

/// A [`legible`] text between and inside tags: XML's own signs become entities.
pub fn escaped(text: &str) -> String {
    quick_xml::escape::escape(legible(text)).into_owned()
}

/// The rings of polygons as the `d` of a path.
pub fn path<'a>(polygons: impl IntoIterator<Item = &'a Polygon<f64>>) -> String {
    let mut text = String::new();
    for polygon in polygons {
        for ring in std::iter::once(polygon.exterior()).chain(polygon.interiors()) {
            add_ring(&mut text, ring);
        }
    }
    text
}

/// The same for the parts of a field.
pub fn parts(field: &MultiPolygon<f64>) -> String {
    path(field)
}

/// One ring, each corner as the step from the one before, in whole tenths: rings of neighbors that
/// share corners share them on paper too.
fn add_ring(text: &mut String, ring: &LineString<f64>) {
    let tenths = |at: &Coord<f64>| ((10.0 * at.x).round(), (10.0 * at.y).round());
    let Some(((mut x, mut y), others)) = ring.0.split_first().map(|(a, rest)| (tenths(a), rest))
    else {
        return;
    };
    let _ = write!(text, "M{} {}l", x / 10.0, y / 10.0);
    let mut first = true;
    for (next_x, next_y) in others.iter().map(tenths) {
        let (dx, dy) = (next_x - x, next_y - y);
        if dx == 0.0 && dy == 0.0 {
            continue;
        }
        let gap = if first || dx < 0.0 { "" } else { " " };
        let comma = if dy < 0.0 { "" } else { " " };
        let _ = write!(text, "{gap}{}{comma}{}", dx / 10.0, dy / 10.0);
        (x, y, first) = (next_x, next_y, false);
    }
    text.push('z');
}

#[cfg(test)]
mod tests {
    use resvg::usvg::roxmltree::Document;

    use super::*;

    /// A parser of XML reads back what was put in.
    #[test]
    fn hostile_text_comes_back_as_it_was() {
        for text in ["<script>alert(1)</script>", "\"'&amp;]]>", "\u{202e}עברית", "🌾 field"]
        {
            let page = format!("<a b=\"{0}\">{0}</a>", escaped(text));
            let read = Document::parse(&page).unwrap();
            assert_eq!(read.root_element().text(), Some(text));
            assert_eq!(read.root_element().attribute("b"), Some(text));
        }
        assert_eq!(escaped("a\u{0}\u{1b}b\n"), "a\u{fffd}\u{fffd}b\u{fffd}");
    }

    #[test]
    fn rings_are_steps_in_tenths() {
        let ring = [(1.0, 2.0), (4.0, 2.0), (4.02, 2.01), (4.0, 0.5), (1.0, 2.0)];
        let square = Polygon::new(ring.to_vec().into(), vec![]);
        assert_eq!(path([&square]), "M1 2l3 0 0-1.5-3 1.5z");
    }
}
