//! The form of the sheet: every table and key it knows, and what each takes.

use super::super::part::Part;

/// What stands behind a key.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Takes {
    /// Words.
    Text,
    /// One of these words.
    OneOf(&'static [&'static str]),
    /// The names of the sizes.
    Names,
    /// One length for each size.
    Table,
    /// One length for all sizes, or one for each.
    Line,
    /// The same of lengths that may lie below nought.
    SignedLine,
    /// A length above nought.
    Length,
    /// A length of nought or more.
    LengthOrNought,
    /// A length that may lie below nought.
    Signed,
    /// A count, or a count for each place of a seam.
    Seams,
    /// A whole number.
    Count,
    /// A share of a hundred.
    Percent,
}

/// A key, what it takes, and what it means.
pub(super) type Entry = (&'static str, Takes, &'static str);

pub(super) const UNITS: &[&str] = &["in", "cm", "mm"];
pub(super) const WAIST_LINES: &[&str] = &["seam", "shaped", "none"];
pub(super) const DRAWN: &[&str] = &["cut edge", "fold"];
pub(super) const LEVELS: &[&str] = &["bust", "waist", "hip"];
pub(super) const HALVES: &[&str] = &["front", "back", "other"];

/// The keys outside any table.
pub(super) const ROOT: &[Entry] = &[
    ("name", Takes::Text, "What the garment is called."),
    (
        "kind",
        Takes::Text,
        "What kind of garment it is; it changes nothing.",
    ),
    (
        "unit",
        Takes::OneOf(UNITS),
        "The unit of every bare number.",
    ),
    ("sizes", Takes::Names, "The sizes, smallest first."),
    (
        "waist_line",
        Takes::OneOf(WAIST_LINES),
        "What the garment does at the waist.",
    ),
    ("not_rising", Takes::Text, "Why a size table does not rise."),
    (
        "stretch",
        Takes::Percent,
        "How far the cloth stretches across, in parts of a hundred.",
    ),
];

/// The tables of the sheet, in its order; each part of the garment adds its own keys.
pub(super) const TABLES: &[(&str, &[Entry])] = &[
    (
        "body",
        &[
            (
                "bust",
                Takes::Table,
                "Bust girth of the body each size is drafted for.",
            ),
            ("waist", Takes::Table, "Waist girth of that body."),
            ("hip", Takes::Table, "Hip girth of that body."),
            (
                "upper_chest",
                Takes::Table,
                "Its girth under the armpits, above the bust.",
            ),
        ],
    ),
    (
        "finished",
        &[
            (
                "bust",
                Takes::Table,
                "Girth of the finished garment at the bust.",
            ),
            ("waist", Takes::Table, "Its girth at the waist."),
            ("hip", Takes::Table, "Its girth at the hip."),
        ],
    ),
    (
        "front",
        &[
            (
                "bust",
                Takes::Table,
                "Width of the finished front from side seam to side seam at the bust.",
            ),
            ("waist", Takes::Table, "The same at the waist."),
            ("hip", Takes::Table, "The same at the hip."),
        ],
    ),
    (
        "back",
        &[
            (
                "bust",
                Takes::Table,
                "Width of the finished back from side seam to side seam at the bust.",
            ),
            ("waist", Takes::Table, "The same at the waist."),
            ("hip", Takes::Table, "The same at the hip."),
        ],
    ),
    (
        "ease",
        &[
            ("bust", Takes::Signed, "Ease wanted at the bust."),
            ("waist", Takes::Signed, "Ease wanted at the waist."),
            ("hip", Takes::Signed, "Ease wanted at the hip."),
        ],
    ),
    (
        "lines",
        &[
            (
                "neck_to_bust",
                Takes::Line,
                "Side neck point down the front piece to the bust line.",
            ),
            ("bust_to_waist", Takes::Line, "Bust line to waist line."),
            ("waist_to_hip", Takes::Line, "Waist line to hip line."),
            ("hip_to_hem", Takes::Line, "Hip line to the hem."),
            (
                "total",
                Takes::Line,
                "Side neck point, or the waist line if none lies above it, to the hem.",
            ),
            (
                "back_waist",
                Takes::Line,
                "Back neck point down the back piece to the waist line.",
            ),
        ],
    ),
    (
        "seams",
        &[
            ("bust", Takes::Seams, "Seams that can change at the bust."),
            ("waist", Takes::Seams, "Seams that can change at the waist."),
            ("hip", Takes::Seams, "Seams that can change at the hip."),
            (
                "edge_limit",
                Takes::Length,
                "Most that one seam edge may change.",
            ),
        ],
    ),
    (
        "darts",
        &[
            (
                "waist_front",
                Takes::Count,
                "Waist darts of the whole front.",
            ),
            ("waist_back", Takes::Count, "Waist darts of the whole back."),
        ],
    ),
    (
        "hem",
        &[
            ("allowance", Takes::LengthOrNought, "What is turned up."),
            (
                "drawn_to",
                Takes::OneOf(DRAWN),
                "Where the pattern's lengths end.",
            ),
            (
                "above_floor",
                Takes::LengthOrNought,
                "Finished hem above the floor.",
            ),
            (
                "below",
                Takes::OneOf(LEVELS),
                "The line of the body the hem hangs below.",
            ),
            ("by", Takes::LengthOrNought, "How far below it."),
        ],
    ),
    ("bust_point", &[]),
    (
        "shoulder",
        &[(
            "pad",
            Takes::LengthOrNought,
            "Thickness of the shoulder pad at the armhole.",
        )],
    ),
    ("sleeve", &[]),
    (
        "trousers",
        &[(
            "top_below_waist",
            Takes::LengthOrNought,
            "How far the top edge is meant to sit below the narrowest waist.",
        )],
    ),
];

/// The keys of a pattern piece.
pub(super) const PIECE: &[Entry] = &[
    ("name", Takes::Text, "What the piece is called."),
    (
        "half",
        Takes::OneOf(HALVES),
        "Whether it belongs to the front or the back of the body.",
    ),
    (
        "cut",
        Takes::Count,
        "How often it is cut; on the fold it counts twice, measured as half.",
    ),
    (
        "bust",
        Takes::Line,
        "Width of the piece between its seams at the bust line, darts folded shut.",
    ),
    ("waist", Takes::Line, "The same at the waist line."),
    ("hip", Takes::Line, "The same at the hip line."),
];

/// What every part of the garment adds to a table.
pub(super) fn of_parts(table: &str) -> impl Iterator<Item = Entry> {
    Part::all().filter_map(move |part| {
        let (section, key) = part.in_sheet();
        match (table, part.ease_key()) {
            ("ease", Some(ease)) => Some((ease, Takes::Signed, part.about())),
            ("piece", _) if part.is_limb_girth() => Some((key, Takes::Line, part.about())),
            _ if section != table => None,
            _ if part.is_signed() => Some((key, Takes::SignedLine, part.about())),
            _ => Some((key, Takes::Line, part.about())),
        }
    })
}

/// Every entry of a table, in order; of the whole sheet's own keys for `""`.
pub(super) fn entries(table: &str) -> Vec<Entry> {
    let own = match table {
        "" => ROOT,
        "piece" => PIECE,
        _ => TABLES
            .iter()
            .find(|(name, _)| *name == table)
            .map_or(&[][..], |(_, own)| own),
    };
    own.iter().copied().chain(of_parts(table)).collect()
}

/// The keys a table knows.
pub(super) fn keys(table: &str) -> Vec<&'static str> {
    let mut keys: Vec<_> = entries(table).into_iter().map(|(key, ..)| key).collect();
    if table.is_empty() {
        keys.extend(TABLES.iter().map(|(name, _)| *name));
        keys.push("piece");
    }
    keys
}
