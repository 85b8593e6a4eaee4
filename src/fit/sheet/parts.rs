//! The parts that the levels do not name, their ease, and the darts.

use super::read::Reader;
use super::table::{Faults, Least, Section};
use super::{Darts, PerSize, form};
use crate::fit::level::ByLevel;
use crate::fit::part::Part;
use crate::length::Length;
use std::collections::BTreeMap;

/// Most darts of one half of a garment.
const MAX_DARTS: u32 = 16;

impl Reader<'_, '_> {
    /// A length above nought for all sizes, or one for each.
    pub(super) fn line(
        &self,
        section: &Section<'_, '_>,
        name: &str,
        faults: &mut Faults<'_>,
    ) -> Option<PerSize> {
        self.line_of(section, name, Least::AboveNought, faults)
    }

    fn line_of(
        &self,
        section: &Section<'_, '_>,
        name: &str,
        least: Least,
        faults: &mut Faults<'_>,
    ) -> Option<PerSize> {
        if section.value(name)?.get_ref().is_array() {
            // Without a list of sizes nothing can be counted, and that has its fault already.
            if self.sizes == 0 {
                return None;
            }
            let each = section.lengths(name, self.unit, self.sizes, least, faults)?;
            return Some(PerSize::Each(each));
        }
        section
            .length(name, self.unit, least, faults)
            .map(PerSize::One)
    }

    /// A single length of a table, nought or more.
    pub(super) fn one(&self, table: &str, name: &str, faults: &mut Faults<'_>) -> Option<Length> {
        // A part that is no table has its fault already.
        let section = self.root.section(table, &mut Faults::new("", ""))?;
        section.length(name, self.unit, Least::Nought, faults)
    }

    pub(super) fn parts(&self, faults: &mut Faults<'_>) -> BTreeMap<Part, PerSize> {
        let mut parts = BTreeMap::new();
        for table in [
            "bust_point",
            "shoulder",
            "front",
            "back",
            "sleeve",
            "trousers",
        ] {
            // Front and back have told what is wrong with them already.
            let told = ["front", "back"].contains(&table);
            let section = if told {
                self.root.section(table, &mut Faults::new("", ""))
            } else {
                self.root.section(table, faults)
            };
            let Some(section) = section else { continue };
            if !told {
                section.only(&form::keys(table), faults);
            }
            for part in Part::all().filter(|part| part.in_sheet().0 == table) {
                let least = if part.is_signed() {
                    Least::Any
                } else {
                    Least::AboveNought
                };
                if let Some(line) = self.line_of(&section, part.in_sheet().1, least, faults) {
                    parts.insert(part, line);
                }
            }
        }
        parts
    }

    pub(super) fn ease(
        &self,
        faults: &mut Faults<'_>,
    ) -> (ByLevel<Option<Length>>, BTreeMap<Part, Length>) {
        let Some(section) = self.root.section("ease", faults) else {
            return Default::default();
        };
        section.only(&form::keys("ease"), faults);
        let mut ease = |name: &str| section.length(name, self.unit, Least::Any, faults);
        let by_level = ByLevel::from_fn(|level| ease(level.name()));
        let by_part = Part::all()
            .filter_map(|part| Some((part, ease(part.ease_key()?)?)))
            .collect();
        (by_level, by_part)
    }

    pub(super) fn darts(&self, faults: &mut Faults<'_>) -> Darts {
        let Some(section) = self.root.section("darts", faults) else {
            return Darts::default();
        };
        section.only(&form::keys("darts"), faults);
        let mut count = |name: &str| section.count(name, MAX_DARTS, faults).unwrap_or_default();
        Darts {
            waist_front: count("waist_front"),
            waist_back: count("waist_back"),
        }
    }
}
