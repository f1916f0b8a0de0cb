//! Carbon in two dimensions through its public face: against the one-dimensional engine, between
//! shapes, and over random setups.

use casewright_physics::medium::{Gas, GasControl, LowPressure, MediumSetup};
use casewright_physics::run::PlaneRun;
use casewright_physics::setup::{
    CarbonSetup, Cycle, DiffusivityModel, Face, KeywayBody, PlaneGrid, PlanePoint, PlaneSection,
    PlaneSetup, Ramp, Shape, Surface,
};
use casewright_physics::simulate;
use casewright_terms::{
    CarbonFlux, Composition, Element, Length, Span, Temperature, TransferCoefficient, WeightPercent,
};
use proptest::prelude::*;

const T: Face = Face::Treated;
const S: Face = Face::StopOff;

fn w(wt_pct: f64) -> WeightPercent {
    WeightPercent::from_wt_pct(wt_pct)
}

fn mm(v: f64) -> Length {
    Length::from_mm(v)
}

fn at(x_mm: f64, y_mm: f64) -> PlanePoint {
    PlanePoint {
        x: mm(x_mm),
        y: mm(y_mm),
    }
}

fn ramp(from_c: f64, to_c: f64, hours: f64) -> Ramp {
    Ramp {
        from: Temperature::from_c(from_c),
        to: Temperature::from_c(to_c),
        duration: Span::from_h(hours),
    }
}

fn soak() -> Vec<Ramp> {
    vec![ramp(927.0, 927.0, 8.0)]
}

fn pack() -> Surface {
    Surface::Pack {
        coefficient: TransferCoefficient::from_m_s(1e-7),
        begins: Temperature::from_c(727.0),
        full: Temperature::from_c(780.0),
    }
}

fn fixed(wt_pct: f64) -> Surface {
    Surface::Fixed { carbon: w(wt_pct) }
}

/// 0.18 wt% core, tolerance 1e-3 wt% unless changed.
fn setup(section: PlaneSection, surface: Surface, pieces: Vec<Ramp>) -> PlaneSetup {
    PlaneSetup {
        composition: Composition::plain(w(0.18)),
        section,
        diffusivity: DiffusivityModel::Agren1986,
        diffusivity_factor: 1.0,
        surface,
        cycle: Cycle { pieces },
        tolerance: w(1e-3),
        grid: PlaneGrid::ByTolerance,
    }
}

fn run(section: PlaneSection, surface: Surface, pieces: Vec<Ramp>) -> PlaneRun {
    simulate::carbon_plane(&setup(section, surface, pieces)).unwrap()
}

fn bar(width: f64, height: f64, radius: f64) -> PlaneSection {
    PlaneSection::Rectangle {
        width: mm(width),
        height: mm(height),
        corner_radius: mm(radius),
        faces: [T; 4],
    }
}

fn bore(diameter: f64, wall: f64) -> PlaneSection {
    PlaneSection::BoreNearWall {
        diameter: mm(diameter),
        wall: mm(wall),
        bore: T,
        surface: T,
    }
}

fn slot(body: KeywayBody) -> PlaneSection {
    PlaneSection::Keyway {
        body,
        width: mm(6.0),
        depth: mm(4.0),
        fillet: mm(0.5),
        outside: T,
        slot: T,
    }
}

/// The one-dimensional answer at a tenth of the tolerance.
fn plate(half_mm: f64, surface: Surface, pieces: Vec<Ramp>) -> casewright_physics::run::CarbonRun {
    simulate::carbon(&CarbonSetup {
        composition: Composition::plain(w(0.18)),
        shape: Shape::Plate {
            half_thickness: mm(half_mm),
        },
        diffusivity: DiffusivityModel::Agren1986,
        diffusivity_factor: 1.0,
        surface,
        cycle: Cycle { pieces },
        tolerance: w(1e-4),
        saturation_shift: casewright_terms::TemperatureStep::ZERO,
    })
    .unwrap()
}

/// Held for six hours, then sealed for three minutes: the skin gives to a layer of a tenth of the
/// case, which has grid lines of its own. Across the flat of a bar against the row of nodes at a
/// tenth of the tolerance: the asked tolerance, skin included.
#[test]
fn a_late_change_has_its_layer_in_the_skin_of_a_section() {
    let surface = Surface::Program(vec![
        (Span::from_h(6.0), fixed(1.0)),
        (Span::from_h(0.05), Surface::Sealed),
    ]);
    let pieces = vec![ramp(927.0, 927.0, 6.05)];
    let section = run(bar(10.0, 24.0, 0.0), surface.clone(), pieces.clone());
    let line = plate(5.0, surface, pieces);
    let depths = [0.0, 0.01, 0.03, 0.06, 0.1, 0.2, 0.5, 1.0];
    let exact = line.at(&depths.map(mm));
    for (d, exact) in depths.into_iter().zip(exact) {
        let ours = section.at(at(d, 12.0)).unwrap().to_wt_pct();
        let off = ours - exact.to_wt_pct();
        println!("{d} mm: {off:.1e} wt% of {:.4}", exact.to_wt_pct());
        assert!(off.abs() < 1e-3, "{d} mm: {off:e}");
    }
}

/// Along a line across a flat face, six diffusion lengths or more from any corner: the asked
/// tolerance, at nodes and between them.
#[test]
fn far_from_corners_it_is_the_one_dimensional_answer() {
    // Name, section, half thickness there, a point of the flat, the way inward.
    type Way = fn(f64) -> PlanePoint;
    let flat_keyway: Way = |d| at(8.0, d);
    let cases: [(&str, PlaneSection, f64, Way); 5] = [
        ("bar", bar(14.0, 24.0, 0.0), 7.0, |d| at(d, 12.0)),
        ("rounded bar", bar(14.0, 24.0, 1.0), 7.0, |d| at(d, 12.0)),
        (
            "plate edge",
            PlaneSection::PlateEdge {
                thickness: mm(5.0),
                corner_radius: mm(1.0),
                end: T,
                flats: [T; 2],
            },
            2.5,
            |d| at(6.5, d),
        ),
        ("keyway", slot(KeywayBody::Flat), 20.0, flat_keyway),
        (
            "web",
            PlaneSection::Web {
                thickness: mm(3.0),
                height: mm(14.0),
                fillet: mm(1.0),
                tip_radius: mm(0.3),
                tip: T,
                sides: T,
                floor: T,
            },
            1.5,
            |d| at(1.5 - d, 6.5),
        ),
    ];
    for (surface, pieces) in [(fixed(1.0), soak()), (pack(), soak())] {
        for (name, section, half, way) in &cases {
            let plane = run(*section, surface.clone(), pieces.clone());
            let line = plate(*half, surface.clone(), pieces.clone());
            let mut worst: f64 = 0.0;
            for k in 0..=100 {
                let depth = half.min(3.0) * f64::from(k) / 100.0;
                let here = plane.at(way(depth)).unwrap();
                worst = worst.max((here - line.at(&[mm(depth)])[0]).to_wt_pct().abs());
            }
            println!("{name} {surface:?}: {worst:.1e} wt%");
            assert!(worst < 1e-3, "{name}: {worst:e}");
        }
    }
}

/// Gas, a boost with a diffuse, and potentials in turns, into an alloy steel whose own factor and
/// saturation count: across a flat face the asked tolerance, as for the simpler surfaces.
///
/// The cooling ends above the carbide line of the skin. Where carbide begins at the last moment both
/// engines round the corner at saturation over two tolerances: with an end at 840 °C the plane is
/// off by 1.6e-3 wt% at the skin itself and the line, asked for the same, by 1.9e-3.
#[test]
fn media_and_turns_give_the_one_dimensional_answer_on_a_flat() {
    let above = Temperature::from_c(760.0);
    let coefficient = TransferCoefficient::from_m_s(1.5e-7);
    let turn = |hours: f64, surface: Surface| (Span::from_h(hours), surface);
    let transfer = |wt_pct: f64| Surface::Transfer {
        potential: w(wt_pct),
        coefficient,
        above,
    };
    let gas = Surface::Medium(MediumSetup::Gas(Gas {
        control: GasControl::Potential(w(0.95)),
        coefficient: Some(coefficient),
        above,
    }));
    let boost = Surface::Medium(MediumSetup::LowPressure(LowPressure {
        flux: CarbonFlux::from_g_m2_h(120.0),
        above,
    }));
    let surfaces = [
        ("gas", gas),
        ("boost", Surface::Program(vec![turn(1.5, boost)])),
        (
            "two potentials",
            Surface::Program(vec![turn(4.0, transfer(1.1)), turn(9.0, transfer(0.75))]),
        ),
    ];
    let steel = Composition::new(&[
        (Element::C, w(0.2)),
        (Element::Mn, w(0.8)),
        (Element::Cr, w(0.5)),
        (Element::Ni, w(0.55)),
        (Element::Mo, w(0.2)),
    ])
    .unwrap();
    let pieces = vec![
        ramp(780.0, 927.0, 1.0),
        ramp(927.0, 927.0, 6.0),
        ramp(927.0, 900.0, 1.0),
    ];
    for (name, surface) in surfaces {
        let mut plane = setup(bar(14.0, 24.0, 0.0), surface, pieces.clone());
        plane.composition = steel;
        plane.diffusivity = DiffusivityModel::Alloy;
        let line = CarbonSetup {
            composition: steel,
            shape: Shape::Plate {
                half_thickness: mm(7.0),
            },
            diffusivity: plane.diffusivity,
            diffusivity_factor: 1.0,
            surface: plane.surface.clone(),
            cycle: plane.cycle.clone(),
            tolerance: w(1e-4),
            saturation_shift: casewright_terms::TemperatureStep::ZERO,
        };
        let (plane, line) = (
            simulate::carbon_plane(&plane).unwrap(),
            simulate::carbon(&line).unwrap(),
        );
        // A quarter of what eight hours of the gas give.
        assert!(line.uptake_g_m2 > 10.0, "{name}: {} g/m²", line.uptake_g_m2);
        assert!(plane.balance_error < 1e-10, "{name}");
        let worst = (0..=100)
            .map(|k| 0.03 * f64::from(k))
            .map(|d| (plane.at(at(d, 12.0)).unwrap() - line.at(&[mm(d)])[0]).to_wt_pct())
            .fold(0.0_f64, |m, off| m.max(off.abs()));
        println!("{name}: {worst:.1e} wt%");
        assert!(worst < 1e-3, "{name}: {worst:e}");
    }
}

/// A square bar is the same along x and y, and two equal bores the same left and right even where
/// the mirror between them is not used (diameters a picometre apart). What is left is the linear
/// solver's slack and cut cells where two diagonals are equally good: 5e-5 wt% when written, a
/// fifth of the tolerance is asked.
#[test]
fn symmetric_sections_stay_symmetric() {
    let square = run(bar(12.0, 12.0, 1.0), pack(), soak());
    let bores = run(
        PlaneSection::TwoBores {
            diameters: [mm(5.0), mm(5.0 + 1e-9)],
            web: mm(2.0),
            bores: [T; 2],
        },
        pack(),
        soak(),
    );
    let mirrored = run(
        PlaneSection::TwoBores {
            diameters: [mm(5.0); 2],
            web: mm(2.0),
            bores: [T; 2],
        },
        pack(),
        soak(),
    );
    assert!(bores.mirror_x_m.is_none() && mirrored.mirror_x_m.is_some());
    let mut off = [0.0_f64; 3];
    let differ = |carbon: f64, other: Option<WeightPercent>| {
        (carbon - other.expect("steel there too").to_wt_pct()).abs()
    };
    for (p, c) in square.points_m.iter().zip(&square.carbon_wt_pct) {
        off[0] = off[0].max(differ(*c, square.at(at(p[1] * 1e3, p[0] * 1e3))));
    }
    for (p, c) in bores.points_m.iter().zip(&bores.carbon_wt_pct) {
        let (x, y) = (p[0] * 1e3, p[1] * 1e3);
        off[1] = off[1].max(differ(*c, bores.at(at(-x, y))));
        off[2] = off[2].max(differ(*c, mirrored.at(at(-x, -y))));
    }
    println!("{off:?}");
    assert!(off.iter().all(|o| *o < 2e-4), "{off:?}");
}

/// Under a pack the medium feeds a corner from two sides and a bore from less than one: carbon at
/// the surface and depth to 0.40 wt% must follow.
#[test]
fn corners_take_more_than_flats_and_bores_less() {
    let flat = plate(10.0, pack(), soak());
    let (flat_skin, flat_depth) = (
        flat.at(&[mm(0.0)])[0].to_wt_pct(),
        flat.depth_to_carbon(w(0.40)).unwrap().to_mm(),
    );
    let corner = run(bar(20.0, 20.0, 0.0), pack(), soak());
    let bored = run(bore(4.0, 12.0), pack(), soak());
    let (corner_skin, bore_skin) = (
        corner.at(at(0.0, 0.0)).unwrap().to_wt_pct(),
        bored.at(at(2.0, 14.0)).unwrap().to_wt_pct(),
    );
    let corner_depth = corner
        .depth_to_carbon(at(0.0, 0.0), at(1.0, 1.0), w(0.40))
        .unwrap()
        .to_surface
        .to_mm();
    let bore_depth = bored
        .depth_to_carbon(at(2.0, 14.0), at(3.0, 14.0), w(0.40))
        .unwrap()
        .to_surface
        .to_mm();
    println!(
        "skin {corner_skin:.3} {flat_skin:.3} {bore_skin:.3} wt%, depth {corner_depth:.3} \
         {flat_depth:.3} {bore_depth:.3} mm"
    );
    // By far more than the tolerance.
    assert!(corner_skin > flat_skin + 0.02 && flat_skin > bore_skin + 0.02);
    assert!(corner_depth > flat_depth + 0.1 && flat_depth > bore_depth + 0.05);
    // With the carbon held at the surface, skins are equal by force but depths still order.
    let held = [bar(20.0, 20.0, 0.0), bore(4.0, 12.0)].map(|s| run(s, fixed(1.0), soak()));
    let line = plate(10.0, fixed(1.0), soak());
    let depth = |run: &PlaneRun, from, to| {
        run.depth_to_carbon(from, to, w(0.40))
            .unwrap()
            .to_surface
            .to_mm()
    };
    let corner = depth(&held[0], at(0.0, 0.0), at(1.0, 1.0));
    let bore = depth(&held[1], at(2.0, 14.0), at(3.0, 14.0));
    let flat = line.depth_to_carbon(w(0.40)).unwrap().to_mm();
    assert!(corner > flat + 0.1 && flat > bore + 0.05);
}

/// How much deeper 0.40 wt% lies along the diagonal of a sharp and of a 1 mm rounded corner after
/// 8 h at 927 °C in a pack. Rounding takes (√2 − 1) mm of the richest metal off the diagonal; the
/// line of 0.40 wt% below hardly moves, and if so inward, because less metal is left to fill.
#[test]
fn rounding_a_corner_takes_off_the_richest_metal() {
    let plate = plate(10.0, pack(), soak());
    let flat = plate.depth_to_carbon(w(0.40)).unwrap().to_mm();
    let flat_skin = plate.at(&[mm(0.0)])[0].to_wt_pct();
    let along = |radius: f64| {
        let run = run(bar(20.0, 20.0, radius), pack(), soak());
        let start = radius * (1.0 - std::f64::consts::FRAC_1_SQRT_2);
        let depth = run
            .depth_to_carbon(at(start, start), at(5.0, 5.0), w(0.40))
            .unwrap();
        let skin = run.at(at(start, start)).unwrap().to_wt_pct();
        (depth.along.to_mm(), depth.to_surface.to_mm(), skin)
    };
    let (sharp, rounded) = (along(0.0), along(1.0));
    println!("flat {flat:.3} mm, sharp {sharp:.3?}, 1 mm {rounded:.3?}");
    assert!(sharp.0 > rounded.0 && rounded.0 > flat);
    assert!(sharp.2 > rounded.2 && rounded.2 > flat_skin);
    let moved = rounded.0 + std::f64::consts::SQRT_2 - 1.0 - sharp.0;
    assert!((0.0..0.1).contains(&moved), "{moved} mm");
    // From a sharp corner the nearest surface is 1/√2 of the way along the diagonal.
    assert!((sharp.1 - sharp.0 * std::f64::consts::FRAC_1_SQRT_2).abs() < 1e-6);
    // Beyond the rounding's centre the flats are nearest.
    let start = 1.0 - std::f64::consts::FRAC_1_SQRT_2;
    let place = start + rounded.0 * std::f64::consts::FRAC_1_SQRT_2;
    assert!((rounded.1 - place).abs() < 1e-6);
}

/// In a thin web the cases meet: halfway up it is a plate of the same thickness, towards the tip
/// it is richer, towards the thick body poorer.
#[test]
fn cases_meet_in_a_thin_web() {
    let section = |thickness| PlaneSection::Web {
        thickness: mm(thickness),
        height: mm(14.0),
        fillet: mm(1.0),
        tip_radius: mm(0.3),
        tip: T,
        sides: T,
        floor: T,
    };
    for thickness in [1.5, 2.5, 3.5] {
        let web = run(section(thickness), pack(), soak());
        let core = plate(0.5 * thickness, pack(), soak());
        let core = core.at(&[mm(0.5 * thickness)])[0].to_wt_pct();
        let across = |y: f64| {
            let half = 0.5 * thickness;
            let (carbon, where_) = web.least_between(at(-half, y), at(half, y)).unwrap();
            assert!((where_.to_mm() - half).abs() < 0.02, "{where_:?}");
            carbon.to_wt_pct()
        };
        let (tip, middle, root) = (across(1.0), across(7.0), across(13.0));
        println!("{thickness} mm: tip {tip:.4} middle {middle:.4} root {root:.4}, plate {core:.4}");
        assert!((middle - core).abs() < 1e-3, "{thickness}: {middle} {core}");
        assert!(tip > middle);
        if thickness < 2.0 {
            assert!(middle > 0.6, "the cases have met: {middle}");
            assert!(root < middle);
        }
    }
    // A thin wall between a bore and a surface is no plate, but it fills too.
    let thin = run(bore(6.0, 1.0), pack(), soak());
    let (least, _) = thin.least_between(at(0.0, 0.0), at(0.0, 1.0)).unwrap();
    let thick = run(bore(6.0, 4.0), pack(), soak());
    let (left, _) = thick.least_between(at(0.0, 0.0), at(0.0, 4.0)).unwrap();
    assert!(least.to_wt_pct() > 0.8, "{least:?}");
    assert!((left.to_wt_pct() - 0.18).abs() < 0.03, "{left:?}");
}

/// The stopped-off surface above a treated bore gets carbon only through the metal; with both
/// stopped nothing happens at all.
#[test]
fn stop_off_stops() {
    let half = run(
        PlaneSection::BoreNearWall {
            diameter: mm(6.0),
            wall: mm(6.0),
            bore: T,
            surface: S,
        },
        pack(),
        soak(),
    );
    let skin = half.at(at(0.0, 0.0)).unwrap().to_wt_pct();
    // Eight diffusion lengths from the bore: core.
    assert!((skin - 0.18).abs() < 1e-3, "{skin}");
    assert!((half.treated_m - std::f64::consts::PI * 3e-3).abs() < 1e-5);
    let none = run(
        PlaneSection::BoreNearWall {
            diameter: mm(6.0),
            wall: mm(2.0),
            bore: S,
            surface: S,
        },
        pack(),
        soak(),
    );
    assert_eq!(none.uptake_g_m, 0.0);
    assert_eq!(none.greatest().0, none.least().0);
    assert_eq!(none.depth_at(at(0.0, 0.0)), None);
}

/// A line of equal carbon runs where the rays find it, and closes round a bore.
#[test]
fn contours_lie_where_the_carbon_is() {
    let run = run(bar(14.0, 20.0, 1.0), pack(), soak());
    let lines = run.contour(w(0.40));
    assert_eq!(lines.len(), 1, "one line across the quarter");
    let mut worst: f64 = 0.0;
    for p in &lines[0] {
        let here = run.at(at(p[0] * 1e3, p[1] * 1e3)).unwrap();
        worst = worst.max((here - w(0.40)).to_wt_pct().abs());
    }
    // On edges shared by two triangles both parabolas agree to rounding.
    assert!(worst < 1e-4, "{worst:e}");
    let flat = run
        .depth_to_carbon(at(0.0, 10.0), at(1.0, 10.0), w(0.40))
        .unwrap();
    let end = lines[0]
        .iter()
        .min_by(|a, b| (a[1] - 10e-3).abs().total_cmp(&(b[1] - 10e-3).abs()))
        .unwrap();
    assert!(
        (end[0] - flat.along.to_m()).abs() < 1e-6,
        "{end:?} {flat:?}"
    );
    let bores = self::run(
        PlaneSection::TwoBores {
            diameters: [mm(4.0), mm(6.0)],
            web: mm(9.0),
            bores: [T; 2],
        },
        pack(),
        soak(),
    );
    // Half circles, both ending on the mirror.
    let lines = bores.contour(w(0.40));
    assert_eq!(lines.len(), 2);
    for line in &lines {
        for end in [line[0], line[line.len() - 1]] {
            assert!(end[1].abs() < 1e-12, "{end:?}");
        }
    }
    assert!(run.contour(w(3.0)).is_empty());
}

/// The raster covers the window and leaves out what is not steel; outside there is no carbon.
#[test]
fn rasters_show_the_steel() {
    let run = run(bore(6.0, 2.0), pack(), soak());
    let raster = run.raster(80, 60);
    assert_eq!((raster.x_m.len(), raster.y_m.len()), (80, 60));
    assert_eq!(raster.inside.len(), 80 * 60);
    let share = raster.inside.iter().filter(|i| **i).count() as f64 / 4800.0;
    let [low, high] = run.window_m;
    let whole = (high[0] - low[0]) * (high[1] - low[1]);
    let steel = 1.0 - 0.5 * std::f64::consts::PI * 9e-6 / whole;
    // A raster of 60 rows knows areas to a percent.
    assert!((share - steel).abs() < 0.01, "{share} {steel}");
    for (inside, carbon) in raster.inside.iter().zip(&raster.carbon_wt_pct) {
        assert!(if *inside {
            *carbon >= 0.18 - 1e-12
        } else {
            *carbon == 0.0
        });
    }
    assert_eq!(run.at(at(0.0, 5.0)), None, "in the bore");
    assert_eq!(run.at(at(0.0, -1.0)), None, "above the surface");
    assert_eq!(run.at(at(-3.5, 5.0)), run.at(at(3.5, 5.0)), "mirrored");
}

/// The areas between lines of carbon together are the steel, and the loops of one wind the same
/// way: shoelace areas add up to the mesh's. 1e-9 of it is the rounding of a few thousand corners.
#[test]
fn areas_between_lines_fill_the_section() {
    for section in [bar(18.0, 14.0, 2.0), bore(8.0, 2.5), slot(KeywayBody::Flat)] {
        let run = run(section, fixed(1.0), soak());
        let shoelace = |line: &[[f64; 2]]| -> f64 {
            line.windows(2)
                .map(|p| 0.5 * (p[0][0] * p[1][1] - p[1][0] * p[0][1]))
                .sum()
        };
        let area = |low: f64, high: f64| -> f64 {
            let loops = run.area_between(w(low), w(high));
            assert!(loops.iter().all(|line| line.first() == line.last()));
            loops.iter().map(|line| shoelace(line)).sum()
        };
        let whole: f64 = run
            .triangles
            .iter()
            .map(|t| {
                let [a, b, c] = t.map(|k| run.points_m[k as usize]);
                shoelace(&[a, b, c, a])
            })
            .sum();
        let parts = [(0.0, 0.3), (0.3, 0.4), (0.4, 0.8), (0.8, 100.0)].map(|(l, h)| area(l, h));
        assert!(parts.iter().all(|part| *part > 0.0), "{parts:?}");
        let sum: f64 = parts.iter().sum();
        assert!((sum / whole - 1.0).abs() < 1e-9, "{sum} beside {whole}");
        // Its rim is the line of that carbon: the case by area grows as the limit falls.
        assert!(area(0.5, 100.0) < area(0.4, 100.0));
    }
}

#[test]
fn named_ways_begin_on_the_surface_and_their_depths_lie_in_the_range() {
    for section in [
        bar(18.0, 14.0, 0.0),
        bar(18.0, 14.0, 2.0),
        bore(8.0, 4.0),
        slot(KeywayBody::Flat),
        slot(KeywayBody::Round { diameter: mm(20.0) }),
    ] {
        let run = run(section, fixed(1.0), soak());
        let (least, greatest) = run.depth_range(w(0.4)).expect("a case");
        let paths = run.paths(&section);
        assert!(paths.len() >= 3, "{paths:?}");
        for path in paths {
            let start = run.depth_at(path.from).expect("a treated face").to_mm();
            // The surface is found to a nanometre.
            assert!(start.abs() < 1e-5, "{}: {start}", path.name);
            let found = run.depth_to_carbon(path.from, path.towards, w(0.4));
            if found.is_none() {
                // In the corner between slot and round all is case: the way meets the round first.
                assert_eq!(path.name, "wall of the slot, half way down");
                assert!(matches!(
                    section,
                    PlaneSection::Keyway {
                        body: KeywayBody::Round { .. },
                        ..
                    }
                ));
                continue;
            }
            let depth = found.expect(path.name).to_surface.to_mm();
            // The line is known at its points and between each two; a ray may pass beside them.
            let slack = 0.005;
            assert!(
                depth > least.to_mm() - slack && depth < greatest.to_mm() + slack,
                "{}: {depth} beside {} to {}",
                path.name,
                least.to_mm(),
                greatest.to_mm()
            );
        }
        for neck in run.necks(&section) {
            let (carbon, _) = run.least_between(neck.from, neck.towards).expect(neck.name);
            assert!(carbon < w(1.0), "{}", neck.name);
        }
    }
}

#[test]
fn impossible_sections_are_refused_with_the_limit() {
    let refused = |section: PlaneSection| -> String {
        simulate::carbon_plane(&setup(section, pack(), soak()))
            .unwrap_err()
            .to_string()
    };
    assert!(refused(bar(10.0, 10.0, 6.0)).contains("corner radius"));
    assert!(refused(bar(0.0, 10.0, 0.0)).contains("width"));
    assert!(
        refused(slot(KeywayBody::Round { diameter: mm(6.0) })).contains("leaves no bar"),
        "a 6 mm slot in a 6 mm bar"
    );
    let mut fine = setup(bar(10.0, 10.0, 0.0), pack(), soak());
    fine.grid = PlaneGrid::Gaps { x: 1, y: 50 };
    assert!(simulate::carbon_plane(&fine).is_err());
}

fn a_section() -> impl Strategy<Value = PlaneSection> {
    let face = || prop_oneof![3 => Just(T), 1 => Just(S)];
    let faces = (face(), face(), face(), face());
    let sizes = (0.3..30.0_f64, 0.3..30.0_f64, 0.0..3.0_f64, 0.0..3.0_f64);
    (0..7_u8, sizes, faces).prop_map(|(kind, (a, b, c, d), (f, g, h, i))| match kind {
        0 => PlaneSection::Rectangle {
            width: mm(a),
            height: mm(b),
            corner_radius: mm(c),
            faces: [f, g, h, i],
        },
        1 => PlaneSection::PlateEdge {
            thickness: mm(a),
            corner_radius: mm(c),
            end: f,
            flats: [g, h],
        },
        2 => PlaneSection::BoreNearWall {
            diameter: mm(a),
            wall: mm(c + 0.05),
            bore: f,
            surface: g,
        },
        3 => PlaneSection::TwoBores {
            diameters: [mm(a), mm(b)],
            web: mm(c + 0.05),
            bores: [f, g],
        },
        4 => PlaneSection::Keyway {
            body: KeywayBody::Flat,
            width: mm(a),
            depth: mm(b),
            fillet: mm(c),
            outside: f,
            slot: g,
        },
        5 => PlaneSection::Keyway {
            body: KeywayBody::Round { diameter: mm(b) },
            width: mm(a),
            depth: mm(3.0 * c),
            fillet: mm(d),
            outside: f,
            slot: g,
        },
        _ => PlaneSection::Web {
            thickness: mm(a),
            height: mm(b),
            fillet: mm(c),
            tip_radius: mm(d),
            tip: f,
            sides: g,
            floor: h,
        },
    })
}

fn a_surface() -> impl Strategy<Value = Surface> {
    let coefficient = || (1e-9..1e-5_f64).prop_map(TransferCoefficient::from_m_s);
    prop_oneof![
        (0.0..2.0_f64).prop_map(fixed),
        (coefficient(), 0.0..2.0_f64).prop_map(|(coefficient, c)| Surface::Transfer {
            potential: w(c),
            coefficient,
            above: Temperature::from_c(800.0),
        }),
        coefficient().prop_map(|coefficient| Surface::Pack {
            coefficient,
            begins: Temperature::from_c(727.0),
            full: Temperature::from_c(780.0),
        }),
        Just(Surface::Sealed),
    ]
}

proptest! {
    // Each case is a whole run; forty take a few seconds.
    #![proptest_config(ProptestConfig { cases: 40, failure_persistence: None, ..ProptestConfig::default() })]

    /// Any section of sane size either is refused in words or comes back whole: finite, balanced,
    /// within what core and surface allow.
    #[test]
    fn any_section_settles_or_is_refused(
        section in a_section(),
        surface in a_surface(),
        core in 0.0..0.9_f64,
        top_c in 600.0..1150.0_f64,
        hours in 0.01..12.0_f64,
    ) {
        let pieces = vec![ramp(25.0, top_c, 1.0), ramp(top_c, top_c, hours), ramp(top_c, 25.0, 3.0)];
        let mut setup = setup(section, surface.clone(), pieces);
        setup.composition = Composition::plain(w(core));
        setup.tolerance = w(0.02);
        match simulate::carbon_plane(&setup) {
            Err(casewright_physics::run::Failure::Setup { what }) => prop_assert!(!what.is_empty()),
            Err(other) => prop_assert!(false, "{other}"),
            Ok(run) => {
                prop_assert!(run.balance_error < 1e-10, "{}", run.balance_error);
                let (least, most) = (run.least().0.to_wt_pct(), run.greatest().0.to_wt_pct());
                prop_assert!(least.is_finite() && most.is_finite());
                let limit: f64 = match surface {
                    Surface::Fixed { carbon } => carbon.to_wt_pct(),
                    Surface::Transfer { potential, .. } => potential.to_wt_pct(),
                    // More than austenite holds anywhere below 1150 °C.
                    Surface::Pack { .. } | Surface::Medium(_) | Surface::Program(_) => 2.2,
                    Surface::Sealed => core,
                };
                // The rounded corner at saturation is two tolerances wide.
                prop_assert!(least > core.min(limit) - 1e-9 && most < core.max(limit) + 0.05);
                prop_assert!(run.carbon_wt_pct.iter().all(|c| c.is_finite()));
                prop_assert!(run.triangles.iter().flatten().all(|i| (*i as usize) < run.points_m.len()));
                let raster = run.raster(12, 12);
                prop_assert!(raster.carbon_wt_pct.iter().all(|c| c.is_finite()));
                for line in run.contour(w(0.4)) {
                    prop_assert!(line.iter().flatten().all(|v| v.is_finite()));
                }
            }
        }
    }
}
