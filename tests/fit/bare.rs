//! A garment sheet read a second time as bare TOML, and the size and girth it asks for by sums of its own.

use girthwise::fit::Level;
use std::collections::BTreeMap;
use toml::Table;

/// A player of the wardrobe: every number of its column.
pub(crate) type Player = BTreeMap<&'static str, f64>;

/// A sheet as bare TOML.
pub(crate) struct Bare(Table);

impl Bare {
    pub(crate) fn read(text: &str) -> Self {
        Self(text.parse().unwrap())
    }

    /// One number of the sheet in mm.
    fn mm(&self, value: &toml::Value) -> f64 {
        let unit = match self.0["unit"].as_str().unwrap() {
            "mm" => 1.0,
            "cm" => 10.0,
            _ => 25.4,
        };
        let number = match value {
            toml::Value::Integer(whole) => f64::from(i32::try_from(*whole).unwrap()),
            toml::Value::Float(number) => *number,
            other => other.as_str().unwrap().split(' ').map(fraction).sum(),
        };
        unit * number
    }

    /// The ease asked for at a level or of a part, in mm.
    pub(crate) fn ease(&self, of: &str) -> Option<f64> {
        let ease = self.0.get("ease")?.as_table()?.get(of)?;
        Some(self.mm(ease))
    }

    fn table(&self, section: &str, level: &str) -> Option<Vec<f64>> {
        let values = self.0.get(section)?.as_table()?.get(level)?.as_array()?;
        Some(values.iter().map(|value| self.mm(value)).collect())
    }

    /// Girths of the finished garment: printed, or the sum of the pieces as often as they are cut.
    pub(crate) fn finished(&self, level: Level) -> Option<Vec<f64>> {
        if let Some(printed) = self.table("finished", level.name()) {
            return Some(printed);
        }
        let mut sum: Option<Vec<f64>> = None;
        for piece in self.0.get("piece")?.as_array()? {
            let piece = piece.as_table().unwrap();
            let Some(widths) = piece.get(level.name()).and_then(toml::Value::as_array) else {
                continue;
            };
            let cut = f64::from(i32::try_from(piece["cut"].as_integer().unwrap()).unwrap());
            let sum = sum.get_or_insert_with(|| vec![0.0; widths.len()]);
            for (total, width) in sum.iter_mut().zip(widths) {
                *total += cut * self.mm(width);
            }
        }
        sum
    }

    /// Size and girth that a body needs at a level, by hand.
    ///
    /// Where an ease is asked for, the size whose finished girth comes nearest to body and ease; else
    /// the size drafted for the nearest body, with the ease it was drafted with. A bust that exceeds
    /// the upper chest by 2 in or more takes the size of the upper chest (state extension leaflet
    /// "Principles of Pattern Alteration").
    pub(crate) fn needs(&self, player: &Player, level: Level) -> Option<Needs> {
        let girth = player[level.girth().definition().text];
        let finished = self.finished(level);
        let chart = self.table("body", level.name());
        let asked = self.ease(level.name());
        let mut size = match (&finished, asked, &chart) {
            (Some(finished), Some(ease), _) => nearest(finished, girth + ease),
            (_, _, Some(chart)) => nearest(chart, girth),
            _ => return None,
        };
        let upper = player["upper_chest_girth"];
        let chest = self.table("body", "upper_chest").or_else(|| chart.clone());
        let by_upper_chest = level == Level::Bust && girth - upper >= 50.8 && chest.is_some();
        if let (true, Some(chest)) = (by_upper_chest, &chest) {
            size = nearest(chest, upper);
        }
        let finished = finished?;
        let ease = asked.or_else(|| Some(finished[size] - chart.as_ref()?[size]))?;
        Some(Needs {
            size,
            by_upper_chest,
            girth: girth + ease,
            ease,
        })
    }
}

/// What the sheet asks for at a level.
pub(crate) struct Needs {
    pub(crate) size: usize,
    pub(crate) by_upper_chest: bool,
    /// Body and ease.
    pub(crate) girth: f64,
    pub(crate) ease: f64,
}

/// `3/4` or `10`.
fn fraction(text: &str) -> f64 {
    match text.split_once('/') {
        Some((over, under)) => over.parse::<f64>().unwrap() / under.parse::<f64>().unwrap(),
        None => text.parse().unwrap(),
    }
}

/// The nearest of a table; of two equally near the larger.
fn nearest(table: &[f64], want: f64) -> usize {
    let miss = |at: usize| (table[at] - want).abs();
    (0..table.len()).fold(0, |best, at| {
        if miss(at) <= miss(best) + 1e-6 {
            at
        } else {
            best
        }
    })
}
