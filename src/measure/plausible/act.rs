//! Acting on what no body shows: of the measures that do not go together, the one at fault is withheld, with all that
//! hangs on it.
//!
//! At fault is the measure that breaks the largest part of its relations; of two alike, the one that is less sure of
//! itself. What a hand has put stands, and is only told.

use super::relations::{RELATIONS, Relation, Seen};
use super::{Force, ORDERS, show};
use crate::finding::Finding;
use crate::landmark::LandmarkKey;
use crate::measure::{Key, Measure, MeasureId, Mode, Outcome, Source, Withheld};
use crate::side::Side;

/// More than so many measures are at fault only where the whole is not what it is taken for.
const MOST: usize = 40;

/// A relation as one body shows it.
pub(super) struct Shown<'m> {
    pub(super) relation: &'static Relation,
    /// The part first, then what it is held against.
    pub(super) all: Vec<&'m Measure>,
    pub(super) share: f64,
    /// Standard uncertainty of the share.
    sd: f64,
}

impl Shown<'_> {
    /// True if the share lies outside the window by more than its own uncertainty.
    pub(super) fn is_outside(&self) -> bool {
        let (low, high) = self.relation.window();
        self.share + self.sd < low || self.share - self.sd > high
    }

    /// `it is 0.40 of the hip girth, where 0.52 to 0.69 is usual`.
    pub(super) fn say(&self) -> String {
        let of = self.relation.of.iter().map(|key| key.definition().name);
        let of = of.collect::<Vec<_>>().join(" and ");
        let whole = match self.relation.of.len() {
            1 => format!("the {of}"),
            _ => format!("the mean of {of}"),
        };
        let (low, high) = self.relation.window();
        let seen = match self.relation.source {
            Seen::Survey => "where the survey's 6 068 people, with room,",
            Seen::Bodies => "where bodies, with room,",
        };
        format!(
            "it is {:.2} of {whole}, {seen} lie between {low:.2} and {high:.2}",
            self.share
        )
    }
}

/// Every relation that these values show, side by side.
pub(super) fn shown<'m>(get: &dyn Fn(MeasureId) -> Option<&'m Measure>) -> Vec<Shown<'m>> {
    let mut all = Vec::new();
    for relation in RELATIONS {
        for &side in Side::of_pair(relation.part.definition().paired) {
            all.extend(show_one(relation, side, get));
        }
    }
    all
}

fn show_one<'m>(
    relation: &'static Relation,
    side: Option<Side>,
    get: &dyn Fn(MeasureId) -> Option<&'m Measure>,
) -> Option<Shown<'m>> {
    let part = get(MeasureId::new(relation.part, side))?;
    let mut all = vec![part];
    let (mut log, mut square) = (0.0, (part.spread.sd / part.value).powi(2));
    #[expect(clippy::cast_precision_loss, reason = "three at most")]
    let weight = 1.0 / relation.of.len() as f64;
    for &key in relation.of {
        let paired = key.definition().paired;
        let sides: &[Option<Side>] = match side {
            Some(_) if paired => &[side],
            _ => Side::of_pair(paired),
        };
        let found: Vec<&Measure> = sides
            .iter()
            .filter_map(|&side| get(MeasureId::new(key, side)))
            .collect();
        #[expect(clippy::cast_precision_loss, reason = "two at most")]
        let count = found.len() as f64;
        let (value, sd) = found.iter().fold((0.0, 0.0), |(value, sd), one| {
            (value + one.value / count, sd + one.spread.sd / count)
        });
        if found.is_empty() || value <= 0.0 {
            return None;
        }
        log += weight * value.ln();
        square += (weight * sd / value).powi(2);
        all.extend(found);
    }
    let share = part.value / log.exp();
    (part.value > 0.0).then(|| Shown {
        relation,
        all,
        share,
        sd: share * square.sqrt(),
    })
}

/// A broken relation or order: who takes part, and the words for it.
struct Broken {
    ids: Vec<MeasureId>,
    words: String,
}

/// Withholds what is at fault until all that is left goes together, and tells it.
pub(crate) fn act(outcomes: &mut [Outcome]) -> Vec<Finding> {
    let mut findings = Vec::new();
    for _ in 0..MOST {
        let Some((fault, words)) = fault(outcomes) else {
            break;
        };
        let value = find(outcomes, fault).map(show).unwrap_or_default();
        let gone = withhold(outcomes, fault, &value, &words);
        let with = match gone {
            0 => String::new(),
            _ => format!(", and with it {gone} more that hang on it"),
        };
        findings.push(Finding::look(
            fault.to_string(),
            format!(
                "it came out at {value}: {words}. It is withheld{with}: it was taken at another place, or something is worn or held there. Look at the scan, and measure it by tape"
            ),
        ));
    }
    findings
}

/// The value of a measure among outcomes that are sorted by it.
fn find(outcomes: &[Outcome], id: MeasureId) -> Option<&Measure> {
    let at = outcomes.binary_search_by_key(&id, Outcome::id).ok()?;
    match &outcomes[at] {
        Outcome::Value(measure) => Some(measure),
        Outcome::Withheld(_) => None,
    }
}

/// The measure at fault, and what it breaks.
fn fault(outcomes: &[Outcome]) -> Option<(MeasureId, String)> {
    let get = |id: MeasureId| find(outcomes, id);
    let mut kept: Vec<MeasureId> = Vec::new();
    let mut broken: Vec<Broken> = Vec::new();
    for one in shown(&get) {
        let ids = one.all.iter().map(|measure| measure.id);
        if one.is_outside() {
            let ids = ids.collect();
            let words = one.say();
            broken.push(Broken { ids, words });
        } else {
            kept.extend(ids);
        }
    }
    for order in ORDERS.iter().filter(|order| order.force == Force::Hard) {
        for (larger, smaller) in super::pairs(&get, order.larger, order.smaller) {
            let ids = [larger.id, smaller.id];
            let sd = larger.spread.sd.hypot(smaller.spread.sd);
            if larger.value + sd < smaller.value {
                let words = format!(
                    "that is less than the {} at {}, which nobody in a survey of 6 068 people shows",
                    smaller.id,
                    show(smaller)
                );
                broken.push(Broken {
                    ids: ids.to_vec(),
                    words,
                });
            } else {
                kept.extend(ids);
            }
        }
    }
    let pinned = |id: MeasureId| get(id).is_none_or(|measure| measure.source == Source::Pinned);
    let rough = |id: MeasureId| get(id).map_or(0.0, |one| one.spread.sd / one.value.abs());
    let count = |of: &[MeasureId], id: MeasureId| of.iter().filter(|&&other| other == id).count();
    let mut suspects: Vec<(f64, f64, MeasureId)> = Vec::new();
    for id in broken.iter().flat_map(|broken| &broken.ids).copied() {
        if pinned(id) || suspects.iter().any(|suspect| suspect.2 == id) {
            continue;
        }
        let breaks = broken
            .iter()
            .filter(|broken| broken.ids.contains(&id))
            .count();
        #[expect(clippy::cast_precision_loss, reason = "some dozens")]
        let part = breaks as f64 / (breaks + count(&kept, id)) as f64;
        suspects.push((part, rough(id), id));
    }
    let worst = suspects.into_iter().max_by(|a, b| {
        let by = a.0.total_cmp(&b.0).then(a.1.total_cmp(&b.1));
        by.then(b.2.cmp(&a.2))
    })?;
    let words = broken.iter().find(|broken| broken.ids.contains(&worst.2))?;
    // The words speak of the part; where another is at fault, they say whose they are.
    let whose = words.ids[0];
    Some(if whose == worst.2 {
        (worst.2, words.words.clone())
    } else {
        let of = get(whose).map(show).unwrap_or_default();
        (
            worst.2,
            format!(
                "the {whose}, at {of}, does not go with it ({})",
                words.words
            ),
        )
    })
}

/// Withholds a measure and what hangs on it; how many hung on it.
fn withhold(outcomes: &mut [Outcome], fault: MeasureId, value: &str, words: &str) -> usize {
    let mut gone = 0;
    for outcome in outcomes {
        let Outcome::Value(measure) = &*outcome else {
            continue;
        };
        let id = measure.id;
        if measure.source == Source::Pinned || !(id == fault || hangs_on(id, fault)) {
            continue;
        }
        let reason = if id == fault {
            format!(
                "it came out at {value}: {words}; it was taken at another place, or something is worn or held there; measure it by tape"
            )
        } else {
            format!(
                "it hangs on the {fault}, which came out at {value} and is out of proportion ({words}); measure it by tape"
            )
        };
        gone += usize::from(id != fault);
        *outcome = Outcome::Withheld(Withheld { id, reason });
    }
    gone
}

/// True if a measure is worth nothing where another is at fault: it rests on the landmark whose height that is, or is
/// taken at the same place.
fn hangs_on(id: MeasureId, fault: MeasureId) -> bool {
    let of_side = |marks: &[LandmarkKey]| {
        let row = id.key.definition();
        let same = id.side.is_none() || fault.side.is_none() || id.side == fault.side;
        same && marks.iter().any(|mark| row.marks.contains(mark))
    };
    match fault.key {
        // What goes round the neck hides where it begins.
        Key::NeckGirth => {
            place(id.key) == place(fault.key)
                || id.key == Key::NeckForward
                || of_side(&[
                    LandmarkKey::BackNeckPoint,
                    LandmarkKey::FrontNeckPoint,
                    LandmarkKey::SideNeckPoint,
                ])
        }
        key if key.definition().mode == Mode::Height => of_side(key.definition().marks),
        key => {
            let same_side = id.side.is_none() || fault.side.is_none() || id.side == fault.side;
            same_side && place(key).is_some() && place(id.key) == place(key)
        }
    }
}

/// What a girth, breadth, depth or arc is taken of: `bust` for `bust_girth`, `bust_half_girth` and `bust_depth`.
fn place(key: Key) -> Option<&'static str> {
    const ENDS: [&str; 7] = [
        "_half_girth",
        "_girth_surface",
        "_girth",
        "_front_arc",
        "_back_arc",
        "_breadth",
        "_depth",
    ];
    let text = key.definition().text;
    ENDS.iter().find_map(|end| text.strip_suffix(end))
}
