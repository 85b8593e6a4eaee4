//! Blank garment sheets: commented, to be filled in.

/// A kind of garment there is a blank sheet for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Blank {
    /// Shirts, blouses, jackets.
    Tops,
    /// Dresses.
    Dresses,
    /// Skirts.
    Skirts,
    /// Trousers.
    Trousers,
}

impl Blank {
    /// Every kind.
    pub const ALL: [Self; 4] = [Self::Tops, Self::Dresses, Self::Skirts, Self::Trousers];

    /// The sheet to fill in.
    ///
    /// [`read_garment`](super::read_garment) names what is still blank, and reads it once it is
    /// filled.
    #[must_use]
    pub const fn text(self) -> &'static str {
        match self {
            Self::Tops => include_str!("blank/tops.toml"),
            Self::Dresses => include_str!("blank/dresses.toml"),
            Self::Skirts => include_str!("blank/skirts.toml"),
            Self::Trousers => include_str!("blank/trousers.toml"),
        }
    }
}
