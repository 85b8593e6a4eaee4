//! The ink of a drawing's words, as a general-purpose SVG library (usvg) lays them out in DejaVu Sans:
//! wider than what most readers have, so that what fits here fits there.

use girthwise::figure::Figure;
use resvg::usvg::{Group, Node, Options, Paint, Tree, fontdb};
use std::sync::{Arc, LazyLock};

const TYPEFACE: &str = "DejaVu Sans";

static OPTIONS: LazyLock<Options<'static>> = LazyLock::new(|| {
    let mut fonts = fontdb::Database::new();
    for face in [dejavu::sans::regular(), dejavu::sans::bold()] {
        fonts.load_font_data(face.to_vec());
    }
    fonts.set_sans_serif_family(TYPEFACE);
    Options {
        font_family: TYPEFACE.to_owned(),
        fontdb: Arc::new(fonts),
        ..Options::default()
    }
});

/// Something drawn: words, or a surface with its colour, and where.
#[derive(Debug)]
pub(crate) struct Ink {
    pub(crate) what: String,
    left: f32,
    right: f32,
    top: f32,
    foot: f32,
}

impl Ink {
    fn of(what: String, edges: resvg::usvg::Rect) -> Self {
        Self {
            what,
            left: edges.left(),
            right: edges.right(),
            top: edges.top(),
            foot: edges.bottom(),
        }
    }

    pub(crate) fn overlaps(&self, other: &Self) -> bool {
        self.left < other.right
            && other.left < self.right
            && self.top < other.foot
            && other.top < self.foot
    }
}

/// Words and filled surfaces of a drawing.
pub(crate) struct Drawn {
    pub(crate) words: Vec<Ink>,
    pub(crate) surfaces: Vec<Ink>,
    size: (f32, f32),
}

impl Drawn {
    pub(crate) fn of(figure: &Figure) -> Self {
        let tree = Tree::from_str(&figure.standalone(), &OPTIONS).expect("sound SVG");
        let mut drawn = Self {
            words: Vec::new(),
            surfaces: Vec::new(),
            size: (tree.size().width(), tree.size().height()),
        };
        drawn.gather(tree.root());
        assert!(!drawn.words.is_empty(), "{} has no words", figure.name);
        drawn
    }

    fn gather(&mut self, group: &Group) {
        for node in group.children() {
            match node {
                Node::Group(inner) => self.gather(inner),
                Node::Text(text) => {
                    let words = text.chunks().iter().map(|chunk| chunk.text());
                    let edges = text.flattened().abs_bounding_box();
                    self.words.push(Ink::of(words.collect(), edges));
                }
                Node::Path(path) => {
                    if let Some(Paint::Color(colour)) = path.fill().map(|fill| fill.paint()) {
                        let hex = [colour.red, colour.green, colour.blue];
                        let what = hex.map(|part| format!("{part:02x}")).concat();
                        self.surfaces.push(Ink::of(what, path.abs_bounding_box()));
                    }
                }
                Node::Image(_) => {}
            }
        }
    }

    /// All words within the drawing, none over another.
    pub(crate) fn check(&self, of: &str) {
        let (wide, high) = self.size;
        for (index, word) in self.words.iter().enumerate() {
            let inside =
                word.left >= 0.0 && word.right <= wide && word.top >= 0.0 && word.foot <= high;
            assert!(inside, "{of}: {word:?} leaves {wide} by {high}");
            // A letter is 2 units wide at least: a typeface was there and drew it.
            let long = (word.right - word.left).max(word.foot - word.top);
            assert!(long > 2.0 * word.what.trim().len() as f32, "{of}: {word:?}");
            for other in &self.words[index + 1..] {
                assert!(!word.overlaps(other), "{of}: {word:?} lies over {other:?}");
            }
        }
    }
}
