//! The cycle cut into legs within which everything changes smoothly.

use casewright_terms::Temperature;

use super::supply::surfaces;
use crate::medium::{Drive, MediumSetup};
use crate::setup::{Cycle, Surface};

/// The medium exchanges carbon from here up: A1 of Fe-C, in °C.
pub(crate) const EXCHANGE_FROM_C: f64 = 727.0;
/// Carbon moves from here up, in °C.
pub(crate) const MOVES_FROM_C: f64 = 700.0;

/// A stretch of time with a linear temperature and a linear transfer coefficient.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Leg {
    pub start_s: f64,
    pub end_s: f64,
    pub from_k: f64,
    pub to_k: f64,
    /// Transfer coefficient at both ends, 0 where nothing is exchanged.
    pub beta_m_s: (f64, f64),
    /// Whether the medium reaches the surface at all.
    pub open: bool,
}

impl Leg {
    /// Temperature at a time, in K; also just outside the leg, on the same line.
    pub(crate) fn temperature_k(&self, t_s: f64) -> f64 {
        self.along(t_s, self.from_k, self.to_k)
    }

    /// Transfer coefficient at a time, in m/s.
    pub(crate) fn beta_m_s(&self, t_s: f64) -> f64 {
        self.along(t_s, self.beta_m_s.0, self.beta_m_s.1)
    }

    fn along(&self, t_s: f64, from: f64, to: f64) -> f64 {
        if from == to {
            return from;
        }
        from + (to - from) * (t_s - self.start_s) / (self.end_s - self.start_s)
    }

    /// Whether nothing changes within the leg.
    pub(crate) fn steady(&self) -> bool {
        self.from_k == self.to_k && self.beta_m_s.0 == self.beta_m_s.1
    }

    /// Integral of a function of temperature over the leg (Simpson, ten panels: the functions are
    /// exponentials of a moderate span, and the result only sizes meshes and remarks).
    pub(crate) fn integral(&self, f: impl Fn(f64) -> f64) -> f64 {
        let span = self.end_s - self.start_s;
        if self.from_k == self.to_k {
            return span * f(self.from_k);
        }
        let at = |k: u32| f(self.from_k + (self.to_k - self.from_k) * f64::from(k) / 20.0);
        let inner: f64 = (1..20)
            .map(|k| if k % 2 == 1 { 4.0 } else { 2.0 } * at(k))
            .sum();
        span * (at(0) + inner + at(20)) / 60.0
    }
}

/// Legs of a cycle, cold ones included.
pub(crate) fn legs(cycle: &Cycle, surface: &Surface) -> Vec<Leg> {
    let mut legs = Vec::new();
    for (line, surface) in turns(cycle, surface) {
        let Line {
            start_s,
            end_s,
            from_k,
            to_k,
        } = line;
        let span_s = end_s - start_s;
        let cuts = cuts(surface);
        let mut marks = vec![(start_s, from_k)];
        let mut crossed: Vec<f64> = cuts
            .iter()
            .copied()
            .filter(|k| (*k - from_k) * (*k - to_k) < 0.0)
            .collect();
        if to_k < from_k {
            crossed.reverse();
        }
        marks.extend(
            crossed
                .iter()
                .map(|k| (start_s + span_s * (k - from_k) / (to_k - from_k), *k)),
        );
        marks.push((end_s, to_k));
        for pair in marks.windows(2) {
            let ((start_s, from_k), (end_s, to_k)) = (pair[0], pair[1]);
            if end_s > start_s {
                legs.push(leg(start_s, end_s, from_k, to_k, surface));
            }
        }
    }
    legs
}

/// A stretch with a linear temperature.
#[derive(Clone, Copy, Debug)]
struct Line {
    start_s: f64,
    end_s: f64,
    from_k: f64,
    to_k: f64,
}

/// The pieces of the cycle, cut where the surface's turn ends.
fn turns<'s>(cycle: &Cycle, surface: &'s Surface) -> Vec<(Line, &'s Surface)> {
    let surfaces = surfaces(surface);
    let mut out = Vec::with_capacity(cycle.pieces.len() + surfaces.len());
    let mut piece_start_s = 0.0;
    for piece in &cycle.pieces {
        let span_s = piece.duration.to_s();
        let piece_end_s = piece_start_s + span_s;
        let (a, b) = (piece.from.to_k(), piece.to.to_k());
        let at = |t_s: f64| {
            if t_s >= piece_end_s {
                b
            } else {
                a + (b - a) * (t_s - piece_start_s) / span_s
            }
        };
        let mut start_s = piece_start_s;
        for (turn_end_s, surface) in &surfaces {
            let end_s = turn_end_s.min(piece_end_s);
            if end_s > start_s {
                let line = Line {
                    start_s,
                    end_s,
                    from_k: at(start_s),
                    to_k: at(end_s),
                };
                out.push((line, *surface));
                start_s = end_s;
            }
        }
        piece_start_s = piece_end_s;
    }
    out
}

/// Temperatures at which a rule changes, ascending.
fn cuts(surface: &Surface) -> Vec<f64> {
    let c = |celsius: f64| Temperature::from_c(celsius).to_k();
    let mut cuts = vec![c(MOVES_FROM_C), c(EXCHANGE_FROM_C)];
    match surface {
        Surface::Transfer { above, .. } => cuts.push(above.to_k()),
        Surface::Pack { begins, full, .. } => cuts.extend([begins.to_k(), full.to_k()]),
        Surface::Medium(MediumSetup::Pack(pack)) => {
            let (begins, full) = pack.fade_in();
            cuts.extend([begins.to_k(), full.to_k()]);
        }
        Surface::Medium(medium) => cuts.push(medium.medium().above().to_k()),
        Surface::Fixed { .. } | Surface::Sealed | Surface::Program(_) => {}
    }
    cuts.sort_by(f64::total_cmp);
    cuts
}

fn leg(start_s: f64, end_s: f64, from_k: f64, to_k: f64, surface: &Surface) -> Leg {
    let middle_k = 0.5 * (from_k + to_k);
    let hot = middle_k >= Temperature::from_c(EXCHANGE_FROM_C).to_k();
    let beta = |t_k: f64| match surface {
        Surface::Transfer {
            coefficient, above, ..
        } if middle_k >= above.to_k() => coefficient.to_m_s(),
        Surface::Pack {
            coefficient,
            begins,
            full,
        } => {
            let (low, high) = (begins.to_k(), full.to_k());
            let share = if high > low {
                ((t_k - low) / (high - low)).clamp(0.0, 1.0)
            } else if middle_k >= low {
                1.0
            } else {
                0.0
            };
            share * coefficient.to_m_s()
        }
        // The engine takes the curve of the medium; here it only matters that it is not nothing.
        Surface::Medium(medium) if middle_k >= medium.medium().above().to_k() => {
            match medium.medium().drive(Temperature::from_k(t_k)).value {
                Drive::Activity { coefficient, .. } => coefficient.to_m_s(),
                Drive::Flux(_) => 1.0,
            }
        }
        _ => 0.0,
    };
    let beta_m_s = if hot {
        (beta(from_k), beta(to_k))
    } else {
        (0.0, 0.0)
    };
    let open = hot
        && match surface {
            Surface::Fixed { .. } => true,
            Surface::Sealed | Surface::Program(_) => false,
            Surface::Transfer { .. } | Surface::Pack { .. } | Surface::Medium(_) => {
                beta_m_s != (0.0, 0.0)
            }
        };
    Leg {
        start_s,
        end_s,
        from_k,
        to_k,
        beta_m_s,
        open,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::setup::Ramp;
    use casewright_terms::{Span, TransferCoefficient};

    #[test]
    fn ramps_are_cut_where_the_rules_change() {
        let ramp = |a, b, h| Ramp {
            from: Temperature::from_c(a),
            to: Temperature::from_c(b),
            duration: Span::from_h(h),
        };
        let cycle = Cycle {
            pieces: vec![
                ramp(25.0, 925.0, 9.0),
                ramp(925.0, 925.0, 4.0),
                ramp(925.0, 25.0, 9.0),
            ],
        };
        let pack = Surface::Pack {
            coefficient: TransferCoefficient::from_m_s(1e-7),
            begins: Temperature::from_c(725.0),
            full: Temperature::from_c(775.0),
        };
        let legs = legs(&cycle, &pack);
        // Up: cuts at 700, 725, 727, 775; then the hold; then down again.
        assert_eq!(legs.len(), 5 + 1 + 5);
        assert_eq!(legs[0].start_s, 0.0);
        assert_eq!(legs[10].end_s, 22.0 * 3600.0);
        for pair in legs.windows(2) {
            assert_eq!(pair[0].end_s, pair[1].start_s);
            assert!((pair[0].to_k - pair[1].from_k).abs() < 1e-9);
        }
        // Between 725 and 727 °C the pack would give, but the skin is ferrite.
        assert!(!legs[2].open && legs[3].open);
        assert!((legs[3].beta_m_s.0 - 1e-7 * 2.0 / 50.0).abs() < 1e-15);
        assert_eq!(legs[5].beta_m_s, (1e-7, 1e-7));
        assert!(legs[5].steady() && !legs[4].steady());
    }
}
