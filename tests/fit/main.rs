//! Fit: worked cases whose sums anyone can do by hand, and what must hold for any body.

#![expect(clippy::unwrap_used, reason = "a test stops at the first surprise")]

mod balance;
mod bare;
mod doubt;
#[cfg(feature = "pictures")]
#[path = "../common/drawn.rs"]
mod drawn;
mod halves;
mod laws;
mod parts;
mod pieces;
mod properties;
mod scale;
mod sheet;
mod size;
mod stretch;
mod trial;
mod uses;
mod wardrobe;
mod whole;
