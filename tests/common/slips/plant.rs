//! One slip put into a sheet.

use super::dice::Dice;
use super::sheet::{Sheet, number};
use super::{Kind, Subject};
use girthwise::Side;
use girthwise::length::text::Shown;
use girthwise::measure::{Key, MeasureId};
use girthwise::section::{PlaneAxes, cut_at};
use nalgebra::{Point3, Vector3};

/// A sheet with one slip.
pub(super) struct Slipped {
    pub(super) sheet: Sheet,
    /// The rows it stands in.
    pub(super) at: Vec<MeasureId>,
    /// How large it is, in words; empty where the kind says all.
    pub(super) what: String,
    /// Height at which the tape lay, if the slip is another level.
    pub(super) height_mm: Option<f64>,
}

/// A sheet with one slip; `None` if this draw allows none.
pub(super) fn slipped(subject: &Subject, kind: Kind, dice: &mut Dice) -> Option<Slipped> {
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
