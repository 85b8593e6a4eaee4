//! Sections of the body at full scale, to cut out and stack: a padded or layered form of one's own body.
//!
//! ```text
//! Scan + heights ─ cut ─ Stack of Layers ─ drawing (mm) ┬ SVG, one file a layer
//!                                                       └ PDF, as many pages as the paper needs
//! ```
//! Every layer is drawn in the same coordinates, seen from above with the front at the top, so that the
//! wearer's right is on the right and left and right stay as different as they are. Crosses at the same two
//! places of the body on every layer keep the stack straight.

use crate::LengthUnit;
use crate::error::{Error, Result};
use crate::landmark::{LandmarkKey, Landmarks};
use crate::length::Length;
use crate::length::reading::read_length;
use crate::part::Parts;
use crate::scan::Scan;
use crate::section::{Contour, Slicer};
use crate::side::Side;

mod drawing;
mod pdf;
mod svg;
mod tile;

pub use tile::Paper;

/// Most layers of one stack.
pub const MAX_LAYERS: usize = 1000;

/// One closed line of a layer.
#[derive(Clone, Debug, PartialEq)]
pub struct Outline {
    /// The part it goes round: `trunk`, `left leg`.
    pub part: String,
    /// Points along the skin in mm: to the wearer's right of the midline, and forward.
    pub skin_mm: Vec<[f64; 2]>,
    /// Points of the taut tape round it.
    pub tape_mm: Vec<[f64; 2]>,
    /// Girth along the skin: the length of the line.
    pub surface: Length,
    /// Girth of the taut tape.
    pub taut: Length,
}

/// The body at one height.
#[derive(Clone, Debug, PartialEq)]
pub struct Layer {
    /// What the height is called, or the height itself.
    pub name: String,
    /// Above the floor.
    pub height: Length,
    /// Trunk, or both legs.
    pub outlines: Vec<Outline>,
}

/// A height that gives no layer, and why.
#[derive(Clone, Debug, PartialEq)]
pub struct NoLayer {
    /// What the height is called.
    pub name: String,
    /// Above the floor.
    pub height: Length,
    /// Why, in a sentence.
    pub reason: String,
}

/// Layers from the floor up, and the heights that gave none.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Stack {
    /// In the order of their heights.
    pub layers: Vec<Layer>,
    /// In the order of their heights.
    pub missing: Vec<NoLayer>,
}

/// A height to cut at, with its name.
#[derive(Clone, Debug, PartialEq)]
pub struct Cut {
    /// What it is called on the drawing.
    pub name: String,
    /// Above the floor.
    pub height: Length,
}

impl Cut {
    /// A landmark's level (`waist`, `left knee`; a pair without a side at its mean height), or a height
    /// above the floor with its unit (`104.3 cm`).
    ///
    /// # Errors
    /// [`ErrorKind::Options`](crate::ErrorKind::Options) if it is neither, or the scan does not show the
    /// landmark.
    pub fn named(text: &str, landmarks: &Landmarks) -> Result<Self> {
        let Some((key, side)) = LandmarkKey::named(text) else {
            let height = read_length(text, LengthUnit::Centimetre).map_err(|fault| {
                Error::options(match LandmarkKey::nearest_name(text) {
                    Some(near) => format!("\"{text}\" is no landmark; did you mean \"{near}\"?"),
                    None => format!("\"{text}\" is no landmark, and as a height it {fault}"),
                })
            })?;
            return Ok(Self::at(height));
        };
        let sides = if side.is_some() {
            vec![side]
        } else {
            key.sides().to_vec()
        };
        let mut heights = Vec::new();
        for side in sides {
            let mark = landmarks
                .get(key, side)
                .map_err(|missing| Error::options(format!("no layer at the {missing}")))?;
            heights.push(mark.height_mm());
        }
        #[expect(clippy::cast_precision_loss, reason = "one or two sides")]
        let mean = heights.iter().sum::<f64>() / heights.len() as f64;
        let name = side.map_or_else(String::new, |side| format!("{side} "));
        Ok(Self {
            name: format!("{name}{}", key.name()),
            height: Length::from_mm(mean),
        })
    }

    fn at(height: Length) -> Self {
        Self {
            name: format!("{:.1} cm up", height.cm()),
            height,
        }
    }

    /// Heights `step` apart from `low` up to `high`, the middle of each layer of that thickness: a sheet of
    /// foam cut along the line in its middle is too wide and too narrow by the same at its two faces.
    ///
    /// # Errors
    /// [`ErrorKind::Options`](crate::ErrorKind::Options) if there would be none, or more than
    /// [`MAX_LAYERS`].
    pub fn every(step: Length, low: Length, high: Length) -> Result<Vec<Self>> {
        let count = ((high - low).mm() / step.mm()).floor();
        #[expect(clippy::cast_precision_loss, reason = "a small bound")]
        let fits = (1.0..=MAX_LAYERS as f64).contains(&count);
        if !fits {
            return Err(Error::options(format!(
                "layers of {step} from {low} to {high} would be {count:.0}; there may be 1 to {MAX_LAYERS}"
            )));
        }
        let cuts = (0..MAX_LAYERS).map(|i| {
            #[expect(clippy::cast_precision_loss, reason = "a small number")]
            let i = i as f64;
            (i, Self::at(low + step * (i + 0.5)))
        });
        Ok(cuts
            .take_while(|(i, _)| *i < count)
            .map(|(_, cut)| cut)
            .collect())
    }
}

impl Stack {
    /// Cuts a scan: the trunk from crotch to armpits, both legs below. Rough skin is smoothed, as for
    /// a girth.
    ///
    /// # Accuracy
    /// The girths are those of the measures at the same height; the drawn lines have those lengths to
    /// 0.1 mm.
    #[must_use]
    pub fn cut(scan: &Scan, cuts: &[Cut]) -> Self {
        let level = Slicer::level(scan.body.mesh()).indexed();
        let mut stack = Self::default();
        let mut cuts = cuts.to_vec();
        cuts.sort_by(|a, b| a.height.mm().total_cmp(&b.height.mm()));
        for Cut { name, height } in cuts {
            match outlines(&scan.parts, &level, height) {
                Ok(outlines) => stack.layers.push(Layer {
                    name,
                    height,
                    outlines,
                }),
                Err(reason) => stack.missing.push(NoLayer {
                    name,
                    height,
                    reason,
                }),
            }
        }
        stack
    }

    /// What was cut and what was not, a line each.
    #[must_use]
    pub fn say(&self) -> String {
        let layers = self.layers.iter().enumerate().map(|(i, layer)| {
            let girths = layer.outlines.iter().map(|outline| {
                format!(
                    "{} {} along the skin",
                    outline.part,
                    drawing::both(outline.surface)
                )
            });
            let girths: Vec<_> = girths.collect();
            format!("layer {}: {}: {}", i + 1, layer.name, girths.join(", "))
        });
        let missing = self
            .missing
            .iter()
            .map(|none| format!("not cut: {}: {}", none.name, none.reason));
        layers.chain(missing).collect::<Vec<_>>().join("\n")
    }

    /// Each layer as an SVG drawing in millimetres, with a test square of 10 cm.
    #[must_use]
    pub fn svg(&self) -> Vec<(String, String)> {
        let count = self.layers.len();
        let crosses = drawing::crosses(self);
        let of = |(i, layer): (usize, &Layer)| {
            let drawing = drawing::Drawing::of(layer, i + 1, count, &crosses).with_square();
            (format!("layer-{:03}.svg", i + 1), svg::write(&drawing))
        };
        self.layers.iter().enumerate().map(of).collect()
    }

    /// All layers as one PDF at full scale: a first page with a test square and how to use it, then each
    /// layer on as many sheets as it needs, with joining lines and crosses.
    #[must_use]
    pub fn pdf(&self, paper: Paper) -> Vec<u8> {
        pdf::write(self, paper)
    }
}

fn outlines(
    parts: &Parts,
    level: &Slicer<'_>,
    height: Length,
) -> std::result::Result<Vec<Outline>, String> {
    let h = height.mm();
    let crotch = parts
        .crotch
        .map_or(f64::NEG_INFINITY, |fork| fork.height_mm);
    if h > crotch {
        if parts
            .trunk
            .range_mm()
            .is_some_and(|(_, top)| h > top + parts.step_mm)
        {
            return Err("above the armpits trunk and arms are one on a scan; build the shoulders up by hand".to_owned());
        }
        return Ok(vec![outline(
            "trunk".to_owned(),
            &parts.trunk_at(level, h)?,
        )]);
    }
    let leg = |side: Side| {
        let contour = parts.leg_at(level, side, h)?;
        Ok(outline(format!("{side} leg"), &contour))
    };
    Side::BOTH.map(leg).into_iter().collect()
}

fn outline(part: String, contour: &Contour) -> Outline {
    let contour = contour.settled();
    let hull = contour.hull();
    Outline {
        part,
        skin_mm: contour.points().to_vec(),
        surface: Length::from_mm(contour.surface_girth_mm()),
        taut: Length::from_mm(hull.perimeter()),
        tape_mm: hull.points,
    }
}
