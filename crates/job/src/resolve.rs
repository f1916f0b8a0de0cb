//! From what was written to what must hold: checks across pieces, defaults, the steel, the shop.

mod fit;

use casewright_terms::{Composition, Diag, Place, Severity, UnitSystem};

use crate::draft::{Draft, ShopDraft, SteelDraft};
use crate::note;
use crate::note::reading::{NoteReading, Rule};
use crate::shop::Shop;
use crate::spec::{Answer, GradeBook, Part, Spec, Steel, Stock, Wishes};
use crate::suggest;
use crate::text::{At, clipped, sort};

/// Checks the draft as a whole and completes it.
///
/// `shop` is the one read from [`Draft::shop_reference`]; a shop written in the job file itself
/// needs none. Points of the note that are still open stay in `Spec::note.blocks`.
///
/// # Errors
/// Everything that was found, what `parse` found included: show this list alone.
pub fn resolve(
    draft: Draft,
    shop: Option<Shop>,
    grades: &dyn GradeBook,
) -> Result<Spec, Vec<Diag>> {
    let mut diags = draft.diags.clone();
    let mut defaults = draft.defaults.clone();
    let shop = the_shop(&draft, shop, &mut diags);
    let steel = the_steel(&draft, grades, &mut diags);
    let units = the_units(&draft, &mut defaults);
    let note = draft
        .note
        .as_ref()
        .map(|note| the_note(&draft, note, &mut diags));
    let stock = the_stock(&draft, note.as_ref(), &mut diags, &mut defaults);
    fit::check(&draft, &mut diags);
    soft_areas(&draft, note.as_ref(), &mut diags);
    let wishes = the_wishes(&draft, shop.as_ref(), &mut diags);
    staffed_start(&draft, shop.as_ref(), &mut diags);
    if draft.wishes.route.is_none() {
        defaults.push("The planner chooses the route: no [wish] names one.".to_owned());
    }
    sort(&mut diags);
    if diags.iter().any(|diag| diag.severity == Severity::Stop) {
        return Err(diags);
    }
    let whole = assemble(draft, shop, steel, note, stock, wishes, units);
    whole
        .map(|spec| Spec {
            defaults,
            remarks: diags.clone(),
            ..spec
        })
        .ok_or_else(|| {
            // Every piece that is not there was complained about with a stop.
            diags.push(Diag::stop("job-incomplete", "The job is not complete."));
            diags
        })
}

fn assemble(
    draft: Draft,
    shop: Option<Shop>,
    steel: Option<Steel>,
    note: Option<NoteReading>,
    stock: Vec<Stock>,
    wishes: Wishes,
    units: UnitSystem,
) -> Option<Spec> {
    let part = draft.part?;
    Some(Spec {
        name: draft.name?.value,
        number: draft.number,
        quantity: draft.quantity?.value,
        part: Part {
            what: part.what?,
            shape: part.shape?,
            edge_radius: part.edges.map(|at| at.value),
            features: draft.features.into_iter().map(|at| at.value).collect(),
        },
        steel: steel?,
        heat: draft.steel.heat,
        note: note?,
        answers: draft.answers.into_iter().map(|at| at.value).collect(),
        stock,
        shop: shop?,
        start: draft.start.map(|at| at.value),
        unattended: draft.unattended.unwrap_or(false),
        units,
        wishes,
        defaults: Vec::new(),
        remarks: Vec::new(),
    })
}

fn the_shop(draft: &Draft, given: Option<Shop>, diags: &mut Vec<Diag>) -> Option<Shop> {
    match &draft.shop {
        ShopDraft::None => None,
        ShopDraft::Inline(shop) => shop.as_deref().cloned(),
        ShopDraft::Reference(at) => {
            if given.is_none() {
                diags.push(
                    Diag::stop(
                        "shop-not-read",
                        format!("The shop file \"{}\" gave no shop.", clipped(&at.value)),
                    )
                    .why("Without furnaces, boxes and tanks there is nothing to plan with.")
                    .accepted("Correct the path or the file itself.")
                    .at(at.place.clone()),
                );
            }
            given
        }
    }
}

fn the_steel(draft: &Draft, grades: &dyn GradeBook, diags: &mut Vec<Diag>) -> Option<Steel> {
    let SteelDraft {
        grade,
        label,
        composition,
        ..
    } = &draft.steel;
    let name = grade.as_ref().and_then(|at| {
        let found = grades.find(&at.value);
        if found.is_none() {
            diags.push(unknown_grade(at, grades));
        }
        found
    });
    if let (Some(chemistry), Some(name)) = (composition, &name) {
        let outside = grades.outside(name, &chemistry.value);
        if !outside.is_empty() {
            diags.push(not_that_grade(name, &outside, chemistry, grade.as_ref()));
        }
    }
    match (composition, grade) {
        (Some(chemistry), _) => Some(Steel::Chemistry {
            label: label.clone().unwrap_or_default(),
            grade: name,
            composition: chemistry.value,
            place: Some(chemistry.place.clone()),
        }),
        (None, Some(at)) => Some(Steel::Grade {
            name: name?,
            place: Some(at.place.clone()),
        }),
        (None, None) => None,
    }
}

/// The chemistry is used; that it is another steel than the one named must be seen to.
fn not_that_grade(
    name: &str,
    outside: &[String],
    chemistry: &At<Composition>,
    grade: Option<&At<String>>,
) -> Diag {
    let diag = Diag::warn(
        "grade-chemistry-differs",
        format!("This chemistry is not {name}: {}.", outside.join(", ")),
    )
    .why(
        "A certificate that does not fit its grade belongs to another heat or another steel; the \
         chemistry is what is planned with.",
    )
    .accepted("Check the certificate against the bar, then correct the grade or the chemistry.")
    .at(chemistry.place.clone());
    match grade {
        Some(at) => diag.also(at.place.clone(), "the grade"),
        None => diag,
    }
}

fn unknown_grade(at: &At<String>, grades: &dyn GradeBook) -> Diag {
    let near: Vec<String> = grades
        .near(&at.value)
        .into_iter()
        .take(5)
        .map(|name| format!("\"{name}\""))
        .collect();
    let hint = if near.is_empty() {
        String::new()
    } else {
        format!("Did you mean {}? ", near.join(", "))
    };
    Diag::stop(
        "grade-unknown",
        format!(
            "The grade \"{}\" is not in the steel table.",
            clipped(&at.value)
        ),
    )
    .why("Medium, core hardness and case all hang on the steel; it is never guessed.")
    .accepted(format!(
        "{hint}For another steel give the mill certificate as [steel.composition]."
    ))
    .at(at.place.clone())
}

fn the_units(draft: &Draft, defaults: &mut Vec<String>) -> UnitSystem {
    if let Some(units) = draft.units {
        return units;
    }
    let inch = draft
        .written_units
        .iter()
        .filter(|units| **units == UnitSystem::Inch)
        .count();
    let metric = draft.written_units.len() - inch;
    let (units, word) = if inch > metric {
        (UnitSystem::Inch, "inch")
    } else {
        (UnitSystem::Metric, "metric")
    };
    defaults.push(format!(
        "The job is shown in {word} units, as {} of {} sizes are written: units is not given.",
        inch.max(metric),
        inch + metric
    ));
    units
}

/// Reads the note and applies the answers to what it leaves open.
fn the_note(draft: &Draft, note: &At<String>, diags: &mut Vec<Diag>) -> NoteReading {
    let mut reading = note::read(&note.value);
    if !draft.stock.is_empty() && reading.stock_per_side.is_none() {
        reading = note::block_stage(reading);
    }
    let answers: Vec<Answer> = draft.answers.iter().map(|at| at.value.clone()).collect();
    let (reading, complaints) = note::apply_answers(reading, &answers);
    diags.extend(complaints.into_iter().map(|diag| match diag.place {
        Some(_) => diag,
        None => {
            let place = answer_place(draft, &diag).unwrap_or_else(|| note.place.clone());
            diag.at(place)
        }
    }));
    reading
}

/// The answer a complaint speaks of.
fn answer_place(draft: &Draft, diag: &Diag) -> Option<Place> {
    draft
        .answers
        .iter()
        .find(|at| diag.seen.contains(&at.value.code))
        .map(|at| at.place.clone())
}

/// The job's stock, or the note's where the job gives none.
fn the_stock(
    draft: &Draft,
    note: Option<&NoteReading>,
    diags: &mut Vec<Diag>,
    defaults: &mut Vec<String>,
) -> Vec<Stock> {
    let noted = note.and_then(|note| note.stock_per_side);
    let (Some(noted), Some(place)) = (noted, draft.note.as_ref().map(|n| n.place.clone())) else {
        return draft.stock.iter().map(|at| at.value.clone()).collect();
    };
    if draft.stock.is_empty() {
        let units = note.and_then(|note| note.units).unwrap_or_default();
        defaults.push(format!(
            "{} per side comes off every cased face, as the note says: no [[stock]] is given.",
            noted.depth_text(units)
        ));
        return vec![Stock {
            face: "every cased face".to_owned(),
            per_side: noted,
            bow: casewright_terms::Length::ZERO,
        }];
    }
    for at in &draft.stock {
        // A micrometre is below what any drawing or grinder distinguishes.
        if ((at.value.per_side - noted).to_um()).abs() > 1.0 {
            diags.push(
                Diag::warn(
                    "stock-not-as-note",
                    format!(
                        "Stock on {} is {}, the note says {} per side.",
                        at.value.face,
                        at.value.per_side.depth_text_both(UnitSystem::Metric),
                        noted.depth_text_both(UnitSystem::Metric)
                    ),
                )
                .why("The case is made deeper by what is ground off; one of the two is wrong, perhaps one is on the diameter.")
                .accepted("Correct the stock, or ask the customer. The plan uses the job file's.")
                .at(at.place.clone())
                .also(place.clone(), "the note"),
            );
        }
    }
    draft.stock.iter().map(|at| at.value.clone()).collect()
}

/// The note keeps an area free of case and no feature of the job stays soft.
fn soft_areas(draft: &Draft, note: Option<&NoteReading>, diags: &mut Vec<Diag>) {
    let (Some(reading), Some(note)) = (note, &draft.note) else {
        return;
    };
    if draft.features.iter().any(|at| at.value.stays_soft) {
        return;
    }
    for area in &reading.selective {
        if area.rule == Rule::MustNot {
            diags.push(
                Diag::warn(
                    "soft-area-not-in-part",
                    format!(
                        "The note keeps \"{}\" free of case; no [[feature]] stays soft.",
                        area.what
                    ),
                )
                .why("The plan would not say how to keep it soft.")
                .accepted("Add a [[feature]] for it with stays_soft = true.")
                .at(note.place.clone()),
            );
        }
    }
}

fn the_wishes(draft: &Draft, shop: Option<&Shop>, diags: &mut Vec<Diag>) -> Wishes {
    let wish = &draft.wishes;
    let ids = |list: fn(&Shop) -> Vec<&str>| shop.map(list).unwrap_or_default();
    let tanks = ids(|s| s.tanks.iter().map(|x| x.id.as_str()).collect());
    let boxes = ids(|s| s.boxes.iter().map(|x| x.id.as_str()).collect());
    let furnaces = ids(|s| s.furnaces.iter().map(|x| x.id.as_str()).collect());
    let compounds = ids(|s| s.compounds.iter().map(|x| x.id.as_str()).collect());
    let mut mark = |what: &str, wish: &Option<At<String>>, marks: &[&str]| {
        let at = wish.as_ref()?;
        let found = marks
            .iter()
            .find(|mark| mark.eq_ignore_ascii_case(at.value.trim()));
        if found.is_none() && shop.is_some() {
            diags.push(unknown_mark(what, at, marks));
        }
        found.map(|mark| (*mark).to_owned())
    };
    let wishes = Wishes {
        route: wish.route,
        tank: mark("tank", &wish.tank, &tanks),
        pack_box: mark("box", &wish.pack_box, &boxes),
        furnace: mark("furnace", &wish.furnace, &furnaces),
        compound: mark("compound lot", &wish.compound, &compounds),
        temperature: wish.temperature.as_ref().map(|at| at.value),
        temper: wish.temper.as_ref().map(|at| at.value),
    };
    if let (Some(at), Some(shop)) = (&wish.temperature, shop) {
        let able = shop.furnaces.iter().any(|furnace| {
            furnace.max >= at.value && wishes.furnace.as_ref().is_none_or(|id| *id == furnace.id)
        });
        if !able {
            diags.push(
                Diag::stop(
                    "wish-above-furnace",
                    format!(
                        "No such furnace may be set to {}.",
                        at.value.text_both(UnitSystem::Metric)
                    ),
                )
                .why("Elements and brickwork do not last above the furnace's limit.")
                .accepted("Wish a lower temperature, or leave it to the planner.")
                .at(at.place.clone()),
            );
        }
    }
    wishes
}

fn unknown_mark(what: &str, at: &At<String>, marks: &[&str]) -> Diag {
    let near = suggest::nearest(&at.value, marks.iter().copied());
    let hint = near.map_or(String::new(), |near| format!("Did you mean \"{near}\"? "));
    let list = if marks.is_empty() {
        "It has none.".to_owned()
    } else {
        format!("It has {}.", marks.join(", "))
    };
    Diag::stop(
        "mark-unknown",
        format!("The shop has no {what} \"{}\".", clipped(&at.value)),
    )
    .accepted(format!("{hint}{list}"))
    .at(at.place.clone())
}

/// The start lies in hours when nobody is there.
fn staffed_start(draft: &Draft, shop: Option<&Shop>, diags: &mut Vec<Diag>) {
    let (Some(start), Some(shop)) = (&draft.start, shop) else {
        return;
    };
    let day = usize::try_from(start.value.date().weekday().to_monday_zero_offset()).unwrap_or(0);
    let minute = start.value.hour() as i32 * 60 + start.value.minute() as i32;
    let there = shop.staffed.by_weekday[day]
        .is_some_and(|(from, to)| (i32::from(from)..i32::from(to)).contains(&minute));
    if !there {
        diags.push(
            Diag::warn(
                "start-unstaffed",
                format!("Nobody is there at {}.", start.value.strftime("%H:%M on %A, %-d %B %Y")),
            )
            .why("Work begins with packing and loading, which somebody must do.")
            .accepted("The plan starts when somebody is there next; or correct start or the staffed hours.")
            .at(start.place.clone()),
        );
    }
}
