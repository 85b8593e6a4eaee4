//! The command-line program: arguments, files and exit codes; the library does the work.

mod batch;
mod compare;
mod export;
mod files;
mod input;
mod report;
mod shape;
mod tape;

use batch::BatchArgs;
use clap::{Args, Parser, Subcommand, ValueEnum};
use compare::CompareArgs;
use export::ExportArgs;
use files::{make_folder, refused, write_file};
use girthwise::batch::Tally;
use girthwise::crosscheck::MergeOptions;
use girthwise::fit::{Blank, CuttingPlan, FitRoutine, LevelFit};
use girthwise::length::text::Shown;
use girthwise::profile::Profile;
use girthwise::report::{caution_text, crosscheck_text, measures, plan_text, profile_text};
use girthwise::schema::Document;
use girthwise::tape::TapeSet;
use girthwise::{Error, ErrorKind};
use input::{
    BodyArgs, PreferArgs, TapeArgs, profiled, read_garment_sheet, read_profile, read_sheet,
};
use report::ReportArgs;
use serde::Serialize;
use shape::{LayersArgs, ModelArgs};
use std::io::Write;
use std::path::{Path, PathBuf};
use std::process::ExitCode;
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
        body: BodyArgs,
        #[command(flatten)]
        hand_on: HandOnArgs,
        #[command(flatten)]
        show: ShowArgs,
    },
    /// Compare a scan with a tape sheet and say which readings to take again.
    #[command(after_help = EXIT_CODES)]
    Crosscheck {
        #[command(flatten)]
        body: BodyArgs,
        #[command(flatten)]
        tape: TapeArgs,
        #[command(flatten)]
        prefer: PreferArgs,
        #[command(flatten)]
        hand_on: HandOnArgs,
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
    /// Write a profile for others: a table, landmarks by open names, or without what names the body.
    #[command(after_help = EXIT_CODES)]
    Export(ExportArgs),
    /// All of it: measure, compare with the tape, and work out what to change on the pattern.
    #[command(after_help = EXIT_CODES)]
    All {
        #[command(flatten)]
        body: BodyArgs,
        #[command(flatten)]
        tape: TapeArgs,
        #[command(flatten)]
        prefer: PreferArgs,
        /// Garment sheet (TOML).
        #[arg(long)]
        garment: PathBuf,
        /// Folder to write profile.json and plan.json to, as well; made if it is not there.
        #[arg(long, value_name = "DIR")]
        out: Option<PathBuf>,
        #[command(flatten)]
        hand_on: HandOnArgs,
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
struct HandOnArgs {
    /// Leave out of the profile what leads back to a person: the scan's digest, its curves and
    /// landmarks, who measured and when.
    #[arg(long)]
    unnamed: bool,
}

impl HandOnArgs {
    fn of(&self, profile: Profile) -> Profile {
        if self.unnamed {
            profile.unnamed()
        } else {
            profile
        }
    }
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
        Command::Export(args) => export::run(&args),
        Command::Measure {
            body,
            hand_on,
            show,
        } => {
            let (tape, options) = (TapeSet::default(), MergeOptions::default());
            let profile = hand_on.of(profiled(&body, &tape, &options)?.1);
            told(&profile, &show, |profile, shown| {
                [profile_text(profile, shown), caution_text()].join("\n")
            })
        }
        Command::Crosscheck {
            body,
            tape,
            prefer,
            hand_on,
            show,
        } => {
            let (tape, options) = (read_sheet(&tape)?, prefer.options()?);
            let profile = hand_on.of(profiled(&body, &tape, &options)?.1);
            told(&profile, &show, crosscheck_text)
        }
        Command::Fit {
            profile,
            garment,
            show,
        } => {
            let profile = read_profile(&profile)?;
            let plan = LevelFit::default().plan(&profile, &read_garment_sheet(&garment)?)?;
            if show.json {
                json(&plan)
            } else {
                Ok(plan_text(&plan, show.show.into()))
            }
        }
        Command::Compare(args) => compare::run(&args),
        Command::All {
            body,
            tape,
            prefer,
            garment,
            out,
            hand_on,
            show,
        } => {
            // The sheets first: their faults are told before the long work.
            let tape = read_sheet(&tape)?;
            let garment = read_garment_sheet(&garment)?;
            let profile = hand_on.of(profiled(&body, &tape, &prefer.options()?)?.1);
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
