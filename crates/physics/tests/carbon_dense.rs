//! The one-dimensional engine against profiles made by other means: round bodies, fed and held
//! surfaces, whole cycles.
//!
//! **How the numbers were made** (numpy and scipy, no part of the project): the equation of the
//! theory page on a row of equal cells, nodes at the ends, flux = area/gap × D at the mean of two
//! neighbours × their difference, `scipy.integrate.solve_ivp` with BDF, the exact tridiagonal
//! Jacobian, rtol 1e-9 and atol 1e-11, restarted at 700, 727 and 800 °C; 500, 1000 and 2000 cells,
//! Richardson's extrapolation of the last two. The extrapolations of both pairs of meshes differ by
//! 3e-6 wt% at most. It shares with the engine the laws, not the mesh, the form of the flux, or the
//! integrator.

use casewright_physics::setup::{CarbonSetup, Cycle, DiffusivityModel, Ramp, Shape, Surface};
use casewright_physics::simulate;
use casewright_terms::{
    Composition, Length, Span, Temperature, TemperatureStep, TransferCoefficient, WeightPercent,
};

struct Reference {
    /// Site fraction × metre taken up per outer surface.
    uptake_m: f64,
    /// Depths to 0.40 and 0.25 wt%.
    depths_mm: [f64; 2],
    /// Depth in mm, carbon in wt%.
    profile: &'static [(f64, f64)],
}

fn w(wt_pct: f64) -> WeightPercent {
    WeightPercent::from_wt_pct(wt_pct)
}

fn ramp(from_c: f64, to_c: f64, hours: f64) -> Ramp {
    Ramp {
        from: Temperature::from_c(from_c),
        to: Temperature::from_c(to_c),
        duration: Span::from_h(hours),
    }
}

fn plate(mm: f64) -> Shape {
    Shape::Plate {
        half_thickness: Length::from_mm(mm),
    }
}

fn cylinder(mm: f64) -> Shape {
    Shape::Cylinder {
        radius: Length::from_mm(mm),
    }
}

fn sphere(mm: f64) -> Shape {
    Shape::Sphere {
        radius: Length::from_mm(mm),
    }
}

fn fed(potential: f64) -> Surface {
    Surface::Transfer {
        potential: w(potential),
        coefficient: TransferCoefficient::from_m_s(1.5e-7),
        above: Temperature::from_c(800.0),
    }
}

/// Heat-up, soak, drop to 860 °C, equalise, cool; the medium reaches the part above 800 °C. With a
/// potential of 0.68 wt% no carbide forms down to 700 °C.
fn whole_cycle() -> Vec<Ramp> {
    vec![
        ramp(25.0, 927.0, 2.5),
        ramp(927.0, 927.0, 6.0),
        ramp(927.0, 860.0, 2.0),
        ramp(860.0, 860.0, 0.5),
        ramp(860.0, 25.0, 1.0),
    ]
}

fn setup(core: f64, shape: Shape, surface: Surface, pieces: Vec<Ramp>) -> CarbonSetup {
    CarbonSetup {
        composition: Composition::plain(w(core)),
        shape,
        diffusivity: DiffusivityModel::Agren1986,
        diffusivity_factor: 1.0,
        surface,
        cycle: Cycle { pieces },
        tolerance: w(1e-4),
        saturation_shift: TemperatureStep::ZERO,
    }
}

/// Bounds of the error in wt%, see [`check`].
const DISSOLVED: f64 = 1e-4;
const CARBIDE: f64 = 2e-4;

/// Grams per square metre and metre of site fraction: 7850 kg/m³ of iron.
const GRAMS: f64 = 7.85e6 * 12.011 / 55.845;

/// The asked tolerance, 1e-4 wt% (twice that with carbide, which keeps what errors it meets: the skin
/// of one plate is off by 1.45e-4), and 1 µm, which is what shops could ever measure; the uptake to
/// the tolerance over the depth of the case, about 2e-4 of it.
fn check(name: &str, setup: &CarbonSetup, reference: &Reference, bound: f64) {
    let run = simulate::carbon(setup).expect("a valid setup settles");
    let depths: Vec<Length> = reference
        .profile
        .iter()
        .map(|(mm, _)| Length::from_mm(*mm))
        .collect();
    let (mut worst, mut worst_mm) = (0.0_f64, 0.0);
    for (ours, (mm, theirs)) in run.at(&depths).iter().zip(reference.profile) {
        let off = (ours.to_wt_pct() - theirs).abs();
        if off > worst {
            (worst, worst_mm) = (off, *mm);
        }
    }
    assert!(worst < bound, "{name}: {worst:e} wt% at {worst_mm} mm");
    for (limit, expected) in [0.40, 0.25].into_iter().zip(reference.depths_mm) {
        let ours = run.depth_to_carbon(w(limit)).expect("a case").to_mm();
        println!("{name}: {limit} wt% at {ours:.5} mm for {expected:.5}");
        assert!((ours - expected).abs() < 1e-3, "{name}: {ours} {expected}");
    }
    let uptake = run.uptake_g_m2 / (GRAMS * reference.uptake_m) - 1.0;
    println!(
        "{name}: worst {worst:.1e} wt% at {worst_mm} mm, uptake {uptake:.1e}, {} steps",
        run.steps
    );
    assert!(uptake.abs() < 4e-4, "{name}: {uptake:e}");
    assert!(run.balance_error < 1e-12, "{name}: {:e}", run.balance_error);
}

#[test]
fn val_fed_round_bodies_match_a_dense_integration() {
    let hold = vec![ramp(927.0, 927.0, 5.0)];
    let bar = setup(0.2, cylinder(3.0), fed(1.1), hold.clone());
    check("fed cylinder", &bar, &CYL_FED, DISSOLVED);
    let ball = setup(0.2, sphere(3.0), fed(1.1), hold);
    check("fed sphere", &ball, &SPH_FED, DISSOLVED);
}

#[test]
fn val_held_round_bodies_match_a_dense_integration() {
    let held = |wt_pct| Surface::Fixed { carbon: w(wt_pct) };
    let hold = vec![ramp(900.0, 900.0, 6.0)];
    let ball = setup(0.18, sphere(4.0), held(1.1), hold);
    check("held sphere", &ball, &SPH_FIXED, DISSOLVED);
    let hold = vec![ramp(940.0, 940.0, 3.0)];
    let bar = setup(0.18, cylinder(2.0), held(1.2), hold);
    check("held cylinder", &bar, &CYL_FIXED, DISSOLVED);
}

#[test]
fn val_whole_cycles_match_a_dense_integration() {
    for (name, shape, reference) in [
        ("plate", plate(5.0), &PLATE_CYCLE),
        ("cylinder", cylinder(4.0), &CYL_CYCLE),
        ("sphere", sphere(4.0), &SPH_CYCLE),
    ] {
        let setup = setup(0.18, shape, fed(0.68), whole_cycle());
        check(name, &setup, reference, DISSOLVED);
    }
}

/// With carbide the reference ends its fluxes on nodes and takes 4000 cells, 1 µm each: its last two
/// meshes differ by 3e-5 wt% and are not extrapolated. The medium's potential is over saturation
/// on the way down; the part stands an hour at 760 °C, so the edge of the carbide first comes in
/// and then draws back. The profile is read every 0.1 mm, none of them within a gap of the edge.
#[test]
fn val_cycles_with_carbide_match_a_dense_integration() {
    let pieces = vec![
        ramp(25.0, 927.0, 2.5),
        ramp(927.0, 927.0, 6.0),
        ramp(927.0, 760.0, 2.0),
        ramp(760.0, 760.0, 1.0),
        ramp(760.0, 25.0, 1.0),
    ];
    let surface = Surface::Transfer {
        potential: w(1.15),
        coefficient: TransferCoefficient::from_m_s(2e-7),
        above: Temperature::from_c(800.0),
    };
    for (name, shape, reference) in [
        ("plate", plate(5.0), &PLATE_CARBIDE),
        ("cylinder", cylinder(4.0), &CYL_CARBIDE),
    ] {
        let setup = setup(0.18, shape, surface.clone(), pieces.clone());
        check(name, &setup, reference, CARBIDE);
    }
}

/// More cases of the same kind, made for the three that the steps were tuned on and the three that
/// were looked at only afterwards. LSODA (banded, rtol 1e-9, with carbide 1e-8), up to 2000 cells
/// without carbide (extrapolated; the extrapolations differ by 2e-7 wt%), with carbide up to 6000
/// (not extrapolated; the last two meshes differ by 5e-6 wt% at most).
fn more(name: &str) -> CarbonSetup {
    let fed = |potential: f64, beta: f64, above: f64| Surface::Transfer {
        potential: w(potential),
        coefficient: TransferCoefficient::from_m_s(beta),
        above: Temperature::from_c(above),
    };
    match name {
        "lean sphere" => setup(
            0.2,
            sphere(5.0),
            fed(0.55, 1.2e-7, 790.0),
            vec![
                ramp(25.0, 900.0, 1.5),
                ramp(900.0, 900.0, 4.0),
                ramp(900.0, 820.0, 1.0),
                ramp(820.0, 820.0, 1.0),
                ramp(820.0, 25.0, 2.0),
            ],
        ),
        "slowly cooled plate" => setup(
            0.15,
            plate(6.0),
            fed(1.3, 1e-7, 780.0),
            vec![
                ramp(25.0, 930.0, 2.0),
                ramp(930.0, 930.0, 8.0),
                ramp(930.0, 25.0, 14.0),
            ],
        ),
        "fast cooled cylinder" => setup(
            0.2,
            cylinder(6.0),
            fed(1.2, 2.5e-7, 800.0),
            vec![
                ramp(25.0, 940.0, 1.5),
                ramp(940.0, 940.0, 5.0),
                ramp(940.0, 25.0, 0.6),
            ],
        ),
        "held plate" => setup(
            0.2,
            plate(4.0),
            Surface::Fixed { carbon: w(0.7) },
            vec![
                ramp(800.0, 880.0, 1.0),
                ramp(880.0, 880.0, 3.0),
                ramp(880.0, 940.0, 1.0),
                ramp(940.0, 940.0, 2.0),
            ],
        ),
        "reheated sphere" => setup(
            0.18,
            sphere(5.0),
            fed(1.25, 2e-7, 810.0),
            vec![
                ramp(25.0, 920.0, 2.0),
                ramp(920.0, 920.0, 4.0),
                ramp(920.0, 725.0, 2.0),
                ramp(725.0, 850.0, 1.5),
                ramp(850.0, 850.0, 0.5),
                ramp(850.0, 25.0, 1.2),
            ],
        ),
        _ => setup(
            0.2,
            plate(2.0),
            fed(1.1, 1e-7, 800.0),
            vec![
                ramp(25.0, 900.0, 1.0),
                ramp(900.0, 900.0, 7.0),
                ramp(900.0, 740.0, 3.0),
                ramp(740.0, 740.0, 2.0),
                ramp(740.0, 25.0, 2.0),
            ],
        ),
    }
}

#[test]
fn val_cases_tuned_on_match_a_dense_integration() {
    for (name, reference, bound) in [
        ("lean sphere", &SPH_LEAN, DISSOLVED),
        ("slowly cooled plate", &PLATE_SLOW, CARBIDE),
        ("fast cooled cylinder", &CYL_FAST, CARBIDE),
    ] {
        check(name, &more(name), reference, bound);
    }
}

#[test]
fn val_cases_kept_aside_match_a_dense_integration() {
    for (name, reference, bound) in [
        ("held plate", &PLATE_HELD, DISSOLVED),
        ("reheated sphere", &SPH_REHEATED, CARBIDE),
        ("thin plate", &PLATE_THIN, CARBIDE),
    ] {
        check(name, &more(name), reference, bound);
    }
}

const SPH_LEAN: Reference = Reference {
    uptake_m: 6.35929973e-06,
    depths_mm: [0.32245, 0.83672],
    profile: &[
        (0.00, 0.521629),
        (0.10, 0.493604),
        (0.20, 0.450466),
        (0.30, 0.408945),
        (0.40, 0.370386),
        (0.50, 0.335461),
        (0.60, 0.304653),
        (0.70, 0.278357),
        (0.80, 0.256762),
        (0.90, 0.239752),
        (1.00, 0.226910),
        (1.20, 0.211152),
        (1.40, 0.204053),
        (1.60, 0.201295),
        (1.80, 0.200364),
        (2.00, 0.200090),
    ],
};
const PLATE_SLOW: Reference = Reference {
    uptake_m: 3.92736559e-05,
    depths_mm: [1.24350, 1.63712],
    profile: &[
        (0.00, 1.050845),
        (0.10, 1.016190),
        (0.20, 0.971402),
        (0.30, 0.923865),
        (0.40, 0.873983),
        (0.50, 0.821698),
        (0.60, 0.766950),
        (0.70, 0.709878),
        (0.80, 0.655238),
        (0.90, 0.593220),
        (1.00, 0.532854),
        (1.20, 0.421840),
        (1.40, 0.329745),
        (1.60, 0.260364),
        (1.80, 0.213026),
        (2.00, 0.183630),
        (2.20, 0.166856),
        (2.40, 0.157970),
        (2.60, 0.153566),
        (2.80, 0.151512),
        (3.00, 0.150608),
        (3.20, 0.150232),
        (3.40, 0.150084),
        (3.60, 0.150029),
    ],
};
const CYL_FAST: Reference = Reference {
    uptake_m: 2.95013598e-05,
    depths_mm: [1.11714, 1.56207],
    profile: &[
        (0.00, 1.122738),
        (0.10, 1.066086),
        (0.20, 1.003348),
        (0.30, 0.938506),
        (0.40, 0.871054),
        (0.50, 0.801552),
        (0.60, 0.730911),
        (0.70, 0.660557),
        (0.80, 0.591310),
        (0.90, 0.525232),
        (1.00, 0.463910),
        (1.20, 0.360793),
        (1.40, 0.287998),
        (1.60, 0.243390),
        (1.80, 0.219428),
        (2.00, 0.207961),
        (2.20, 0.203002),
        (2.40, 0.201045),
        (2.60, 0.200336),
        (2.80, 0.200100),
        (3.00, 0.200027),
    ],
};
const PLATE_HELD: Reference = Reference {
    uptake_m: 1.40604865e-05,
    depths_mm: [0.65606, 1.17229],
    profile: &[
        (0.00, 0.700000),
        (0.10, 0.654818),
        (0.20, 0.608198),
        (0.30, 0.560841),
        (0.40, 0.513599),
        (0.50, 0.467440),
        (0.60, 0.423393),
        (0.70, 0.382455),
        (0.80, 0.345494),
        (0.90, 0.313146),
        (1.00, 0.285744),
        (1.20, 0.245514),
        (1.40, 0.221771),
        (1.60, 0.209413),
        (1.80, 0.203690),
        (2.00, 0.201314),
        (2.20, 0.200426),
        (2.40, 0.200125),
        (2.60, 0.200034),
    ],
};
const SPH_REHEATED: Reference = Reference {
    uptake_m: 2.53758799e-05,
    depths_mm: [1.06005, 1.39856],
    profile: &[
        (0.00, 1.051779),
        (0.10, 1.008114),
        (0.20, 0.956663),
        (0.30, 0.902049),
        (0.40, 0.844008),
        (0.50, 0.782227),
        (0.60, 0.716625),
        (0.70, 0.648111),
        (0.80, 0.576713),
        (0.90, 0.505573),
        (1.00, 0.437765),
        (1.20, 0.324161),
        (1.40, 0.249599),
        (1.60, 0.209472),
        (1.80, 0.191127),
        (2.00, 0.183789),
        (2.20, 0.181170),
        (2.40, 0.180329),
        (2.60, 0.180084),
    ],
};
/// The edge of the carbide stands at 0.205 mm: the row at 0.20 mm lies in its control volume, where
/// what is read errs by the jump of the total (6e-3 wt% here), and is left out.
const PLATE_THIN: Reference = Reference {
    uptake_m: 2.46108960e-05,
    depths_mm: [0.97049, 1.43250],
    profile: &[
        (0.00, 0.948465),
        (0.10, 0.900957),
        (0.30, 0.767968),
        (0.40, 0.727738),
        (0.50, 0.675714),
        (0.60, 0.614771),
        (0.70, 0.551863),
        (0.80, 0.491393),
        (0.90, 0.435688),
        (1.00, 0.386024),
        (1.20, 0.307363),
        (1.40, 0.256054),
        (1.60, 0.226960),
        (1.80, 0.213054),
        (2.00, 0.209046),
    ],
};
const CYL_FED: Reference = Reference {
    uptake_m: 2.12441449e-05,
    depths_mm: [0.94907, 1.37868],
    profile: &[
        (0.00, 1.007243),
        (0.20, 0.886481),
        (0.40, 0.753434),
        (0.60, 0.615485),
        (0.80, 0.484602),
        (1.00, 0.374656),
        (1.20, 0.295101),
        (1.40, 0.246032),
        (1.60, 0.220000),
        (1.80, 0.207891),
        (2.00, 0.202857),
        (2.20, 0.200959),
        (2.40, 0.200303),
        (2.60, 0.200093),
        (2.80, 0.200031),
        (3.00, 0.200018),
    ],
};
const SPH_FED: Reference = Reference {
    uptake_m: 1.98878678e-05,
    depths_mm: [1.03741, 1.47580],
    profile: &[
        (0.00, 1.020560),
        (0.20, 0.916427),
        (0.40, 0.796941),
        (0.60, 0.667151),
        (0.80, 0.536790),
        (1.00, 0.419410),
        (1.20, 0.327506),
        (1.40, 0.266017),
        (1.60, 0.230748),
        (1.80, 0.213074),
        (2.00, 0.205155),
        (2.20, 0.201918),
        (2.40, 0.200691),
        (2.60, 0.200254),
        (2.80, 0.200109),
        (3.00, 0.200075),
    ],
};
const SPH_FIXED: Reference = Reference {
    uptake_m: 2.40396076e-05,
    depths_mm: [1.01691, 1.35026],
    profile: &[
        (0.00, 1.100000),
        (0.20, 0.986980),
        (0.40, 0.853480),
        (0.60, 0.704093),
        (0.80, 0.550243),
        (1.00, 0.410510),
        (1.20, 0.303681),
        (1.40, 0.236914),
        (1.60, 0.202711),
        (1.80, 0.187982),
        (2.00, 0.182499),
        (2.20, 0.180702),
        (2.40, 0.180178),
        (2.60, 0.180041),
    ],
};
const CYL_FIXED: Reference = Reference {
    uptake_m: 2.47173186e-05,
    depths_mm: [0.98179, 1.28195],
    profile: &[
        (0.00, 1.200000),
        (0.10, 1.136255),
        (0.20, 1.065785),
        (0.30, 0.988730),
        (0.40, 0.905596),
        (0.50, 0.817423),
        (0.60, 0.725951),
        (0.70, 0.633735),
        (0.80, 0.544107),
        (0.90, 0.460845),
        (1.00, 0.387524),
        (1.10, 0.326700),
        (1.20, 0.279309),
        (1.30, 0.244596),
        (1.40, 0.220592),
        (1.50, 0.204834),
        (1.60, 0.194958),
        (1.70, 0.189042),
        (1.80, 0.185694),
        (1.90, 0.184014),
        (2.00, 0.183507),
    ],
};
const PLATE_CYCLE: Reference = Reference {
    uptake_m: 1.49631028e-05,
    depths_mm: [0.63762, 1.19807],
    profile: &[
        (0.00, 0.648322),
        (0.20, 0.573062),
        (0.40, 0.489869),
        (0.60, 0.413406),
        (0.80, 0.346423),
        (1.00, 0.291403),
        (1.20, 0.249660),
        (1.40, 0.220624),
        (1.60, 0.202113),
        (1.80, 0.191256),
        (2.00, 0.185367),
        (2.20, 0.182401),
        (2.40, 0.181008),
        (2.60, 0.180397),
        (2.80, 0.180147),
        (3.00, 0.180051),
    ],
};
const CYL_CYCLE: Reference = Reference {
    uptake_m: 1.40897216e-05,
    depths_mm: [0.70287, 1.28233],
    profile: &[
        (0.00, 0.652282),
        (0.20, 0.585324),
        (0.40, 0.508690),
        (0.60, 0.435420),
        (0.80, 0.368475),
        (1.00, 0.310958),
        (1.20, 0.265209),
        (1.40, 0.231807),
        (1.60, 0.209454),
        (1.80, 0.195694),
        (2.00, 0.187859),
        (2.20, 0.183708),
        (2.40, 0.181652),
        (2.60, 0.180697),
        (2.80, 0.180279),
        (3.00, 0.180106),
        (3.20, 0.180039),
    ],
};
const SPH_CYCLE: Reference = Reference {
    uptake_m: 1.32460297e-05,
    depths_mm: [0.77397, 1.37142],
    profile: &[
        (0.00, 0.655988),
        (0.20, 0.596989),
        (0.40, 0.527121),
        (0.60, 0.457732),
        (0.80, 0.391717),
        (1.00, 0.332478),
        (1.20, 0.283124),
        (1.40, 0.245313),
        (1.60, 0.218750),
        (1.80, 0.201589),
        (2.00, 0.191335),
        (2.20, 0.185629),
        (2.40, 0.182654),
        (2.60, 0.181193),
        (2.80, 0.180514),
        (3.00, 0.180214),
        (3.20, 0.180087),
        (3.40, 0.180035),
    ],
};
const PLATE_CARBIDE: Reference = Reference {
    uptake_m: 3.13253166e-05,
    depths_mm: [1.09604, 1.51458],
    profile: &[
        (0.00, 1.034623),
        (0.10, 0.985230),
        (0.20, 0.930551),
        (0.30, 0.838897),
        (0.40, 0.806768),
        (0.50, 0.758568),
        (0.60, 0.698550),
        (0.70, 0.634176),
        (0.80, 0.569571),
        (1.00, 0.450279),
        (1.20, 0.351943),
        (1.40, 0.279705),
        (1.60, 0.232762),
        (1.80, 0.205625),
        (2.00, 0.191496),
        (2.20, 0.184787),
        (2.40, 0.181856),
        (2.60, 0.180671),
        (2.80, 0.180226),
        (3.00, 0.180071),
        (3.20, 0.180021),
    ],
};
const CYL_CARBIDE: Reference = Reference {
    uptake_m: 2.93898840e-05,
    depths_mm: [1.18348, 1.60792],
    profile: &[
        (0.00, 1.051277),
        (0.10, 1.006857),
        (0.20, 0.956785),
        (0.30, 0.904956),
        (0.40, 0.829149),
        (0.50, 0.792751),
        (0.60, 0.741739),
        (0.70, 0.682374),
        (0.80, 0.619518),
        (1.00, 0.498083),
        (1.20, 0.392041),
        (1.40, 0.309133),
        (1.60, 0.251777),
        (1.80, 0.216604),
        (2.00, 0.197257),
        (2.20, 0.187575),
        (2.40, 0.183112),
        (2.60, 0.181201),
        (2.80, 0.180437),
        (3.00, 0.180151),
        (3.20, 0.180049),
    ],
};
