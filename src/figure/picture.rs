//! Drawings as PNG pictures, for places that take no SVG.

use super::Figure;
use crate::error::{Error, Result};
use resvg::tiny_skia::{Pixmap, Transform};
use resvg::usvg::{Options, Tree, fontdb};
use std::sync::Arc;

/// The typeface that comes with the crate, so that pictures are the same on every machine.
const TYPEFACE: &str = "DejaVu Sans";

/// Makes pictures: holds the typeface, so that it is read once.
#[derive(Debug)]
pub struct Painter {
    options: Options<'static>,
}

impl Default for Painter {
    fn default() -> Self {
        let mut fonts = fontdb::Database::new();
        for face in [dejavu::sans::regular(), dejavu::sans::bold()] {
            fonts.load_font_data(face.to_vec());
        }
        fonts.set_sans_serif_family(TYPEFACE);
        Self {
            options: Options {
                font_family: TYPEFACE.to_owned(),
                fontdb: Arc::new(fonts),
                ..Options::default()
            },
        }
    }
}

/// Picture elements in a drawing's unit: text of 11.5 units is then easy to read in a chat.
const ELEMENTS: f32 = 2.5;
/// Most picture elements across or up.
const MOST: f32 = 8000.0;

impl Painter {
    /// A drawing as PNG on white.
    ///
    /// # Errors
    /// [`ErrorKind::Options`](crate::ErrorKind::Options) if it is larger than any picture should be.
    pub fn paint(&self, figure: &Figure) -> Result<Vec<u8>> {
        let refused = |why: String| {
            Error::options(format!(
                "the drawing \"{}\" cannot be made a picture: {why}; take it as SVG",
                figure.name
            ))
        };
        let tree = Tree::from_str(&figure.standalone(), &self.options)
            .map_err(|error| refused(error.to_string()))?;
        let size = tree.size().to_int_size().scale_by(ELEMENTS);
        #[expect(clippy::cast_precision_loss, reason = "a bound")]
        let size = size.filter(|size| size.width().max(size.height()) as f32 <= MOST);
        let mut picture = size
            .and_then(|size| Pixmap::new(size.width(), size.height()))
            .ok_or_else(|| refused("it is too large".to_owned()))?;
        let scale = Transform::from_scale(ELEMENTS, ELEMENTS);
        resvg::render(&tree, scale, &mut picture.as_mut());
        picture
            .encode_png()
            .map_err(|error| refused(error.to_string()))
    }
}
