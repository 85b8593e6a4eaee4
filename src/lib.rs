//! Girthwise: from a body scan and a hand tape to one measurement profile a sewist can cut by.
//!
//! For people who sew for a body that matches no size chart. A 3-D scan gives girths, heights and
//! left/right differences; a tape sheet checks them; the joined profile is held against what a
//! pattern says of itself, and a plan tells what to cut differently. Every number has a definition,
//! a unit and an uncertainty. What cannot be known is withheld with its reason.
//!
//! ```
//! use girthwise::{frame::FrameOptions, ingest::{Limits, read_scan}, scan::measure_scan};
//! use girthwise::fit::{FitRoutine, LevelFit, read_garment};
//! use girthwise::{LengthUnit, measure::Key, profile::Profile, tape::{pool, read_tape}};
//!
//! let raw = read_scan("data/demo/scan.ply".as_ref(), &Limits::default())?;
//! let scan = measure_scan(raw, &FrameOptions::default(), |_step| ())?;
//! let sheet = "measure,reading\nbust girth,33 1/2 in\n";
//! let tape = pool(&read_tape(sheet.as_bytes(), "tape.csv", LengthUnit::Centimetre)?);
//! let profile = Profile::of(&scan, &tape);
//! let bust = profile.get(Key::BustGirth).expect("the demo has a bust girth");
//! assert!((bust.length().inch() - 33.5).abs() < 0.25);
//! let garment = read_garment("garment.toml", include_str!("../data/demo/garment.toml"))?;
//! let plan = LevelFit::default().plan(&profile, &garment)?;
//! assert!(!plan.steps.is_empty());
//! # Ok::<(), girthwise::Error>(())
//! ```
//!
//! # The way of the data
//! ```text
//! scan file ── ingest ── frame ── section ── part ── landmark ── measure ┐
//!              mesh      upright   planes    limbs                       ├ crosscheck ── profile ┐
//! tape sheet ── tape ────────────────────────────────────────────────────┘                       ├ fit ── report
//! garment sheet ─────────────────────────────────────────────────────────────────────────────────┘
//! ```
//! Each stage is a public function with its own input and output type and can be used alone;
//! [`scan::measure_scan`] goes from the file's mesh to measures in one call.
//!
//! # Modules, in the order the data travels
//! A module uses those above it, never one below.
//! - [`error`], [`finding`], [`side`], [`length`]: the ground; no answer, a caveat, left and right, units.
//! - [`mesh`], [`section`]: triangles, and what a plane cuts out of them.
//! - [`ingest`]: bytes to a checked mesh in the unit of the file.
//! - [`frame`]: unit, up, front and floor, found or given; the body upright in millimetres.
//! - [`part`], [`landmark`]: legs, trunk, arms, neck and head; then the places a tape goes by.
//! - [`measure`]: the catalogue, each value with its spread, left against right.
//! - [`scan`]: all of that in one call, with where it came from.
//! - [`tape`]: a hand-written sheet, its repeats pooled.
//! - [`crosscheck`]: scan against tape, which slip would explain a distance, and the value to work with.
//! - [`profile`]: one versioned document of it all.
//! - [`batch`]: many scans to one table, a row a scan.
//! - [`fit`]: a garment sheet and a profile to a cutting plan; [`fit::FitRoutine`] for rules of your own.
//! - [`schema`]: JSON Schemas of profile, plan and garment sheet, for other programs.
//! - [`report`]: profile and plan in words.
//! - [`model`]: the scan with its lines and landmarks as glTF, to turn round in any viewer.
//! - [`layer`]: sections at full scale (SVG, PDF), to build a form of the body from.
//! - [`figure`]: body, cuts, girth curve, left against right and plan as SVG drawings.
//! - [`page`]: all of it as one page to look at.
//!
//! # Features
//! - `cli` (default): the program. Off, its argument and progress libraries are not built.
//! - `parquet`: the table of a [`batch`] as a Parquet file too.
//! - `pictures` (default): the drawings of [`figure`] as PNG pictures; brings a typeface of 1.5 MB.
//! - `parallel` (default): planes are cut on all cores. Off or on, the results are the same bytes;
//!   turn it off where threads cannot be started.

// In the order the data travels: a module uses those above it.
pub mod error;
pub mod finding;
mod parallel;
pub mod side;

pub mod length;

mod naming;

pub mod mesh;
pub mod section;

pub mod ingest;

pub mod frame;

pub mod part;

pub mod landmark;

pub mod measure;

pub mod scan;

pub mod tape;

pub mod crosscheck;

pub mod profile;

pub mod change;

pub mod export;

pub mod batch;

pub mod fit;

pub mod schema;

pub mod report;

pub mod model;

pub mod figure;
pub mod layer;

pub mod page;

pub use error::{Error, ErrorKind, Result};
pub use finding::{Finding, Weight};
pub use length::{Length, LengthUnit};
pub use side::Side;
