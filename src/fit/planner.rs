//! The crate's own fit routine.

use super::desk::Desk;
use super::level::Level;
use super::part::Part;
use super::plan::CuttingPlan;
use super::sheet::Garment;
use super::tolerance::Tolerances;
use super::{
    FitRoutine, after, back, balance, bust, doubt, grade, halves, hem, shoulder, sides, size,
    sleeve, stretch, trousers, width,
};
use crate::error::{Error, Result};
use crate::length::Length;
use crate::measure::{Key, MeasureId};
use crate::profile::Profile;
use crate::side::Side;

/// An upper chest girth taken by tape: under the armpits, above the bust.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct UpperChest {
    /// The girth.
    pub girth: Length,
    /// Its standard uncertainty.
    pub sd: Length,
}

/// Fits a garment level by level: size, grade, width, balance, hem, sides.
///
/// # Examples
/// ```
/// use girthwise::fit::{FitRoutine, LevelFit, read_garment};
/// use girthwise::{measure::MeasureSet, profile::Profile, tape::TapeSet};
/// let garment = read_garment("skirt.toml", r#"
///     name = "Trial skirt"
///     unit = "cm"
///     sizes = ["38", "40"]
///     waist_line = "seam"
///     body = { hip = [96, 100] }
///     finished = { hip = [101, 105] }
///     seams = { hip = 2 }
/// "#)?;
/// // A profile that knows nothing: the plan says what is missing.
/// let profile = Profile::assemble(&MeasureSet::default(), &TapeSet::default());
/// let plan = LevelFit::default().plan(&profile, &garment)?;
/// assert!(plan.steps.is_empty());
/// assert_eq!(plan.withheld.len(), 1);
/// # Ok::<(), girthwise::Error>(())
/// ```
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct LevelFit {
    /// When a difference is worth a step.
    pub tolerances: Tolerances,
    /// An upper chest to use in place of the profile's.
    pub upper_chest: Option<UpperChest>,
}

impl FitRoutine for LevelFit {
    type Garment = Garment;
    type Plan = CuttingPlan;

    fn needs(&self, garment: &Garment) -> Vec<MeasureId> {
        let lines = &garment.lines;
        let mut needs: Vec<MeasureId> = Vec::new();
        let sized = Level::ALL.into_iter().filter(|&at| garment.is_sized_at(at));
        needs.extend(sized.map(|level| MeasureId::from(level.girth())));
        if garment.is_sized_at(Level::Bust) {
            needs.push(Key::UpperChestGirth.into());
        }
        let ends = [
            (&lines.neck_to_bust, Level::Bust, None),
            (&lines.bust_to_waist, Level::Bust, Some(Level::Waist)),
            (&lines.waist_to_hip, Level::Waist, Some(Level::Hip)),
            (&lines.back_waist, Level::Waist, None),
        ];
        for (_, upper, lower) in ends.iter().filter(|(line, ..)| line.is_some()) {
            needs.push(upper.height().into());
            needs.extend(lower.map(|lower| MeasureId::from(lower.height())));
        }
        if lines.neck_to_bust.is_some() {
            let both = Side::BOTH.map(|side| MeasureId::new(Key::NeckToBustLength, side));
            needs.extend(both);
        }
        if lines.back_waist.is_some() {
            needs.push(Key::BackWaistLength.into());
        }
        let apart = Level::ALL.into_iter().filter(|&level| {
            garment.front.get(level).is_some() && garment.back.get(level).is_some()
        });
        needs.extend(apart.flat_map(halves::arcs).map(MeasureId::from));
        for part in garment.parts.keys() {
            let sides = Side::of_pair(part.body().definition().paired);
            needs.extend(sides.iter().map(|&side| MeasureId::new(part.body(), side)));
            if *part == Part::CrotchDepth {
                needs.extend([Level::Waist.height(), Key::HipGirth].map(MeasureId::from));
            }
        }
        if shoulder::has_seam(garment) {
            let both = Side::BOTH.map(|side| MeasureId::new(Key::ShoulderForward, side));
            needs.extend(both);
        }
        needs.sort_unstable();
        needs.dedup();
        needs
    }

    fn plan(&self, profile: &Profile, garment: &Garment) -> Result<CuttingPlan> {
        self.tolerances.check()?;
        garment.check()?;
        if let Some(upper) = self.upper_chest
            && !(upper.girth.mm().is_finite()
                && upper.girth > Length::ZERO
                && upper.sd.mm().is_finite()
                && upper.sd >= Length::ZERO)
        {
            return Err(Error::options(format!(
                "an upper chest of {} with an uncertainty of {} is no girth; measure it again",
                upper.girth, upper.sd
            )));
        }
        let mut desk = Desk {
            profile,
            garment,
            limits: &self.tolerances,
            upper_chest: self.upper_chest,
            steps: Vec::new(),
            findings: Vec::new(),
            withheld: Vec::new(),
            held: Vec::new(),
            leg_hem: None,
        };
        doubt::tell(&mut desk, &self.needs(garment));
        let sizes = size::choose(&mut desk);
        grade::grade(&mut desk, &sizes);
        width::widen(&mut desk, &sizes);
        halves::part(&mut desk, &sizes);
        if let Some(start) = sizes.start {
            let balanced = balance::balance(&mut desk, start);
            if !garment.parts.contains_key(&Part::Inseam) {
                hem::set_hem(&mut desk, &balanced, start);
            }
            bust::point(&mut desk, start);
            shoulder::shoulder(&mut desk, start);
            back::back(&mut desk, start);
            sleeve::sleeve(&mut desk, start);
            trousers::trousers(&mut desk, start);
        }
        sides::compare(&mut desk);
        let after = after::apply(&desk, &sizes);
        stretch::check(&mut desk, &sizes, &after);
        Ok(CuttingPlan {
            garment: garment.name.clone(),
            start_size: sizes.start.and_then(|at| garment.sizes.get(at).cloned()),
            sizes: sizes.choices,
            steps: desk.steps,
            withheld: desk.withheld,
            after,
            findings: desk.findings,
        })
    }
}
