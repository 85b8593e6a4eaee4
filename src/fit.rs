//! Fit: a body's profile against a garment's pattern, and what to cut differently.
//!
//! ```text
//! garment sheet (TOML) -> Garment ┐
//! profile (JSON)       -> Profile ┴-> LevelFit::plan -> CuttingPlan -> say
//! ```
//! [`read_garment`] reads what a sewist copied from the pattern; [`LevelFit`]
//! works through it in a fitter's order: size per region, grade, width at the
//! seam edges, length between the level lines from the shoulder down, hem,
//! left against right. Each step shows its sum and its uncertainty, and the
//! finished plan is put back onto the garment to check what it does.

use crate::error::Result;
use crate::measure::MeasureId;
use crate::profile::Profile;

mod after;
mod back;
mod balance;
mod bust;
mod compare;
mod desk;
mod doubt;
mod grade;
mod halves;
mod hem;
mod level;
mod part;
mod phrase;
mod plan;
mod planner;
mod say;
mod sheet;
mod shoulder;
pub mod sides;
mod size;
mod sleeve;
mod stretch;
mod sum;
mod terms;
mod tolerance;
mod trousers;
mod uses;
mod width;

pub use after::{After, LevelAfter, LineAfter, PartAfter};
pub use level::{ByLevel, Level, Line};
pub use part::Part;
pub use phrase::{Phrase, Piece};
pub use plan::{Action, Confidence, CuttingPlan, Remark, Share, Site, Stage, Step, WithheldStep};
pub use planner::{LevelFit, UpperChest};
pub(crate) use sheet::schema as sheet_schema;
pub use sheet::{
    Blank, Darts, Drawn, Garment, Hem, HemTarget, Lines, MAX_PIECES, MAX_SHEET_BYTES, MAX_SIZES,
    PerSize, Seams, WaistLine, read_garment,
};
pub use size::{Basis, Between, Beyond, Candidate, SizeChoice};
pub use sum::{Sign, Sum, Term};
pub(crate) use terms::{LineTerms, WidthTerms};
pub use tolerance::Tolerances;
pub use uses::uses;

/// A way to fit a garment of some kind to a profile.
///
/// Other programs bring their own: a routine says which measures it would
/// use, and makes its own kind of plan from its own kind of garment.
/// [`LevelFit`] is the crate's.
pub trait FitRoutine {
    /// What the routine must know about the garment.
    type Garment;
    /// What it answers.
    type Plan;

    /// The measures the routine uses for this garment, in catalogue order.
    ///
    /// A profile that lacks one is no error: the routine withholds what
    /// depends on it. The list lets a caller ask for a tape first.
    fn needs(&self, garment: &Self::Garment) -> Vec<MeasureId>;

    /// The plan for this body.
    ///
    /// # Errors
    /// When there is no plan at all: options that make no sense, or a garment
    /// the routine cannot use. A missing measure only withholds its steps.
    fn plan(&self, profile: &Profile, garment: &Self::Garment) -> Result<Self::Plan>;
}
