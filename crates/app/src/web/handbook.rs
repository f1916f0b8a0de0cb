//! The handbook: what a steel does, one hardness on other scales, how deep carbon goes. No job, nothing
//! written.

use casewright_job::units;
use casewright_physics::matter::steel::{self, SteelRecord};
use casewright_physics::model::jominy::{EndQuenchPoint, GRAIN_NUMBER};
use casewright_physics::model::steel_card::{SteelCard, steel_card};
use casewright_physics::run::{CarbonRun, TransformationCurves};
use casewright_physics::setup::CurvesSetup;
use casewright_physics::simulate;
use casewright_plan::evaluate::TOTAL_DEPTH_OVER_CORE_WT_PCT;
use casewright_report::{figure as drawn, show};
use casewright_terms::quantity::format_trimmed;
use casewright_terms::{Diag, Element, Hardness, Length, Span, Temperature, UnitSystem};
use maud::{Markup, PreEscaped, html};

use super::ask::{Ask, Fields, Reply};
use super::fault::Fault;
use super::lang::Lang;
use super::route::Route;
use super::site::Site;
use super::words::Word;
use super::words::work::Work as W;
use super::{frame, svg};
use crate::cli::simulate::at_depths;
use crate::cli::steel as card;
use crate::cli::{convert, job, words};
use crate::setup_file::{self, Asked};

/// Routes of this module.
pub(crate) const ROUTES: &[Route] = &[
    Route::page("/handbook", "What can be looked up without a job.", index),
    Route::page("/handbook/steel", "What a steel does.", steel_page),
    Route::page(
        "/handbook/convert",
        "One hardness on other scales.",
        convert_page,
    ),
    Route::page(
        "/handbook/depth",
        "How deep carbon goes in a pack.",
        depth_page,
    ),
];

/// The pack of the depth page: an unused compound with calcium carbonate, by mass.
const SURFACE: &str = r#"{ kind = "compound", energiser = "calcium-carbonate", energiser_pct = 13, fresh_pct = 100 }"#;
/// Half the thickness of the plate of the depth page, in mm: thick enough that its middle stays out.
const HALF_THICKNESS_MM: f64 = 25.0;
/// Rows of the depth page.
const ROWS: usize = 16;

/// A steel looked up.
pub(crate) struct Looked {
    /// Its record.
    pub(crate) record: Option<&'static SteelRecord>,
    /// What it does.
    pub(crate) card: SteelCard,
    /// How its austenite transforms; nothing where the rates cannot be asked.
    pub(crate) curves: Option<TransformationCurves>,
}

/// Looks a steel up: `grade`, `carbon`, `at`.
///
/// # Errors
/// All that cannot be read.
pub(crate) fn look_up(query: &Fields) -> Result<Looked, Vec<Diag>> {
    let mut diags = Vec::new();
    let mut kept = |diag| diags.push(diag);
    let carbon = words::carbon(query.given("carbon").unwrap_or(card::CARBON_DEFAULT_WT_PCT))
        .and_then(card::dissolved)
        .map_err(&mut kept)
        .ok();
    let at = words::temperature(query.given("at").unwrap_or(card::AT_DEFAULT))
        .and_then(card::tabulated)
        .map_err(&mut kept)
        .ok();
    let graded = card::graded(query.get("grade")).map_err(&mut kept).ok();
    let (Some(carbon), Some(at), Some((composition, record))) = (carbon, at, graded) else {
        return Err(diags);
    };
    let curves = simulate::curves(&CurvesSetup {
        composition,
        carbon,
        grain_number: GRAIN_NUMBER,
        from: Temperature::from_c(card::CURVES_FROM_C),
    });
    Ok(Looked {
        record,
        card: steel_card(&composition, Some(carbon), at),
        curves: curves.ok(),
    })
}

/// A carbon run without a job: `grade`, `at`, `hours`.
///
/// # Errors
/// All that cannot be read, or what the run refused.
pub(crate) fn carburized(query: &Fields) -> Result<(CarbonRun, f64), Vec<Diag>> {
    let mut diags = Vec::new();
    let at = words::temperature(query.get("at"))
        .map_err(|diag| diags.push(diag))
        .ok();
    let hours = units::read::<Span>(query.get("hours"))
        .map_err(|slip| diags.push(*slip.diag))
        .ok();
    let graded = card::graded(query.get("grade"))
        .map_err(|diag| diags.push(diag))
        .ok();
    let (Some(at), Some(hours), Some((composition, _))) = (at, hours, graded) else {
        return Err(diags);
    };
    let grade = toml::Value::String(query.get("grade").to_owned());
    let (at_c, hours_h) = (at.to_c(), hours.value.to_h());
    let text = format!(
        "[steel]\ngrade = {grade}\n[shape]\nkind = \"plate\"\nhalf_thickness_mm = {HALF_THICKNESS_MM:?}\n\
         [carbon]\ndiffusivity = \"alloy\"\nsurface = {SURFACE}\n\
         [[cycle]]\nfrom_c = {at_c:?}\nto_c = {at_c:?}\nhours = {hours_h:?}\n"
    );
    let setup =
        setup_file::read_with("handbook", &text, &job::grade, setup_file::log::Logs::new())?;
    let Asked::Depth { carbon, .. } = &setup.asked else {
        return Err(vec![Diag::stop(
            "handbook-section",
            "This is no run against depth.",
        )]);
    };
    let core = composition.get(Element::C).to_wt_pct();
    match simulate::carbon(carbon) {
        Ok(run) => Ok((run, core)),
        Err(failure) => Err(vec![
            Diag::stop("carbon-not-followed", format!("{failure}."))
                .accepted("A usual heat and time, such as 1700 °F and 8 h."),
        ]),
    }
}

/// Where the carbon comes down to core + 0.04 wt%, between the two points on either side of it.
pub(crate) fn total_depth(run: &CarbonRun, core_wt_pct: f64) -> Option<Length> {
    let limit = core_wt_pct + TOTAL_DEPTH_OVER_CORE_WT_PCT;
    let below = run
        .carbon_wt_pct
        .iter()
        .position(|carbon| *carbon <= limit)?;
    let above = below.checked_sub(1)?;
    let metres = casewright_physics::numerics::interpolate::linear(
        &[run.carbon_wt_pct[below], run.carbon_wt_pct[above]],
        &[run.depth_m[below], run.depth_m[above]],
        limit,
    )?;
    Some(Length::from_m(metres))
}

fn reply(site: &Site, ask: &Ask, title: W, body: Markup) -> Reply {
    let lang = ask.lang;
    let body = html! {
        @if site.demo { (frame::invented(site, ask)) }
        nav.within.no-print aria-label=(lang.say(Word::Handbook)) {
            ul {
                @for (to, word) in [("/handbook/steel", W::SteelCard), ("/handbook/convert", W::Convert), ("/handbook/depth", W::DepthOf)] {
                    li { a href=(to) aria-current=[(word == title).then_some("page")] { (lang.say(word)) } }
                }
            }
        }
        h1 { (lang.say(title)) }
        (body)
    };
    Reply::page(frame::page(ask, lang.say(title), "/handbook", body))
}

fn index(site: &Site, ask: &Ask) -> Result<Reply, Fault> {
    Ok(reply(
        site,
        ask,
        W::HandbookIntro,
        html! {
            (steel_form(ask, &Fields::default()))
            (convert_form(ask, ""))
            (depth_form(ask, &Fields::default()))
        },
    ))
}

/// One line of a small form.
fn line(lang: Lang, id: &str, name: &str, word: W, value: &str) -> Markup {
    html! {
        div.field {
            label for=(id) { (lang.say(word)) }
            input type="text" id=(id) name=(name) value=(value) autocomplete="off" list=[(name == "grade").then_some("grades")];
        }
    }
}

fn grades() -> Markup {
    html! { datalist #grades { @for record in steel::all() { option value=(record.name) {} } } }
}

fn steel_form(ask: &Ask, now: &Fields) -> Markup {
    let lang = ask.lang;
    html! {
        form.sheet.no-print method="get" action="/handbook/steel" {
            div.row {
                (line(lang, "steel-grade", "grade", W::FieldGrade, now.get("grade")))
                (line(lang, "steel-carbon", "carbon", W::FieldCarbon, now.given("carbon").unwrap_or(card::CARBON_DEFAULT_WT_PCT)))
                (line(lang, "steel-at", "at", W::FieldAt, now.given("at").unwrap_or("1450 °F")))
            }
            (grades())
            button type="submit" { (lang.say(W::LookUp)) }
        }
    }
}

fn convert_form(ask: &Ask, now: &str) -> Markup {
    let lang = ask.lang;
    html! {
        form.sheet.no-print method="get" action="/handbook/convert" {
            (line(lang, "hardness", "hardness", W::FieldHardness, now))
            button type="submit" { (lang.say(W::LookUp)) }
        }
    }
}

fn depth_form(ask: &Ask, now: &Fields) -> Markup {
    let lang = ask.lang;
    html! {
        form.sheet.no-print method="get" action="/handbook/depth" {
            div.row {
                (line(lang, "depth-grade", "grade", W::FieldGrade, now.get("grade")))
                (line(lang, "depth-at", "at", W::Heat, now.given("at").unwrap_or("925 °C")))
                (line(lang, "depth-hours", "hours", W::FieldHours, now.given("hours").unwrap_or("8 h")))
            }
            (grades())
            button type="submit" { (lang.say(W::LookUp)) }
        }
    }
}

fn steel_page(site: &Site, ask: &Ask) -> Result<Reply, Fault> {
    let asked = ask.query.given("grade").is_some();
    let body = html! {
        (steel_form(ask, &ask.query))
        @if asked {
            @match look_up(&ask.query) {
                Ok(looked) => { (steel_told(ask.lang, &looked)) }
                Err(diags) => { (frame::findings(&diags)) }
            }
        }
    };
    Ok(reply(site, ask, W::SteelCard, body))
}

fn steel_told(lang: Lang, looked: &Looked) -> Markup {
    let card = &looked.card;
    let name = card::name_of(&card.composition, looked.record);
    let carbon = format_trimmed(card.at_carbon.to_wt_pct(), 3);
    let temperatures = [
        ("ae1", card.ae1),
        ("ae1_10pct", card.ae1_10pct),
        ("carbide_gone", card.carbide_gone),
        ("ae3", card.ae3),
        ("acm", card.acm),
        ("ms", card.ms),
    ];
    html! {
        h2 { (name) }
        @if let Some(record) = looked.record {
            p lang="en" { (record.system) ", " (record.class.word()) ". " (record.quench_note) }
            ul.findings lang="en" {
                @for warning in &record.warnings {
                    li class=(warning.severity.word()) {
                        span.shape aria-hidden="true" { (frame::shape(warning.severity)) }
                        div { (warning.text) }
                    }
                }
            }
        }
        h3 { (lang.say(W::Chemistry)) }
        p {
            @for (element, content) in card.composition.present() {
                (element.symbol()) " " (lang.number(&format_trimmed(content.to_wt_pct(), 4))) "  "
            }
        }
        h3 { (lang.say(W::Temperatures)) " (" (lang.number(&carbon)) " wt% C)" }
        dl.facts lang="en" {
            @for (what, value) in temperatures {
                dt { (card::label(what)) }
                dd { (value.map_or_else(|| "–".to_owned(), |at| show::temperature(at, UnitSystem::Metric).line())) }
            }
        }
        @if let Some(curves) = &looked.curves {
            figure.wide { div.scroll tabindex="0" role="group" aria-label=(name) {
                (PreEscaped(svg::spoken(lang, &drawn::transformation(&name, curves, UnitSystem::Metric))))
            } }
        }
        (jominy(lang, card))
        ul lang="en" { @for remark in &card.remarks { li { "▲ " (remark.text) } } }
    }
}

fn jominy(lang: Lang, card: &SteelCard) -> Markup {
    let case = |row: usize| {
        card.jominy_case
            .get(row)
            .map(|p: &EndQuenchPoint| card::hardness(p))
    };
    html! {
        @if !card.jominy.is_empty() {
            h3 { (lang.say(W::Jominy)) }
            div.scroll tabindex="0" role="group" aria-label=(lang.say(W::Jominy)) { table.numbers {
                thead { tr { @for word in [W::Distance, W::ThisSteel, W::CaseSteel] { th.figure scope="col" { (lang.say(word)) } } } }
                tbody {
                    @for (row, point) in card.jominy.iter().enumerate() {
                        tr {
                            th.figure scope="row" { (lang.number(&show::size(point.distance, UnitSystem::Metric).line())) }
                            td.figure { (card::hardness(point)) }
                            td.figure { (case(row).unwrap_or_default()) }
                        }
                    }
                }
            } }
        }
    }
}

fn convert_page(site: &Site, ask: &Ask) -> Result<Reply, Fault> {
    let typed = ask.query.get("hardness");
    let lang = ask.lang;
    let body = html! {
        (convert_form(ask, typed))
        @if !typed.is_empty() {
            @match convert::look(typed) {
                Err(diag) => { (frame::findings(&[diag])) }
                Ok(found) => {
                    @let conversion = &found.conversion;
                    h2 { (lang.number(&conversion.from.to_string())) }
                    table {
                        thead { tr { th scope="col" { (lang.say(W::Scale)) } th scope="col" { (lang.say(W::Value)) } } }
                        tbody {
                            @for (scale, value) in conversion.to.iter().filter(|(scale, _)| *scale != conversion.from.scale) {
                                tr {
                                    th scope="row" { (scale.symbol()) }
                                    td { (value.map_or_else(|| lang.say(W::NotValid).to_owned(),
                                        |value| lang.number(&Hardness::new(*scale, value).to_string()))) }
                                }
                            }
                        }
                    }
                    @if let Some(indent) = &found.indent { p lang="en" { (lang.number(&indent.told())) } }
                    p.second lang="en" { (conversion.table) }
                    @for note in &found.notes { p.second lang="en" { (note) } }
                    ul lang="en" { @for remark in &conversion.remarks { li { "▲ " (remark.text) } } }
                }
            }
        }
    };
    Ok(reply(site, ask, W::Convert, body))
}

fn depth_page(site: &Site, ask: &Ask) -> Result<Reply, Fault> {
    let lang = ask.lang;
    let asked = ask.query.given("grade").is_some();
    let body = html! {
        (depth_form(ask, &ask.query))
        p.second { (lang.say(W::DepthBasis)) }
        @if asked {
            @match carburized(&ask.query) {
                Err(diags) => { (frame::findings(&diags)) }
                Ok((run, core)) => { (depth_told(lang, &run, core)) }
            }
        }
    };
    Ok(reply(site, ask, W::DepthOf, body))
}

fn depth_told(lang: Lang, run: &CarbonRun, core: f64) -> Markup {
    let total = total_depth(run, core);
    // A little past the end of the case, so that its foot is seen.
    let end_mm = total.map_or(HALF_THICKNESS_MM, |depth| depth.to_mm() * 1.2);
    let wanted: Vec<f64> = (0..ROWS)
        .map(|row| end_mm * row as f64 / (ROWS - 1) as f64)
        .collect();
    let (depth_mm, carbon) = at_depths(run, Some(&wanted));
    html! {
        @if let Some(total) = total {
            p.answer { (lang.number(&show::depth(total, UnitSystem::Metric).line())) }
            p { (lang.say(W::TotalDepth)) }
        }
        table.numbers {
            thead { tr { th scope="col" { (lang.say(W::Depth)) } th scope="col" { (lang.say(W::Carbon)) } } }
            tbody {
                @for (depth, carbon) in depth_mm.iter().zip(&carbon) {
                    tr {
                        th scope="row" { (lang.number(&show::depth(Length::from_mm(*depth), UnitSystem::Metric).line())) }
                        td { (lang.number(&format!("{carbon:.2} wt%"))) }
                    }
                }
            }
        }
        ul lang="en" { @for remark in &run.remarks { li { "▲ " (remark.text) } } }
    }
}
