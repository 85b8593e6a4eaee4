//! Drawings of a body, its girths and a plan, as SVG.
//!
//! ```text
//! Scan ──── view (front, side, back), cuts (level by level)
//! Profile ─ girth curve with the tape's readings, left against right
//! Plan ──── the pattern's lines as drawn and after
//! ```
//! Each drawing is a function of its own and gives a [`Figure`]: a title and a description in words,
//! and the drawing itself, for a page ([`Figure::inline`]) or as a file ([`Figure::standalone`]).
//! Left and right are the wearer's own, and the wearer's right is on the left of the picture
//! wherever the body is seen from the front. Nothing is told by colour alone.

use crate::fit::{CuttingPlan, Garment};
use crate::length::text::Shown;
use crate::profile::Profile;
use crate::scan::Scan;
use maud::{Markup, PreEscaped, html};

mod canvas;
mod curve;
mod cuts;
mod mark;
#[cfg(feature = "pictures")]
mod picture;
mod plan;
mod raster;
mod sides;
mod view;

use canvas::num;
pub(crate) use canvas::{Tag, in_units};
pub use curve::girth_curve;
pub use cuts::cuts;
#[cfg(feature = "pictures")]
pub use picture::Painter;
pub use plan::plan_lines;
pub use sides::side_differences;
pub use view::{Seen, view, views};

/// In which unit the numbers of a drawing are written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Units {
    /// In one.
    One(Shown),
    /// In both, each text twice: class `cm` and class `in`. The page shows one of the two.
    Both,
}

/// A drawing with its words.
#[derive(Clone, Debug)]
pub struct Figure {
    /// Its name in file names and as an element's id: `front`, `cut-bust-girth`.
    pub name: String,
    /// What it shows, in a few words.
    pub title: String,
    /// What can be seen on it, in sentences, for those who do not see it. In both units the numbers
    /// are in centimetres: a description has no markup to choose by.
    pub about: String,
    width: f64,
    height: f64,
    content: Markup,
}

/// How drawings are coloured on white: classes only, so that a page can colour them otherwise.
pub(crate) const STYLE: &str = include_str!("figure/figure.css");

impl Figure {
    /// Width and height in the drawing's own units, in which text is 11.5 high.
    #[must_use]
    pub fn size(&self) -> (f64, f64) {
        (self.width, self.height)
    }

    /// As an element of a page that holds the drawings' style.
    #[must_use]
    pub fn inline(&self) -> String {
        let labels = format!("{0}-title {0}-about", self.name);
        html! {
            svg class="figure" id=(self.name) viewBox=(self.view_box())
                style={ "--wide:" (num(self.width)) } role="img" aria-labelledby=(labels) { (self.words()) (self.content) }
        }
        .into_string()
    }

    /// As a file of its own, on white.
    #[must_use]
    pub fn standalone(&self) -> String {
        html! {
            svg xmlns="http://www.w3.org/2000/svg" class="figure" viewBox=(self.view_box())
                width=(num(self.width)) height=(num(self.height)) role="img" {
                (self.words())
                style { (PreEscaped(STYLE)) }
                rect width=(num(self.width)) height=(num(self.height)) fill="#fff" {}
                (self.content)
            }
        }
        .into_string()
    }

    fn view_box(&self) -> String {
        format!("0 0 {} {}", num(self.width), num(self.height))
    }

    fn words(&self) -> Markup {
        html! {
            title id={ (self.name) "-title" } { (self.title) }
            desc id={ (self.name) "-about" } { (self.about) }
        }
    }
}

/// Every drawing there is data for, in the order of a page.
#[must_use]
pub fn all(
    scan: &Scan,
    profile: &Profile,
    plan: Option<(&Garment, &CuttingPlan)>,
    units: Units,
) -> Vec<Figure> {
    let mut figures = Vec::from(views(scan, units));
    figures.extend(plan.and_then(|(garment, plan)| plan_lines(garment, plan, units)));
    figures.extend(girth_curve(profile, units));
    figures.extend(cuts(scan, units));
    figures.extend(side_differences(profile, units));
    figures
}
