//! Tape sheets with one slip planted on bodies of known truth, and whether the slip is named.
//!
//! A sheet holds the true values that rest on skin alone, each with an ordinary
//! error, rounded to eighths of an inch or to millimetres, and is read as any
//! other sheet. Errors as standard deviations, in a measurer's own total, from
//! published studies: girths 2.0 % (between measurers, accreditation limit, from
//! memory; one observer alone 1.4 % at the waist, Nordhamn 2000), stature 6.1 mm
//! and other heights 7.5 mm (between observers, Gómez-Cabello 2012).

use girthwise::crosscheck::{Check, CrossCheck, Verdict, Why, cross_check_with};
use girthwise::measure::{Key, MeasureId, MeasureSet, Tilted};
use girthwise::mesh::TriMesh;
use girthwise::scan::Scan;
use serde_json::Value;
use std::collections::BTreeMap;

mod dice;
mod plant;
mod sheet;

use dice::Dice;
use plant::slipped;
use sheet::Sheet;

/// A body: what the scan says, its skin in the frame of its truth, and the truth.
pub(crate) struct Subject {
    scan: MeasureSet,
    /// Cut once for all sheets.
    tilts: Vec<Tilted>,
    mesh: TriMesh,
    truth: Value,
}

impl Subject {
    pub(crate) fn new(scan: Scan, mesh: TriMesh, truth: Value) -> Self {
        let ids: Vec<MeasureId> = scan.measures.values().map(|measure| measure.id).collect();
        Self {
            tilts: scan.tilts(&ids),
            scan: scan.measures,
            mesh,
            truth,
        }
    }

    fn check(&self, sheet: &Sheet) -> CrossCheck {
        cross_check_with(&self.scan, &sheet.read(), |_| self.tilts.clone())
    }
}

/// A kind of slip that is planted.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Kind {
    /// A section of the skin 30 to 80 mm off the level.
    OtherLevel,
    /// The navel's girth for the narrowest waist's.
    OtherWaist,
    /// The true girth along the skin.
    AlongSkin,
    /// One girth 1 to 3 % short.
    PulledTight,
    /// A section of the skin by a plane 10 to 25 degrees out of level.
    TapeTilted,
    /// Left and right exchanged.
    OtherSide,
    /// The number of another unit.
    OtherUnit,
    /// A digit swapped, dropped or doubled, the mark moved.
    Digits,
    /// A centimetre or ten, or an inch too little.
    WholeStep,
    /// One reading an inch too much.
    StartedAtOne,
    /// Every reading an inch too much.
    AllAtOne,
    /// Every girth off by 4 to 8 %.
    SharedFactor,
}

impl Kind {
    pub(crate) const ALL: [Self; 12] = [
        Self::OtherLevel,
        Self::OtherWaist,
        Self::AlongSkin,
        Self::PulledTight,
        Self::TapeTilted,
        Self::OtherSide,
        Self::OtherUnit,
        Self::Digits,
        Self::WholeStep,
        Self::StartedAtOne,
        Self::AllAtOne,
        Self::SharedFactor,
    ];

    /// True if a reason names this kind; a level, by the place at that height too.
    fn is_named_by(self, why: &Why, height_mm: Option<f64>) -> bool {
        match self {
            Self::OtherLevel => match why {
                Why::OtherLevel { .. } => true,
                Why::OtherWaist {
                    at_mm, or_at_mm, ..
                } => [at_mm, or_at_mm].into_iter().flatten().any(|told| {
                    height_mm.is_some_and(|height| (told.mm() - height).abs() <= AT_HEIGHT_MM)
                }),
                _ => false,
            },
            Self::OtherWaist => match why {
                Why::OtherWaist { fits, also, .. } => {
                    *fits == Key::NavelGirth || also.contains(&Key::NavelGirth)
                }
                _ => false,
            },
            Self::AlongSkin => matches!(why, Why::AlongSkin { .. }),
            Self::PulledTight => matches!(why, Why::PulledTight { .. }),
            Self::TapeTilted => matches!(why, Why::TapeTilted { .. }),
            Self::OtherSide => matches!(why, Why::OtherSide { .. }),
            Self::OtherUnit => matches!(why, Why::OtherUnit { .. }),
            Self::Digits => matches!(why, Why::Digits { .. }),
            Self::WholeStep => matches!(why, Why::WholeStep { .. }),
            Self::StartedAtOne | Self::AllAtOne => matches!(why, Why::StartedAtOne { .. }),
            Self::SharedFactor => *why == Why::Common,
        }
    }
}

/// A height told is the one planted within this: a hand's breadth holds four of it.
const AT_HEIGHT_MM: f64 = 25.0;

/// What became of the slips of a kind.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(crate) struct Tally {
    pub(crate) planted: u32,
    /// Beyond three expected spreads.
    pub(crate) beyond: u32,
    /// Of those, named first.
    pub(crate) first: u32,
    /// Of those, named first or second.
    pub(crate) second: u32,
    /// Of those named first or second, levels named by a waist at that height.
    pub(crate) by_place: u32,
    /// Named first, second or third.
    pub(crate) third: u32,
}

/// What became of all sheets.
#[derive(Clone, Debug, Default, PartialEq)]
pub(crate) struct Score {
    pub(crate) kinds: BTreeMap<Kind, Tally>,
    pub(crate) clean_sheets: u32,
    pub(crate) clean_readings: u32,
    /// Clean sheets with a reading beyond three expected spreads, and such readings.
    pub(crate) alarmed_sheets: u32,
    pub(crate) alarms: u32,
    /// Every slip beyond three expected spreads, in the order they were planted.
    pub(crate) cases: Vec<Case>,
}

/// A slip beyond three expected spreads and what was said of it.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Case {
    pub(crate) kind: Kind,
    /// Which of the bodies, from 0.
    pub(crate) body: usize,
    /// What was planted, in words.
    pub(crate) planted: String,
    pub(crate) check: Check,
    /// Place of the kind among the check's reasons, from 0.
    pub(crate) rank: Option<usize>,
}

/// Plants `slips` slips, every kind in turn on every body in turn, and writes `clean` sheets without one.
pub(crate) fn score(subjects: &[Subject], slips: usize, clean: usize) -> Score {
    let mut score = Score::default();
    let mut dice = Dice::new(SEED);
    for turn in 0..slips {
        let kind = Kind::ALL[turn % Kind::ALL.len()];
        let body = turn / Kind::ALL.len() % subjects.len();
        let subject = &subjects[body];
        let Some(slip) = (0..TRIES).find_map(|_| slipped(subject, kind, &mut dice)) else {
            continue;
        };
        let tally = score.kinds.entry(kind).or_default();
        tally.planted += 1;
        let cross = subject.check(&slip.sheet);
        let worst = slip
            .at
            .iter()
            .filter_map(|&id| cross.get(id))
            .max_by(|a, b| a.z.abs().total_cmp(&b.z.abs()));
        if let Some(check) = worst.filter(|check| check.verdict == Verdict::MeasureAgain) {
            let names = |why: &Why| kind.is_named_by(why, slip.height_mm);
            let rank = check.reasons.iter().position(|r| names(&r.why));
            let by_place = rank.is_some_and(|rank| {
                let why = &check.reasons[rank].why;
                kind == Kind::OtherLevel && matches!(why, Why::OtherWaist { .. })
            });
            tally.beyond += 1;
            tally.first += u32::from(rank == Some(0));
            tally.second += u32::from(rank.is_some_and(|rank| rank < 2));
            tally.by_place += u32::from(by_place && rank.is_some_and(|rank| rank < 2));
            tally.third += u32::from(rank.is_some_and(|rank| rank < 3));
            score.cases.push(Case {
                kind,
                body,
                planted: slip.what,
                check: check.clone(),
                rank,
            });
        }
    }
    for turn in 0..clean {
        let subject = &subjects[turn % subjects.len()];
        let cross = subject.check(&Sheet::of(subject, &mut dice));
        let wrong = |verdict| u32::from(verdict == Verdict::MeasureAgain);
        let alarms: u32 = cross.checks.iter().map(|c| wrong(c.verdict)).sum();
        score.clean_sheets += 1;
        score.clean_readings += cross.checks.iter().map(|_| 1).sum::<u32>();
        score.alarms += alarms;
        score.alarmed_sheets += u32::from(alarms > 0);
    }
    score
}

/// Where the numbers begin: any other would do.
const SEED: u64 = 20_090_909;

/// Draws of a slip before a body is held to allow none of that kind.
const TRIES: usize = 40;
