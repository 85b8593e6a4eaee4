//! Reasons that hold on a mesh without holes.

use crate::measure::{MeasureSet, Outcome};

/// What a rule says where the skin of a part does not go all the way round, and what that means where none is missing.
const WORDS: [(&str, &str); 3] = [
    (
        "skin is missing",
        "another part, or something worn or held, joins on",
    ),
    (
        "is skin missing there?",
        "does something touch or cover it there?",
    ),
    (
        "than at the skin that is there",
        "than where it shows by itself",
    ),
];

/// On a closed mesh no skin is missing: rules that find none all the way round meet what touches or covers it, and
/// their reasons say so.
pub(crate) fn on_whole_skin(set: &mut MeasureSet) {
    for outcome in &mut set.outcomes {
        let Outcome::Withheld(withheld) = outcome else {
            continue;
        };
        for (said, meant) in WORDS {
            if withheld.reason.contains(said) {
                withheld.reason = withheld.reason.replace(said, meant);
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::measure::{Key, Withheld};

    #[test]
    fn no_skin_is_missing_on_a_closed_mesh() {
        let reason = "narrowest waist: skin is missing between 990 and 1110 mm, where the trunk may be narrower than at the skin that is there; scan again";
        let mut set = MeasureSet {
            outcomes: vec![Outcome::Withheld(Withheld {
                id: Key::BackWaistLength.into(),
                reason: reason.to_owned(),
            })],
            ..MeasureSet::default()
        };
        on_whole_skin(&mut set);
        let told = &set.withheld().next().unwrap().reason;
        assert!(!told.contains("missing") && told.contains("worn or held, joins on between 990"));
    }
}
