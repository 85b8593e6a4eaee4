//! The command `report`: one page, and the drawings as files.

use crate::ShowArg;
use crate::files::{file_name, make_folder, write_file};
use crate::input::{BodyArgs, PreferArgs, UnitArg, profiled, read_garment_sheet, read_sheet_at};
use clap::Args;
use girthwise::Error;
use girthwise::figure::{Figure, Units, all};
use girthwise::fit::{FitRoutine, LevelFit};
use girthwise::page::Page;
use girthwise::tape::TapeSet;
use std::cell::OnceCell;
use std::path::{Path, PathBuf};

#[derive(Args)]
pub(crate) struct ReportArgs {
    #[command(flatten)]
    body: BodyArgs,
    /// Tape sheet (CSV or TOML: measure, reading, side, repeat, note, who); tape-sheet writes a blank.
    #[arg(long)]
    tape: Option<PathBuf>,
    /// Unit of readings that name none, if the sheet itself does not say.
    #[arg(long, value_enum, default_value = "cm")]
    tape_unit: UnitArg,
    #[command(flatten)]
    prefer: PreferArgs,
    /// Garment sheet (TOML).
    #[arg(long)]
    garment: Option<PathBuf>,
    /// Unit the page opens in and the drawings are written in.
    #[arg(long, value_enum, default_value = "cm")]
    show: ShowArg,
    /// Page to write: one HTML file that needs nothing beside it.
    #[arg(long, value_name = "FILE")]
    out: PathBuf,
    /// Folder to write each drawing to as SVG, as well; made if it is not there.
    #[arg(long, value_name = "DIR")]
    svg: Option<PathBuf>,
    /// Folder to write each drawing to as PNG, as well; made if it is not there.
    #[cfg(feature = "pictures")]
    #[arg(long, value_name = "DIR")]
    png: Option<PathBuf>,
}

/// Writes page and drawings; says what was written.
pub(crate) fn run(args: &ReportArgs) -> Result<String, Error> {
    // The sheets first: their faults are told before the long work.
    let tape = match &args.tape {
        Some(path) => read_sheet_at(path, args.tape_unit)?,
        None => TapeSet::default(),
    };
    let garment = args
        .garment
        .as_deref()
        .map(read_garment_sheet)
        .transpose()?;
    let (scan, profile) = profiled(&args.body, &tape, &args.prefer.options()?)?;
    let fit = LevelFit::default();
    let plan = match &garment {
        Some(garment) => Some((garment, fit.plan(&profile, garment)?)),
        None => None,
    };
    let plan = plan.as_ref().map(|(garment, plan)| (*garment, plan));
    let page = Page {
        name: &file_name(&args.body.scan.scan),
        scan: &scan,
        profile: &profile,
        plan,
        fit: &fit,
        shown: args.show.into(),
    };
    write_file(&args.out, page.html())?;
    let drawn = OnceCell::new();
    let figures = || drawn.get_or_init(|| all(&scan, &profile, plan, Units::One(args.show.into())));
    if let Some(folder) = &args.svg {
        each(folder, "svg", figures(), |figure| {
            Ok(figure.standalone().into_bytes())
        })?;
    }
    #[cfg(feature = "pictures")]
    if let Some(folder) = &args.png {
        let painter = girthwise::figure::Painter::default();
        each(folder, "png", figures(), |figure| painter.paint(figure))?;
    }
    Ok(format!(
        "Wrote {}. It shows a body: whoever has the file can see it.",
        args.out.display()
    ))
}

fn each(
    folder: &Path,
    ending: &str,
    figures: &[Figure],
    bytes: impl Fn(&Figure) -> Result<Vec<u8>, Error>,
) -> Result<(), Error> {
    make_folder(folder)?;
    figures.iter().try_for_each(|figure| {
        write_file(
            &folder.join(format!("{}.{ending}", figure.name)),
            bytes(figure)?,
        )
    })
}
