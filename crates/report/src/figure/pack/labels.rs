//! The marks of parts and test pieces, set so that none covers another or leaves the box.

use casewright_plan::outcome::{PackLayout, Placed};

use super::super::svg::{Anchor, Svg, Type, width_of};
use super::{View, triangle};

/// Smallest type of a mark: what is legible on a copy of the sheet.
const SMALLEST: f64 = 7.0;
/// Largest type of a part's mark.
const LARGEST: f64 = 12.0;
/// Type of a test piece's mark.
const COUPON_TYPE: f64 = 8.0;

/// Least distance of words side by side: less reads as one word.
const GAP: f64 = 3.0;

/// A rectangle on paper: left, top, right, bottom.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Spot(
    pub(super) f64,
    pub(super) f64,
    pub(super) f64,
    pub(super) f64,
);

impl Spot {
    /// The place of words centred on a point of their base line's middle height.
    pub(super) fn words(centre: (f64, f64), words: &str, size: f64) -> Self {
        let (w, h) = (width_of(words, size) / 2.0, size * 0.42);
        Self(centre.0 - w, centre.1 - h, centre.0 + w, centre.1 + h)
    }

    pub(super) fn meets(&self, other: &Self) -> bool {
        self.0 < other.2 && other.0 < self.2 && self.1 < other.3 && other.1 < self.3
    }

    fn within(&self, other: &Self) -> bool {
        self.0 >= other.0 && self.1 >= other.1 && self.2 <= other.2 && self.3 <= other.3
    }
}

/// What is written in a view already.
pub(super) struct Labels {
    room: Spot,
    taken: Vec<Spot>,
}

impl Labels {
    pub(super) fn inside(view: &View) -> Self {
        let (x, y) = view.origin;
        Self {
            room: Spot(x, y - view.inside.1, x + view.inside.0, y),
            taken: Vec::new(),
        }
    }

    pub(super) fn take(&mut self, spot: Spot) {
        self.taken.push(spot);
    }

    /// Whether a spot lies in the box with a gap to all that is written.
    pub(super) fn is_free(&self, spot: &Spot) -> bool {
        let wide = Spot(spot.0 - GAP, spot.1 - 0.5, spot.2 + GAP, spot.3 + 0.5);
        spot.within(&self.room) && self.taken.iter().all(|held| !held.meets(&wide))
    }

    /// Sets all marks, the test pieces' first; gives whether every part shows its own.
    pub(super) fn marks(
        &mut self,
        svg: &mut Svg,
        view: &View,
        pack: &PackLayout,
        hidden: &[bool],
    ) -> bool {
        if let Some(at) = pack.couple {
            let ((x, y), _) = view.brick(at, [casewright_terms::Length::ZERO; 3]);
            self.take(Spot(x - 4.0, y - 4.0, x + 4.0, y + 4.0));
        }
        for coupon in &pack.coupons {
            let (at, size) = view.brick(coupon.at, coupon.size);
            let c = (at.0 + size.0 / 2.0, at.1 + size.1 / 2.0);
            let r = (size.0.min(size.1) / 2.2).clamp(3.0, 7.0);
            self.take(Spot(c.0 - r, c.1 - r, c.0 + r, c.1 + r));
        }
        for coupon in &pack.coupons {
            self.coupon(svg, view, coupon, pack);
        }
        let mut all = true;
        for (part, hidden) in pack.parts.iter().zip(hidden) {
            all &= !hidden && self.part(svg, view, part, pack);
        }
        all
    }

    fn coupon(&mut self, svg: &mut Svg, view: &View, coupon: &Placed, pack: &PackLayout) {
        let (at, size) = view.brick(coupon.at, coupon.size);
        let c = (at.0 + size.0 / 2.0, at.1 + size.1 / 2.0);
        let r = (size.0.min(size.1) / 2.2).clamp(3.0, 7.0);
        triangle(svg, c, r);
        let words = crate::show::clipped(&coupon.mark, 12);
        let half = width_of(&words, COUPON_TYPE) / 2.0;
        let (dx, dy) = (size.0 / 2.0 + half + 2.0, size.1 / 2.0 + 5.0);
        let beside = r + half + 2.0;
        let places = [
            (c.0, c.1 + dy),
            (c.0, c.1 - dy),
            (c.0 + dx, c.1),
            (c.0 - dx, c.1),
            (c.0 + dx, c.1 + dy),
            (c.0 - dx, c.1 - dy),
            (c.0 + beside, c.1),
            (c.0 - beside, c.1),
        ];
        // Best where nothing is drawn; a piece under it is the next best, since the mark has a rim.
        let on_part = |spot: &Spot| {
            pack.parts.iter().chain(&pack.coupons).any(|p| {
                let (a, s) = view.brick(p.at, p.size);
                Spot(a.0, a.1, a.0 + s.0, a.1 + s.1).meets(spot)
            })
        };
        let spots = places.map(|place| (place, Spot::words(place, &words, COUPON_TYPE)));
        let free = |bare: bool| {
            spots
                .iter()
                .find(|(_, spot)| self.is_free(spot) && !(bare && on_part(spot)))
        };
        if let Some((place, spot)) = free(true).or_else(|| free(false)).copied() {
            svg.text(
                (place.0, place.1 + COUPON_TYPE * 0.36),
                &words,
                Type::new(COUPON_TYPE, Anchor::Middle).bold().rim(),
            );
            self.take(spot);
        }
    }

    /// A part's number in its middle, as large as it fits; `false` where it does not.
    fn part(&mut self, svg: &mut Svg, view: &View, part: &Placed, pack: &PackLayout) -> bool {
        let (at, size) = view.brick(part.at, part.size);
        let words = &part.mark;
        let mut type_size = LARGEST;
        while type_size > SMALLEST
            && (width_of(words, type_size) > size.0 - 2.0 || type_size > size.1 - 1.0)
        {
            type_size -= 1.0;
        }
        if width_of(words, type_size) > size.0 || type_size > size.1 + 1.0 {
            return false;
        }
        let covered = |spot: &Spot| {
            pack.parts.iter().chain(&pack.coupons).any(|other| {
                let (a, s) = view.brick(other.at, other.size);
                view.near(other) > view.near(part) + 0.1
                    && Spot(a.0, a.1, a.0 + s.0, a.1 + s.1).meets(spot)
            })
        };
        // In the middle; where something stands there, to either side; then smaller.
        let mut found = None;
        while found.is_none() && type_size >= SMALLEST {
            let places = [0.5, 0.25, 0.75, 0.12, 0.88].map(|share| {
                if size.0 >= size.1 {
                    (at.0 + size.0 * share, at.1 + size.1 / 2.0)
                } else {
                    (at.0 + size.0 / 2.0, at.1 + size.1 * share)
                }
            });
            let whole = Spot(at.0, at.1, at.0 + size.0, at.1 + size.1);
            found = places
                .into_iter()
                .enumerate()
                .find(|(i, place)| {
                    let spot = Spot::words(*place, words, type_size);
                    // Far out the number must still stand on its own part.
                    (*i < 3 || spot.within(&whole)) && self.is_free(&spot) && !covered(&spot)
                })
                .map(|(_, place)| place);
            if found.is_none() {
                type_size -= 1.0;
            }
        }
        let Some(place) = found else { return false };
        svg.text(
            (place.0, place.1 + type_size * 0.36),
            words,
            Type::new(type_size, Anchor::Middle).bold(),
        );
        self.take(Spot::words(place, words, type_size));
        true
    }
}
