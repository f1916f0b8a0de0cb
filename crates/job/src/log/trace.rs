//! A channel as straight pieces: what a simulation of the logged cycle is run with. Two million rows
//! become some hundred corners that stay within a tolerance of every reading.

use casewright_terms::{Span, Temperature, TemperatureStep};

use super::Log;

/// A stretch without readings.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Hole {
    /// From the first row of the log.
    pub from: Span,
    /// To.
    pub to: Span,
}

/// A channel as corners on straight lines.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Trace {
    /// Time from the first row of the log, and temperature. Times rise.
    pub corners: Vec<(Span, Temperature)>,
    /// Stretches in which the channel had no reading; the corners run straight across them.
    pub holes: Vec<Hole>,
}

impl Log {
    /// A temperature channel as straight pieces that pass within `within` of every reading; `None`
    /// for a channel that is no temperature or has no reading.
    ///
    /// # Panics
    /// When there is no such channel.
    #[must_use]
    pub fn trace(&self, channel: usize, within: TemperatureStep) -> Option<Trace> {
        self.channels[channel].unit?;
        let limit = self.hole_from();
        let mut trace = Trace::default();
        let mut door: Option<Door> = None;
        let mut before: Option<Span> = None;
        for row in 0..self.rows() {
            let Some(t) = self.channels[channel].temperature(row) else {
                continue;
            };
            let at = self.time(row);
            if let Some(before) = before.filter(|before| at - *before > limit) {
                trace.holes.push(Hole {
                    from: before,
                    to: at,
                });
            }
            before = Some(at);
            match &mut door {
                None => {
                    trace.corners.push((at, t));
                    door = Some(Door::at(at, t));
                }
                Some(open) => {
                    if let Some(corner) = open.closes(at, t, within) {
                        trace.corners.push(corner);
                        let mut next = Door::at(corner.0, corner.1);
                        next.closes(at, t, within);
                        *open = next;
                    }
                }
            }
        }
        if let Some(last) = door.and_then(|door| door.last) {
            trace.corners.push(last);
        }
        (!trace.corners.is_empty()).then_some(trace)
    }
}

/// A swinging door: the lines from the last corner that pass within the tolerance of every reading
/// since. It closes when none is left.
struct Door {
    hinge: (Span, Temperature),
    least: f64,
    most: f64,
    last: Option<(Span, Temperature)>,
}

impl Door {
    fn at(at: Span, t: Temperature) -> Self {
        Self {
            hinge: (at, t),
            least: f64::NEG_INFINITY,
            most: f64::INFINITY,
            last: None,
        }
    }

    /// Takes a reading; where it no longer fits, the corner to begin anew from.
    fn closes(
        &mut self,
        at: Span,
        t: Temperature,
        within: TemperatureStep,
    ) -> Option<(Span, Temperature)> {
        let seconds = (at - self.hinge.0).to_s();
        if seconds <= 0.0 {
            return None;
        }
        let slope = |step: TemperatureStep| ((t - self.hinge.1) + step).to_k() / seconds;
        let (least, most) = (
            self.least.max(slope(TemperatureStep::ZERO - within)),
            self.most.min(slope(within)),
        );
        if least > most {
            return self.last;
        }
        (self.least, self.most) = (least, most);
        // The corner lies on the line in the middle of the door, so every reading is near it.
        let middle = (slope(TemperatureStep::ZERO)).clamp(least, most);
        self.last = Some((at, self.hinge.1 + TemperatureStep::from_k(middle * seconds)));
        None
    }
}

#[cfg(test)]
mod tests {
    use super::super::{Answers, read};
    use super::*;

    fn log(rows: usize, t: impl Fn(usize) -> Option<f64>) -> Log {
        let mut text = "elapsed s,pack °C\n".to_owned();
        for row in 0..rows {
            let cell = t(row).map_or_else(|| "OPEN".to_owned(), |t| format!("{t:.2}"));
            text.push_str(&format!("{},{cell}\n", row * 10));
        }
        read(text.as_bytes(), &Answers::NONE).expect("a plain log")
    }

    fn at(trace: &Trace, time: Span) -> Temperature {
        let i = trace.corners.partition_point(|(t, _)| *t < time).max(1);
        let i = i.min(trace.corners.len() - 1);
        let ((a, from), (b, to)) = (trace.corners[i - 1], trace.corners[i]);
        from + (to - from) * ((time - a) / (b - a))
    }

    /// Every reading is within the tolerance of the pieces, which are far fewer.
    #[test]
    fn pieces_stay_near_every_reading() {
        let wave = |row: usize| {
            let x = row as f64;
            let swing = (2.0 * (x / 250.0).fract() - 1.0).abs();
            Some((25.0 + x * 0.5).min(925.0) + 6.0 * swing)
        };
        let log = log(4000, wave);
        let within = TemperatureStep::from_k(1.5);
        let trace = log.trace(0, within).unwrap();
        assert!(trace.corners.len() < 400, "{}", trace.corners.len());
        assert!(trace.holes.is_empty());
        for row in 0..log.rows() {
            let seen = at(&trace, log.time(row));
            let read = log.channels[0].temperature(row).unwrap();
            // Twice: a line through the door's last corner may miss an earlier reading by what the
            // door was open at it.
            assert!((seen - read).to_k().abs() <= 2.0 * 1.5 + 1e-6, "row {row}");
        }
    }

    #[test]
    fn a_stretch_of_faults_is_a_hole() {
        let log = log(400, |row| (!(100..200).contains(&row)).then_some(900.0));
        let trace = log.trace(0, TemperatureStep::from_k(1.0)).unwrap();
        assert_eq!(trace.holes.len(), 1);
        let hole = trace.holes[0];
        assert_eq!((hole.from.to_s(), hole.to.to_s()), (990.0, 2000.0));
        assert_eq!(trace.corners.len(), 2);
    }
}
