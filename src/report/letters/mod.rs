//! The letters that the program carries, for maps and charts.

use crate::report::ReportError;

/// DejaVu Sans, cut down: see `font/LICENSE`.
pub const REGULAR: &[u8] = include_bytes!("font/dejavu-sans-subset.ttf");

/// DejaVu Sans Bold, cut down to what numbers are made of and an N.
pub const BOLD: &[u8] = include_bytes!("font/dejavu-sans-bold-subset.ttf");

/// The family that both are of.
pub const FAMILY: &str = "DejaVu Sans";

/// How wide the letters are that the program carries.
#[derive(Clone, Debug)]
pub struct Letters {
    regular: ttf_parser::Face<'static>,
    bold: ttf_parser::Face<'static>,
}

impl Letters {
    /// The letters.
    ///
    /// # Errors
    /// When they are damaged.
    pub fn new() -> Result<Self, ReportError> {
        let face = |bytes| ttf_parser::Face::parse(bytes, 0).map_err(ReportError::new);
        Ok(Self { regular: face(REGULAR)?, bold: face(BOLD)? })
    }

    /// The width of a text at a size, in the size's unit. What the letters do not have counts as
    /// one square.
    #[must_use]
    pub fn width(&self, text: &str, size: f64, bold: bool) -> f64 {
        let face = if bold { &self.bold } else { &self.regular };
        let em = f64::from(face.units_per_em());
        let wide = |letter| {
            let advance = face.glyph_index(letter).and_then(|glyph| face.glyph_hor_advance(glyph));
            advance.map_or(1.0, |advance| f64::from(advance) / em)
        };
        size * text.chars().map(wide).sum::<f64>()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// From the font itself by fontTools: a digit is 1303 of 2048 units wide, a bold one 1425, and
    /// a point 651.
    #[test]
    fn widths_are_those_of_the_font() {
        let letters = Letters::new().unwrap();
        assert!((letters.width("0.5", 2048.0, false) - (2.0 * 1303.0 + 651.0)).abs() < 1e-9);
        assert!((letters.width("12", 2048.0, true) - 2.0 * 1425.0).abs() < 1e-9);
        assert_eq!(letters.width("\u{1f33e}", 10.0, false), 10.0);
    }
}
