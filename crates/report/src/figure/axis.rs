//! A plot's frame: where values go on the paper, round ticks, a second axis in the other unit.

use super::svg::{Anchor, Ink, Pen, Svg, Type};

/// Type size of tick numbers.
pub(crate) const TICK: f64 = 9.0;
/// Type size of direct labels.
pub(crate) const LABEL: f64 = 9.5;

/// A rectangle on the paper with the values at its edges.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Plot {
    pub(crate) left: f64,
    pub(crate) right: f64,
    pub(crate) top: f64,
    pub(crate) bottom: f64,
    pub(crate) x: (f64, f64),
    pub(crate) y: (f64, f64),
}

impl Plot {
    /// Paper position of a value across.
    pub(crate) fn px(&self, x: f64) -> f64 {
        self.left + (x - self.x.0) / (self.x.1 - self.x.0) * (self.right - self.left)
    }

    /// Paper position of a value up.
    pub(crate) fn py(&self, y: f64) -> f64 {
        self.bottom - (y - self.y.0) / (self.y.1 - self.y.0) * (self.bottom - self.top)
    }

    /// A curve, cut at the frame's left and right edge and held inside top and bottom.
    pub(crate) fn curve(&self, xs: &[f64], ys: &[f64]) -> Vec<(f64, f64)> {
        let (low, high) = self.y;
        let mut points = Vec::with_capacity(xs.len());
        for i in 0..xs.len().min(ys.len()) {
            if !(xs[i].is_finite() && ys[i].is_finite()) || xs[i] < self.x.0 {
                continue;
            }
            let (mut x, mut y) = (xs[i], ys[i]);
            let past = x > self.x.1;
            if past {
                if i == 0 || xs[i - 1] >= self.x.1 {
                    break;
                }
                let share = (self.x.1 - xs[i - 1]) / (x - xs[i - 1]);
                y = ys[i - 1] + share * (y - ys[i - 1]);
                x = self.x.1;
            }
            points.push((self.px(x), self.py(y.clamp(low, high))));
            if past {
                break;
            }
        }
        points
    }

    /// The frame: a line below and at the left, no box.
    pub(crate) fn frame(&self, svg: &mut Svg) {
        let pen = Pen::full(Ink::Text, 0.9);
        svg.line((self.left, self.top), (self.left, self.bottom), pen);
        svg.line((self.left, self.bottom), (self.right, self.bottom), pen);
    }

    /// Ticks and name of the lower axis; `scale` turns a tick's value into the axis' own value.
    pub(crate) fn axis_below(&self, svg: &mut Svg, per_unit: f64, name: &str) {
        let (ticks, decimals) = ticks(self.x.0 / per_unit, self.x.1 / per_unit, 7);
        for t in ticks {
            let x = self.px(t * per_unit);
            svg.line(
                (x, self.bottom),
                (x, self.bottom + 3.0),
                Pen::full(Ink::Text, 0.7),
            );
            svg.text(
                (x, self.bottom + 12.5),
                &format!("{t:.decimals$}"),
                Type::new(TICK, Anchor::Middle),
            );
        }
        svg.text(
            ((self.left + self.right) / 2.0, self.bottom + 24.0),
            name,
            Type::new(LABEL, Anchor::Middle),
        );
    }

    /// Ticks and name of the upper axis, in the other unit.
    pub(crate) fn axis_above(&self, svg: &mut Svg, per_unit: f64, name: &str) {
        svg.line(
            (self.left, self.top),
            (self.right, self.top),
            Pen::full(Ink::Faint, 0.5),
        );
        let (ticks, decimals) = ticks(self.x.0 / per_unit, self.x.1 / per_unit, 5);
        let limit = self.right - super::svg::width_of(name, TICK) - 8.0;
        for t in ticks {
            let x = self.px(t * per_unit);
            svg.line(
                (x, self.top),
                (x, self.top - 3.0),
                Pen::full(Ink::Faint, 0.6),
            );
            if x < limit {
                svg.text(
                    (x, self.top - 5.5),
                    &format!("{t:.decimals$}"),
                    Type::new(TICK, Anchor::Middle).ink(Ink::Faint),
                );
            }
        }
        svg.text(
            (self.right, self.top - 5.5),
            name,
            Type::new(TICK, Anchor::End).ink(Ink::Faint),
        );
    }

    /// Ticks of the left axis with pale rules across, and the name above.
    pub(crate) fn axis_left(&self, svg: &mut Svg, count: usize, name: &str) {
        let (ticks, decimals) = ticks(self.y.0, self.y.1, count);
        for t in ticks {
            let y = self.py(t);
            svg.line(
                (self.left - 3.0, y),
                (self.left, y),
                Pen::full(Ink::Text, 0.7),
            );
            svg.text(
                (self.left - 5.0, y + 3.2),
                &format!("{t:.decimals$}"),
                Type::new(TICK, Anchor::End),
            );
        }
        svg.text(
            (self.left - 28.0, (self.top + self.bottom) / 2.0),
            name,
            Type::new(LABEL, Anchor::Middle).up(),
        );
    }
}

/// Round tick values between two ends, about `count` of them, and the decimals they need.
pub(crate) fn ticks(low: f64, high: f64, count: usize) -> (Vec<f64>, usize) {
    let width = high - low;
    if !width.is_finite() || width <= 0.0 || count == 0 {
        return (vec![low], 1);
    }
    let rough = width / count as f64;
    // The power of ten below, by steps: the same on every machine.
    let mut decade = 1.0_f64;
    while decade > rough {
        decade /= 10.0;
    }
    while decade * 10.0 <= rough {
        decade *= 10.0;
    }
    let step = [1.0, 2.0, 2.5, 5.0, 10.0]
        .into_iter()
        .map(|m| m * decade)
        .find(|s| *s >= rough * 0.999)
        .unwrap_or(10.0 * decade);
    let decimals = (0..6_usize)
        .find(|d| {
            let scaled = step * [1.0, 1e1, 1e2, 1e3, 1e4, 1e5][*d];
            (scaled - scaled.round()).abs() < 1e-6
        })
        .unwrap_or(6);
    let first = (low / step - 1e-9).ceil();
    let last = (high / step + 1e-9).floor();
    let mut all = Vec::new();
    let mut n = first;
    while n <= last && all.len() < 100 {
        // Adding zero turns a negative zero into a plain one.
        all.push(n * step + 0.0);
        n += 1.0;
    }
    (all, decimals)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ticks_are_round_and_inside() {
        let (all, decimals) = ticks(0.0, 1.8, 6);
        assert_eq!(decimals, 1);
        assert_eq!(all.len(), 4);
        assert!((all[1] - 0.5).abs() < 1e-12);
        let (all, decimals) = ticks(0.0, 0.071, 5);
        assert_eq!(decimals, 2);
        assert!((all[1] - 0.02).abs() < 1e-12);
        assert_eq!(ticks(1.0, 1.0, 5).0, vec![1.0]);
    }

    #[test]
    fn a_curve_is_cut_at_the_edge() {
        let plot = Plot {
            left: 0.0,
            right: 100.0,
            top: 0.0,
            bottom: 100.0,
            x: (0.0, 1.0),
            y: (0.0, 10.0),
        };
        let points = plot.curve(&[0.0, 0.5, 1.5, 2.0], &[0.0, 5.0, 15.0, 20.0]);
        assert_eq!(points, vec![(0.0, 100.0), (50.0, 50.0), (100.0, 0.0)]);
    }
}
