//! From the text of a sheet to a [`Garment`].

use super::form;
use super::pieces::Pieces;
use super::table::{Faults, Least, Section};
use super::{Drawn, Garment, Hem, HemTarget, Lines, Seams, WaistLine};
use crate::error::{ErrorKind, Result};
use crate::fit::level::{ByLevel, Level};
use crate::fit::part::Part;
use crate::length::{Length, LengthUnit};
use toml::de::DeTable;

/// Longest garment sheet that is read.
pub const MAX_SHEET_BYTES: usize = 1 << 20;

/// Most sizes a sheet may have.
pub const MAX_SIZES: usize = 100;

/// Most seams that can change at one level.
pub(super) const MAX_SEAMS: u32 = 16;

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
pub(super) struct Reader<'t, 'i> {
    pub(super) root: Section<'t, 'i>,
    pub(super) unit: LengthUnit,
    pub(super) sizes: usize,
    may_fall: bool,
}

impl<'t, 'i> Reader<'t, 'i> {
    /// The garment; `None` only where a fault was noted.
    fn of(root: Section<'t, 'i>, faults: &mut Faults<'_>) -> Option<Garment> {
        root.only(&form::keys(""), faults);
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
        let mut made = match sizes {
            Some(_) => reader.made(faults),
            None => Made::default(),
        };
        let lines = reader.lines(faults);
        let mut parts = reader.parts(faults);
        let pieces = match sizes {
            Some(_) => reader.pieces(faults),
            None => Pieces::default(),
        };
        pieces.settle(&mut made, &mut parts, faults);
        let (seams, edge_limit) = reader.seams(faults);
        let (ease, part_ease) = reader.ease(faults);
        let has_length = lines.hip_to_hem.is_some()
            || lines.total.is_some()
            || parts.contains_key(&Part::Inseam);
        let hem = reader.hem(has_length, faults);
        let stretch = reader.root.percent("stretch", faults);
        reader.enough(&made, faults);
        Some(Garment {
            name: name?,
            kind: kind.unwrap_or_default(),
            unit: unit?,
            sizes: sizes?,
            body,
            upper_chest,
            finished: made.finished,
            front: made.front,
            back: made.back,
            ease,
            part_ease,
            lines,
            waist_line: waist_line?,
            seams,
            edge_limit,
            darts: reader.darts(faults),
            shoulder_pad: reader.one("shoulder", "pad", faults),
            top_below_waist: reader.one("trousers", "top_below_waist", faults),
            stretch,
            parts,
            hem,
        })
    }

    fn body(&self, faults: &mut Faults<'_>) -> (ByLevel<Option<Vec<Length>>>, Option<Vec<Length>>) {
        let Some(section) = self.root.section("body", faults) else {
            return Default::default();
        };
        section.only(&form::keys("body"), faults);
        let by_level = ByLevel::from_fn(|level| self.table(&section, level.name(), faults));
        (by_level, self.table(&section, "upper_chest", faults))
    }

    fn made(&self, faults: &mut Faults<'_>) -> Made {
        let mut tables = |name: &str| {
            let Some(section) = self.root.section(name, faults) else {
                return ByLevel::default();
            };
            section.only(&form::keys(name), faults);
            ByLevel::from_fn(|level| self.table(&section, level.name(), faults))
        };
        Made {
            finished: tables("finished"),
            front: tables("front"),
            back: tables("back"),
        }
    }

    /// A size table, which rises unless the sheet says why not.
    fn table(
        &self,
        section: &Section<'_, '_>,
        name: &str,
        faults: &mut Faults<'_>,
    ) -> Option<Vec<Length>> {
        let lengths = section.lengths(name, self.unit, self.sizes, Least::AboveNought, faults)?;
        let falls = lengths.windows(2).position(|pair| pair[1] <= pair[0]);
        if let (Some(at), Some(value), false) = (falls, section.value(name), self.may_fall) {
            let what = format!("does not rise from value {} to value {}", at + 1, at + 2);
            let remedy = "correct it, or say why with not_rising = \"…\" at the top";
            faults.wrong(&section.key(name), value.span(), &what, remedy);
        }
        Some(lengths)
    }

    fn lines(&self, faults: &mut Faults<'_>) -> Lines {
        let Some(section) = self.root.section("lines", faults) else {
            return Lines::default();
        };
        section.only(&form::keys("lines"), faults);
        let mut line = |name: &str| self.line(&section, name, faults);
        Lines {
            neck_to_bust: line("neck_to_bust"),
            bust_to_waist: line("bust_to_waist"),
            waist_to_hip: line("waist_to_hip"),
            hip_to_hem: line("hip_to_hem"),
            total: line("total"),
            back_waist: line("back_waist"),
        }
    }

    fn seams(&self, faults: &mut Faults<'_>) -> (ByLevel<Seams>, Option<Length>) {
        let Some(section) = self.root.section("seams", faults) else {
            return Default::default();
        };
        section.only(&form::keys("seams"), faults);
        let seams = ByLevel::from_fn(|level| seams_at(&section, level, faults));
        let limit = section.length("edge_limit", self.unit, Least::AboveNought, faults);
        (seams, limit)
    }

    fn hem(&self, has_length: bool, faults: &mut Faults<'_>) -> Option<Hem> {
        if !self.root.has("hem") {
            if has_length {
                let remedy = "say what is turned up, 0 if nothing: [hem] with allowance = …";
                faults.missing("hem.allowance", remedy);
            }
            return None;
        }
        let section = self.root.section("hem", faults)?;
        section.only(&form::keys("hem"), faults);
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
    fn enough(&self, made: &Made, faults: &mut Faults<'_>) {
        // A part that is no table has its fault already.
        let mut told = Faults::new("", "");
        let mut part = |name: &str| self.root.section(name, &mut told);
        let [body, finished, ease, seams] = ["body", "finished", "ease", "seams"].map(&mut part);
        let has = |part: &Option<Section<'_, '_>>, level: Level| {
            part.as_ref().is_some_and(|part| part.has(level.name()))
        };
        let mut sized = false;
        for level in Level::ALL {
            let chart = has(&body, level);
            if !chart && !has(&finished, level) && made.finished.get(level).is_none() {
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
        let named = ["body", "finished", "front", "back", "piece"];
        if !sized && !named.iter().any(|name| self.root.has(name)) {
            let remedy = "copy the size tables: [body] and [finished] with bust, waist, hip";
            faults.missing("body", remedy);
        } else if !sized {
            let remedy = "give at least one size table there: bust, waist or hip";
            faults.missing("body", remedy);
        }
    }
}

/// Seams at a level: how many, or how many at each place.
fn seams_at(section: &Section<'_, '_>, level: Level, faults: &mut Faults<'_>) -> Seams {
    let name = level.name();
    let is_table = section
        .value(name)
        .is_some_and(|value| value.get_ref().as_table().is_some());
    if !is_table {
        let count = section.count(name, MAX_SEAMS, faults);
        return Seams::counted(count.unwrap_or_default());
    }
    let Some(places) = section.section(name, faults) else {
        return Seams::default();
    };
    places.only(&["side", "front", "back"], faults);
    let mut count = |place: &str| places.count(place, MAX_SEAMS, faults).unwrap_or_default();
    Seams {
        side: count("side"),
        front: count("front"),
        back: count("back"),
        other: 0,
    }
}

/// What the sheet says of the finished garment's widths.
#[derive(Default)]
pub(super) struct Made {
    pub(super) finished: ByLevel<Option<Vec<Length>>>,
    pub(super) front: ByLevel<Option<Vec<Length>>>,
    pub(super) back: ByLevel<Option<Vec<Length>>>,
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
