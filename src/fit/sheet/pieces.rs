//! Pattern pieces measured flat, and the finished measures that follow from them.

use super::read::{Made, Reader};
use super::table::{Faults, Section};
use super::{PerSize, form};
use crate::fit::level::{ByLevel, Level};
use crate::fit::part::Part;
use crate::length::Length;
use std::collections::BTreeMap;

/// Most pieces a sheet may have.
pub const MAX_PIECES: usize = 64;

/// Most times a piece may be cut.
pub(super) const MAX_CUT: u32 = 32;

/// How far the pieces may lie off a finished measure that the sheet gives as well: 10 mm, what
/// measuring some flat pieces is true to (own choice, no source).
const AGREE_MM: f64 = 10.0;

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Half {
    Front,
    Back,
    Other,
}

const HALVES: &[(&str, Half)] = &[
    ("front", Half::Front),
    ("back", Half::Back),
    ("other", Half::Other),
];

/// What the pieces come to.
#[derive(Default)]
pub(super) struct Pieces {
    front: ByLevel<Option<Vec<Length>>>,
    back: ByLevel<Option<Vec<Length>>>,
    other: ByLevel<Option<Vec<Length>>>,
    limbs: BTreeMap<Part, Vec<Length>>,
}

impl Reader<'_, '_> {
    /// Every piece, each as often as it is cut, added up level by level and size by size.
    pub(super) fn pieces(&self, faults: &mut Faults<'_>) -> Pieces {
        let mut all = Pieces::default();
        for piece in self.root.sections("piece", MAX_PIECES, faults) {
            piece.only(&form::keys("piece"), faults);
            for key in ["name", "cut"] {
                if !piece.has(key) {
                    let remedy = match key {
                        "name" => "name the piece: name = \"front\"",
                        _ => "say how often it is cut: cut = 2",
                    };
                    faults.missing(&piece.key(key), remedy);
                }
            }
            // Read for its faults alone: only a person needs the name.
            let _ = piece.text("name", faults);
            let cut = piece.count("cut", MAX_CUT, faults).unwrap_or_default();
            let half = piece.one_of("half", HALVES, faults);
            self.add_piece(
                &piece,
                f64::from(cut),
                half.unwrap_or(Half::Other),
                &mut all,
                faults,
            );
        }
        all
    }

    fn add_piece(
        &self,
        piece: &Section<'_, '_>,
        cut: f64,
        half: Half,
        all: &mut Pieces,
        faults: &mut Faults<'_>,
    ) {
        let widths = match half {
            Half::Front => &mut all.front,
            Half::Back => &mut all.back,
            Half::Other => &mut all.other,
        };
        for level in Level::ALL {
            if let Some(width) = self.line(piece, level.name(), faults) {
                self.add(widths.get_mut(level).get_or_insert_default(), &width, cut);
            }
        }
        for part in Part::all().filter(|part| part.is_limb_girth()) {
            if let Some(width) = self.line(piece, part.in_sheet().1, faults) {
                // Two arms, two legs: the girth of one is half of what is cut.
                self.add(all.limbs.entry(part).or_default(), &width, cut / 2.0);
            }
        }
    }

    fn add(&self, sum: &mut Vec<Length>, width: &PerSize, times: f64) {
        sum.resize(self.sizes, Length::ZERO);
        for (size, total) in sum.iter_mut().enumerate() {
            *total = *total + width.of(size).unwrap_or(Length::ZERO) * times;
        }
    }
}

impl Pieces {
    /// Puts what the pieces come to where the sheet says nothing, and faults what disagrees.
    pub(super) fn settle(
        self,
        made: &mut Made,
        parts: &mut BTreeMap<Part, PerSize>,
        faults: &mut Faults<'_>,
    ) {
        for level in Level::ALL {
            let (front, back) = (self.front.get(level), self.back.get(level));
            take(
                made.front.get_mut(level),
                front.as_ref(),
                &format!("front.{level}"),
                faults,
            );
            take(
                made.back.get_mut(level),
                back.as_ref(),
                &format!("back.{level}"),
                faults,
            );
            let key = format!("finished.{level}");
            match (
                made.front.get(level),
                made.back.get(level),
                self.other.get(level),
            ) {
                (Some(front), Some(back), other) => {
                    let mut whole = front.clone();
                    for more in [Some(back), other.as_ref()].into_iter().flatten() {
                        for (sum, width) in whole.iter_mut().zip(more) {
                            *sum = *sum + *width;
                        }
                    }
                    take(made.finished.get_mut(level), Some(&whole), &key, faults);
                }
                (None, None, other) => {
                    take(made.finished.get_mut(level), other.as_ref(), &key, faults);
                }
                (front, _, _) if made.finished.get(level).is_none() => {
                    let (has, lacks) = if front.is_some() {
                        ("front", "back")
                    } else {
                        ("back", "front")
                    };
                    let remedy = format!(
                        "the {has} is measured at the {level}: measure the {lacks} there too"
                    );
                    faults.missing(&format!("{lacks}.{level}"), &remedy);
                }
                _ => {}
            }
        }
        for (part, girths) in self.limbs {
            let (table, key) = part.in_sheet();
            let mut own = match parts.get(&part) {
                Some(PerSize::Each(own)) => Some(own.clone()),
                Some(PerSize::One(one)) => Some(vec![*one; girths.len()]),
                None => None,
            };
            take(&mut own, Some(&girths), &format!("{table}.{key}"), faults);
            parts.extend(own.map(|own| (part, PerSize::Each(own))));
        }
    }
}

/// What is given stands; what follows from pieces fills the gap, and must agree where there is none.
fn take(
    given: &mut Option<Vec<Length>>,
    pieces: Option<&Vec<Length>>,
    key: &str,
    faults: &mut Faults<'_>,
) {
    let Some(pieces) = pieces else { return };
    let Some(given) = given else {
        *given = Some(pieces.clone());
        return;
    };
    let apart = given
        .iter()
        .zip(pieces)
        .find(|(one, other)| (**one - **other).abs().mm() > AGREE_MM);
    if let Some((one, other)) = apart {
        let remedy = format!(
            "{one} is given, the pieces come to {other}: measure again between the stitching lines, count how often each piece is cut, and keep the right one"
        );
        faults.disagrees(key, &remedy);
    }
}
