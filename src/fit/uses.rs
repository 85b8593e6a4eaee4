//! Which stages of the level fit read a measure.

use super::halves;
use super::level::Level;
use super::part::Part;
use super::plan::Stage;
use super::sides;
use crate::measure::Key;

/// The stages of [`LevelFit`](super::LevelFit) that read a measure, in their order; none for one
/// that only informs.
///
/// A stage reads it where the garment sheet gives what it is held against; stages after it follow
/// from its outcome and are not named.
#[must_use]
pub fn uses(key: Key) -> Vec<Stage> {
    let is_girth = Level::ALL.iter().any(|level| level.girth() == key);
    let is_height = Level::ALL.iter().any(|level| level.height() == key);
    let is_arc = Level::ALL
        .iter()
        .any(|level| halves::arcs(*level).contains(&key));
    let of = |stage: Stage| Part::all().any(|part| part.body() == key && part.stage() == stage);
    let back = matches!(
        key,
        Key::BackWaistLength | Key::UpperBackDepth | Key::WaistHollowDepth
    );
    let legs = matches!(key, Key::WaistNarrowestHeight | Key::HipGirth);
    let hangs = matches!(key, Key::NeckToBustLength | Key::BackWaistLength);
    [
        (Stage::Size, is_girth || key == Key::UpperChestGirth),
        (Stage::Width, is_girth || is_arc),
        (Stage::Balance, is_height || hangs),
        (Stage::Hem, is_height),
        (Stage::Bust, of(Stage::Bust)),
        (
            Stage::Shoulders,
            of(Stage::Shoulders) || key == Key::ShoulderHeight,
        ),
        (Stage::Back, of(Stage::Back) || back),
        (Stage::Sleeve, of(Stage::Sleeve)),
        (Stage::Trousers, of(Stage::Trousers) || legs),
        (Stage::Sides, sides::reads(key)),
    ]
    .into_iter()
    .filter_map(|(stage, reads)| reads.then_some(stage))
    .collect()
}
