//! What a log proves about the soak, and what each departure from the set heat cost in depth: the
//! carbon is run again over the cycle as it was logged, and over the same cycle with that stretch
//! put right. Reads no file; a log arrives here as corners on straight lines.
//!
//! Only a couple in the pack proves a soak. The furnace's own couple is told for what it is, and the
//! parts are then taken to follow no faster than planned.

use casewright_physics::run::Failure;
use casewright_physics::setup::{CarbonSetup, Cycle, Ramp};
use casewright_physics::simulate;
use casewright_terms::{Diag, Length, Span, Temperature, TemperatureStep};

use crate::follow::Followed;
use crate::pack::heat::at;
use crate::recipe::Departure;

/// Where the couple was.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Couple {
    /// Buried in the pack.
    Pack,
    /// In the furnace.
    Furnace,
}

/// A log as it is judged.
#[derive(Clone, Debug, PartialEq)]
pub struct Logged {
    /// Where the couple was.
    pub couple: Couple,
    /// Time from the log's first row and temperature; times rise.
    pub corners: Vec<(Span, Temperature)>,
    /// Stretches without readings, from and to.
    pub holes: Vec<(Span, Span)>,
    /// Usual time between rows.
    pub interval: Span,
    /// Allowed deviation from the set temperature, either way.
    pub tolerance: TemperatureStep,
    /// The soak that was wanted, from when the pack is hot: the plan's, or as it was set since.
    pub soak: Span,
}

/// What kind of departure.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// Below the band.
    Under,
    /// Above it.
    Over,
    /// No reading: nothing is known.
    Hole,
}

impl Kind {
    /// The word.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Under => "under",
            Self::Over => "over",
            Self::Hole => "hole",
        }
    }
}

/// A stretch of the soak outside the band, or without readings.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Excursion {
    /// Which.
    pub kind: Kind,
    /// From the log's first row.
    pub from: Span,
    /// To.
    pub to: Span,
    /// How far from the set temperature it went at most; below it is negative. `None` in a hole.
    pub furthest: Option<TemperatureStep>,
    /// Depth that it cost; negative where it made the case deeper. Of a hole the most it can have
    /// cost: as if nothing had come in while it lasted.
    pub cost: Length,
}

/// What the log proves.
#[derive(Clone, Debug, PartialEq)]
pub struct Proof {
    /// Least and greatest temperature of the band.
    pub band: (Temperature, Temperature),
    /// When it was as hot as the plan calls hot, from the log's first row; `None` where it never came
    /// into the band.
    pub hot: Option<Span>,
    /// When it last left the band.
    pub left: Option<Span>,
    /// Soak that is proven: in the band, by a couple in the pack.
    pub within: Span,
    /// Above the band.
    pub over: Span,
    /// Below it.
    pub under: Span,
    /// Without readings.
    pub unknown: Span,
    /// Whether the planned soak is proven.
    pub proven: bool,
    /// Why not.
    pub why_not: Vec<String>,
    /// Depth of the plan's own run to the note's limit, before grinding.
    pub depth_planned: Length,
    /// Depth that the logged cycle gives.
    pub depth_logged: Length,
    /// What went another way, in order.
    pub excursions: Vec<Excursion>,
    /// What all of it cost together, holes left out.
    pub cost: Length,
    /// What there is to say.
    pub findings: Vec<Diag>,
}

/// Excursions that are reckoned one by one; the longest are taken.
const MOST_EXCURSIONS: usize = 40;
/// Shorter ones are a reading's own scatter: the pack takes minutes to answer. [trade-practice]
const SHORTEST: f64 = 60.0;
/// A log that ends hotter than this does not show the cooling, which the plan then stands in for.
const COOLED_C: f64 = 500.0;
/// A log that begins hotter than this does not show the heating.
const COLD_C: f64 = 200.0;
/// Rows this far apart are good, and a soak is not proven by rows further apart. [trade-practice]
const ROWS_GOOD_S: f64 = 300.0;
/// See [`ROWS_GOOD_S`].
const ROWS_MOST_S: f64 = 900.0;
/// A hole longer than this, or than this share of the soak, wants a signed note. [trade-practice]
const HOLE_NOTE_MIN: f64 = 10.0;
/// See [`HOLE_NOTE_MIN`].
const HOLE_NOTE_SHARE: f64 = 0.05;
/// A soak short by less than this is the planned one: the clock of a shop.
const SHORT_MIN: f64 = 5.0;

/// Judges a log against the plan.
///
/// # Errors
/// What physics could not do.
///
/// # Panics
/// When the log has no corner; who reads logs gives none without readings.
pub fn judge(followed: &Followed<'_>, logged: &Logged) -> Result<Proof, Failure> {
    assert!(!logged.corners.is_empty(), "a log has readings");
    let set = followed.kit.way.temperature;
    let band = (set - logged.tolerance, set + logged.tolerance);
    let pieces = pieces(&logged.corners);
    let (first, left) = window(&pieces, band.0);
    // The plan counts its soak from when the pack is hot, which may be a little under the band.
    let hot = first.map(|first| {
        let (called, _) = window(&pieces, called_hot(followed, logged.couple).min(band.0));
        called.unwrap_or(first).min(first)
    });
    let (mut all, times) = match (hot, first, left) {
        (Some(hot), Some(first), Some(left)) => {
            let soak = Soak { hot, first, left };
            excursions(&pieces, &logged.holes, band, set, &soak)
        }
        _ => (Vec::new(), Times::NONE),
    };
    let planned_cycle = &followed.planned.heat.part;
    let depth_planned = depth(followed, planned_cycle)?;
    let cycle = whole(followed, logged, &pieces, left);
    let depth_logged = depth(followed, &cycle.cycle)?;
    for excursion in &mut all {
        let (from, to) = (excursion.from + cycle.shift, excursion.to + cycle.shift);
        excursion.cost = match excursion.kind {
            Kind::Hole => depth_logged - depth(followed, &without(&cycle.cycle, from, to))?,
            Kind::Under | Kind::Over => {
                depth(followed, &put_right(&cycle.cycle, from, to, band))? - depth_logged
            }
        };
    }
    let cost = all
        .iter()
        .filter(|excursion| excursion.kind != Kind::Hole)
        .map(|excursion| excursion.cost)
        .fold(Length::ZERO, |sum, cost| sum + cost);
    let why_not = why_not(logged, hot, &times);
    let mut findings = findings(logged, &all, &times);
    findings.extend(outside(followed, depth_logged));
    Ok(Proof {
        band,
        hot,
        left,
        within: times.within,
        over: times.over,
        under: times.under,
        unknown: times.unknown,
        proven: why_not.is_empty(),
        why_not,
        depth_planned,
        depth_logged,
        excursions: all,
        cost,
        findings,
    })
}

/// What the couple reads when the plan calls the pack hot.
fn called_hot(followed: &Followed<'_>, couple: Couple) -> Temperature {
    let heat = followed.recipe.packed.heat.as_ref();
    let reads = heat.and_then(|heat| heat.couple_reads());
    match (couple, reads) {
        (Couple::Pack, Some(reads)) => reads,
        (Couple::Pack, None) => at(&followed.planned.heat.part, followed.planned.heat.hot_after),
        // A furnace is at heat when it is in its band.
        (Couple::Furnace, _) => followed.kit.way.temperature,
    }
}

/// The ends of a soak: called hot, first in the band, last in the band.
struct Soak {
    hot: Span,
    first: Span,
    left: Span,
}

/// Depth to the note's limit in carbon.
fn depth(followed: &Followed<'_>, cycle: &Cycle) -> Result<Length, Failure> {
    let setup = followed.recipe.chain_setup(
        &followed.kit.matter,
        &Departure::NONE,
        &followed.planned.heat,
    );
    let run = simulate::carbon(&CarbonSetup {
        cycle: cycle.clone(),
        ..setup.carbon
    })?;
    Ok(run
        .depth_to_carbon(followed.limit_carbon)
        .unwrap_or(Length::ZERO))
}

/// A straight piece of the log with its times.
#[derive(Clone, Copy)]
struct Piece {
    begins: Span,
    ends: Span,
    ramp: Ramp,
}

impl Piece {
    fn at(&self, time: Span) -> Temperature {
        let ramp = &self.ramp;
        if ramp.duration <= Span::ZERO {
            return ramp.to;
        }
        ramp.from + (ramp.to - ramp.from) * ((time - self.begins) / ramp.duration)
    }

    /// When it passes a temperature, where it does inside.
    fn crosses(&self, level: Temperature) -> Option<Span> {
        let (from, to) = (self.ramp.from.to_k(), self.ramp.to.to_k());
        let (low, high) = (from.min(to), from.max(to));
        let at = level.to_k();
        (low < at && at < high)
            .then(|| self.begins + self.ramp.duration * ((at - from) / (to - from)))
    }
}

fn pieces(corners: &[(Span, Temperature)]) -> Vec<Piece> {
    corners
        .windows(2)
        .filter(|pair| pair[1].0 > pair[0].0)
        .map(|pair| Piece {
            begins: pair[0].0,
            ends: pair[1].0,
            ramp: Ramp {
                from: pair[0].1,
                to: pair[1].1,
                duration: pair[1].0 - pair[0].0,
            },
        })
        .collect()
}

/// From when it first came up to the level to when it last went below it.
fn window(pieces: &[Piece], level: Temperature) -> (Option<Span>, Option<Span>) {
    let first = pieces.iter().find_map(|piece| {
        if piece.ramp.from >= level {
            return Some(piece.begins);
        }
        (piece.ramp.to >= level).then(|| piece.crosses(level).unwrap_or(piece.ends))
    });
    let last = pieces.iter().rev().find_map(|piece| {
        if piece.ramp.to >= level {
            return Some(piece.ends);
        }
        (piece.ramp.from >= level).then(|| piece.crosses(level).unwrap_or(piece.begins))
    });
    (first, last)
}

/// Times of the soak.
struct Times {
    within: Span,
    over: Span,
    under: Span,
    unknown: Span,
}

impl Times {
    const NONE: Self = Self {
        within: Span::ZERO,
        over: Span::ZERO,
        under: Span::ZERO,
        unknown: Span::ZERO,
    };
}

fn excursions(
    pieces: &[Piece],
    holes: &[(Span, Span)],
    band: (Temperature, Temperature),
    set: Temperature,
    soak: &Soak,
) -> (Vec<Excursion>, Times) {
    let (hot, left) = (soak.hot, soak.left);
    let mut times = Times::NONE;
    let mut list: Vec<Excursion> = Vec::new();
    for (from, to) in holes {
        let (from, to) = (from.max(hot), to.min(left));
        if to > from {
            times.unknown = times.unknown + (to - from);
            list.push(Excursion {
                kind: Kind::Hole,
                from,
                to,
                furthest: None,
                cost: Length::ZERO,
            });
        }
    }
    let mut open: Option<Excursion> = None;
    for (from, to, piece) in stretches(pieces, holes, band, (hot, left)) {
        let middle = piece.at(from + (to - from) * 0.5);
        let kind = if middle < band.0 && from >= soak.first {
            times.under = times.under + (to - from);
            Some(Kind::Under)
        } else if middle > band.1 {
            times.over = times.over + (to - from);
            Some(Kind::Over)
        } else {
            times.within = times.within + (to - from);
            None
        };
        let furthest = [piece.at(from), piece.at(to)]
            .map(|t| t - set)
            .into_iter()
            .max_by(|a, b| a.to_k().abs().total_cmp(&b.to_k().abs()));
        match (&mut open, kind) {
            (Some(held), Some(kind)) if held.kind == kind && held.to >= from => {
                held.to = to;
                if let (Some(a), Some(b)) = (held.furthest, furthest)
                    && b.to_k().abs() > a.to_k().abs()
                {
                    held.furthest = Some(b);
                }
            }
            (_, kind) => {
                list.extend(open.take());
                open = kind.map(|kind| Excursion {
                    kind,
                    from,
                    to,
                    furthest,
                    cost: Length::ZERO,
                });
            }
        }
    }
    list.extend(open);
    list.retain(|excursion| (excursion.to - excursion.from).to_s() >= SHORTEST);
    if list.len() > MOST_EXCURSIONS {
        let length = |e: &Excursion| (e.to - e.from).to_s();
        list.sort_by(|a, b| length(b).total_cmp(&length(a)));
        list.truncate(MOST_EXCURSIONS);
    }
    list.sort_by(|a, b| a.from.to_s().total_cmp(&b.from.to_s()));
    (list, times)
}

/// The pieces cut where they enter or leave the band, without the holes.
fn stretches<'p>(
    pieces: &'p [Piece],
    holes: &[(Span, Span)],
    band: (Temperature, Temperature),
    (hot, left): (Span, Span),
) -> Vec<(Span, Span, &'p Piece)> {
    let mut list = Vec::new();
    for piece in pieces {
        let (begins, ends) = (piece.begins.max(hot), piece.ends.min(left));
        if ends <= begins {
            continue;
        }
        let mut cuts = vec![begins, ends];
        cuts.extend(piece.crosses(band.0));
        cuts.extend(piece.crosses(band.1));
        cuts.extend(holes.iter().flat_map(|(a, b)| [*a, *b]));
        cuts.retain(|t| *t >= begins && *t <= ends);
        cuts.sort_by(|a, b| a.to_s().total_cmp(&b.to_s()));
        for pair in cuts.windows(2) {
            let (from, to) = (pair[0], pair[1]);
            let middle = from + (to - from) * 0.5;
            let blind = holes.iter().any(|(a, b)| *a < middle && middle < *b);
            if to > from && !blind {
                list.push((from, to, piece));
            }
        }
    }
    list
}

/// The logged cycle as the part went through it, and by how much its times are later than the log's.
struct Whole {
    cycle: Cycle,
    shift: Span,
}

/// What the log does not show is as planned: a heating that was not logged, a cooling that was not.
/// Under a furnace couple the part is no hotter than the furnace and no sooner hot than planned.
fn whole(followed: &Followed<'_>, logged: &Logged, pieces: &[Piece], left: Option<Span>) -> Whole {
    let plan = &followed.planned.heat;
    let begins_hot = logged.corners[0].1 > Temperature::from_c(COLD_C);
    let mut list: Vec<Ramp> = Vec::new();
    let mut shift = Span::ZERO;
    if begins_hot {
        let before = crate::follow::until(&plan.part, reaches(&plan.part, logged.corners[0].1));
        shift = before
            .pieces
            .iter()
            .fold(Span::ZERO, |sum, piece| sum + piece.duration);
        list.extend(before.pieces);
    }
    // A furnace that is opened cools, and the box in it or beside it does not follow.
    let end = match (logged.couple, left) {
        (Couple::Furnace, Some(left)) => left,
        _ => pieces.last().map_or(Span::ZERO, |piece| piece.ends),
    };
    for piece in pieces.iter().filter(|piece| piece.begins < end) {
        let to = piece.ends.min(end);
        let mut ramp = Ramp {
            from: piece.ramp.from,
            to: piece.at(to),
            duration: to - piece.begins,
        };
        if logged.couple == Couple::Furnace && !begins_hot {
            // The plan's part beside the plan's clock, piece by piece.
            let (a, b) = (at(&plan.part, piece.begins), at(&plan.part, to));
            if piece.begins < plan.hot_after {
                ramp.from = ramp.from.min(a);
                ramp.to = ramp.to.min(b.max(a));
            }
        }
        list.push(ramp);
    }
    let last = list.last().map_or(logged.corners[0].1, |ramp| ramp.to);
    if last > Temperature::from_c(COOLED_C) {
        let mut cooling = after(&plan.part, plan.soak_ends);
        if let Some(first) = cooling.first_mut() {
            first.from = last;
        }
        list.extend(cooling);
    }
    Whole {
        cycle: Cycle { pieces: list },
        shift,
    }
}

/// When a cycle first reaches a temperature; its end where it never does.
fn reaches(cycle: &Cycle, level: Temperature) -> Span {
    let mut begins = Span::ZERO;
    for piece in &cycle.pieces {
        if piece.to >= level && piece.duration > Span::ZERO {
            let rise = (piece.to - piece.from).to_k();
            let share = if rise > 0.0 {
                ((level - piece.from).to_k() / rise).clamp(0.0, 1.0)
            } else {
                0.0
            };
            return begins + piece.duration * share;
        }
        begins = begins + piece.duration;
    }
    begins
}

/// What comes behind a moment of a cycle.
fn after(cycle: &Cycle, from: Span) -> Vec<Ramp> {
    cut(cycle, from, Span::from_h(1e6))
}

/// The stretch of a cycle between two moments.
fn cut(cycle: &Cycle, from: Span, to: Span) -> Vec<Ramp> {
    let mut begins = Span::ZERO;
    let mut list = Vec::new();
    for ramp in &cycle.pieces {
        let ends = begins + ramp.duration;
        let (a, b) = (begins.max(from), ends.min(to));
        if b > a {
            let piece = Piece {
                begins,
                ends,
                ramp: *ramp,
            };
            list.push(Ramp {
                from: piece.at(a),
                to: piece.at(b),
                duration: b - a,
            });
        }
        begins = ends;
    }
    list
}

/// The cycle with a stretch left out.
fn without(cycle: &Cycle, from: Span, to: Span) -> Cycle {
    let mut pieces = cut(cycle, Span::ZERO, from);
    pieces.extend(after(cycle, to));
    Cycle { pieces }
}

/// The cycle with a stretch held to the band, at the end of it that was left.
fn put_right(cycle: &Cycle, from: Span, to: Span, band: (Temperature, Temperature)) -> Cycle {
    let held = |t: Temperature| t.max(band.0).min(band.1);
    let mut pieces = cut(cycle, Span::ZERO, from);
    pieces.extend(cut(cycle, from, to).into_iter().map(|ramp| Ramp {
        from: held(ramp.from),
        to: held(ramp.to),
        duration: ramp.duration,
    }));
    pieces.extend(after(cycle, to));
    Cycle { pieces }
}

fn why_not(logged: &Logged, hot: Option<Span>, times: &Times) -> Vec<String> {
    let mut list = Vec::new();
    if hot.is_none() {
        list.push("the couple never came into the band".to_owned());
    }
    if logged.couple == Couple::Furnace {
        list.push(
            "only the furnace was logged: the pack follows it hours later, and nothing here shows when it was hot"
                .to_owned(),
        );
    }
    if logged.interval.to_s() > ROWS_MOST_S {
        list.push(format!(
            "rows stand {} apart: what lies between them is not shown",
            logged.interval.text()
        ));
    }
    let planned = logged.soak;
    if times.within + times.over + Span::from_min(SHORT_MIN) < planned {
        list.push(format!(
            "{} are shown at heat where {} were wanted",
            (times.within + times.over).text(),
            planned.text()
        ));
    }
    list
}

/// Whether the logged cycle makes another depth than is to be made.
fn outside(followed: &Followed<'_>, logged: Length) -> Option<Diag> {
    let (chain, units) = (&followed.kit.chain, followed.kit.spec.units);
    let side = if logged < chain.make_min {
        "under"
    } else if chain.make_max.is_some_and(|max| logged > max) {
        "over"
    } else {
        return None;
    };
    let to = chain
        .make_max
        .map_or_else(|| "open".to_owned(), |max| max.depth_text(units));
    Some(
        Diag::warn(
            "log-depth-outside",
            format!(
                "The logged cycle makes a depth of {}, {side} the {} to {to} to be made.",
                logged.depth_text(units),
                chain.make_min.depth_text(units)
            ),
        )
        .why("The middle of the forecast is outside: most of the parts will be.")
        .accepted("Measure a coupon before the work is reheated; too shallow a case can be packed again and soaked on."),
    )
}

fn findings(logged: &Logged, all: &[Excursion], times: &Times) -> Vec<Diag> {
    let mut list = Vec::new();
    if logged.interval.to_s() > ROWS_GOOD_S && logged.interval.to_s() <= ROWS_MOST_S {
        list.push(
            Diag::note(
                "log-rows-far",
                format!("Rows stand {} apart.", logged.interval.text()),
            )
            .why("A soak is best shown by a row a minute; five minutes are taken.")
            .accepted("Set the logger to a row a minute next time."),
        );
    }
    let soak = times.within + times.over + times.under + times.unknown;
    let long = all.iter().filter(|excursion| {
        let length = excursion.to - excursion.from;
        excursion.kind == Kind::Hole
            && (length.to_min() > HOLE_NOTE_MIN || length > soak * HOLE_NOTE_SHARE)
    });
    for hole in long {
        list.push(
            Diag::warn(
                "log-hole-in-soak",
                format!(
                    "For {} of the soak nothing was logged.",
                    (hole.to - hole.from).text()
                ),
            )
            .why("What the furnace did then is known to nobody who was not there.")
            .accepted("Write down as a deviation what was seen in that time, and let the one who saw it sign."),
        );
    }
    if logged.corners[0].1 > Temperature::from_c(COLD_C) {
        list.push(
            Diag::note(
                "log-begins-hot",
                "The log begins when the couple was hot already.",
            )
            .why(
                "The heating is taken as planned; carbon that came in then is reckoned, not shown.",
            ),
        );
    }
    list
}
