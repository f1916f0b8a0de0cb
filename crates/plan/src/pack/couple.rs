//! Where the couple is buried: as near the middle of the box as the steel lets it.

use casewright_terms::Length;

use crate::outcome::Placed;

/// Where a couple is buried: the free place nearest to the middle of the box, which the heat-up is
/// reckoned for. `None` where the middle is all steel.
#[must_use]
pub fn place(inside: [Length; 3], pieces: &[&Placed]) -> Option<[Length; 3]> {
    // Half the least spacing keeps the couple's sheath off the steel; a lattice of an eighth of
    // the box is as near as a hand buries it.
    let clear = Length::from_mm(5.0);
    let room = [inside[0], inside[2], inside[1]];
    let free = |at: &[Length; 3]| {
        pieces.iter().all(|p| {
            (0..3).any(|i| at[i] + clear <= p.at[i] || at[i] >= p.at[i] + p.size[i] + clear)
        })
    };
    let over = |at: &[Length; 3]| {
        let under = |p: &&Placed| (0..2).all(|i| at[i] >= p.at[i] && at[i] <= p.at[i] + p.size[i]);
        pieces.iter().any(under)
    };
    let mut best: Option<(f64, [Length; 3])> = None;
    for (x, y, z) in lattice() {
        let at = [room[0] * x, room[1] * y, room[2] * z];
        // Rather 15 mm farther off than right over a piece, where the sketch would hide it.
        let hidden = if over(&at) { 2.25e-4 } else { 0.0 };
        let off = (0..3).fold(hidden, |sum, i| {
            sum + (at[i] - room[i] * 0.5).to_m().powi(2)
        });
        if best.is_none_or(|(held, _)| off < held - 1e-12) && free(&at) {
            best = Some((off, at));
        }
    }
    best.map(|(_, at)| at)
}

fn lattice() -> impl Iterator<Item = (f64, f64, f64)> {
    // A quarter to three quarters of each side, in steps of a fortieth.
    let steps = || (0..=20).map(|i| 0.25 + 0.025 * f64::from(i));
    steps().flat_map(move |x| steps().flat_map(move |y| steps().map(move |z| (x, y, z))))
}
