//! The steps of a plan on the clock, complete enough for the bench: set value and tolerance, what
//! must be seen, when to stop, what to write down.

use casewright_job::spec::{RouteWish as Route, Spec};
use casewright_physics::model::pack_heat;
use casewright_terms::{Band, Diag, Length, Span, Temperature, TemperatureStep, UnitSystem};

use crate::cautions::{self, Scene};
use crate::chain;
use crate::clock::{Clock, NoWindow, Watch};
use crate::outcome::{
    Coupon, DepthChain, LoadTimes, Moment, QuenchCheck, ScaleAdvice, Step, StepKind,
};
use crate::pack::weigh;
use crate::recipe::{Recipe, Simulated};
use crate::reheat::Heat;
use crate::tank;

/// Unpacking, cleaning, breaking the first coupon and looking at it. [trade-practice]
pub(crate) const UNPACK_H: f64 = 1.0;
/// Copper that keeps carbon out, present practice. [trade-practice]
pub(crate) const COPPER_UM: f64 = 25.0;
/// A quench with everything around it.
pub(crate) const QUENCH_MIN: f64 = 10.0;
/// From the bath to the tempering oven: clean, look, load. [trade-practice]
const TO_TEMPER_MIN: f64 = 20.0;
/// Bringing parts to the tempering heat.
const TEMPER_UP_MIN: f64 = 20.0;
/// Grinding, once it is set up. [trade-practice]
pub(crate) const GRIND_H: f64 = 1.0;
/// Tests on parts and coupons.
pub(crate) const TEST_H: f64 = 1.5;
/// A furnace's working tolerance at the bench where its survey is better than this.
const TOLERANCE_K: f64 = 8.0;

/// What the steps are made from.
#[derive(Clone, Copy, Debug)]
pub struct Script<'a> {
    /// The job.
    pub spec: &'a Spec,
    /// The way chosen.
    pub recipe: &'a Recipe<'a>,
    /// Its nominal run.
    pub run: &'a Simulated,
    /// From loading to hot, with its band.
    pub hot: Band<Span>,
    /// What the buried couple reads when the last part is hot.
    pub couple_reads: Option<Temperature>,
    /// From going in to through, for each reheat.
    pub(crate) heats: &'a [Heat],
    /// The depth chain.
    pub chain: &'a DepthChain,
    /// Test pieces.
    pub coupons: &'a [Coupon],
    /// Scales.
    pub scales: &'a [ScaleAdvice],
    /// The quench.
    pub quench: &'a QuenchCheck,
    /// Scene of the cautions.
    pub scene: Scene<'a>,
}

impl Script<'_> {
    /// Writes the steps.
    ///
    /// # Errors
    /// A finding that names the work for which no staffed window is long enough.
    pub fn write(&self) -> Result<(Vec<Step>, Vec<LoadTimes>), Diag> {
        let mut clock = Clock::new(self.spec.start, &self.spec.shop.staffed);
        let mut steps = self.one_load(&mut clock)?;
        let mut loads = vec![self.times(1, &steps)];
        // A load's coupons are read before the next one is packed: what they say goes into it.
        for number in 2..=self.recipe.packed.loads {
            let again = self.one_load(&mut clock)?;
            loads.push(self.times(number, &again));
        }
        if !self.spec.stock.is_empty() {
            steps.push(self.grind(&mut clock)?);
        }
        Ok((steps, loads))
    }

    /// Everything from packing to the tests.
    fn one_load(&self, clock: &mut Clock) -> Result<Vec<Step>, Diag> {
        let mut steps = vec![self.pack(clock)?];
        if self.recipe.route == Route::Direct {
            steps.extend(self.straight_from_the_box(clock)?);
        } else {
            steps.push(self.carburize(self.soak(clock)?, clock));
            let rest = self.run.heat.ends - self.run.heat.soak_ends;
            let when = take(clock, rest, Watch::Never, "cooling")?;
            steps.push(self.cool(when));
            steps.extend(self.harden(clock)?);
        }
        steps.push(self.test(clock)?);
        Ok(steps)
    }

    /// One load's row on the clock.
    fn times(&self, number: u32, steps: &[Step]) -> LoadTimes {
        let of = |kind: StepKind| steps.iter().rfind(|step| step.kind == kind);
        let ends = |kind| of(kind).map_or_else(|| steps[0].ends, |step: &Step| step.ends);
        let packed = &self.recipe.packed;
        let each = packed.layout.parts.len() as u32 * packed.at_once;
        LoadTimes {
            number,
            parts: each.min(self.spec.quantity.saturating_sub((number - 1) * each)),
            packed_from: steps[0].begins,
            loaded: of(StepKind::Carburize).map_or(steps[0].ends, |step| step.begins),
            soak_ends: ends(StepKind::Carburize),
            tempered: ends(StepKind::Temper),
            tested: ends(StepKind::Test),
        }
    }

    fn units(&self) -> UnitSystem {
        self.spec.units
    }

    fn step(&self, kind: StepKind, text: String, (begins, ends): (Moment, Moment)) -> Step {
        Step {
            kind,
            text,
            temperature: None,
            tolerance: None,
            soak: None,
            begins,
            ends,
            equipment: None,
            acceptance: Vec::new(),
            stop_if: Vec::new(),
            hold_point: false,
            cautions: cautions::for_step(kind, self.scene),
            record: Vec::new(),
        }
    }

    /// What is scooped from which bin.
    fn compound(&self) -> String {
        let layout = &self.recipe.packed.layout;
        match layout.scoops.as_slice() {
            [] | [_] => layout.compound_id.clone(),
            many => {
                let of: Vec<String> = many
                    .iter()
                    .map(|s| format!("{} of {}", s.volume.text(self.units()), s.lot))
                    .collect();
                format!("mixed from {} for each box", of.join(" and "))
            }
        }
    }

    /// What is done to keep soft areas soft, each by name.
    fn stop_off(&self) -> String {
        let units = self.units();
        let soft = self
            .spec
            .part
            .features
            .iter()
            .filter(|feature| feature.stays_soft);
        soft.map(|feature| {
            format!(
                " Stop off {}: copper plate of {} or more without pinholes, or two coats of stop-off paint dried through; prove it with a file after hardening.",
                feature.name,
                Length::from_um(COPPER_UM).depth_text_both(units)
            )
        })
        .collect()
    }

    fn tolerance(&self) -> TemperatureStep {
        self.recipe
            .furnace
            .survey
            .max(TemperatureStep::from_k(TOLERANCE_K))
    }

    fn pack(&self, clock: &mut Clock) -> Result<Step, Diag> {
        let packed = &self.recipe.packed;
        let layout = &packed.layout;
        let units = self.units();
        let when = take(
            clock,
            weigh::packing_time(packed),
            Watch::Throughout,
            "packing",
        )?;
        let kind = &layout.box_id;
        let boxes = match (packed.at_once, packed.loads) {
            (1, 1) => format!("box {kind}"),
            (n, 1) => format!("each of {n} boxes {kind}"),
            (1, loads) => format!("box {kind}, the first of {loads} loads"),
            (n, loads) => format!("each of {n} boxes {kind}, the first of {loads} loads"),
        };
        let text = format!(
            "Degrease and dry {} parts. Pack {} in {} as drawn, {}with compound {}: {} under and to the walls, {} between, {} over. No part touches another, the box or a coupon. Tamp without jarring; top up with the {} set aside, since it shrinks.{} Lute the lid, leave it able to vent, dry the lute slowly.{}",
            self.spec.quantity,
            plural(layout.parts.len(), "part", "parts"),
            boxes,
            match packed.upright {
                Some(true) => "standing upright, ",
                _ => "",
            },
            self.compound(),
            layout.cover.wall.size_text(units),
            layout.cover.between.size_text(units),
            layout.cover.above.size_text(units),
            layout.top_up.text(units),
            match layout.couple {
                Some(_) => " Bury the couple at the sketch's cross, off the steel.",
                None => "",
            },
            self.stop_off(),
        );
        let mut step = self.step(StepKind::Pack, text, when);
        step.equipment = Some(layout.box_id.clone());
        step.acceptance = vec![
            "parts free of scale, rust and oil; dry".to_owned(),
            "coupons in their places, marks written on the sketch".to_owned(),
            "stop-off on every area that stays soft, whole and dry".to_owned(),
        ];
        step.stop_if =
            vec!["compound damp, parts plated, steel or heat number not sure".to_owned()];
        step.record = vec![
            ("compound, fresh".to_owned(), "kg".to_owned()),
            ("compound, used".to_owned(), "kg".to_owned()),
            ("box, packed".to_owned(), "kg".to_owned()),
        ];
        step.hold_point = true;
        Ok(step)
    }

    /// Heating and soak on the clock. Somebody must be there at the planned end, and if the pack is
    /// as early or as late as its band allows.
    fn soak(&self, clock: &mut Clock) -> Result<(Moment, Moment), Diag> {
        let ends = [self.hot.mid, self.hot.low, self.hot.high].map(|hot| hot + self.recipe.soak);
        let watch = if self.spec.unattended {
            Watch::AtEnds
        } else {
            Watch::Throughout
        };
        clock
            .take_ending(&ends, watch)
            .map_err(|NoWindow| no_window("heating and soaking", ends[2]))
    }

    /// A direct quench waits for nobody: soak, drop, quench and temper are one stretch of work.
    fn straight_from_the_box(&self, clock: &mut Clock) -> Result<Vec<Step>, Diag> {
        let drop = self.run.heat.ends - self.run.heat.soak_ends;
        let after = after_a_direct_soak(self.recipe, self.run);
        let ends =
            [self.hot.mid, self.hot.low, self.hot.high].map(|hot| hot + self.recipe.soak + after);
        let (begins, last) = clock
            .take_ending(&ends, Watch::Throughout)
            .map_err(|NoWindow| no_window("soak, quench and temper together", ends[2]))?;
        let soaked = clock.later(begins, self.hot.mid + self.recipe.soak);
        let dropped = clock.later(soaked, drop);
        let wet = clock.later(dropped, Span::from_min(QUENCH_MIN));
        Ok(vec![
            self.carburize((begins, soaked), clock),
            self.cool((soaked, dropped)),
            self.quench_step(0, (dropped, wet)),
            self.temper_step((wet, last)),
        ])
    }

    fn carburize(&self, (begins, ends): (Moment, Moment), clock: &Clock) -> Step {
        let recipe = self.recipe;
        let when = |after: Span| {
            clock.later(begins, after).clock.map_or_else(
                || format!("{} after loading", after.text()),
                |at| format!("{:02}:{:02}", at.hour(), at.minute()),
            )
        };
        let timed = format!(
            "{} (between {} and {})",
            when(self.hot.mid),
            when(self.hot.low),
            when(self.hot.high)
        );
        let start = match (recipe.furnace.pack_couple, self.couple_reads) {
            (true, Some(reads)) => format!(
                "Start the soak when the couple in the pack reads {}, not by the furnace's own reading.",
                reads.text_both(self.units())
            ),
            (true, None) => {
                let within = TemperatureStep::from_k(pack_heat::HOT_WITHIN_K).text_both(self.units());
                format!("Start the soak when the couple in the pack is within {within} of the set value, not by the furnace's own reading.")
            }
            (false, _) => "No couple in the pack: start the soak by this clock, not by the furnace's own reading, and pull a draw wire to prove it.".to_owned(),
        };
        let at = if clock.now().clock.is_some() {
            "at "
        } else {
            ""
        };
        let text = format!(
            "Load {} cold, set {}. The pack should be hot {at}{timed}. {start} Soak {} from there.",
            recipe.furnace.id,
            recipe.temperature.text_both(self.units()),
            recipe.soak.text(),
        );
        let mut step = self.step(StepKind::Carburize, text, (begins, ends));
        step.temperature = Some(recipe.temperature);
        step.tolerance = Some(self.tolerance());
        step.soak = Some(recipe.soak);
        step.equipment = Some(recipe.furnace.id.clone());
        step.acceptance = vec![
            "furnace at set value within tolerance, checked against a second couple".to_owned(),
            "pack hot: time written down".to_owned(),
        ];
        step.stop_if = vec![
            "CO alarm sounds".to_owned(),
            "steady jet of flame at the lute (a small blue flame at first is normal)".to_owned(),
            format!(
                "temperature over {}",
                (recipe.temperature + self.tolerance() * 2.0).text_both(self.units())
            ),
        ];
        step.record = vec![
            ("loaded".to_owned(), "time".to_owned()),
            ("pack hot".to_owned(), "time".to_owned()),
            ("soak ended".to_owned(), "time".to_owned()),
            (
                "pack couple".to_owned(),
                self.units().temperature_unit().to_owned(),
            ),
        ];
        step
    }

    fn cool(&self, when: (Moment, Moment)) -> Step {
        let heat = &self.run.heat;
        let rest = heat.ends - heat.soak_ends;
        let direct = self.recipe.route == Route::Direct;
        let text = if direct {
            let to = self.direct_from();
            format!(
                "Lower the furnace to {} and hold 30 min, so that the case is quenched finer and keeps less austenite.",
                to.text_both(self.units())
            )
        } else {
            format!(
                "Pull the box, lid and lute whole, onto a dry rack under the hood or outdoors; let it cool in still air to below {}, about {}. The case goes on growing a little while it cools; the plan counts it.",
                Temperature::from_c(pack_heat::OPEN_BELOW_C).text_both(self.units()),
                rest.text()
            )
        };
        let mut step = self.step(StepKind::Cool, text, when);
        step.temperature = direct.then(|| self.direct_from());
        step.acceptance = if direct {
            vec!["furnace steady at the lower set value".to_owned()]
        } else {
            vec![
                "lid still sealed when cold; top pieces still covered".to_owned(),
                "first coupon quenched alone from the reheat temperature, broken, ring of case measured, before the work is reheated".to_owned(),
            ]
        };
        step.stop_if = vec!["lute burst or parts bare and scaled: call before going on".to_owned()];
        step.record = vec![("out".to_owned(), "time".to_owned())];
        step
    }

    fn direct_from(&self) -> Temperature {
        match self.recipe.cooling {
            casewright_physics::setup::Cooling::DropThenQuench { to, .. } => to,
            _ => self.recipe.temperature,
        }
    }

    /// Everything from the first reheat to the end of the temper is one stretch of work: a
    /// hardened case does not wait for tomorrow.
    fn harden(&self, clock: &mut Clock) -> Result<Vec<Step>, Diag> {
        let recipe = self.recipe;
        let heats: Vec<Span> = recipe
            .reheats
            .iter()
            .enumerate()
            .map(|(i, heat)| heat.soak + self.up(i))
            .collect();
        let quench = Span::from_min(QUENCH_MIN);
        let look = Span::from_h(UNPACK_H);
        let temper_span = temper_time(recipe);
        let quenches = heats.len() as f64;
        let whole = look + heats.iter().copied().sum::<Span>() + quench * quenches + temper_span;
        let (begins, ends) = take(
            clock,
            whole,
            Watch::Throughout,
            "reheat, quench and temper together",
        )?;
        let mut at = clock.later(begins, look);
        let mut list = Vec::new();
        for (i, heat) in recipe.reheats.iter().enumerate() {
            let until = clock.later(at, heats[i]);
            list.push(self.reheat(i, heat, (at, until)));
            let wet = clock.later(until, quench);
            list.push(self.quench_step(i, (until, wet)));
            at = wet;
        }
        list.push(self.temper_step((at, ends)));
        Ok(list)
    }

    /// From going into the hot furnace until the part is through.
    fn up(&self, i: usize) -> Span {
        self.heats.get(i).map_or(Span::ZERO, |heat| heat.up)
    }

    fn reheat(
        &self,
        i: usize,
        heat: &casewright_physics::setup::Austenitise,
        when: (Moment, Moment),
    ) -> Step {
        let first_of_two = self.recipe.reheats.len() == 2 && i == 0;
        let purpose = if first_of_two {
            "to refine the core"
        } else {
            "to harden the case"
        };
        let text = format!(
            "Reheat {purpose}: furnace steady at {} first, parts wrapped in used compound or foil (never bare), then {} after their colour matches the furnace, through about {} after going in. Untreated control U goes in with them.",
            heat.temperature.text_both(self.units()),
            heat.soak.text(),
            self.up(i).text(),
        );
        let mut step = self.step(StepKind::Reheat, text, when);
        step.temperature = Some(heat.temperature);
        step.tolerance = Some(self.tolerance());
        step.soak = Some(heat.soak);
        step.equipment = Some(self.recipe.furnace.id.clone());
        step.acceptance = vec![
            "coupon's ring of case as deep as planned".to_owned(),
            "furnace steady, tank ready, bath temperature read".to_owned(),
            "second person there".to_owned(),
        ];
        step.stop_if = vec!["coupon shows no ring, or less than three quarters of the plan: pack again and go on soaking".to_owned()];
        step.record = vec![
            ("in".to_owned(), "time".to_owned()),
            (
                "furnace".to_owned(),
                self.units().temperature_unit().to_owned(),
            ),
            (
                "coupon ring".to_owned(),
                self.units().length_unit().to_owned(),
            ),
        ];
        step.hold_point = true;
        step
    }

    fn quench_step(&self, i: usize, when: (Moment, Moment)) -> Step {
        let recipe = self.recipe;
        let check = self.quench;
        let units = self.units();
        let last = i + 1 >= recipe.reheats.len();
        let text = format!(
            "Quench in {} ({}), {}: furnace to bath in {} or less, straight in end first, fully under until cold through.{} Bath {} before, about {} after.",
            check.tank,
            tank::name(check.medium),
            tank::movement(check.agitation),
            recipe.tank.transfer.text(),
            if last { "" } else { " Then the second reheat." },
            recipe.tank.bath.text_both(units),
            check.bath_after.text_both(units),
        );
        let mut step = self.step(StepKind::Quench, text, when);
        step.temperature = Some(recipe.tank.bath);
        step.equipment = Some(check.tank.clone());
        step.acceptance = vec![
            format!(
                "{:.0} mm (6 in) of liquid or more over the work",
                tank::COVER_MM
            ),
            "a file skates on a spare corner or on a coupon".to_owned(),
            "no cracks seen".to_owned(),
        ];
        if tank::is_oil(check.medium) && i == 0 {
            step.acceptance.insert(
                0,
                "crackle test before the first quench: a drop of the oil on a hot plate stays quiet (by a trained person)".to_owned(),
            );
        }
        step.stop_if = vec!["file bites everywhere: do not temper yet, call".to_owned()];
        step.record = vec![
            (
                "bath before".to_owned(),
                units.temperature_unit().to_owned(),
            ),
            ("transfer".to_owned(), "s".to_owned()),
            ("bath after".to_owned(), units.temperature_unit().to_owned()),
        ];
        step.hold_point = true;
        step
    }

    fn temper_step(&self, when: (Moment, Moment)) -> Step {
        let temper = self.recipe.temper;
        let oven = self.spec.shop.ovens.first();
        let text = format!(
            "Temper within the hour, as soon as the parts can be held: {} for {} at heat, parts, coupons and control together; cool in air. No straightening, no grinding before.",
            temper.temperature.text_both(self.units()),
            temper.soak.text(),
        );
        let mut step = self.step(StepKind::Temper, text, when);
        step.temperature = Some(temper.temperature);
        step.tolerance = Some(oven.map_or(TemperatureStep::from_k(TOLERANCE_K), |oven| {
            oven.survey.max(TemperatureStep::from_k(5.0))
        }));
        step.soak = Some(temper.soak);
        step.equipment = oven.map(|oven| oven.id.clone());
        step.acceptance = vec!["oven checked with a second thermometer".to_owned()];
        step.stop_if =
            vec!["more than 4 h since the quench: that is a deviation, write it down".to_owned()];
        step.record = vec![
            ("in".to_owned(), "time".to_owned()),
            ("out".to_owned(), "time".to_owned()),
            (
                "oven".to_owned(),
                self.units().temperature_unit().to_owned(),
            ),
        ];
        step
    }

    fn test(&self, clock: &mut Clock) -> Result<Step, Diag> {
        let when = take(clock, Span::from_h(TEST_H), Watch::Throughout, "testing")?;
        let scale = crate::pieces::best_scale(self.scales).map_or_else(
            || {
                "no scale of this shop can read this case: send a coupon out for a Vickers traverse"
                    .to_owned()
            },
            |advice| {
                let expected = advice.reading.map_or_else(String::new, |band| {
                    format!(
                        " (expect {:.1}, {:.1} to {:.1})",
                        band.mid, band.low, band.high
                    )
                });
                format!("use {}{expected}", advice.scale)
            },
        );
        let coupon = self
            .coupons
            .iter()
            .find(|c| !c.control)
            .map_or("a coupon", |c| c.mark.as_str());
        let text = format!(
            "Check the tester on a block of the same range, five readings. Surface hardness: {scale}; write down every reading. Case depth: cut or step-grind {coupon}. Control U must be as soft as the core.",
        );
        let mut step = self.step(StepKind::Test, text, when);
        step.acceptance = vec![
            "five readings within 3 HRC (2 superficial units) of each other".to_owned(),
            format!(
                "depth made {} to {}",
                self.chain.make_min.depth_text(self.units()),
                self.chain
                    .make_max
                    .map_or_else(|| "open".to_owned(), |max| max.depth_text(self.units()))
            ),
        ];
        step.stop_if = vec![
            "a reading over 68 HRC, or a soft control that is hard: find out why first".to_owned(),
        ];
        step.hold_point = true;
        Ok(step)
    }

    fn grind(&self, clock: &mut Clock) -> Result<Step, Diag> {
        let when = take(clock, Span::from_h(GRIND_H), Watch::Throughout, "grinding")?;
        let units = self.units();
        let followed = chain::faces(self.spec, self.chain, None);
        let faces: Vec<String> = followed
            .faces
            .iter()
            .map(|face| {
                format!(
                    "{}: {} per side, never more than the coupon's depth less {} ({} if it came out as aimed)",
                    face.face,
                    face.stock.depth_text_both(units),
                    face.keep.depth_text_both(units),
                    face.most.mid.depth_text_both(units)
                )
            })
            .collect();
        let text = format!(
            "Grind only after the temper and after the readings. {}. Sharp open wheel, coolant, finishing cuts of 0.012–0.025 mm (0.0005–0.001 in).",
            faces.join("; "),
        );
        let mut step = self.step(StepKind::Grind, text, when);
        step.acceptance = vec![
            "no tint; temper etch even and grey where you can etch".to_owned(),
            "case left = made − stock of this side, by the coupon".to_owned(),
        ];
        step.stop_if = vec!["tint, cracks, or a file bites on a ground face".to_owned()];
        step.record = self
            .spec
            .stock
            .iter()
            .map(|stock| {
                (
                    format!("taken off {}", stock.face),
                    units.length_unit().to_owned(),
                )
            })
            .collect();
        Ok(step)
    }
}

/// What follows a soak without a pause where the route is direct: drop, quench, temper.
pub(crate) fn after_a_direct_soak(recipe: &Recipe<'_>, run: &Simulated) -> Span {
    let drop = run.heat.ends - run.heat.soak_ends;
    drop + Span::from_min(QUENCH_MIN) + temper_time(recipe)
}

/// From the bath to the end of the temper.
pub(crate) fn temper_time(recipe: &Recipe<'_>) -> Span {
    recipe.temper.soak + Span::from_min(TO_TEMPER_MIN + TEMPER_UP_MIN)
}

fn take(clock: &mut Clock, span: Span, watch: Watch, what: &str) -> Result<(Moment, Moment), Diag> {
    clock
        .take(span, watch)
        .map_err(|NoWindow| no_window(what, span))
}

fn no_window(what: &str, span: Span) -> Diag {
    Diag::stop(
        "no-staffed-window",
        format!(
            "No staffed stretch of the next three weeks is long enough for {what}: up to {}.",
            span.text()
        ),
    )
    .why("A furnace nobody watches is a fire and gas hazard, and an end nobody is there for makes the case too deep.")
    .accepted(if what.contains("soak") {
        "Staff a longer day, carburize hotter, split the load into smaller boxes, or allow an unattended soak where an independent high-limit cut-off is fitted."
    } else {
        "Staff a longer day, or split the load into smaller boxes."
    })
}

fn plural(count: usize, one: &str, many: &str) -> String {
    if count == 1 {
        format!("1 {one}")
    } else {
        format!("{count} {many}")
    }
}
