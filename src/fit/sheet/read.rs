//! From the text of a sheet to a [`Garment`].

use super::table::{Faults, Least, Section};
use super::{Drawn, Garment, Hem, HemTarget, Lines, PerSize, WaistLine};
use crate::error::{ErrorKind, Result};
use crate::fit::level::{ByLevel, Level};
use crate::length::{Length, LengthUnit};
use toml::de::DeTable;

/// Longest garment sheet that is read.
pub const MAX_SHEET_BYTES: usize = 1 << 20;

/// Most sizes a sheet may have.
pub const MAX_SIZES: usize = 100;

/// Most seams that can change at one level.
const MAX_SEAMS: u32 = 16;

const ROOT: &[&str] = &[
    "name",
    "kind",
    "unit",
    "sizes",
    "waist_line",
    "not_rising",
    "body",
    "finished",
    "ease",
    "lines",
    "seams",
    "hem",
];
const BODY: &[&str] = &["bust", "waist", "hip", "upper_chest"];
const LEVELS: &[&str] = &["bust", "waist", "hip"];
const LINES: &[&str] = &[
    "neck_to_bust",
    "bust_to_waist",
    "waist_to_hip",
    "hip_to_hem",
    "total",
    "back_waist",
];
const SEAMS: &[&str] = &["bust", "waist", "hip", "edge_limit"];
const HEM: &[&str] = &["allowance", "drawn_to", "above_floor", "below", "by"];
const UNITS: &[(&str, LengthUnit)] = &[
    ("in", LengthUnit::Inch),
    ("cm", LengthUnit::Centimetre),
    ("mm", LengthUnit::Millimetre),
];
const WAIST_LINES: &[(&str, WaistLine)] = &[
    ("seam", WaistLine::Seam),
    ("shaped", WaistLine::Shaped),
    ("none", WaistLine::None),
];
const DRAWN: &[(&str, Drawn)] = &[("cut edge", Drawn::CutEdge), ("fold", Drawn::Fold)];
const BELOW: &[(&str, Level)] = &[
    ("bust", Level::Bust),
    ("waist", Level::Waist),
    ("hip", Level::Hip),
];

/// Reads a garment sheet; `file` is its name in faults.
///
/// # Units
/// Bare numbers and texts such as `"38 5/8"` are in the sheet's own `unit`,
/// which has no default.
///
/// # Errors
/// [`ErrorKind::Limit`] if the sheet is longer than [`MAX_SHEET_BYTES`];
/// [`ErrorKind::Sheet`] with every fault of the sheet otherwise: text that is
/// no TOML, unknown keys, values that cannot be read, size tables of the
/// wrong length or that do not rise without a `not_rising` reason, and what
/// is missing.
pub fn read_garment(file: &str, text: &str) -> Result<Garment> {
    if text.len() > MAX_SHEET_BYTES {
        return Err(ErrorKind::Limit {
            file: file.to_owned(),
            what: "bytes of the garment sheet",
            asked: text.len() as u64,
            limit: MAX_SHEET_BYTES as u64,
        }
        .into());
    }
    let mut faults = Faults::new(file, text);
    let (table, slips) = DeTable::parse_recoverable(text);
    for slip in &slips {
        let span = slip.span().unwrap_or(0..0);
        let what = format!("cannot be read: {}", slip.message());
        faults.wrong("sheet", span, &what, "write it as TOML: key = value");
    }
    if !faults.is_empty() {
        return Err(faults.into_error());
    }
    match Reader::of(Section::root(table.get_ref()), &mut faults) {
        Some(garment) if faults.is_empty() => Ok(garment),
        _ => Err(faults.into_error()),
    }
}

/// What the parts of the sheet share.
struct Reader<'t, 'i> {
    root: Section<'t, 'i>,
    unit: LengthUnit,
    sizes: usize,
    may_fall: bool,
}

impl<'t, 'i> Reader<'t, 'i> {
    /// The garment; `None` only where a fault was noted.
    fn of(root: Section<'t, 'i>, faults: &mut Faults<'_>) -> Option<Garment> {
        root.only(ROOT, faults);
        let name = root.text("name", faults);
        let unit = root.one_of("unit", UNITS, faults);
        let sizes = read_sizes(&root, faults);
        let waist_line = root.one_of("waist_line", WAIST_LINES, faults);
        let may_fall = root.text("not_rising", faults).is_some();
        let kind = root.text("kind", faults);
        for (key, remedy) in [
            ("name", "name the garment: name = \"…\""),
            (
                "unit",
                "say what the numbers are in: unit = \"in\", \"cm\" or \"mm\"",
            ),
            (
                "sizes",
                "list the sizes, smallest first: sizes = [\"8\", \"10\"]",
            ),
            (
                "waist_line",
                "say what the garment does there: waist_line = \"seam\", \"shaped\" or \"none\"",
            ),
        ] {
            if !root.has(key) {
                faults.missing(key, remedy);
            }
        }
        // Without unit and sizes no table can be read; a stand-in lets the
        // remaining faults be found all the same.
        let reader = Reader {
            unit: unit.unwrap_or(LengthUnit::Millimetre),
            sizes: sizes.as_ref().map_or(0, Vec::len),
            may_fall,
            root,
        };
        let (body, upper_chest) = match sizes {
            Some(_) => reader.body(faults),
            None => Default::default(),
        };
        let finished = match sizes {
            Some(_) => reader.finished(faults),
            None => ByLevel::default(),
        };
        let lines = reader.lines(faults);
        let (seams, edge_limit) = reader.seams(faults);
        let ease = reader.ease(faults);
        let hem = reader.hem(&lines, faults);
        reader.enough(faults);
        Some(Garment {
            name: name?,
            kind: kind.unwrap_or_default(),
            unit: unit?,
            sizes: sizes?,
            body,
            upper_chest,
            finished,
            ease,
            lines,
            waist_line: waist_line?,
            seams,
            edge_limit,
            hem,
        })
    }

    fn body(&self, faults: &mut Faults<'_>) -> (ByLevel<Option<Vec<Length>>>, Option<Vec<Length>>) {
        let Some(section) = self.root.section("body", faults) else {
            return Default::default();
        };
        section.only(BODY, faults);
        let by_level = ByLevel::from_fn(|level| self.table(&section, level.name(), faults));
        (by_level, self.table(&section, "upper_chest", faults))
    }

    fn finished(&self, faults: &mut Faults<'_>) -> ByLevel<Option<Vec<Length>>> {
        let Some(section) = self.root.section("finished", faults) else {
            return ByLevel::default();
        };
        section.only(LEVELS, faults);
        ByLevel::from_fn(|level| self.table(&section, level.name(), faults))
    }

    /// A size table, which rises unless the sheet says why not.
    fn table(
        &self,
        section: &Section<'_, '_>,
        name: &str,
        faults: &mut Faults<'_>,
    ) -> Option<Vec<Length>> {
        let lengths = section.lengths(name, self.unit, self.sizes, faults)?;
        let falls = lengths.windows(2).position(|pair| pair[1] <= pair[0]);
        if let (Some(at), Some(value), false) = (falls, section.value(name), self.may_fall) {
            let what = format!("does not rise from value {} to value {}", at + 1, at + 2);
            let remedy = "correct it, or say why with not_rising = \"…\" at the top";
            faults.wrong(&section.key(name), value.span(), &what, remedy);
        }
        Some(lengths)
    }

    fn ease(&self, faults: &mut Faults<'_>) -> ByLevel<Option<Length>> {
        let Some(section) = self.root.section("ease", faults) else {
            return ByLevel::default();
        };
        section.only(LEVELS, faults);
        ByLevel::from_fn(|level| section.length(level.name(), self.unit, Least::Any, faults))
    }

    fn lines(&self, faults: &mut Faults<'_>) -> Lines {
        let Some(section) = self.root.section("lines", faults) else {
            return Lines::default();
        };
        section.only(LINES, faults);
        let mut line = |name: &str| -> Option<PerSize> {
            if section.value(name)?.get_ref().is_array() {
                let each = section.lengths(name, self.unit, self.sizes, faults)?;
                return Some(PerSize::Each(each));
            }
            section
                .length(name, self.unit, Least::AboveNought, faults)
                .map(PerSize::One)
        };
        Lines {
            neck_to_bust: line("neck_to_bust"),
            bust_to_waist: line("bust_to_waist"),
            waist_to_hip: line("waist_to_hip"),
            hip_to_hem: line("hip_to_hem"),
            total: line("total"),
            back_waist: line("back_waist"),
        }
    }

    fn seams(&self, faults: &mut Faults<'_>) -> (ByLevel<u32>, Option<Length>) {
        let Some(section) = self.root.section("seams", faults) else {
            return Default::default();
        };
        section.only(SEAMS, faults);
        let seams = ByLevel::from_fn(|level| {
            section
                .count(level.name(), MAX_SEAMS, faults)
                .unwrap_or_default()
        });
        let limit = section.length("edge_limit", self.unit, Least::AboveNought, faults);
        (seams, limit)
    }

    fn hem(&self, lines: &Lines, faults: &mut Faults<'_>) -> Option<Hem> {
        if !self.root.has("hem") {
            if lines.hip_to_hem.is_some() || lines.total.is_some() {
                let remedy = "say what is turned up, 0 if nothing: [hem] with allowance = …";
                faults.missing("hem.allowance", remedy);
            }
            return None;
        }
        let section = self.root.section("hem", faults)?;
        section.only(HEM, faults);
        if !section.has("allowance") {
            faults.missing("hem.allowance", "say what is turned up, 0 if nothing");
        }
        let allowance = section.length("allowance", self.unit, Least::Nought, faults);
        let drawn = section.one_of("drawn_to", DRAWN, faults);
        let target = self.target(&section, faults);
        Some(Hem {
            allowance: allowance?,
            drawn: drawn.unwrap_or(Drawn::CutEdge),
            target,
        })
    }

    fn target(&self, section: &Section<'_, '_>, faults: &mut Faults<'_>) -> Option<HemTarget> {
        let floor = section.length("above_floor", self.unit, Least::Nought, faults);
        let below = section.one_of("below", BELOW, faults);
        let by = section.length("by", self.unit, Least::Nought, faults);
        if section.has("above_floor")
            && let Some(twice) = section.value("below").or(section.value("by"))
        {
            let remedy = "keep above_floor alone, or below and by together";
            faults.wrong(
                &section.key("below"),
                twice.span(),
                "names a second hem",
                remedy,
            );
        } else if section.has("below") != section.has("by") {
            let (name, remedy) = if section.has("below") {
                ("by", "say how far below: by = …")
            } else {
                ("below", "say below which line: below = \"hip\"")
            };
            faults.missing(&section.key(name), remedy);
        }
        match (floor, below, by) {
            (Some(height), ..) => Some(HemTarget::AboveFloor(height)),
            (None, Some(level), Some(by)) => Some(HemTarget::Below(level, by)),
            _ => None,
        }
    }

    /// What a plan cannot do without, by what stands in the sheet, readable or not.
    fn enough(&self, faults: &mut Faults<'_>) {
        // A part that is no table has its fault already.
        let mut told = Faults::new("", "");
        let mut part = |name: &str| self.root.section(name, &mut told);
        let [body, finished, ease, seams] = ["body", "finished", "ease", "seams"].map(&mut part);
        let has = |part: &Option<Section<'_, '_>>, level: Level| {
            part.as_ref().is_some_and(|part| part.has(level.name()))
        };
        let mut sized = false;
        for level in Level::ALL {
            let (chart, made) = (has(&body, level), has(&finished, level));
            if !chart && !made {
                continue;
            }
            sized = true;
            if !has(&seams, level) {
                let remedy = "say how many seams can change there, 0 if none (two side seams: 2)";
                faults.missing(&format!("seams.{level}"), remedy);
            }
            if !chart && !has(&ease, level) {
                let remedy = format!("give the ease you want, or the body chart as body.{level}");
                faults.missing(&format!("ease.{level}"), &remedy);
            }
        }
        if !sized && !self.root.has("body") && !self.root.has("finished") {
            let remedy = "copy the size tables: [body] and [finished] with bust, waist, hip";
            faults.missing("body", remedy);
        } else if !sized {
            let remedy = "give at least one size table there: bust, waist or hip";
            faults.missing("body", remedy);
        }
    }
}

fn read_sizes(root: &Section<'_, '_>, faults: &mut Faults<'_>) -> Option<Vec<String>> {
    let value = root.value("sizes")?;
    let names: Vec<String> = value
        .get_ref()
        .as_array()
        .map(|array| {
            array
                .iter()
                .filter_map(|item| {
                    let item = item.get_ref();
                    let digits = item.as_integer().map(|digits| digits.as_str());
                    item.as_str().map(str::trim).or(digits)
                })
                .filter(|name| !name.is_empty())
                .map(str::to_owned)
                .collect()
        })
        .unwrap_or_default();
    let told = value.get_ref().as_array().map_or(0, |array| array.len());
    let twice = (1..names.len()).find(|&i| names[..i].contains(&names[i]));
    let what = if names.is_empty() || names.len() != told {
        "is no list of size names".to_owned()
    } else if names.len() > MAX_SIZES {
        format!("has {} sizes, more than {MAX_SIZES}", names.len())
    } else if let Some(twice) = twice {
        format!("names size {} twice", names[twice])
    } else {
        return Some(names);
    };
    let remedy = "list each size once, smallest first: sizes = [\"8\", \"10\"]";
    faults.wrong("sizes", value.span(), &what, remedy);
    None
}
