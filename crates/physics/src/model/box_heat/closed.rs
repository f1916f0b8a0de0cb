//! The engine on cases whose answer is known: a brick of constant properties in a film.
//!
//! Used by the accuracy table and by tests; it sets up what a shop could not.

use casewright_terms::{Density, Fraction, Length, Power, Span, Temperature, TemperatureStep};

use crate::law::packed_bed::{BED_FACTOR_HIGH, BED_FACTOR_LOW};
use crate::numerics::fun::{cos, exp, sin, tan};
use crate::numerics::root::brent;
use crate::run::Failure;
use crate::setup::{
    BoxDetail, BoxFurnace, BoxSetup, Cooling, PackedBed, PackedBox, Probe, Solid, Survey,
};

use super::Run;
use super::field::{Around, Field};

/// Start of the closed cases, in kelvin.
const START_K: f64 = 300.0;
/// Temperature beyond the film.
const FILM_K: f64 = 1300.0;

/// A brick of constant properties.
#[derive(Clone, Debug)]
pub(crate) struct Brick {
    /// Sides.
    pub(crate) sides_m: [f64; 3],
    /// Greatest cell.
    pub(crate) cell_m: f64,
    /// Conductivity and heat capacity of the brick, in W/(m·K) and J/(m³·K).
    pub(crate) bed: (f64, f64),
    /// The same of solids in it.
    pub(crate) steel: (f64, f64),
    /// Solids.
    pub(crate) solids: Vec<Solid>,
    /// Coefficient of the film, in W/(m²·K).
    pub(crate) film_w_m2_k: f64,
    /// Share of it on each face.
    pub(crate) exposure: [f64; 6],
    /// Error allowed in a step.
    pub(crate) allowed_k: f64,
}

impl Brick {
    /// A brick of compound with nothing in it and all faces free.
    pub(crate) fn plain(sides_m: [f64; 3], cell_m: f64, film_w_m2_k: f64) -> Self {
        Self {
            sides_m,
            cell_m,
            bed: (0.25, 5e5),
            steel: (30.0, 5e6),
            solids: Vec::new(),
            film_w_m2_k,
            exposure: [1.0; 6],
            allowed_k: 0.02,
        }
    }

    fn around(&self) -> Around {
        Around::Film {
            t_k: FILM_K,
            w_m2_k: self.film_w_m2_k,
        }
    }

    fn setup(&self, place_m: [f64; 3]) -> BoxSetup {
        let mut packed = bare(self.sides_m.map(Length::from_m), Length::from_m(0.0));
        packed.exposure = self.exposure;
        packed.solids = self.solids.clone();
        packed.probes.push(Probe {
            mark: "place".to_owned(),
            at: place_m.map(Length::from_m),
        });
        BoxSetup {
            cold: Temperature::from_k(START_K),
            ..in_furnace(packed)
        }
    }

    /// Share of the step that is left at a place after a time, with the steps taken by the error
    /// allowed.
    pub(crate) fn left(&self, place_m: [f64; 3], time_s: f64) -> Result<f64, Failure> {
        let setup = self.setup(place_m);
        let field = Field::constant(&setup, self.cell_m, self.bed, self.steel);
        let mut run = Run::new(&setup, field, self.allowed_k);
        run.begin(self.around(), 0.0);
        run.record(false);
        run.hold_until(self.around(), time_s)?;
        let at_k = run.eyes.last().map_or(START_K, |eye| eye.at_k(time_s));
        Ok((FILM_K - at_k) / (FILM_K - START_K))
    }

    /// The same with this many even steps.
    #[cfg(test)]
    pub(crate) fn left_by_steps(&self, place_m: [f64; 3], time_s: f64, steps: usize) -> f64 {
        let setup = self.setup(place_m);
        let field = Field::constant(&setup, self.cell_m, self.bed, self.steel);
        let eyes = super::watch::eyes(&setup, &field);
        let start = (START_K, super::Chamber::held_at(START_K));
        let chamber = super::Chamber::new(&setup.furnace);
        let mut engine = super::Engine::new(field, chamber, start, 1e-8);
        engine.begin(self.around(), 0.0);
        for _ in 0..steps {
            let step_s = time_s / steps as f64;
            if engine
                .step(self.around(), |_| 0.0, step_s, f64::INFINITY)
                .is_err()
            {
                return f64::NAN;
            }
        }
        let at_k = eyes
            .last()
            .map_or(START_K, |eye| eye.now_k(&engine.state.t_k));
        (FILM_K - at_k) / (FILM_K - START_K)
    }

    /// Hours until only this share of the step is left at a place.
    pub(crate) fn time_to_s(&self, place_m: [f64; 3], left: f64) -> Result<f64, Failure> {
        let setup = self.setup(place_m);
        let field = Field::constant(&setup, self.cell_m, self.bed, self.steel);
        let mut run = Run::new(&setup, field, self.allowed_k);
        run.begin(self.around(), 0.0);
        run.record(false);
        let goal_k = FILM_K - left * (FILM_K - START_K);
        run.until("the closed case", self.around(), |run| {
            let t_k = &run.engine.state.t_k;
            run.eyes.last().map_or(0.0, |eye| goal_k - eye.now_k(t_k))
        })
    }
}

/// Share of the step left at `x` from the middle of a slab of half width `half_m` with a film on
/// both faces: the series of the eigenvalues of l tan l = Bi.
pub(crate) fn slab_left(half_m: f64, film: f64, (k, c): (f64, f64), x_m: f64, time_s: f64) -> f64 {
    let (bi, fo) = (film * half_m / k, k / c * time_s / (half_m * half_m));
    (0..60)
        .map(|n| {
            let from = f64::from(n) * std::f64::consts::PI;
            let to = from + std::f64::consts::FRAC_PI_2;
            let f = |l: f64| l * sin(l) - bi * cos(l);
            let l = brent(from, to, 1e-14, f).unwrap_or(to);
            debug_assert!(bi > 1e5 || (l * tan(l) / bi - 1.0).abs() < 1e-6, "{l}");
            let weight = 4.0 * sin(l) / (2.0 * l + sin(2.0 * l));
            weight * exp(-l * l * fo) * cos(l * x_m / half_m)
        })
        .sum()
}

/// A brick of 100 × 140 × 180 mm of constant properties in a film of 20 W/(m²·K), 2 h, with so many
/// cells along its shortest side: the error in its middle as a share of the step.
///
/// # Errors
/// When the numbers do not settle.
pub fn brick_against_series(cells: u32, step_error_k: f64) -> Result<f64, Failure> {
    let sides: [f64; 3] = [0.1, 0.14, 0.18];
    let mut brick = Brick::plain(sides, sides[0] / f64::from(cells), 20.0);
    brick.allowed_k = step_error_k;
    let exact: f64 = sides
        .iter()
        .map(|s| slab_left(s / 2.0, brick.film_w_m2_k, brick.bed, 0.0, 7200.0))
        .product();
    Ok((brick.left(sides.map(|s| s / 2.0), 7200.0)? - exact).abs())
}

/// Hours until the middle of an empty box of plain charcoal with its faces at 927 °C has made 97 %
/// of the way from 25 °C, with the bed's factor at an end of its prior.
pub(crate) fn hours_to_97(sides_m: [f64; 3], slow: bool) -> Result<f64, Failure> {
    let mut packed = bare(sides_m.map(Length::from_m), Length::from_m(0.0));
    packed.bed.factor = if slow {
        BED_FACTOR_LOW
    } else {
        BED_FACTOR_HIGH
    };
    let setup = in_furnace(packed);
    let (cold_k, wall_k) = (setup.cold.to_k(), setup.set.to_k());
    let least = sides_m.iter().fold(f64::INFINITY, |a, b| a.min(*b));
    let field = Field::new(&setup, &[least / 12.0]);
    let mut run = Run::new(&setup, field, 0.5);
    let around = Around::Film {
        t_k: wall_k,
        w_m2_k: 1e6,
    };
    run.begin(around, 0.0);
    run.record(false);
    let goal_k = wall_k - 0.03 * (wall_k - cold_k);
    let time_s = run.until("the heat-up", around, |run| run.deciding(|_, t| goal_k - t))?;
    Ok(Span::from_s(time_s).to_h())
}

/// An empty box of common compound.
pub(crate) fn bare(inside: [Length; 3], wall: Length) -> PackedBox {
    PackedBox {
        mark: "box".to_owned(),
        inside,
        wall,
        stands_at: None,
        bed: PackedBed {
            bulk_density: Density::from_kg_m3(300.0),
            grain: Length::from_mm(4.0),
            moisture: Fraction::from_ratio(0.0),
            gap: Length::from_m(0.0),
            factor: 1.0,
        },
        solids: Vec::new(),
        spread_steel: Fraction::from_ratio(0.0),
        probes: Vec::new(),
        exposure: [1.0; 6],
    }
}

/// A box alone in a chamber without differences that is large and strong enough for it.
pub(crate) fn in_furnace(packed: PackedBox) -> BoxSetup {
    let none = TemperatureStep::ZERO;
    let set = Temperature::from_c(927.0);
    BoxSetup {
        furnace: BoxFurnace {
            chamber: packed.inside.map(|l| l + Length::from_mm(150.0)),
            power: Power::from_kw(9.0),
            survey: Survey {
                at: set,
                door: none,
                back: none,
                hearth: none,
                roof: none,
            },
            couple_lag: Span::ZERO,
            band: TemperatureStep::from_k(2.0),
            load_at: Temperature::from_c(25.0),
            exchange_factor: 1.0,
        },
        boxes: vec![packed],
        cold: Temperature::from_c(25.0),
        set,
        rise: Span::ZERO,
        hot_within: TemperatureStep::from_k(10.0),
        soak: Span::from_h(8.0),
        cooling: Cooling::InFurnace,
        detail: BoxDetail::Standard,
    }
}
