//! What a person hands in: scans, tape sheets, garment sheets, profiles, and what is known of them.

use crate::files::{file_name, open, read_text};
use clap::{Args, ValueEnum};
use girthwise::crosscheck::{MergeOptions, Preference};
use girthwise::fit::{Garment, read_garment};
use girthwise::frame::{Axis, FrameOptions};
use girthwise::ingest::{Limits, read_scan};
use girthwise::landmark::{Pin, Pins};
use girthwise::profile::Profile;
use girthwise::scan::{Scan, ScanOptions, Step, measure_scan_with};
use girthwise::tape::{TapeSet, pool, read_tape_named};
use girthwise::{Error, ErrorKind, LengthUnit};
use indicatif::{ProgressBar, ProgressStyle};
use std::path::{Path, PathBuf};
use std::time::Duration;

#[derive(Args)]
pub(crate) struct ScanArgs {
    /// Body scan: PLY, OBJ, STL or glTF (GLB), as it is or packed with gzip.
    pub(crate) scan: PathBuf,
    #[command(flatten)]
    frame: FrameArgs,
    #[command(flatten)]
    pins: PinArgs,
}

#[derive(Args)]
pub(crate) struct BodyArgs {
    #[command(flatten)]
    pub(crate) scan: ScanArgs,
    /// Another scan of the same body on the same day, to be joined with the first.
    ///
    /// Where the two agree they are averaged; where not, the tape may decide. What is said of
    /// unit, axes and pins holds for both.
    #[arg(long, value_name = "SCAN")]
    second: Option<PathBuf>,
}

#[derive(Args)]
pub(crate) struct PinArgs {
    /// Landmark put by hand, as "waist = 104.3 cm" or "left knee = 19 1/4 in"; may be given again.
    ///
    /// By its height above the floor, or by a point on the skin: "left bust point = -9.1, 12.4, 118.6
    /// cm" (to the wearer's right of the midline, forward, up from the floor; as in the profile), or
    /// "left bust point = file X, Y, Z" with the numbers a viewer of the file shows. A paired landmark
    /// without a side is put at that height on both. "+- 1 cm" at the end says how sure the hand is
    /// (95 in 100; 6 mm if not given). All that hangs on the landmark follows, and is marked.
    #[arg(long = "pin", value_name = "LANDMARK=PLACE")]
    pins: Vec<Pin>,
}

impl PinArgs {
    pub(crate) fn options(&self, frame: &FrameArgs) -> Result<ScanOptions, Error> {
        Ok(ScanOptions {
            frame: frame.into(),
            pins: Pins::new(self.pins.iter().copied())?,
        })
    }
}

#[derive(Args)]
pub(crate) struct FrameArgs {
    /// Unit of the scan's coordinates; found from the body's height if not given.
    #[arg(long, value_enum)]
    unit: Option<UnitArg>,
    /// Axis of the file that points up, or the nearest to it: x, y, z, -x, -y or -z; found if not given.
    #[arg(long, allow_hyphen_values = true)]
    up: Option<Axis>,
    /// Axis of the file the body faces, or the nearest to it; found if not given.
    #[arg(long, allow_hyphen_values = true)]
    front: Option<Axis>,
    /// The scan is a mirror image: swap left and right.
    #[arg(long)]
    mirrored: bool,
}

impl From<&FrameArgs> for FrameOptions {
    fn from(args: &FrameArgs) -> Self {
        Self {
            unit: args.unit.map(Into::into),
            up: args.up,
            front: args.front,
            mirrored: args.mirrored,
        }
    }
}

#[derive(Args)]
pub(crate) struct TapeArgs {
    /// Tape sheet (CSV or TOML: measure, reading, side, repeat, note, who); tape-sheet writes a blank.
    #[arg(long)]
    pub(crate) tape: PathBuf,
    /// Unit of readings that name none, if the sheet itself does not say.
    #[arg(long, value_enum, default_value = "cm")]
    tape_unit: UnitArg,
}

#[derive(Args)]
pub(crate) struct PreferArgs {
    /// Take scan or tape for a measure whatever the other says: "waist = tape"; may be given again.
    ///
    /// "left knee girth = scan" is for one side, "tape" alone for all that both have. The profile
    /// keeps both values and how far they lie apart.
    #[arg(long = "prefer", value_name = "MEASURE=SIDE")]
    prefer: Vec<Preference>,
}

impl PreferArgs {
    pub(crate) fn options(&self) -> Result<MergeOptions, Error> {
        MergeOptions::new(self.prefer.iter().copied())
    }
}

#[derive(Clone, Copy, ValueEnum)]
pub(crate) enum UnitArg {
    Mm,
    Cm,
    In,
    M,
}

impl From<UnitArg> for LengthUnit {
    fn from(unit: UnitArg) -> Self {
        match unit {
            UnitArg::Mm => Self::Millimetre,
            UnitArg::Cm => Self::Centimetre,
            UnitArg::In => Self::Inch,
            UnitArg::M => Self::Metre,
        }
    }
}

/// The scan, the first if there are two, and the profile of all that was handed in.
pub(crate) fn profiled(
    args: &BodyArgs,
    tape: &TapeSet,
    options: &MergeOptions,
) -> Result<(Scan, Profile), Error> {
    let scan = scanned(&args.scan)?;
    let profile = match &args.second {
        None => Profile::of_with(&scan, tape, options),
        Some(second) => {
            let second = scanned_at(second, &args.scan)?;
            Profile::of_two([&scan, &second], tape, options)
        }
    };
    Ok((scan, profile))
}

pub(crate) fn scanned(args: &ScanArgs) -> Result<Scan, Error> {
    scanned_at(&args.scan, args)
}

/// A scan, with what `args` say of unit, axes and pins.
fn scanned_at(path: &Path, args: &ScanArgs) -> Result<Scan, Error> {
    let options = args.pins.options(&args.frame)?;
    let bar = progress();
    bar.set_message("reading the scan");
    let raw = read_scan(path, &Limits::default())?;
    let measured = measure_scan_with(raw, &options, |step| {
        bar.set_message(match step {
            Step::Frame => "finding unit, up and front",
            Step::Survey => "cutting the body level by level",
            Step::Landmarks => "looking for landmarks",
            Step::Measures => "taking measures",
        });
    });
    bar.finish_and_clear();
    measured.map_err(|error| naming(path, error))
}

/// A body that cannot be measured, with the file it came from, which the mesh no longer knows.
fn naming(path: &Path, error: Error) -> Error {
    match error.kind() {
        ErrorKind::Body { what } => ErrorKind::Body {
            what: format!("{}: {what}", path.display()),
        }
        .into(),
        _ => error,
    }
}

/// A spinner on a terminal; silent when standard error goes elsewhere.
fn progress() -> ProgressBar {
    let bar = ProgressBar::new_spinner();
    if let Ok(style) = ProgressStyle::with_template("{spinner} {msg} ({elapsed})") {
        bar.set_style(style);
    }
    bar.enable_steady_tick(Duration::from_millis(100));
    bar
}

pub(crate) fn read_sheet(args: &TapeArgs) -> Result<TapeSet, Error> {
    read_sheet_at(&args.tape, args.tape_unit)
}

pub(crate) fn read_sheet_at(path: &Path, unit: UnitArg) -> Result<TapeSet, Error> {
    Ok(pool(&read_tape_named(
        open(path)?,
        &file_name(path),
        unit.into(),
    )?))
}

pub(crate) fn read_profile(path: &Path) -> Result<Profile, Error> {
    Profile::from_json(&file_name(path), &read_text(path)?)
}

pub(crate) fn read_garment_sheet(path: &Path) -> Result<Garment, Error> {
    read_garment(&file_name(path), &read_text(path)?)
}
