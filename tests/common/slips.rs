//! Tape sheets with one slip planted on bodies of known truth, and whether the slip is named.
//!
//! A sheet holds the true values that rest on skin alone, each with an ordinary
//! error, rounded to eighths of an inch or to millimetres, and is read as any
//! other sheet. Errors as standard deviations, in a measurer's own total, from
//! published studies: girths 2.0 % (between measurers, accreditation limit, from
//! memory; one observer alone 1.4 % at the waist, Nordhamn 2000), stature 6.1 mm
//! and other heights 7.5 mm (between observers, Gómez-Cabello 2012).

use super::truth::{Basis, references};
use girthwise::crosscheck::{Check, CrossCheck, Verdict, Why, cross_check_with};
use girthwise::length::text::Shown;
use girthwise::measure::{Key, MeasureId, MeasureSet, Mode, Tilted};
use girthwise::mesh::TriMesh;
use girthwise::scan::Scan;
use girthwise::section::{PlaneAxes, cut_at};
use girthwise::tape::{pool, read_tape};
use girthwise::{Length, LengthUnit, Side};
use nalgebra::{Point3, Vector3};
use serde_json::Value;
use std::collections::BTreeMap;
use std::fmt::Write;

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
    let mut dice = Dice(SEED);
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

/// SplitMix64 (Steele, Lea, Flood 2014): the same numbers on every machine.
struct Dice(u64);

impl Dice {
    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^ (z >> 31)
    }

    /// From 0 up to 1.
    fn share(&mut self) -> f64 {
        (self.next() >> 11) as f64 / (1_u64 << 53) as f64
    }

    fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.share()
    }

    fn sign(&mut self) -> f64 {
        if self.next() & 1 == 0 { 1.0 } else { -1.0 }
    }

    /// Standard normal, by Box and Muller.
    fn normal(&mut self) -> f64 {
        let radius = (-2.0 * (1.0 - self.share()).ln()).sqrt();
        radius * (std::f64::consts::TAU * self.share()).cos()
    }

    fn pick<'a, T>(&mut self, from: &'a [T]) -> Option<&'a T> {
        let count = u64::try_from(from.len()).ok().filter(|&n| n > 0)?;
        from.get(usize::try_from(self.next() % count).ok()?)
    }
}

struct Row {
    id: MeasureId,
    mm: f64,
    /// What is written, if not the length.
    text: Option<String>,
}

struct Sheet {
    shown: Shown,
    rows: Vec<Row>,
}

impl Sheet {
    fn of(subject: &Subject, dice: &mut Dice) -> Self {
        let shown = if dice.sign() > 0.0 {
            Shown::InchEighths
        } else {
            Shown::Centimetres
        };
        let rows = references(&subject.truth)
            .into_iter()
            .filter(|reference| {
                reference.basis == Basis::Skin && !reference.id.key.definition().tape.is_empty()
            })
            .filter_map(|reference| {
                let sd = ordinary_error(reference.id.key, reference.value)?;
                Some(Row {
                    id: reference.id,
                    mm: reference.value + sd * dice.normal(),
                    text: None,
                })
            })
            .collect();
        Self { shown, rows }
    }

    fn read(&self) -> girthwise::tape::TapeSet {
        let unit = self.unit();
        let mut text = format!("# unit = {}\nmeasure;reading;side\n", unit.sign());
        for row in &self.rows {
            let side = row
                .id
                .side
                .map_or_else(String::new, |side| side.to_string());
            let written = row.text.clone().unwrap_or_else(|| self.write(row.mm));
            let name = row.id.key.definition().text;
            writeln!(text, "{name};{written};{side}").expect("a string takes all");
        }
        pool(&read_tape(text.as_bytes(), "planted.csv", unit).expect("a sound sheet"))
    }

    fn unit(&self) -> LengthUnit {
        match self.shown {
            Shown::InchEighths => LengthUnit::Inch,
            Shown::Centimetres => LengthUnit::Centimetre,
        }
    }

    /// The number without its unit.
    fn write(&self, mm: f64) -> String {
        number(self.shown, mm)
    }

    fn girths(&self) -> Vec<usize> {
        let is_girth = |&row: &usize| self.rows[row].id.key.definition().is_girth();
        (0..self.rows.len()).filter(is_girth).collect()
    }
}

fn number(shown: Shown, mm: f64) -> String {
    let text = shown.show(Length::from_mm(mm));
    text.trim_end_matches(|c: char| !c.is_ascii_digit())
        .to_owned()
}

fn ordinary_error(key: Key, mm: f64) -> Option<f64> {
    let row = key.definition();
    match row.mode {
        _ if row.is_girth() => Some(0.020 * mm),
        Mode::Height if key == Key::Stature => Some(6.1),
        Mode::Height => Some(7.5),
        _ => None,
    }
}

/// A sheet with one slip.
struct Slipped {
    sheet: Sheet,
    /// The rows it stands in.
    at: Vec<MeasureId>,
    /// How large it is, in words; empty where the kind says all.
    what: String,
    /// Height at which the tape lay, if the slip is another level.
    height_mm: Option<f64>,
}

/// A sheet with one slip; `None` if this draw allows none.
fn slipped(subject: &Subject, kind: Kind, dice: &mut Dice) -> Option<Slipped> {
    let mut what = String::new();
    let mut height_mm = None;
    let mut sheet = Sheet::of(subject, dice);
    let girths = sheet.girths();
    let all: Vec<usize> = (0..sheet.rows.len()).collect();
    let any = *dice.pick(&all)?;
    let girth = *dice.pick(&girths)?;
    let at = match kind {
        Kind::OtherLevel | Kind::TapeTilted => {
            let (low, high) = (
                dice.between(30.0, 80.0) * dice.sign(),
                dice.between(10.0, 25.0),
            );
            let (up, degrees) = if kind == Kind::OtherLevel {
                (low, 0.0)
            } else {
                (0.0, high)
            };
            let sideways = dice.sign() > 0.0;
            let (was, is) = (
                cut(subject, sheet.rows[girth].id, 0.0, 0.0, sideways)?,
                cut(subject, sheet.rows[girth].id, up, degrees, sideways)?,
            );
            sheet.rows[girth].mm *= is / was;
            let way = if sideways {
                "sideways"
            } else {
                "front to back"
            };
            what = if kind == Kind::OtherLevel {
                let level = level_of(sheet.rows[girth].id)?;
                let was = subject.truth["girths"][level.as_str()]["height"].as_f64()?;
                height_mm = Some(was + up);
                format!("{up:+.0} mm, girth {:+.1} %", 100.0 * (is / was - 1.0))
            } else {
                format!(
                    "{degrees:.0} degrees {way}, girth {:+.1} %",
                    100.0 * (is / was - 1.0)
                )
            };
            vec![girth]
        }
        Kind::OtherWaist => {
            let waist = sheet
                .rows
                .iter()
                .position(|r| r.id == Key::WaistNarrowestGirth.into())?;
            let taut = |level: &str| subject.truth["girths"][level]["taut"].as_f64();
            sheet.rows[waist].mm *= taut("navel")? / taut("waist_narrowest")?;
            vec![waist]
        }
        Kind::AlongSkin => {
            let girth_of = &subject.truth["girths"][level_of(sheet.rows[girth].id)?.as_str()];
            sheet.rows[girth].mm *= girth_of["skin"].as_f64()? / girth_of["taut"].as_f64()?;
            vec![girth]
        }
        Kind::PulledTight => {
            sheet.rows[girth].mm *= 1.0 - dice.between(0.01, 0.03);
            vec![girth]
        }
        Kind::OtherSide => {
            let id = sheet.rows[any].id;
            let other = MeasureId::new(id.key, id.side?.other());
            let other = sheet.rows.iter().position(|row| row.id == other)?;
            let (one, two) = (sheet.rows[any].mm, sheet.rows[other].mm);
            (sheet.rows[any].mm, sheet.rows[other].mm) = (two, one);
            vec![any, other]
        }
        Kind::OtherUnit => {
            let other = match sheet.shown {
                Shown::InchEighths => Shown::Centimetres,
                Shown::Centimetres => Shown::InchEighths,
            };
            let written = number(other, sheet.rows[any].mm);
            write_wrongly(&mut sheet, any, written)?
        }
        Kind::Digits => {
            let written = misspelt(&sheet.write(sheet.rows[any].mm), dice)?;
            write_wrongly(&mut sheet, any, written)?
        }
        Kind::WholeStep => {
            let step = match sheet.shown {
                Shown::InchEighths => -25.4,
                Shown::Centimetres => dice.sign() * dice.pick(&[10.0, 100.0])?,
            };
            sheet.rows[any].mm += step;
            vec![any]
        }
        Kind::StartedAtOne => {
            sheet.shown = Shown::InchEighths;
            sheet.rows[any].mm += 25.4;
            vec![any]
        }
        Kind::AllAtOne => {
            sheet.shown = Shown::InchEighths;
            sheet.rows.iter_mut().for_each(|row| row.mm += 25.4);
            all
        }
        Kind::SharedFactor => {
            let factor = 1.0 + dice.sign() * dice.between(0.04, 0.08);
            girths.iter().for_each(|&row| sheet.rows[row].mm *= factor);
            girths
        }
    };
    let at = at.into_iter().map(|row| sheet.rows[row].id).collect();
    Some(Slipped {
        sheet,
        at,
        what,
        height_mm,
    })
}

/// Writes a text that can still be read as a length.
fn write_wrongly(sheet: &mut Sheet, row: usize, written: String) -> Option<Vec<usize>> {
    girthwise::length::reading::read_length(&written, sheet.unit()).ok()?;
    sheet.rows[row].text = Some(written);
    Some(vec![row])
}

fn misspelt(text: &str, dice: &mut Dice) -> Option<String> {
    let mut chars: Vec<char> = text.chars().collect();
    let whole: Vec<usize> = (0..chars.iter().take_while(|c| c.is_ascii_digit()).count()).collect();
    let at = *dice.pick(&whole)?;
    match dice.next() % 4 {
        0 if at > 0 && chars[at] != chars[at - 1] => chars.swap(at, at - 1),
        1 if whole.len() > 1 => drop(chars.remove(at)),
        2 => chars.insert(at, chars[at]),
        3 => {
            let mark = chars.iter().position(|&c| c == '.')?;
            chars.swap(mark, mark - 1);
        }
        _ => return None,
    }
    let written: String = chars.into_iter().collect();
    (written != text && !written.starts_with(['0', '.'])).then_some(written)
}

/// Name of a girth in the truth file.
fn level_of(id: MeasureId) -> Option<String> {
    let letter = match id.side {
        Some(Side::Left) => "L",
        _ => "R",
    };
    let name = match id.key {
        Key::BustGirth => "bust",
        Key::WaistNarrowestGirth => "waist_narrowest",
        Key::HighHipGirth => "high_hip",
        Key::HipGirth => "hip",
        Key::ThighGirth => return Some(format!("thigh_{letter}")),
        Key::CalfGirth => return Some(format!("calf_{letter}")),
        Key::AnkleGirth => return Some(format!("ankle_{letter}")),
        _ => return None,
    };
    Some(name.to_owned())
}

/// Taut girth of the skin itself by a plane through the centre of a true section, moved `up` and
/// turned; `None` where that plane does not cut the same part of the body.
fn cut(subject: &Subject, id: MeasureId, up: f64, degrees: f64, sideways: bool) -> Option<f64> {
    let girth = &subject.truth["girths"][level_of(id)?.as_str()];
    let centre = |axis: usize| girth["centroid"][axis].as_f64();
    let through = Point3::new(centre(0)?, centre(1)?, girth["height"].as_f64()? + up);
    let (sin, cos) = degrees.to_radians().sin_cos();
    let normal = if sideways {
        Vector3::new(sin, 0.0, cos)
    } else {
        Vector3::new(0.0, sin, cos)
    };
    let axes = PlaneAxes::square_to(normal).ok()?;
    let section = cut_at(&subject.mesh, axes, axes.normal.dot(&through.coords));
    let [u, v] = axes.uv(&through);
    let away = |[a, b]: [f64; 2]| (a - u).hypot(b - v);
    let nearest = section
        .contours
        .iter()
        .filter(|contour| away(contour.centroid()) < 60.0)
        .max_by(|a, b| a.area_mm2().total_cmp(&b.area_mm2()))?;
    let taut = nearest.taut_girth_mm();
    // An arm or the other leg that merges makes another girth of it.
    let share = taut / girth["taut"].as_f64()?;
    (0.7..1.3).contains(&share).then_some(taut)
}
