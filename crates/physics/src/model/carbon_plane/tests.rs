//! Tests of order, balance, bounds and mesh from inside the engine.

use std::f64::consts::{FRAC_PI_2, LN_2, PI};

use casewright_terms::Length;

use super::block_against_closed;
use super::body::{Solved, solve, solve_with};
use super::grid;
use super::section::part;
use crate::law::carbon_activity::{to_site_fraction, to_wt_pct};
use crate::model::carbon::body as one;
use crate::model::carbon::body::Problem;
use crate::model::carbon::fit::{Law, Limits};
use crate::model::carbon::legs::Leg;
use crate::model::carbon::supply::{Supplies, Supply};
use crate::numerics::chebyshev::Basis;
use crate::numerics::fun::ln;
use crate::numerics::interpolate::monotone_cubic;
use crate::numerics::lines::{Growth, NO_SKIN};
use crate::numerics::mesh::{Grading, Section};
use crate::numerics::outline::{Line, Piece, Region, Void, length};
use crate::numerics::triangles::Triangles;
use crate::setup::{Face, KeywayBody, PlaneSection};

const HOUR_S: f64 = 3600.0;
const OPEN: [Face; 4] = [Face::Treated; 4];

fn mm(v: f64) -> Length {
    Length::from_mm(v)
}

fn leg(from_h: f64, to_h: f64, from_c: f64, to_c: f64, beta_m_s: f64) -> Leg {
    Leg {
        start_s: from_h * HOUR_S,
        end_s: to_h * HOUR_S,
        from_k: from_c + 273.15,
        to_k: to_c + 273.15,
        beta_m_s: (beta_m_s, beta_m_s),
        open: true,
    }
}

/// Ågren, saturation, 0.18 wt% core.
fn real(supply: Supply, legs: Vec<Leg>) -> Problem {
    Problem {
        section: Section::Plate { half_m: 0.01 },
        law: Law::Agren,
        factor: 1.0,
        supply,
        supplies: Supplies::default(),
        legs,
        core_y: to_site_fraction(0.18),
        tolerance_y: to_site_fraction(1e-3),
        limits: Some(Limits::new(
            &Basis::new(),
            973.15,
            1200.15,
            &crate::equilibrium::SaturationTable::plain(),
        )),
        grading: None,
        equal_steps: None,
    }
}

fn held(wt_pct: f64) -> Supply {
    let y = to_site_fraction(wt_pct);
    Supply::Held { y }
}

fn fed(wt_pct: f64) -> Supply {
    let potential_y = to_site_fraction(wt_pct);
    Supply::Fed { potential_y }
}

fn soak(beta_m_s: f64) -> Vec<Leg> {
    vec![leg(0.0, 8.0, 927.0, 927.0, beta_m_s)]
}

fn up_and_down(beta_m_s: f64, end_c: f64) -> Vec<Leg> {
    vec![
        leg(0.0, 2.0, 780.0, 927.0, beta_m_s),
        leg(2.0, 5.0, 927.0, 927.0, beta_m_s),
        leg(5.0, 7.0, 927.0, end_c, beta_m_s),
    ]
}

/// One of every section, with roundings.
fn sections() -> Vec<(&'static str, PlaneSection)> {
    let t = Face::Treated;
    let rectangle = |corner_radius| PlaneSection::Rectangle {
        width: mm(12.0),
        height: mm(10.0),
        corner_radius,
        faces: OPEN,
    };
    vec![
        ("sharp bar", rectangle(mm(0.0))),
        ("rounded bar", rectangle(mm(1.0))),
        (
            "plate edge",
            PlaneSection::PlateEdge {
                thickness: mm(4.0),
                corner_radius: mm(0.5),
                end: t,
                flats: [t, Face::StopOff],
            },
        ),
        (
            "bore near wall",
            PlaneSection::BoreNearWall {
                diameter: mm(5.0),
                wall: mm(2.0),
                bore: t,
                surface: t,
            },
        ),
        (
            "two bores",
            PlaneSection::TwoBores {
                diameters: [mm(5.0), mm(3.0)],
                web: mm(2.0),
                bores: [t; 2],
            },
        ),
        (
            "keyway in a flat",
            PlaneSection::Keyway {
                body: KeywayBody::Flat,
                width: mm(5.0),
                depth: mm(3.0),
                fillet: mm(0.5),
                outside: t,
                slot: t,
            },
        ),
        (
            "keyway in a round",
            PlaneSection::Keyway {
                body: KeywayBody::Round { diameter: mm(12.0) },
                width: mm(4.0),
                depth: mm(2.5),
                fillet: mm(0.4),
                outside: t,
                slot: t,
            },
        ),
        (
            "web",
            PlaneSection::Web {
                thickness: mm(2.4),
                height: mm(6.0),
                fillet: mm(1.0),
                tip_radius: mm(0.3),
                tip: t,
                sides: t,
                floor: t,
            },
        ),
    ]
}

/// A mesh with gaps of `finest_m` at the surfaces; endless bodies cut at 5 mm.
fn meshed(section: &PlaneSection, finest_m: f64) -> (Region, Triangles) {
    let part = part(section, 5e-3, 0.0).unwrap();
    let growth = Growth {
        finest_m,
        reach_m: 1.8e-3,
        skin_m: NO_SKIN,
    };
    let (mesh, coarser) = grid::mesh(&part.region, growth, None);
    assert_eq!(coarser, 1.0);
    (part.region, mesh)
}

fn area(section: &PlaneSection) -> f64 {
    let corner = |r: f64| (1.0 - 0.25 * PI) * r * r;
    match section {
        PlaneSection::Rectangle { corner_radius, .. } => 6e-3 * 5e-3 - corner(corner_radius.to_m()),
        PlaneSection::PlateEdge { .. } => 5.5e-3 * 4e-3 - 2.0 * corner(5e-4),
        PlaneSection::BoreNearWall { .. } => 7.5e-3 * 12e-3 - 0.5 * PI * 2.5e-3 * 2.5e-3,
        PlaneSection::TwoBores { .. } => {
            // From left to right: cut, bore, web, bore, cut.
            20e-3 * 7.5e-3 - 0.5 * PI * (2.5e-3 * 2.5e-3 + 1.5e-3 * 1.5e-3)
        }
        PlaneSection::Keyway {
            body: KeywayBody::Flat,
            ..
        } => 7.5e-3 * 8e-3 - (2.5e-3 * 3e-3 - corner(5e-4)),
        PlaneSection::Keyway { .. } => {
            // Half disc, less the slot below the chord, less the cap above it.
            let (r, half): (f64, f64) = (6e-3, 2e-3);
            let rise = (r * r - half * half).sqrt();
            let cap = 0.5 * r * r * (half / r).asin() - 0.5 * half * rise;
            let wall = 2.5e-3 - (r - rise);
            0.5 * PI * r * r - cap - (half * wall - corner(4e-4))
        }
        PlaneSection::Web { .. } => {
            1.2e-3 * 6e-3 + corner(1e-3) - corner(3e-4) + (1.2e-3 + 1e-3 + 5e-3) * 5e-3
        }
    }
}

/// Control volumes are positive and fill the region, and no edge pumps carbon uphill with more
/// than a fifth of the conductance of a square (1): 0.16 was the worst when written.
#[test]
fn meshes_fill_their_regions() {
    for (name, section) in sections() {
        let mut off = Vec::new();
        for finest_m in [2e-4, 1e-4] {
            let (region, mesh) = meshed(&section, finest_m);
            assert!(mesh.volume_m2.iter().all(|v| *v > 0.0), "{name}");
            let filled: f64 = mesh.volume_m2.iter().sum();
            off.push((filled / area(&section) - 1.0).abs());
            let rim: f64 = mesh.open_m.iter().sum();
            let open: f64 = region
                .pieces
                .iter()
                .filter(|p| p.open)
                .map(|p| {
                    let points = p.line.points();
                    points
                        .windows(2)
                        .map(|w| length([w[1][0] - w[0][0], w[1][1] - w[0][1]]))
                        .sum::<f64>()
                })
                .sum();
            // Chords against chords of three degrees: 1/8 (3°)² = 3e-4, and of the mesh's own
            // five to a radius, 5e-3.
            assert!((rim / open - 1.0).abs() < 6e-3, "{name}: {rim} {open}");
            let mut least: f64 = 0.0;
            for i in 0..mesh.len() {
                least = mesh.graph.row(i).fold(least, |m, (_, k)| m.min(k));
            }
            println!(
                "{name} {finest_m}: {} nodes, area off {:.2e}, least conductance {least:.3}",
                mesh.len(),
                off[off.len() - 1]
            );
            assert!(least > -0.2, "{name}: {least}");
        }
        // Chords at five gaps to a radius leave out a percent of the rounding, which is small
        // against the whole; straight sections fit to rounding.
        assert!(off[1] < 2e-4, "{name}: {off:?}");
    }
}

/// The product of two slab solutions (Crank), at the block the general-purpose peers were timed
/// on: 3e-4 of the step is what is asked at 100 gaps; halving the gaps divides the error by four.
#[test]
fn val_block_matches_the_product_of_slabs() {
    let run = |gaps| block_against_closed(gaps, 1e-5).unwrap();
    let [a, b, c] = [25, 50, 100].map(run);
    println!("{a:?}\n{b:?}\n{c:?}");
    assert!(c.greatest_error < 3e-4, "{c:?}");
    assert!(c.balance_error < 1e-12, "{c:?}");
    let order = ln(b.greatest_error / c.greatest_error) / LN_2;
    assert!(order > 1.9, "{order}: {a:?} {b:?} {c:?}");
    // With the error control at 1e-3, as a user would: the same bound.
    let usual = block_against_closed(100, 1e-3).unwrap();
    assert!(usual.greatest_error < 3e-4, "{usual:?}");
}

/// Real diffusivity, held and fed, on nested grids of 16, 32, 64 and 128 gaps: what one halving
/// changes at the common nodes must fall by 2^1.9 at the next.
#[test]
fn second_order_in_space_on_straight_boundaries() {
    let section = PlaneSection::Rectangle {
        width: mm(5.0),
        height: mm(6.0),
        corner_radius: mm(0.0),
        faces: OPEN,
    };
    let region = part(&section, 1.0, 0.0).unwrap().region;
    for supply in [held(1.2), fed(1.1)] {
        let run = |gaps: usize| {
            let mut problem = real(supply, soak(1.5e-7));
            problem.tolerance_y = to_site_fraction(1e-5);
            let growth = Growth {
                finest_m: 1e-4,
                reach_m: 2e-3,
                skin_m: NO_SKIN,
            };
            let (mesh, _) = grid::mesh(&region, growth, Some((gaps, gaps)));
            solve(&problem, &mesh).unwrap().y
        };
        let runs = [16, 32, 64, 128].map(|gaps| (gaps, run(gaps)));
        let change = |k: usize| {
            let ((gaps, coarse), (_, fine)) = (&runs[k], &runs[k + 1]);
            let mut worst: f64 = 0.0;
            for j in 0..=*gaps {
                for i in 0..=*gaps {
                    let there = fine[2 * j * (2 * gaps + 1) + 2 * i];
                    worst = worst.max((coarse[j * (gaps + 1) + i] - there).abs());
                }
            }
            worst
        };
        let (a, b, c) = (change(0), change(1), change(2));
        let order = ln(b / c) / LN_2;
        println!("{supply:?}: order {order:.2}, changes {a:.1e} {b:.1e} {c:.1e}");
        assert!(order > 1.9, "{supply:?}: {order} {a:e} {b:e} {c:e}");
    }
}

/// A quarter of a round bar, or of a tube where `inner_m` is given.
fn round(inner_m: Option<f64>, outer_m: f64) -> Region {
    let arc = |radius_m: f64| Piece {
        line: Line::Round {
            centre: [0.0, 0.0],
            radius_m,
            from: 0.0,
            to: FRAC_PI_2,
        },
        open: true,
    };
    let centre = [0.0, 0.0];
    let mut voids = vec![Void::OutsideDisc {
        centre,
        radius_m: outer_m,
    }];
    let mut pieces = vec![arc(outer_m)];
    if let Some(radius_m) = inner_m {
        voids.push(Void::Disc { centre, radius_m });
        pieces.push(arc(radius_m));
    }
    Region {
        window: [[0.0, 0.0], [outer_m, outer_m]],
        voids,
        pieces,
    }
}

/// Largest difference in wt% of a round section from the one-dimensional engine.
fn off_from_one_dimension(inner_m: Option<f64>, supply: Supply, finest_m: f64) -> [f64; 2] {
    let outer_m = 3e-3;
    let mut problem = real(supply, soak(1.5e-7));
    problem.tolerance_y = to_site_fraction(1e-6);
    let growth = Growth {
        finest_m,
        reach_m: 1.0,
        skin_m: NO_SKIN,
    };
    let (mesh, _) = grid::mesh(&round(inner_m, outer_m), growth, None);
    let plane = solve(&problem, &mesh).unwrap();
    problem.section = match inner_m {
        Some(inner_m) => Section::Tube { inner_m, outer_m },
        None => Section::Cylinder { radius_m: outer_m },
    };
    problem.grading = Some(Grading::Uniform { gaps: 1500 });
    let line = one::solve(&problem).unwrap();
    let (mut greatest, mut square, mut all) = (0.0_f64, 0.0, 0.0);
    for ((p, y), v) in mesh.points.iter().zip(&plane.y).zip(&mesh.volume_m2) {
        let depth = outer_m - length(*p);
        let there = monotone_cubic(&line.mesh.depth_m, &line.y, depth);
        let off = (to_wt_pct(*y) - to_wt_pct(there)).abs();
        greatest = greatest.max(off);
        square += v * off * off;
        all += v;
    }
    [greatest, (square / all).sqrt()]
}

/// A round bar and a tube meshed by squares, against the one-dimensional engine in polar
/// coordinates. The mesh is irregular at the rim, so the largest error scatters from mesh to mesh:
/// measured over two halvings 2.0 for the bar, 1.4 to 2 for the tube, whose errors are smaller.
/// At 0.1 mm, a seventh of the diffusion length, the largest error is below 1e-3 wt%.
#[test]
fn second_order_on_round_boundaries() {
    for inner_m in [None, Some(1e-3)] {
        for supply in [held(1.2), fed(1.1)] {
            // The coarsest still has ten gaps on the bore's radius.
            let [a, b, c] =
                [1e-4, 5e-5, 2.5e-5].map(|h| off_from_one_dimension(inner_m, supply, h));
            let order = [0, 1].map(|k| ln(a[k] / c[k]) / (2.0 * LN_2));
            println!("{inner_m:?} {supply:?}: order {order:.2?}, errors {a:?} {b:?} {c:?}");
            assert!(order[1] > 1.75, "{inner_m:?} {supply:?}: {order:?}");
            assert!(order[0] > 1.35, "{inner_m:?} {supply:?}: {order:?}");
            assert!(a[0] < 1e-3, "{inner_m:?} {supply:?}: {a:?}");
        }
    }
}

/// Equal steps through a cycle with ramps, on straight and round boundaries: order over 2.5, as in
/// one dimension (RODAS has four, a changing surface can cost more than one).
#[test]
fn at_least_second_order_in_time() {
    for (name, section) in [&sections()[0], &sections()[3]] {
        let (_, mesh) = meshed(section, 2.5e-4);
        let run = |steps: usize| {
            let mut problem = real(fed(0.9), up_and_down(1.5e-7, 860.0));
            problem.equal_steps = Some(steps);
            solve_with(&problem, &mesh, 1e-9).unwrap().y
        };
        let fine = run(256);
        let error = |steps: usize| {
            run(steps)
                .iter()
                .zip(&fine)
                .map(|(a, b)| (a - b).abs())
                .fold(0.0, f64::max)
        };
        let (a, b, c) = (error(4), error(16), error(64));
        // Over four halvings: single ones scatter where the error changes its sign.
        let order = ln(a / c) / (4.0 * LN_2);
        println!("{name}: order {order:.2}, errors {a:.1e} {b:.1e} {c:.1e}");
        assert!(order > 2.5, "{name}: {order} {a:e} {b:e} {c:e}");
    }
}

fn cases() -> Vec<(&'static str, Supply, Vec<Leg>)> {
    vec![
        ("held", held(1.2), soak(0.0)),
        ("fed", fed(1.1), up_and_down(1.5e-7, 740.0)),
        ("pack", Supply::Pack, up_and_down(1e-7, 740.0)),
        ("decarb", fed(0.0), vec![leg(0.0, 1.0, 850.0, 850.0, 1e-6)]),
        ("sealed", Supply::Sealed, up_and_down(0.0, 740.0)),
    ]
}

/// Rounding over thousands of nodes and tens of steps; the linear solver's own residual must not
/// show (it is a million times larger).
#[test]
fn balance_closes_to_rounding() {
    for (name, section) in sections() {
        let (_, mesh) = meshed(&section, 2e-4);
        for (case, supply, legs) in cases() {
            let solved = solve(&real(supply, legs), &mesh).unwrap();
            let larger = solved.uptake_m2.abs().max(solved.gain_m2.abs());
            let error = (solved.uptake_m2 - solved.gain_m2).abs();
            assert!(
                error <= 1e-12 * larger,
                "{name} {case}: {error:e} of {larger:e}"
            );
        }
    }
}

/// Nothing lies outside core and surface by more than rounding, however loose the tolerance.
#[test]
fn no_over_or_undershoot() {
    for (name, section) in sections() {
        let (_, mesh) = meshed(&section, 2e-4);
        for tolerance in [3e-2, 1e-3] {
            for supply in [held(1.2), fed(1.1)] {
                let mut problem = real(supply, soak(1.5e-7));
                problem.tolerance_y = to_site_fraction(tolerance);
                let y = solve(&problem, &mesh).unwrap().y;
                let (low, high) = (to_site_fraction(0.18), to_site_fraction(1.2));
                let out = y.iter().fold(0.0_f64, |m, y| m.max(low - y).max(y - high));
                assert!(out < 1e-15, "{name} {supply:?} {tolerance}: {out:e}");
            }
        }
    }
}

fn worst(a: &Solved, b: &Solved) -> f64 {
    a.y.iter()
        .zip(&b.y)
        .map(|(a, b)| (a - b).abs())
        .fold(0.0, f64::max)
}

/// The residual left by the linear solver against one a ten-thousandth of it: less than a
/// twentieth of the tolerance in the result.
#[test]
fn linear_solver_is_exact_enough() {
    for (name, section) in sections() {
        let (_, mesh) = meshed(&section, 1.5e-4);
        for (case, supply, legs) in cases() {
            let problem = real(supply, legs);
            let usual = solve(&problem, &mesh).unwrap();
            let exact = solve_with(&problem, &mesh, 1e-8).unwrap();
            let share = worst(&usual, &exact) / problem.tolerance_y;
            println!(
                "{name} {case}: {share:.1e} of the tolerance, {} passes in {:?}",
                usual.passes, usual.counts
            );
            assert!(share < 0.05, "{name} {case}: {share}");
        }
    }
}

/// On one mesh, error control at 1e-3 wt% against 1e-5: what time adds stays below the tolerance.
#[test]
fn time_adds_less_than_the_tolerance() {
    for (name, section) in sections() {
        let (_, mesh) = meshed(&section, 1.5e-4);
        for (case, supply, legs) in cases()
            .into_iter()
            .filter(|c| c.0 != "pack" && c.0 != "fed")
        {
            let mut problem = real(supply, legs);
            let usual = solve(&problem, &mesh).unwrap();
            problem.tolerance_y /= 100.0;
            let fine = solve(&problem, &mesh).unwrap();
            let error = to_wt_pct(worst(&usual, &fine));
            assert!(error < 1e-3, "{name} {case}: {error:e}");
        }
    }
}

/// Treated on two opposite faces only, a bar is a plate: every column of nodes shows the profile
/// of the one-dimensional engine, and the stopped-off faces take nothing.
#[test]
fn stopped_off_faces_take_nothing() {
    let section = PlaneSection::Rectangle {
        width: mm(7.0),
        height: mm(6.0),
        corner_radius: mm(0.0),
        faces: [Face::StopOff, Face::StopOff, Face::Treated, Face::Treated],
    };
    for (case, supply, legs) in cases() {
        let (_, mesh) = meshed(&section, 1e-4);
        let mut problem = real(supply, legs);
        let plane = solve(&problem, &mesh).unwrap();
        // The same nodes in one dimension: the same scheme, so only the steps may differ.
        problem.section = Section::Plate {
            half_m: mesh.y_m[mesh.y_m.len() - 1],
        };
        let columns = mesh.x_m.len();
        let mut across: f64 = 0.0;
        for row in plane.y.chunks(columns) {
            across = row.iter().fold(across, |m, y| m.max((y - row[0]).abs()));
        }
        // The linear solver's slack, 1e-4 of the tolerance, times the stages' factors.
        assert!(across < 0.02 * problem.tolerance_y, "{case}: {across:e}");
        // Twice 3.5 mm of treated face in the quarter's 3.5 mm: uptake per length is that of a
        // plate, to the two meshes' errors.
        problem.grading = Some(Grading::Towards {
            finest_m: 1e-4,
            reach_m: 1.8e-3,
        });
        let line = one::solve(&problem).unwrap();
        let per_length = plane.uptake_m2 / 3.5e-3;
        assert!(
            (per_length - line.uptake_m).abs() <= 2e-3 * line.uptake_m.abs(),
            "{case}: {per_length:e} {:e}",
            line.uptake_m
        );
    }
}
