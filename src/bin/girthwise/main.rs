//! The command-line program: arguments, files and exit codes; the library does the work.

mod batch;
mod compare;
mod report;
mod shape;
mod tape;

use batch::BatchArgs;
use clap::{Args, Parser, Subcommand, ValueEnum};
use compare::CompareArgs;
use girthwise::batch::Tally;
use girthwise::error::{Place, Spot};
use girthwise::fit::{Blank, CuttingPlan, FitRoutine, Garment, LevelFit, read_garment};
use girthwise::frame::{Axis, FrameOptions};
use girthwise::ingest::{Limits, read_scan};
use girthwise::landmark::{Pin, Pins};
use girthwise::length::text::Shown;
use girthwise::profile::Profile;
use girthwise::report::{caution_text, crosscheck_text, measures, plan_text, profile_text};
use girthwise::scan::{Scan, ScanOptions, Step, measure_scan_with};
use girthwise::schema::Document;
use girthwise::tape::{TapeSet, pool, read_tape_named};
use girthwise::{Error, ErrorKind, LengthUnit};
use indicatif::{ProgressBar, ProgressStyle};
use report::ReportArgs;
use serde::Serialize;
use shape::{LayersArgs, ModelArgs};
use std::fs::{self, File};
use std::io::{Read, Write};
use std::path::{Path, PathBuf};
use std::process::ExitCode;
use std::time::Duration;
use tape::TapeSheetArgs;

/// From a body scan and a hand tape to one measurement profile a sewist can cut by.
///
/// Everything happens on this machine; nothing is sent anywhere.
#[derive(Parser)]
#[command(version, after_help = EXIT_CODES)]
struct Cli {
    #[command(subcommand)]
    command: Command,
}

const EXIT_CODES: &str = "\
Exit codes: 0 done; 1 a scan or sheet cannot be used (the message says where and what to do);
2 the options do not fit; 3 the system refused a file; 4 a file is over the limits;
5 a batch is done, but some of its scans failed (their rows in the table say why).";

#[derive(Subcommand)]
enum Command {
    /// Measure a scan: girths, heights, left against right.
    #[command(after_help = EXIT_CODES)]
    Measure {
        #[command(flatten)]
        scan: ScanArgs,
        #[command(flatten)]
        show: ShowArgs,
    },
    /// Compare a scan with a tape sheet and say which readings to take again.
    #[command(after_help = EXIT_CODES)]
    Crosscheck {
        #[command(flatten)]
        scan: ScanArgs,
        #[command(flatten)]
        tape: TapeArgs,
        #[command(flatten)]
        show: ShowArgs,
    },
    /// Work out what to change on a pattern, from a profile that measure or crosscheck wrote.
    #[command(after_help = EXIT_CODES)]
    Fit {
        /// Profile: what measure --json or crosscheck --json printed, or all --out wrote.
        profile: PathBuf,
        /// Garment sheet (TOML).
        #[arg(long)]
        garment: PathBuf,
        #[command(flatten)]
        show: ShowArgs,
    },
    /// Say what changed from one profile to another, beyond what can be measured.
    #[command(after_help = EXIT_CODES)]
    Compare(CompareArgs),
    /// All of it: measure, compare with the tape, and work out what to change on the pattern.
    #[command(after_help = EXIT_CODES)]
    All {
        #[command(flatten)]
        scan: ScanArgs,
        #[command(flatten)]
        tape: TapeArgs,
        /// Garment sheet (TOML).
        #[arg(long)]
        garment: PathBuf,
        /// Folder to write profile.json and plan.json to, as well; made if it is not there.
        #[arg(long, value_name = "DIR")]
        out: Option<PathBuf>,
        #[command(flatten)]
        show: ShowArgs,
    },
    /// List the measures: what each means, how to take it by tape, what uses it.
    #[command(after_help = EXIT_CODES)]
    Measures {
        /// Only those whose name, key, landmark or definition holds these words.
        words: Vec<String>,
        /// How to print them.
        #[arg(long, value_enum, default_value = "text")]
        format: ListArg,
    },
    /// Print the JSON Schema of a document, for programs that read or write it.
    #[command(after_help = EXIT_CODES)]
    Schema {
        /// Which document.
        #[arg(value_enum)]
        document: DocumentArg,
    },
    /// Write the scan with its level lines and landmarks as a 3-D file (GLB) to turn round in a viewer.
    #[command(after_help = EXIT_CODES)]
    Model(ModelArgs),
    /// Write sections of the body at full scale (PDF, SVG), to cut out and stack to a form of it.
    #[command(after_help = EXIT_CODES)]
    Layers(LayersArgs),
    /// Print a blank garment sheet to fill in from a pattern.
    #[command(after_help = EXIT_CODES)]
    GarmentSheet {
        /// What kind of garment.
        #[arg(value_enum)]
        kind: KindArg,
    },
    /// Write a blank tape sheet to print or fill in: what to measure, in order, and how.
    #[command(after_help = EXIT_CODES)]
    TapeSheet(TapeSheetArgs),
    /// Measure many scans to one table (CSV): a row a scan, failed ones with their reason.
    #[command(after_help = EXIT_CODES)]
    Batch(BatchArgs),
    /// Make one page to look at: drawings of the body, cuts, girths, tape and plan.
    #[command(after_help = EXIT_CODES)]
    Report(ReportArgs),
}

#[derive(Args)]
struct ScanArgs {
    /// Body scan: PLY, OBJ, STL or glTF (GLB), as it is or packed with gzip.
    scan: PathBuf,
    #[command(flatten)]
    frame: FrameArgs,
    #[command(flatten)]
    pins: PinArgs,
}

#[derive(Args)]
struct PinArgs {
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
    fn options(&self, frame: &FrameArgs) -> Result<ScanOptions, Error> {
        Ok(ScanOptions {
            frame: frame.into(),
            pins: Pins::new(self.pins.iter().copied())?,
        })
    }
}

#[derive(Args)]
struct FrameArgs {
    /// Unit of the scan's coordinates; found from the body's height if not given.
    #[arg(long, value_enum)]
    unit: Option<UnitArg>,
    /// Axis of the file that points up: x, y, z, -x, -y or -z; found if not given.
    #[arg(long, allow_hyphen_values = true)]
    up: Option<Axis>,
    /// Axis of the file the body faces; found if not given.
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
struct TapeArgs {
    /// Tape sheet (CSV or TOML: measure, reading, side, repeat, note, who); tape-sheet writes a blank.
    #[arg(long)]
    tape: PathBuf,
    /// Unit of readings that name none, if the sheet itself does not say.
    #[arg(long, value_enum, default_value = "cm")]
    tape_unit: UnitArg,
}

#[derive(Args)]
struct ShowArgs {
    /// Show lengths in centimetres or in inches with eighths.
    #[arg(long, value_enum, default_value = "cm")]
    show: ShowArg,
    /// Print JSON for other programs instead of text.
    #[arg(long)]
    json: bool,
}

#[derive(Clone, Copy, ValueEnum)]
enum UnitArg {
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

#[derive(Clone, Copy, ValueEnum)]
enum ListArg {
    Text,
    Csv,
    Json,
    Markdown,
}

#[derive(Clone, Copy, ValueEnum)]
enum DocumentArg {
    Profile,
    Plan,
    Garment,
}

impl From<DocumentArg> for Document {
    fn from(document: DocumentArg) -> Self {
        match document {
            DocumentArg::Profile => Self::Profile,
            DocumentArg::Plan => Self::Plan,
            DocumentArg::Garment => Self::Garment,
        }
    }
}

#[derive(Clone, Copy, ValueEnum)]
enum KindArg {
    Tops,
    Dresses,
    Skirts,
    Trousers,
}

impl From<KindArg> for Blank {
    fn from(kind: KindArg) -> Self {
        match kind {
            KindArg::Tops => Self::Tops,
            KindArg::Dresses => Self::Dresses,
            KindArg::Skirts => Self::Skirts,
            KindArg::Trousers => Self::Trousers,
        }
    }
}

#[derive(Clone, Copy, ValueEnum)]
enum ShowArg {
    Cm,
    In,
}

impl From<ShowArg> for Shown {
    fn from(show: ShowArg) -> Self {
        match show {
            ShowArg::Cm => Self::Centimetres,
            ShowArg::In => Self::InchEighths,
        }
    }
}

fn main() -> ExitCode {
    let cli = Cli::parse();
    match run(cli.command) {
        Ok(code) => code,
        Err(error) => {
            tell(&error);
            exit_code(&error)
        }
    }
}

#[expect(clippy::print_stderr, reason = "the program's one place for errors")]
fn tell(error: &Error) {
    eprintln!("girthwise: {error}");
}

fn exit_code(error: &Error) -> ExitCode {
    ExitCode::from(match error.kind() {
        ErrorKind::Options { .. } => 2,
        ErrorKind::Io { .. } => 3,
        ErrorKind::Limit { .. } => 4,
        _ => 1,
    })
}

/// Writes to standard output; a reader that has gone away is no fault.
fn print(text: &str) -> Result<(), Error> {
    let mut out = std::io::stdout().lock();
    match writeln!(out, "{}", text.trim_end()) {
        Err(error) if error.kind() != std::io::ErrorKind::BrokenPipe => {
            Err(refused(Path::new("standard output"), error))
        }
        _ => Ok(()),
    }
}

fn run(command: Command) -> Result<ExitCode, Error> {
    let text = match command {
        Command::Batch(args) => return batch::run(&args).map(batch_code),
        Command::Model(args) => return shape::model(&args).map(|()| ExitCode::SUCCESS),
        Command::Layers(args) => shape::layers(&args),
        Command::GarmentSheet { kind } => Ok(Blank::from(kind).text().to_owned()),
        Command::Schema { document } => json(&Document::from(document).schema()),
        Command::Report(args) => report::run(&args),
        Command::TapeSheet(args) => tape::blank_sheet(&args),
        Command::Measures { words, format } => {
            let rows = measures::matching(&words.join(" "))?;
            match format {
                ListArg::Text => Ok(measures::text(&rows)),
                ListArg::Csv => measures::csv(&rows),
                ListArg::Json => json(&rows),
                ListArg::Markdown => Ok(measures::markdown(&rows)),
            }
        }
        Command::Measure { scan, show } => {
            let profile = measured(&scan, &TapeSet::default())?;
            told(&profile, &show, |profile, shown| {
                [profile_text(profile, shown), caution_text()].join("\n")
            })
        }
        Command::Crosscheck { scan, tape, show } => {
            let profile = measured(&scan, &read_sheet(&tape)?)?;
            told(&profile, &show, crosscheck_text)
        }
        Command::Fit {
            profile,
            garment,
            show,
        } => {
            let profile = read_profile(&profile)?;
            let plan = plan(&profile, &garment)?;
            if show.json {
                json(&plan)
            } else {
                Ok(plan_text(&plan, show.show.into()))
            }
        }
        Command::Compare(args) => compare::run(&args),
        Command::All {
            scan,
            tape,
            garment,
            out,
            show,
        } => {
            // The sheets first: their faults are told before the long work.
            let tape = read_sheet(&tape)?;
            let garment = read_garment_sheet(&garment)?;
            let profile = measured(&scan, &tape)?;
            let plan = LevelFit::default().plan(&profile, &garment)?;
            if let Some(folder) = out {
                write_all(&folder, &profile, &plan)?;
            }
            if show.json {
                json(&Whole { profile, plan })
            } else {
                let shown = show.show.into();
                Ok([
                    profile_text(&profile, shown),
                    crosscheck_text(&profile, shown),
                    plan_text(&plan, shown),
                    caution_text(),
                ]
                .join("\n"))
            }
        }
    }?;
    print(&text)?;
    Ok(ExitCode::SUCCESS)
}

fn batch_code(tally: Tally) -> ExitCode {
    match tally.failed {
        0 => ExitCode::SUCCESS,
        failed => {
            warn(failed);
            ExitCode::from(5)
        }
    }
}

#[expect(clippy::print_stderr, reason = "the table may be on standard output")]
fn warn(failed: usize) {
    let scans = if failed == 1 { "scan" } else { "scans" };
    eprintln!("girthwise: {failed} {scans} failed; the column reason of the table says why");
}

/// Profile and plan, each in a file of its own.
fn write_all(folder: &Path, profile: &Profile, plan: &CuttingPlan) -> Result<(), Error> {
    make_folder(folder)?;
    let files = [
        ("profile.json", profile.to_json()?),
        ("plan.json", json(plan)?),
    ];
    for (name, text) in files {
        write_file(&folder.join(name), text + "\n")?;
    }
    Ok(())
}

fn make_folder(folder: &Path) -> Result<(), Error> {
    fs::create_dir_all(folder).map_err(|source| refused(folder, source))
}

fn write_file(path: &Path, bytes: impl AsRef<[u8]>) -> Result<(), Error> {
    fs::write(path, bytes).map_err(|source| refused(path, source))
}

/// Profile and plan in one document.
#[derive(Serialize)]
struct Whole {
    profile: Profile,
    plan: CuttingPlan,
}

fn json(value: &impl Serialize) -> Result<String, Error> {
    serde_json::to_string_pretty(value)
        .map_err(|error| refused(Path::new("standard output"), error.into()))
}

fn plan(profile: &Profile, garment: &Path) -> Result<CuttingPlan, Error> {
    LevelFit::default().plan(profile, &read_garment_sheet(garment)?)
}

fn read_profile(path: &Path) -> Result<Profile, Error> {
    Profile::from_json(&file_name(path), &read_text(path)?)
}

fn read_garment_sheet(path: &Path) -> Result<Garment, Error> {
    read_garment(&file_name(path), &read_text(path)?)
}

/// The profile in the form asked for.
fn told(
    profile: &Profile,
    show: &ShowArgs,
    text: impl Fn(&Profile, Shown) -> String,
) -> Result<String, Error> {
    if show.json {
        profile.to_json()
    } else {
        Ok(text(profile, show.show.into()))
    }
}

fn measured(args: &ScanArgs, tape: &TapeSet) -> Result<Profile, Error> {
    Ok(Profile::of(&scanned(args)?, tape))
}

fn scanned(args: &ScanArgs) -> Result<Scan, Error> {
    let options = args.pins.options(&args.frame)?;
    let bar = progress();
    bar.set_message("reading the scan");
    let raw = read_scan(&args.scan, &Limits::default())?;
    let measured = measure_scan_with(raw, &options, |step| {
        bar.set_message(match step {
            Step::Frame => "finding unit, up and front",
            Step::Survey => "cutting the body level by level",
            Step::Landmarks => "looking for landmarks",
            Step::Measures => "taking measures",
        });
    });
    bar.finish_and_clear();
    measured.map_err(|error| naming(&args.scan, error))
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

fn read_sheet(args: &TapeArgs) -> Result<TapeSet, Error> {
    read_sheet_at(&args.tape, args.tape_unit)
}

fn read_sheet_at(path: &Path, unit: UnitArg) -> Result<TapeSet, Error> {
    Ok(pool(&read_tape_named(
        open(path)?,
        &file_name(path),
        unit.into(),
    )?))
}

/// A text file, read no further than any sheet or profile reaches.
fn read_text(path: &Path) -> Result<String, Error> {
    let mut bytes = Vec::new();
    open(path)?
        .take(MAX_TEXT_BYTES + 1)
        .read_to_end(&mut bytes)
        .map_err(|source| refused(path, source))?;
    if bytes.len() as u64 > MAX_TEXT_BYTES {
        return Err(ErrorKind::Limit {
            file: path.display().to_string(),
            what: "bytes of a sheet or profile",
            asked: bytes.len() as u64,
            limit: MAX_TEXT_BYTES,
        }
        .into());
    }
    String::from_utf8(bytes).map_err(|error| {
        let byte = error.utf8_error().valid_up_to() as u64;
        ErrorKind::Input {
            place: Place::new(file_name(path), Spot::Byte(byte)),
            what: "this is no text in UTF-8; save the file as plain text in UTF-8".into(),
        }
        .into()
    })
}

/// A profile has some hundred kilobytes.
const MAX_TEXT_BYTES: u64 = 64 << 20;

fn open(path: &Path) -> Result<File, Error> {
    File::open(path).map_err(|source| refused(path, source))
}

fn refused(path: &Path, source: std::io::Error) -> Error {
    ErrorKind::Io {
        path: path.to_owned(),
        source,
    }
    .into()
}

fn file_name(path: &Path) -> String {
    path.file_name()
        .unwrap_or(path.as_os_str())
        .to_string_lossy()
        .into_owned()
}
