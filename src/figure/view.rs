//! The body from the front, the side and the back, with its levels and points.

use super::canvas::{LINE, apart, described, line, num, text, words};
use super::mark::{LevelMark, is_level, levels, short_name};
use super::raster::{Eye, Picture};
use super::{Figure, Units};
use crate::landmark::{Confidence, Landmark};
use crate::length::Length;
use crate::length::text::Shown;
use crate::scan::Scan;
use crate::side::Side;
use maud::{Markup, html};
use nalgebra::Vector3;

/// Where a body is seen from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Seen {
    /// The wearer's right is on the left of the picture.
    Front,
    /// From the wearer's right: the front is on the right of the picture.
    Side,
    /// The wearer's right is on the right of the picture.
    Back,
}

impl Seen {
    /// All three.
    pub const ALL: [Self; 3] = [Self::Front, Self::Side, Self::Back];

    /// Its name: `front`.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Front => "front",
            Self::Side => "side",
            Self::Back => "back",
        }
    }

    const fn title(self) -> &'static str {
        match self {
            Self::Front => "From the front",
            Self::Side => "From the wearer's right",
            Self::Back => "From the back",
        }
    }

    /// What lies on the left and the right of the picture.
    const fn ways(self) -> [&'static str; 2] {
        match self {
            Self::Front => ["wearer's right", "wearer's left"],
            Self::Side => ["back", "front"],
            Self::Back => ["wearer's left", "wearer's right"],
        }
    }

    fn eye(self) -> Eye {
        let (right, near) = match self {
            Self::Front => (-Vector3::x(), Vector3::y()),
            Self::Side => (Vector3::y(), Vector3::x()),
            Self::Back => (Vector3::x(), -Vector3::y()),
        };
        Eye { right, near }
    }

    /// Extent of a level across the picture.
    fn across(self, level: &LevelMark) -> (f64, f64) {
        let [(left, right), depth] = level.extent;
        match self {
            Self::Front => (-right, -left),
            Self::Side => depth,
            Self::Back => (left, right),
        }
    }

    /// The side whose points and levels are named, the other being the same again.
    fn is_named(self, side: Option<Side>, at_left: bool) -> bool {
        match (self, side) {
            (_, None) => true,
            (Self::Side, Some(side)) => side == Side::Right,
            (Self::Front, Some(side)) => (side == Side::Right) == at_left,
            (Self::Back, Some(side)) => (side == Side::Left) == at_left,
        }
    }
}

/// Room for the names of points on the left.
const LEFT: f64 = 72.0;
/// Room for the names of levels on the right, and for their heights as well.
const RIGHT: f64 = 74.0;
const RIGHT_HEIGHTS: f64 = 132.0;
/// Above the head and below the feet.
const TOP: f64 = 30.0;
const BOTTOM: f64 = 26.0;
/// Room for the body itself, and the largest scale at which it is drawn, in units a mm.
const BODY: f64 = 216.0;
const LARGEST: f64 = 0.3;
/// How far under the picture's skin a point may lie and still be seen: the picture is of a thinner
/// mesh, in elements of a few mm.
const SLACK_MM: f64 = 14.0;

/// What all three views share, so that levels run through them.
struct Board {
    levels: Vec<LevelMark>,
    /// Drawing units a mm.
    scale: f64,
    top_mm: f64,
    low_mm: f64,
}

impl Board {
    fn of(scan: &Scan) -> Self {
        let bounds = scan.body.mesh().bounds();
        let reach = bounds.map_or(1.0, |b| b.min.x.abs().max(b.max.x.abs()) * 2.0);
        Self {
            levels: levels(scan),
            scale: (BODY / reach.max(1.0)).min(LARGEST),
            top_mm: bounds.map_or(1.0, |b| b.max.z),
            low_mm: bounds.map_or(0.0, |b| b.min.z.min(0.0)),
        }
    }

    fn y(&self, height_mm: f64) -> f64 {
        TOP + (self.top_mm - height_mm) * self.scale
    }

    fn high(&self) -> f64 {
        self.y(self.low_mm) + BOTTOM
    }
}

/// The body from one place, with its level lines, its points and their names.
///
/// A level's band is as high as its uncertainty, two standard uncertainties up and down.
#[must_use]
pub fn view(scan: &Scan, seen: Seen, units: Units) -> Figure {
    Drawing::of(scan, &Board::of(scan), seen, units).figure()
}

/// The body from the front, the wearer's right and the back, to one scale.
#[must_use]
pub fn views(scan: &Scan, units: Units) -> [Figure; 3] {
    let board = Board::of(scan);
    Seen::ALL.map(|seen| Drawing::of(scan, &board, seen, units).figure())
}

struct Drawing<'a> {
    scan: &'a Scan,
    board: &'a Board,
    seen: Seen,
    units: Units,
    picture: Option<Picture>,
    /// Place of the body's own axis across the picture.
    middle: f64,
    /// Left end of the names of levels.
    names: f64,
    width: f64,
}

impl<'a> Drawing<'a> {
    fn of(scan: &'a Scan, board: &'a Board, seen: Seen, units: Units) -> Self {
        let picture = Picture::of(scan.body.outline(), &seen.eye());
        let (low, high) = match (&picture, seen) {
            (Some(picture), Seen::Side) => (picture.edges[0], picture.edges[1]),
            _ => {
                let half = BODY / board.scale / 2.0;
                (-half, half)
            }
        };
        let names = LEFT + (high - low) * board.scale;
        let column = match seen {
            Seen::Front => RIGHT_HEIGHTS,
            Seen::Side | Seen::Back => RIGHT,
        };
        Self {
            scan,
            board,
            seen,
            units,
            picture,
            middle: LEFT - low * board.scale,
            names,
            width: names + column,
        }
    }

    fn figure(&self) -> Figure {
        let ways = self.seen.ways();
        let floor = self.board.y(0.0);
        let content = html! {
            (self.skin())
            line class="floor" x1=(num(LEFT / 2.0)) x2=(num(self.names)) y1=(num(floor)) y2=(num(floor)) {}
            (words("way", [2.0, LINE], ways[0]))
            (words("way e", [self.width - 2.0, LINE], ways[1]))
            (words("way m", [self.middle, floor + LINE], "floor"))
            @for level in &self.board.levels { (self.level(level)) }
            (self.level_names())
            (self.points())
            (probe(self.board.y(0.0), self.board.scale, LEFT, self.names))
        };
        Figure {
            name: self.seen.name().to_owned(),
            title: format!("The body {}", self.seen.title().to_lowercase()),
            about: self.about(),
            width: self.width,
            height: self.board.high(),
            content,
        }
    }

    fn about(&self) -> String {
        let shown = described(self.units);
        let levels: Vec<String> = self
            .board
            .levels
            .iter()
            .map(|level| told(level, shown))
            .collect();
        format!(
            "The scanned body, {}. Levels above the floor: {}.",
            self.seen.title().to_lowercase(),
            levels.join("; ")
        )
    }

    fn skin(&self) -> Markup {
        let Some(picture) = &self.picture else {
            return html! {};
        };
        let [left, right, low, high] = picture.edges;
        let scale = self.board.scale;
        html! {
            image class="skin" x=(num(self.x(left))) y=(num(self.board.y(high)))
                width=(num((right - left) * scale)) height=(num((high - low) * scale))
                preserveAspectRatio="none" href=(picture.link()) {}
        }
    }

    fn x(&self, across_mm: f64) -> f64 {
        self.middle + across_mm * self.board.scale
    }

    fn is_drawn(&self, side: Option<Side>) -> bool {
        self.seen != Seen::Side || side != Some(Side::Left)
    }

    fn level(&self, level: &LevelMark) -> Markup {
        if !self.is_drawn(level.side) {
            return html! {};
        }
        let (low, high) = self.seen.across(level);
        let (left, right) = (self.x(low) - 3.0, self.x(high) + 3.0);
        let y = self.board.y(level.height_mm);
        let band = 4.0 * level.sd_mm * self.board.scale;
        html! {
            g class="level" {
                title { (told(level, described(self.units))) }
                rect class="band" x=(num(left)) width=(num(right - left)) y=(num(y - band / 2.0)) height=(num(band)) {}
                (line(line_class(level.sure), [left, y], [right, y]))
            }
        }
    }

    /// Names beside the levels, kept apart, each with a line to its level.
    fn level_names(&self) -> Markup {
        let named: Vec<&LevelMark> = self
            .board
            .levels
            .iter()
            .filter(|level| self.seen.is_named(level.side, false))
            .collect();
        let wanted: Vec<f64> = named
            .iter()
            .map(|level| self.board.y(level.height_mm))
            .collect();
        let places = apart(&wanted, LINE, (TOP, self.board.high() - LINE));
        let with_height = self.seen == Seen::Front;
        html! {
            @for ((level, &y), at) in named.iter().zip(&wanted).zip(places) {
                path class="lead" d={
                    "M" (num(self.x(self.seen.across(level).1) + 4.0)) " " (num(y))
                    "H" (num(self.names - 8.0)) "L" (num(self.names)) " " (num(at))
                } {}
                (text(self.units, "name", [self.names + 3.0, at + 4.0], |shown| {
                    if with_height && level.side.is_none() {
                        format!("{} {}", level.name, shown.show(Length::from_mm(level.height_mm)))
                    } else {
                        level.name.to_owned()
                    }
                }))
            }
        }
    }

    /// Points that are seen from here, one of each pair named.
    fn points(&self) -> Markup {
        let mut seen: Vec<(&Landmark, [f64; 3])> = self
            .scan
            .landmarks
            .found
            .iter()
            .filter(|mark| !is_level(mark.key) && self.is_drawn(mark.side))
            .map(|mark| (mark, self.seen.eye().place(&mark.point_mm.into())))
            .filter(|(mark, place)| self.shows(mark, *place))
            .collect();
        seen.sort_by(|a, b| b.1[1].total_cmp(&a.1[1]));
        // Where only one of a pair is seen, that one is named.
        let alone = |mark: &Landmark| {
            seen.iter()
                .filter(|(other, _)| other.key == mark.key)
                .count()
                < 2
        };
        let named: Vec<&(&Landmark, [f64; 3])> = seen
            .iter()
            .filter(|(mark, _)| self.seen.is_named(mark.side, true) || alone(mark))
            .collect();
        let wanted: Vec<f64> = named
            .iter()
            .map(|(_, place)| self.board.y(place[1]))
            .collect();
        let places = apart(&wanted, LINE, (TOP, self.board.high() - LINE));
        html! {
            @for ((&(mark, [across, ..]), &y), at) in named.iter().zip(&wanted).zip(places) {
                path class="lead" d={
                    "M" (num(self.x(*across))) " " (num(y)) "L" (num(LEFT + 4.0)) " " (num(at)) "H" (num(LEFT))
                } {}
                (words("name e", [LEFT - 3.0, at + 4.0], short_name(mark.key)))
            }
            @for (mark, [across, up, _]) in &seen {
                (dot(mark, [self.x(*across), self.board.y(*up)], described(self.units)))
            }
        }
    }

    fn shows(&self, mark: &Landmark, place: [f64; 3]) -> bool {
        // From the side the midline is the outline, and an arm may hide it.
        let on_outline = self.seen == Seen::Side && mark.side.is_none();
        on_outline
            || self
                .picture
                .as_ref()
                .is_none_or(|picture| picture.shows(place, SLACK_MM))
    }
}

/// A line that a page can move to any height, hidden until it does.
pub(super) fn probe(floor: f64, scale: f64, left: f64, right: f64) -> Markup {
    html! {
        line class="probe" data-floor=(num(floor)) data-scale=(format!("{scale:.5}"))
            x1=(num(left)) x2=(num(right)) y1=(num(floor)) y2=(num(floor)) visibility="hidden" {}
    }
}

fn told(level: &LevelMark, shown: Shown) -> String {
    let side = level
        .side
        .map(|side| format!("{side} "))
        .unwrap_or_default();
    format!(
        "{side}{} {} ± {}",
        level.name,
        shown.show(Length::from_mm(level.height_mm)),
        shown.show_up(Length::from_mm(2.0 * level.sd_mm)),
    )
}

/// How clearly the shape shows it is told by the line, not by its colour.
const fn line_class(sure: Confidence) -> &'static str {
    match sure {
        Confidence::Clear => "mark",
        Confidence::Fair | Confidence::Rough => "mark rough",
        Confidence::Given => "mark given",
    }
}

/// Clear ones are filled, rough ones hollow, those put by hand square.
fn dot(mark: &Landmark, [x, y]: [f64; 2], shown: Shown) -> Markup {
    let told = format!(
        "{} {}",
        mark.name(),
        shown.show(Length::from_mm(mark.height_mm()))
    );
    html! {
        g class="point" {
            title { (told) }
            @match mark.confidence {
                Confidence::Given => rect class="dot" x=(num(x - 2.8)) y=(num(y - 2.8)) width="5.6" height="5.6" {},
                Confidence::Clear => circle class="dot" cx=(num(x)) cy=(num(y)) r="2.8" {},
                Confidence::Fair | Confidence::Rough => circle class="dot open" cx=(num(x)) cy=(num(y)) r="2.8" {},
            }
        }
    }
}
