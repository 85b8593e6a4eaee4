//! Girthwise: from a body scan and a hand tape to one measurement profile.

// In the order the data travels: a module uses those above it.
pub mod error;
pub mod finding;
mod parallel;
pub mod side;

pub mod length;

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

pub mod fit;

pub mod report;

pub use error::{Error, ErrorKind, Result};
pub use finding::{Finding, Weight};
pub use length::{Length, LengthUnit};
pub use side::Side;
