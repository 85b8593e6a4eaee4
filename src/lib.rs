//! Girthwise: from a body scan and a hand tape to one measurement profile.

pub mod error;
pub mod finding;
pub mod fit;
pub mod length;
pub mod measure;
pub mod profile;
pub mod side;

pub use error::{Error, ErrorKind, Result};
pub use finding::{Finding, Weight};
pub use length::{Length, LengthUnit};
pub use side::Side;
