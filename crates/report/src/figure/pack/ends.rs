//! The parts with the least and the greatest case, marked on the sketch by an open triangle at a
//! corner: point down for the least, point up for the greatest. Test pieces are filled triangles.

use casewright_plan::outcome::{PackHeat, PackLayout, Placed};

use super::super::axis::TICK;
use super::super::svg::{Anchor, Ink, Pen, Svg, Type};
use super::View;

/// Half the height of a mark.
const HALF: f64 = 3.4;

/// The two parts, and the words beside their marks.
pub(super) struct Ends {
    least: (String, String),
    greatest: (String, String),
}

impl Ends {
    /// `None` where all parts get the same case, or none is known.
    pub(super) fn of(heat: &PackHeat) -> Option<Self> {
        let (least, greatest) = heat.depths()?;
        // What is printed to a hundredth of a millimetre does not differ by less.
        if (greatest - least).to_mm() < 0.01 {
            return None;
        }
        let of = |i: Option<usize>, words: &str| {
            let part = heat.parts.get(i?)?;
            let words = part
                .box_number
                .map_or_else(|| words.to_owned(), |n| format!("{words}, box {n}"));
            Some((part.mark.clone(), words))
        };
        Some(Self {
            least: of(heat.least, "least case")?,
            greatest: of(heat.greatest, "greatest case")?,
        })
    }

    /// Marks the parts that this view shows: whether the least and the greatest were.
    pub(super) fn mark(
        &self,
        svg: &mut Svg,
        view: &View,
        pack: &PackLayout,
        hidden: &[bool],
    ) -> [bool; 2] {
        [(&self.least, false), (&self.greatest, true)].map(|((mark, _), up)| {
            let found = pack.parts.iter().zip(hidden).find(|(p, _)| p.mark == *mark);
            let Some((part, false)) = found else {
                return false;
            };
            open(svg, corner(view, part), up);
            true
        })
    }

    /// The signs that were drawn with their words, on a line of their own.
    pub(super) fn legend(&self, svg: &mut Svg, (left, bottom): (f64, f64), drawn: [bool; 2]) {
        let y = bottom - 4.0;
        let mut x = left;
        for (i, ((_, words), up)) in [(&self.least, false), (&self.greatest, true)]
            .into_iter()
            .enumerate()
        {
            if !drawn[i] {
                continue;
            }
            open(svg, (x + 4.0, y - 3.0), up);
            svg.text((x + 12.0, y), words, Type::new(TICK, Anchor::Start));
            x += 30.0 + 5.0 * words.len() as f64;
        }
    }
}

/// The upper right corner of the part, a little inside it.
fn corner(view: &View, part: &Placed) -> (f64, f64) {
    let (at, size) = view.brick(part.at, part.size);
    (
        at.0 + (size.0 - HALF).max(size.0 / 2.0),
        at.1 + HALF.min(size.1 / 2.0),
    )
}

fn open(svg: &mut Svg, c: (f64, f64), up: bool) {
    let tip = if up { -HALF } else { HALF };
    let points = [
        (c.0, c.1 + tip),
        (c.0 + HALF, c.1 - tip * 0.8),
        (c.0 - HALF, c.1 - tip * 0.8),
    ];
    svg.area(&points, Ink::Paper);
    let pen = Pen::full(Ink::Text, 0.9);
    for i in 0..3 {
        svg.line(points[i], points[(i + 1) % 3], pen);
    }
}
