//! The commands that draw the body: a model to turn round, layers to cut out.

use crate::files::{make_folder, write_file};
use crate::input::{ScanArgs, scanned};
use clap::{Args, ValueEnum};
use girthwise::layer::{Cut, Paper, Stack};
use girthwise::length::reading::read_length;
use girthwise::model::{Detail, glb};
use girthwise::{Error, ErrorKind, Length, LengthUnit};
use std::path::PathBuf;

#[derive(Args)]
pub(super) struct ModelArgs {
    #[command(flatten)]
    scan: ScanArgs,
    /// File to write (GLB).
    #[arg(long, value_name = "FILE")]
    out: PathBuf,
    /// Keep every face of the scan; else points about 10 mm apart.
    #[arg(long)]
    full: bool,
}

/// Writes the model.
pub(super) fn model(args: &ModelArgs) -> Result<(), Error> {
    let scan = scanned(&args.scan)?;
    let detail = if args.full {
        Detail::Full
    } else {
        Detail::Light
    };
    write_file(&args.out, glb(&scan, detail)?)
}

#[derive(Args)]
#[command(group(clap::ArgGroup::new("where").required(true).args(["at", "every"])))]
#[command(group(clap::ArgGroup::new("what").required(true).multiple(true).args(["out", "svg"])))]
pub(super) struct LayersArgs {
    #[command(flatten)]
    scan: ScanArgs,
    /// A level to cut at: a landmark ("waist", "left knee") or a height ("104.3 cm"); may be given again.
    #[arg(long, value_name = "LEVEL")]
    at: Vec<String>,
    /// Cut layers of this thickness ("2 cm", "3/4 in"), each in its middle.
    #[arg(long, value_name = "LENGTH")]
    every: Option<String>,
    /// Where the lowest layer stands; the crotch level if not given.
    #[arg(long, value_name = "LEVEL", requires = "every")]
    from: Option<String>,
    /// Where the highest layer ends; the lower armpit if not given.
    #[arg(long, value_name = "LEVEL", requires = "every")]
    to: Option<String>,
    /// PDF to write, at full scale over as many pages as it needs.
    #[arg(long, value_name = "FILE")]
    out: Option<PathBuf>,
    /// Folder for one SVG a layer; made if it is not there.
    #[arg(long, value_name = "DIR")]
    svg: Option<PathBuf>,
    /// Paper of the PDF.
    #[arg(long, value_enum, default_value = "a4")]
    paper: PaperArg,
}

#[derive(Clone, Copy, ValueEnum)]
enum PaperArg {
    A4,
    A3,
    Letter,
}

/// Writes the layers; says what was cut.
pub(super) fn layers(args: &LayersArgs) -> Result<String, Error> {
    let thick = args.every.as_deref().map(thickness).transpose()?;
    let scan = scanned(&args.scan)?;
    let level = |text: &str| Cut::named(text, &scan.landmarks);
    let cuts = match thick {
        None => args
            .at
            .iter()
            .map(|text| level(text))
            .collect::<Result<Vec<_>, _>>()?,
        Some(thick) => {
            let low = level(args.from.as_deref().unwrap_or("crotch"))?.height;
            let high = match &args.to {
                Some(text) => level(text)?.height,
                // The lower one: above it an arm is part of the trunk.
                None => {
                    let [left, right] = [level("left armpit")?, level("right armpit")?];
                    Length::from_mm(left.height.mm().min(right.height.mm()))
                }
            };
            Cut::every(thick, low, high)?
        }
    };
    let stack = Stack::cut(&scan, &cuts);
    if let Some(path) = &args.out {
        let paper = match args.paper {
            PaperArg::A4 => Paper::A4,
            PaperArg::A3 => Paper::A3,
            PaperArg::Letter => Paper::Letter,
        };
        write_file(path, stack.pdf(paper))?;
    }
    if let Some(folder) = &args.svg {
        make_folder(folder)?;
        for (name, text) in stack.svg() {
            write_file(&folder.join(name), text)?;
        }
    }
    Ok(stack.say())
}

fn thickness(text: &str) -> Result<Length, Error> {
    read_length(text, LengthUnit::Centimetre).map_err(|fault| {
        ErrorKind::Options {
            what: format!("--every \"{text}\" {fault}"),
        }
        .into()
    })
}
