//! What is missing for the words of conformity. [trade-practice]

use super::{Facts, State, same};

/// Something a certificate cannot do without.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Item {
    /// A run that is no practice run.
    RealRun,
    /// A book that is whole.
    WholeBook,
    /// Name of the shop.
    Issuer,
    /// Address of the shop.
    Address,
    /// The customer.
    Customer,
    /// Order and line.
    Order,
    /// Drawing or part number with its revision.
    Drawing,
    /// What the part is.
    Part,
    /// How many.
    Quantity,
    /// The steel.
    Material,
    /// Heat number.
    Heat,
    /// Mill certificate.
    MillCertificate,
    /// The note.
    Note,
    /// Code of the plan.
    Plan,
    /// Every step done.
    Steps,
    /// The run's end.
    Finished,
    /// Hold points seen by somebody else.
    HoldPoints,
    /// When heat began and ended.
    HeatTimes,
    /// Marks of furnaces and tanks.
    Equipment,
    /// Surveys of what is heated.
    Calibration,
    /// The furnace record.
    FurnaceLog,
    /// An approved account of a soak that is not proven.
    SoakAccount,
    /// Temperatures of reheat and temper as read.
    HeatReadings,
    /// Temperature of the bath as read.
    QuenchReading,
    /// Deviations with what was decided about them.
    Dispositions,
    /// What became of every coupon.
    Coupons,
    /// The look for cracks and damage.
    Visual,
    /// A judgement.
    Judgement,
    /// The evidence it rests on.
    Evidence,
    /// The kept evidence gives the same verdict today.
    SameVerdict,
    /// Readings that count.
    Tests,
    /// Who read each, and when.
    Readers,
    /// With which tester.
    Testers,
    /// Check of the tester on the scale it was used on.
    Checks,
    /// Every clause of the note shown to hold.
    Clauses,
    /// What was done since an earlier judgement found a miss.
    EarlierMiss,
    /// Release by another person.
    Release,
}

impl Item {
    /// All of them.
    pub const ALL: [Self; 37] = [
        Self::RealRun,
        Self::WholeBook,
        Self::Issuer,
        Self::Address,
        Self::Customer,
        Self::Order,
        Self::Drawing,
        Self::Part,
        Self::Quantity,
        Self::Material,
        Self::Heat,
        Self::MillCertificate,
        Self::Note,
        Self::Plan,
        Self::Steps,
        Self::Finished,
        Self::HoldPoints,
        Self::HeatTimes,
        Self::Equipment,
        Self::Calibration,
        Self::FurnaceLog,
        Self::SoakAccount,
        Self::HeatReadings,
        Self::QuenchReading,
        Self::Dispositions,
        Self::Coupons,
        Self::Visual,
        Self::Judgement,
        Self::Evidence,
        Self::SameVerdict,
        Self::Tests,
        Self::Readers,
        Self::Testers,
        Self::Checks,
        Self::Clauses,
        Self::EarlierMiss,
        Self::Release,
    ];

    /// The word in answers.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::RealRun => "practice-run",
            Self::WholeBook => "book-not-whole",
            Self::Issuer => "issuer",
            Self::Address => "address",
            Self::Customer => "customer",
            Self::Order => "order",
            Self::Drawing => "drawing",
            Self::Part => "part",
            Self::Quantity => "quantity",
            Self::Material => "material",
            Self::Heat => "heat-number",
            Self::MillCertificate => "mill-certificate",
            Self::Note => "note",
            Self::Plan => "plan",
            Self::Steps => "steps",
            Self::Finished => "finish",
            Self::HoldPoints => "hold-points",
            Self::HeatTimes => "heat-times",
            Self::Equipment => "equipment",
            Self::Calibration => "calibration",
            Self::FurnaceLog => "furnace-log",
            Self::SoakAccount => "soak-account",
            Self::HeatReadings => "heat-readings",
            Self::QuenchReading => "quench-reading",
            Self::Dispositions => "dispositions",
            Self::Coupons => "coupons",
            Self::Visual => "visual",
            Self::Judgement => "judgement",
            Self::Evidence => "evidence",
            Self::SameVerdict => "same-verdict",
            Self::Tests => "tests",
            Self::Readers => "readers",
            Self::Testers => "testers",
            Self::Checks => "checks",
            Self::Clauses => "clauses",
            Self::EarlierMiss => "earlier-miss",
            Self::Release => "release",
        }
    }
}

/// One thing that is missing.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Gap {
    /// Which.
    pub item: Item,
    /// What is missing.
    pub what: String,
    /// What supplies it.
    pub supply: String,
}

/// Everything that is missing for a certificate, in the order of the items; empty where one may be
/// printed.
#[must_use]
pub fn gaps(facts: &Facts) -> Vec<Gap> {
    let mut all = List(Vec::new());
    all.head(facts);
    all.work(facts);
    all.evidence(facts);
    all.0.sort_by_key(|gap| gap.item);
    all.0
}

struct List(Vec<Gap>);

fn given(text: &str) -> bool {
    !text.trim().is_empty()
}

fn told(text: Option<&String>) -> bool {
    text.is_some_and(|text| given(text))
}

impl List {
    fn need(&mut self, there: bool, item: Item, what: impl Into<String>, supply: &str) {
        if !there {
            self.0.push(Gap {
                item,
                what: what.into(),
                supply: supply.to_owned(),
            });
        }
    }

    fn head(&mut self, f: &Facts) {
        let tell = |item: &str| format!("casewright run tell BOOK {} {item} \"…\"", f.run);
        self.need(
            !f.practice,
            Item::RealRun,
            "This is a practice run; it was marked so when it was started.",
            "Nothing: what was practised on is never certified.",
        );
        self.need(
            f.whole,
            Item::WholeBook,
            "The book is not whole.",
            "casewright shop check BOOK tells what is wrong; bring back the last saved copy.",
        );
        self.need(
            given(&f.issuer),
            Item::Issuer,
            "Name of the shop.",
            "The book's first entry names it.",
        );
        let told_items = [
            (
                &f.address,
                Item::Address,
                "Address and phone of the shop.",
                "address",
            ),
            (&f.customer, Item::Customer, "The customer.", "customer"),
            (&f.order, Item::Order, "Order and line.", "order"),
            (
                &f.drawing,
                Item::Drawing,
                "Drawing or part number with its revision.",
                "drawing",
            ),
            (
                &f.mill_certificate,
                Item::MillCertificate,
                "Reference of the mill certificate.",
                "mill-certificate",
            ),
            (
                &f.visual,
                Item::Visual,
                "What was seen when looking for cracks and damage.",
                "visual",
            ),
        ];
        for (value, item, what, name) in told_items {
            self.need(told(value.as_ref()), item, what, &tell(name));
        }
        let job = "The job file says it; correct the job and start the run from it.";
        self.need(given(&f.part), Item::Part, "What the part is.", job);
        self.need(f.quantity > 0, Item::Quantity, "How many parts.", job);
        self.need(given(&f.steel), Item::Material, "The steel.", job);
        self.need(
            told(f.heat.as_ref()),
            Item::Heat,
            "Heat number of the steel.",
            job,
        );
        self.need(given(&f.note), Item::Note, "The drawing note.", job);
        self.need(given(&f.plan), Item::Plan, "Code of the plan.", job);
    }

    fn work(&mut self, f: &Facts) {
        self.need(
            !f.steps.is_empty(),
            Item::Steps,
            "The plan has no steps.",
            "Start runs with casewright run start.",
        );
        for step in &f.steps {
            let name = format!("Step {} ({})", step.number, step.kind);
            let done = step.done.is_some() && step.ended.is_some() && given(&step.by);
            self.need(
                done,
                Item::Steps,
                format!("{name} was not done."),
                "casewright run done",
            );
            if !done {
                continue;
            }
            let seen = step
                .witness
                .as_ref()
                .is_some_and(|who| given(who) && !same(who, &step.by));
            self.need(
                !step.hold_point || seen,
                Item::HoldPoints,
                format!("{name} is a hold point that nobody else looked at."),
                "casewright run witness",
            );
            let machine = step.is_heat() || step.kind == "quench";
            self.need(
                !machine || told(step.equipment.as_ref()),
                Item::Equipment,
                format!("{name}: in which furnace or tank."),
                "The plan names it.",
            );
            self.need(
                !step.is_heat() || step.begun.is_some(),
                Item::HeatTimes,
                format!("{name}: when it began."),
                "casewright run begin, with --at where it is entered later",
            );
            let reread = matches!(step.kind.as_str(), "reheat" | "temper");
            self.need(
                !reread || step.temperature_read,
                Item::HeatReadings,
                format!("{name}: no temperature was read."),
                "casewright run read … --step, as in \"oven couple\" 180C",
            );
            self.need(
                step.kind != "quench" || step.temperature_read,
                Item::QuenchReading,
                format!("{name}: the bath's temperature was not read."),
                "casewright run read … --step, as in \"bath\" 21C",
            );
        }
        self.need(
            f.finished.is_some(),
            Item::Finished,
            "The run is not finished.",
            "casewright run finish",
        );
        for machine in f.equipment.iter().filter(|machine| machine.heated) {
            self.need(
                told(machine.calibrated.as_ref()),
                Item::Calibration,
                format!(
                    "Last survey or calibration of {}, with its date.",
                    machine.id
                ),
                &format!(
                    "casewright run tell BOOK {} \"calibrated {}\" \"…\"",
                    f.run, machine.id
                ),
            );
        }
        self.need(
            !f.logs.is_empty(),
            Item::FurnaceLog,
            "No furnace or logger file of the run.",
            "casewright run log",
        );
        let proven = f.logs.iter().any(|log| log.proven);
        // Only what was said after the file was read can account for it.
        let last_log = f.logs.iter().map(|log| log.entry).max().unwrap_or(0);
        let accounted = f
            .deviations
            .iter()
            .any(|one| one.entry > last_log && approved(one));
        self.need(
            f.logs.is_empty() || proven || accounted,
            Item::SoakAccount,
            "The soak is not proven by a couple in the pack, and no approved deviation says why the lot stands all the same.",
            "casewright run deviation, then casewright run sign … --as approved by another person",
        );
        for one in &f.deviations {
            self.need(
                approved(one),
                Item::Dispositions,
                format!(
                    "Nobody but {} approved what was done about deviation {}.",
                    one.by, one.entry
                ),
                &format!(
                    "casewright run sign BOOK {} {} --as approved, by another person",
                    f.run, one.entry
                ),
            );
        }
    }

    fn evidence(&mut self, f: &Facts) {
        for coupon in &f.coupons {
            self.need(
                told(coupon.became.as_ref()),
                Item::Coupons,
                format!("What became of coupon {}.", coupon.mark),
                &format!(
                    "Read it, or casewright run tell BOOK {} \"coupon {}\" \"…\"",
                    f.run, coupon.mark
                ),
            );
        }
        let judge = "casewright run judge BOOK RUN --evidence FILE";
        let Some(judged) = &f.judged else {
            self.need(
                false,
                Item::Judgement,
                "The run was not judged against its note.",
                judge,
            );
            return;
        };
        self.need(
            judged.evidence.is_some(),
            Item::Evidence,
            format!("Entry {} keeps no evidence file.", judged.entry),
            judge,
        );
        self.need(
            judged.anew.as_deref() == Some(judged.verdict.as_str()),
            Item::SameVerdict,
            format!(
                "Entry {} says \"{}\"; the kept evidence judged by this program says \"{}\".",
                judged.entry,
                judged.verdict,
                judged.anew.as_deref().unwrap_or("nothing")
            ),
            judge,
        );
        self.tests(f);
        self.clauses(f);
        for old in f.superseded.iter().filter(|old| old.missed) {
            let answered = f
                .deviations
                .iter()
                .any(|one| one.entry > old.entry && approved(one));
            self.need(
                answered,
                Item::EarlierMiss,
                format!(
                    "Entry {} found that the note is not met, and no approved deviation after it says what was done since.",
                    old.entry
                ),
                "casewright run deviation, then casewright run sign … --as approved by another person",
            );
        }
        self.need(
            f.release().is_some(),
            Item::Release,
            format!(
                "Nobody who neither did a step nor judged has approved entry {} since entry {}, the last about the run.",
                judged.entry, f.last_entry
            ),
            &format!(
                "casewright run sign BOOK {} {} --as approved; judge again where the same person has signed before",
                f.run, judged.entry
            ),
        );
    }

    fn tests(&mut self, f: &Facts) {
        let counting: Vec<_> = f
            .tests
            .iter()
            .filter(|test| test.left_out.is_none())
            .collect();
        self.need(
            !counting.is_empty(),
            Item::Tests,
            "No reading that counts.",
            "Put the readings into the evidence file and judge again.",
        );
        for test in counting {
            self.need(
                told(test.by.as_ref()) && told(test.date.as_ref()),
                Item::Readers,
                format!("{} on {}: who read it, and when.", test.name, test.piece),
                "by and date in the evidence file",
            );
            if !test.needs_tester {
                continue;
            }
            let tester = test.tester.as_deref().filter(|id| given(id));
            self.need(
                tester.is_some(),
                Item::Testers,
                format!("{} on {}: with which tester.", test.name, test.piece),
                "tester in the evidence file",
            );
            let Some(id) = tester else { continue };
            // The scale stands last in the method: "hardness, HRC".
            let checked = f
                .testers
                .iter()
                .filter(|tester| tester.id.eq_ignore_ascii_case(id))
                .flat_map(|tester| &tester.checks)
                .any(|(scale, _)| test.method.ends_with(scale.as_str()));
            self.need(
                checked,
                Item::Checks,
                format!(
                    "{} on {} ({}): no dated check of tester {id} on a block of that scale.",
                    test.name, test.piece, test.method
                ),
                "tester.block in the evidence file, with its date",
            );
        }
    }

    fn clauses(&mut self, f: &Facts) {
        let clauses = f.judged.iter().flat_map(|judged| &judged.clauses);
        self.need(
            clauses.clone().next().is_some(),
            Item::Clauses,
            "No clause of the note was judged.",
            "A note that asks nothing cannot be certified.",
        );
        for clause in clauses {
            self.need(
                clause.state == State::Holds && !clause.by.is_empty(),
                Item::Clauses,
                format!("{} ({}): {}.", clause.what, clause.asked, clause.fared),
                "casewright run judge names the cheapest test that would show it",
            );
        }
    }
}

fn approved(one: &super::Deviation) -> bool {
    one.approved
        .as_ref()
        .is_some_and(|who| given(who) && !same(who, &one.by))
}
