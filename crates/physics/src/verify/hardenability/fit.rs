//! The fit of the kinetics, kept as a test so that it can be run again.

use super::evidence::{Band, CRITICAL, PLAIN, bands, plain, plain_start};
use crate::law::decomposition::{FerriteActivation, Growth, LiCoefficients, Product, Refit};
use crate::law::hardenability::{carbon_factor_in, ideal_diameter_in};
use crate::model::jominy::{GRAIN_NUMBER, end_quench_with};
use crate::model::quench::Body;
use crate::model::quench::conduction::{self, Film, PlainAustenite, Stage};
use crate::model::transform::coupling::{Node, Transforming};
use crate::model::transform::{Kinetics, SteelLines, austenitise, follow};
use crate::numerics::fun;
use crate::setup::{QuenchSetup, Quenchant, Shape, Stirring};
use crate::verify::laws::{nominal, shortest};
use casewright_terms::{Composition, Element, Length, Temperature};

fn hrc_formula(hv: f64) -> f64 {
    (100.0 * hv - 14_500.0) / (hv + 223.0)
}

/// (inside, all, sum of squares from the middle over half width, mean square HRC)
fn band(b: &Band, refit: Refit, print: bool) -> (usize, usize, f64, f64) {
    let d: Vec<Length> = b.points.iter().map(|p| Length::from_mm(p.0)).collect();
    let lines = LiCoefficients::refitted(&b.steel, GRAIN_NUMBER, refit);
    let run = end_quench_with(&b.steel, lines, Temperature::from_c(b.from_c), &d).unwrap();
    let (mut good, mut square, mut hrc2, mut n) = (0, 0.0, 0.0, 0.0);
    if print {
        print!("{:8}", b.name);
    }
    for (p, (mm, high, low)) in run.points.iter().zip(&b.points) {
        let hrc = hrc_formula(p.hardness.to_hv());
        let ok = hrc <= high + 0.5 && low.is_none_or(|l| hrc >= l - 0.5);
        good += usize::from(ok);
        if let Some(low) = low {
            let mid = (high + low) / 2.0;
            square += ((hrc - mid) / ((high - low) / 2.0).max(3.0)).powi(2);
            hrc2 += (hrc - mid).powi(2);
            n += 1.0;
        } else if hrc > *high {
            square += ((hrc - high) / 3.0).powi(2);
        }
        if print {
            print!(
                " {:.1}:{:.0}{}({}-{})m{:.0}",
                mm / 25.4 * 16.0,
                hrc,
                if ok { "" } else { "!" },
                high,
                low.unwrap_or(0.0),
                100.0 * p.martensite
            );
        }
    }
    if print {
        println!(
            " => {good}/{} rms {:.1}",
            b.points.len(),
            f64::sqrt(hrc2 / n)
        );
    }
    (
        good,
        b.points.len(),
        square / b.points.len() as f64,
        hrc2 / n,
    )
}

/// Times factor that makes `share` martensite on a curve.
fn needed(
    steel: &Composition,
    lines: LiCoefficients,
    from: Temperature,
    time: &[f64],
    curve: &[f64],
    share: f64,
) -> f64 {
    let shared = SteelLines::new(steel);
    let start = austenitise(steel, steel.get(Element::C), from);
    let (mut low, mut high): (f64, f64) = (-5.0, 5.0);
    for _ in 0..11 {
        let mid = (low + high) / 2.0;
        let k = Kinetics::with_lines(&shared, start.carbon.to_wt_pct(), lines, mid.exp());
        let p = follow(&k, &start, time, curve, 298.15);
        if (p.martensite + p.retained_austenite) / start.austenite.max(1e-9) < share {
            low = mid
        } else {
            high = mid
        }
    }
    (low + high) / 2.0
}

fn ck15(refit: Refit, print: bool) -> f64 {
    let s = plain(0.15, 0.45);
    let from = Temperature::from_c(900.0);
    let shared = SteelLines::new(&s);
    let start = austenitise(&s, s.get(Element::C), from);
    let k = Kinetics::with_lines(&shared, 0.15, LiCoefficients::refitted(&s, 8.0, refit), 1.0);
    let mut sum = 0.0;
    for (d, hv, doubt) in [(11.0, 275.0, 45.0), (30.0, 215.0, 30.0)] {
        let body = crate::model::quench::section(Shape::Cylinder {
            radius: Length::from_mm(d / 2.0),
        })
        .unwrap();
        let mut m = Transforming {
            nodes: (0..body.len())
                .map(|_| Node::new(start, k.clone()))
                .collect(),
        };
        let setup = QuenchSetup {
            quenchant: Quenchant::Water,
            stirring: Stirring::Good,
            bath: Temperature::from_c(20.0),
            transfer: casewright_terms::Span::from_s(2.0),
            severity_factor: 1.0,
        };
        let run = crate::model::quench::quench_with(&setup, &body, from, &mut m).unwrap();
        let half = Length::from_mm(d / 4.0);
        let p = follow(&k, &start, &run.time_s, &run.curve_at(half), 298.15);
        let rate = run
            .rate_while_passing(half, Temperature::from_c(700.0))
            .unwrap();
        let ours = crate::model::chain::as_quenched_hv(&s, &p, rate);
        if print {
            println!("Ck15 {d} mm {ours:.0} HV against {hv} rate {rate:.0} {p:.2?}");
        }
        sum += ((ours - hv) / doubt).powi(2) / 2.0;
    }
    sum
}

/// Ideal diameter with Grossmann's carbon: 0.337 root C at grain 7.
fn grossmann_in(c: f64, mn: f64) -> f64 {
    ideal_diameter_in(&plain(c, mn)) / carbon_factor_in(c) * 0.337 * c.sqrt()
}

pub(super) struct Curves {
    di: Vec<(Vec<f64>, Vec<f64>)>,
}

fn curves() -> Curves {
    Curves {
        di: PLAIN
            .iter()
            .map(|&(c, mn)| {
                let radius = Length::from_in(grossmann_in(c, mn) / 2.0);
                let body = Body::new(Shape::Cylinder { radius }, 21).unwrap();
                let from = plain_start(c);
                let run = conduction::cool(
                    &body,
                    &mut PlainAustenite,
                    from.to_k(),
                    &[Stage {
                        ambient_k: 298.15,
                        film: Film::Constant { h_w_m2_k: 3e5 },
                        lasts_s: None,
                    }],
                )
                .unwrap();
                let curve = run.curve_at(radius);
                (run.time_s, curve)
            })
            .collect(),
    }
}

fn newton(from_c: f64, rate: f64) -> (Vec<f64>, Vec<f64>) {
    (0..=400)
        .map(|i| from_c - (from_c - 30.0) * f64::from(i) / 400.0)
        .map(|t| {
            (
                675.0 / rate * fun::ln((from_c - 25.0) / (t - 25.0)),
                t + 273.15,
            )
        })
        .unzip()
}

const ATLAS: [(&str, Product, f64); 7] = [
    ("1080", Product::Pearlite, 0.71),
    ("4140", Product::Bainite, 4.2),
    ("4140", Product::Ferrite, 7.1),
    ("4340", Product::Bainite, 11.0),
    ("4340", Product::Ferrite, 212.0),
    ("8620", Product::Ferrite, 1.7),
    ("8620", Product::Bainite, 1.7),
];

fn loss(refit: Refit, bands: &[Band], curves: &Curves, print: bool) -> f64 {
    let mut sum = 0.0;
    let (mut g, mut a) = (0, 0);
    for b in bands {
        let (good, all, square, _) = band(b, refit, print);
        g += good;
        a += all;
        sum += square;
    }
    if print {
        println!("bands {g}/{a} loss {sum:.2}");
    }
    let mut di = 0.0;
    for (&(c, mn), (time, curve)) in PLAIN.iter().zip(&curves.di) {
        let s = plain(c, mn);
        let r = needed(
            &s,
            LiCoefficients::refitted(&s, GRAIN_NUMBER, refit),
            plain_start(c),
            time,
            curve,
            0.5,
        );
        if print {
            print!("DI C{c} Mn{mn} {r:+.2}; ");
        }
        di += (r / 0.5).powi(2) / PLAIN.len() as f64;
    }
    if print {
        println!("\nDI loss {di:.2}");
    }
    let mut crit = 0.0;
    for (name, rate, from) in CRITICAL {
        let s = nominal(name);
        let (time, curve) = newton(from, rate);
        let r = needed(
            &s,
            LiCoefficients::refitted(&s, 8.0, refit),
            Temperature::from_c(from),
            &time,
            &curve,
            0.99,
        );
        if print {
            print!("crit {name} {r:+.2}; ");
        }
        crit += (r / 0.5).powi(2) / 4.0;
    }
    let mut atlas = 0.0;
    for (name, product, read) in ATLAS {
        let k = LiCoefficients::refitted(&nominal(name), 8.0, refit);
        let (ours, _) = shortest(|t| k.tau_s(product, 0.01, t));
        let r = (ours / read).ln();
        if print {
            print!("{name} {product:?} {r:+.2}; ");
        }
        atlas += (r / 0.7).powi(2) / 7.0;
    }
    if print {
        println!("\ncrit {crit:.2} atlas {atlas:.2}");
    }
    let s = plain(0.18, 0.75);
    let d = [Length::from_in(1.0 / 16.0)];
    let run = end_quench_with(
        &s,
        LiCoefficients::refitted(&s, 7.0, refit),
        Temperature::from_c(925.0),
        &d,
    )
    .unwrap();
    let j1 = hrc_formula(run.points[0].hardness.to_hv());
    if print {
        println!("1018 J1 {j1:.1}");
    }
    sum + 2.0 * di + crit + atlas + ((j1 - 43.0) / 4.0).powi(2) + ck15(refit, print)
}

fn refit(x: &[f64]) -> Refit {
    Refit {
        growth: [
            if x[5] > 1.5 {
                Growth::Li
            } else {
                Growth::Kirkaldy
            },
            Growth::Kirkaldy,
            Growth::Kirkaldy,
        ],
        ferrite_alloy: x[6],
        ferrite_ln: x[0],
        pearlite_ln: x[1],
        pearlite_manganese: Some(x[2]),
        bainite_carbon: x[3],
        bainite_ln: x[4],
    }
}

/// Nelder and Mead; `free` marks what moves.
fn minimise(
    start: &[f64],
    step: &[f64],
    most: usize,
    f: impl Fn(&[f64]) -> f64,
) -> (Vec<f64>, f64) {
    let free: Vec<usize> = (0..start.len()).filter(|i| step[*i] != 0.0).collect();
    let n = free.len();
    let mut simplex = vec![(start.to_vec(), f(start))];
    for i in &free {
        let mut x = start.to_vec();
        x[*i] += step[*i];
        let v = f(&x);
        simplex.push((x, v));
    }
    for _ in 0..most {
        simplex.sort_by(|a, b| a.1.total_cmp(&b.1));
        if simplex[n].1 - simplex[0].1 < 2e-3 {
            break;
        }
        let centre: Vec<f64> = (0..start.len())
            .map(|i| simplex[..n].iter().map(|p| p.0[i]).sum::<f64>() / n as f64)
            .collect();
        let at = |t: f64| -> Vec<f64> {
            centre
                .iter()
                .zip(&simplex[n].0)
                .map(|(c, w)| c + t * (w - c))
                .collect()
        };
        let (xr, xe) = (at(-1.0), at(-2.0));
        let vr = f(&xr);
        if vr < simplex[0].1 {
            let ve = f(&xe);
            simplex[n] = if ve < vr { (xe, ve) } else { (xr, vr) };
        } else if vr < simplex[n - 1].1 {
            simplex[n] = (xr, vr);
        } else {
            let x = if vr < simplex[n].1 { at(-0.5) } else { at(0.5) };
            let v = f(&x);
            if v < simplex[n].1.min(vr) {
                simplex[n] = (x, v);
            } else {
                let best = simplex[0].0.clone();
                for p in &mut simplex[1..] {
                    p.0 = p.0.iter().zip(&best).map(|(a, b)| (a + b) / 2.0).collect();
                    p.1 = f(&p.0);
                }
            }
        }
    }
    simplex.sort_by(|a, b| a.1.total_cmp(&b.1));
    simplex.swap_remove(0)
}

#[test]
#[ignore = "prints the residuals"]
fn residuals() {
    let (b, c) = (bands(), curves());
    for (name, shape) in [("all Kirkaldy", 1.0), ("ferrite Li", 2.0)] {
        println!("== {name}");
        let (x, v) = minimise(
            &[0.0, 0.5, 2.00, 6.0, 0.0, shape, 1.0],
            &[-0.5, 0.3, 0.0, -1.0, 0.0, 0.0, 0.0],
            60,
            |x| loss(refit(x), &b, &c, false),
        );
        println!("K F P Bc {x:.2?} {v:.2}");
        let (x, v) = minimise(&x, &[-0.5, 0.3, 0.0, -1.0, 0.0, 0.0, -0.4], 80, |x| {
            loss(refit(x), &b, &c, false)
        });
        println!("K F P Bc Fa {x:.2?} {v:.2}");
        println!("{:.2}", loss(refit(&x), &b, &c, true));
        let (x, v) = minimise(&x, &[-0.3, 0.3, 0.3, -1.0, 0.3, 0.0, 0.1], 80, |x| {
            loss(refit(x), &b, &c, false)
        });
        println!("all {x:.2?} {v:.2}");
        for (name, s) in [("1018", plain(0.18, 0.75)), ("C15E", plain(0.15, 0.45))] {
            for (k, r) in [("published", Refit::PUBLISHED), ("refit", refit(&x))] {
                let d: Vec<Length> = [1.0, 1.5, 2.0, 3.0, 4.0]
                    .map(|n| Length::from_in(n / 16.0))
                    .to_vec();
                let run = end_quench_with(
                    &s,
                    LiCoefficients::refitted(&s, 7.0, r),
                    Temperature::from_c(925.0),
                    &d,
                )
                .unwrap();
                println!(
                    "{name} {k} {:?}",
                    run.points
                        .iter()
                        .map(|p| (
                            hrc_formula(p.hardness.to_hv()).round(),
                            (100.0 * p.martensite).round(),
                            p.rate_k_s.round()
                        ))
                        .collect::<Vec<_>>()
                );
            }
        }
    }
}
