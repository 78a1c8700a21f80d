use std::sync::Arc;

use resvg::tiny_skia::{Pixmap, Transform};
use resvg::usvg::{Options, Tree, fontdb::Database};

use super::ReportError;
use super::letters::{BOLD, FAMILY, REGULAR};

/// Pixels for each unit of the SVG: sharp on paper at the size of half a page.
const SCALE: f32 = 2.0;

/// Renders an SVG as PNG, with the letters that the program carries: the same
/// picture on every machine.
///
/// # Errors
/// When the text is not an SVG or too large to render.
pub fn png(svg: &str) -> Result<Vec<u8>, ReportError> {
    let mut fonts = Database::new();
    fonts.load_font_data(REGULAR.to_vec());
    fonts.load_font_data(BOLD.to_vec());
    fonts.set_sans_serif_family(FAMILY);
    let options = Options { fontdb: Arc::new(fonts), ..Options::default() };
    let tree = Tree::from_str(svg, &options).map_err(ReportError::new)?;
    let size = tree
        .size()
        .to_int_size()
        .scale_by(SCALE)
        .ok_or_else(|| ReportError::new("the picture has no size"))?;
    let mut pixels = Pixmap::new(size.width(), size.height())
        .ok_or_else(|| ReportError::new("the picture is too large"))?;
    resvg::render(&tree, Transform::from_scale(SCALE, SCALE), &mut pixels.as_mut());
    pixels.encode_png().map_err(ReportError::new)
}
