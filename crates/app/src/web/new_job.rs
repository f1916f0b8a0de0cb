//! Taking in a job: a form of fields from which the job file is written, or the file as a text. What is
//! wrong is said by the job reader and stands beside its field.

use casewright_records::{Attachment, Event};
use casewright_terms::{Diag, Severity};
use maud::{Markup, html};

use super::ask::{Ask, Fields, Reply, escaped};
use super::book;
use super::desk::{self, JOB_TEXT, SHOP_TEXT};
use super::fault::Fault;
use super::frame;
use super::job::named;
use super::lang::Lang;
use super::route::Route;
use super::site::{Site, person};
use super::words::Word;
use super::words::work::Work as W;

/// Routes of this module.
pub(crate) const ROUTES: &[Route] = &[
    Route::page("/take-in", "The form to take in a job.", form),
    Route::form("/take-in", "Takes in a job.", take),
];

/// What a field is written as in the job file.
#[derive(Clone, Copy, PartialEq)]
enum As {
    Text,
    Count,
}

/// A field: its name, section of the job file, key there, word, and whether it is long.
struct Field {
    name: &'static str,
    section: &'static str,
    key: &'static str,
    word: W,
    written: As,
}

const fn field(name: &'static str, section: &'static str, key: &'static str, word: W) -> Field {
    Field {
        name,
        section,
        key,
        word,
        written: As::Text,
    }
}

/// All fields in the order of the job file.
const FIELDS: [Field; 20] = [
    field("name", "", "name", W::FieldName),
    field("number", "", "number", W::FieldNumber),
    Field {
        written: As::Count,
        ..field("quantity", "", "quantity", W::FieldQuantity)
    },
    field("note", "", "note", W::FieldNote),
    field("start", "", "start", W::FieldStart),
    field("what", "[part]", "what", W::FieldWhat),
    field("shape", "[part]", "shape", W::FieldShape),
    field("thickness", "[part]", "thickness", W::FieldThickness),
    field("width", "[part]", "width", W::FieldWidth),
    field("length", "[part]", "length", W::FieldLength),
    field("diameter", "[part]", "diameter", W::FieldDiameter),
    field("outer", "[part]", "outer", W::FieldOuter),
    field("inner", "[part]", "inner", W::FieldInner),
    field("grade", "[steel]", "grade", W::FieldGrade),
    field("heat", "[steel]", "heat", W::FieldHeat),
    field("face", "[[stock]]", "face", W::FieldFace),
    field("per-side", "[[stock]]", "per_side", W::Stock),
    field("bow", "[[stock]]", "bow", W::FieldBow),
    field("shop", "(shop)", "shop", W::FieldShop),
    field("who", "(who)", "who", W::FieldWho),
];

const SHAPES: [(&str, W); 5] = [
    ("plate", W::ShapePlate),
    ("bar", W::ShapeBar),
    ("tube", W::ShapeTube),
    ("sphere", W::ShapeSphere),
    ("block", W::ShapeBlock),
];

const ROLES: [(&str, W); 5] = [
    ("operator", W::RoleOperator),
    ("student", W::RoleStudent),
    ("instructor", W::RoleInstructor),
    ("inspector", W::RoleInspector),
    ("lead", W::RoleLead),
];

/// Shapes that a size belongs to; nothing for what every job has.
fn shapes_of(name: &str) -> Option<&'static str> {
    match name {
        "thickness" | "width" => Some("plate block"),
        "length" => Some("plate bar tube block"),
        "diameter" => Some("bar sphere"),
        "outer" | "inner" => Some("tube"),
        _ => None,
    }
}

/// A job file written from fields, and which bytes of it each field is.
struct Written {
    text: String,
    spans: Vec<(std::ops::Range<usize>, &'static str)>,
}

fn written(fields: &Fields) -> Written {
    let mut out = Written {
        text: String::new(),
        spans: Vec::new(),
    };
    let mut section = "";
    for field in FIELDS
        .iter()
        .filter(|field| !field.section.starts_with('('))
    {
        let Some(value) = fields.given(field.name) else {
            continue;
        };
        if field.section != section {
            if section.is_empty() {
                out.shop();
            }
            section = field.section;
            out.text.push_str(&format!("\n{section}\n"));
        }
        let from = out.text.len();
        let digits = value.bytes().all(|byte| byte.is_ascii_digit());
        let value = if field.written == As::Count && digits {
            value.trim_start_matches('0').to_owned()
        } else {
            // One line each, whatever was put into the field.
            toml::Value::String(value.split_whitespace().collect::<Vec<_>>().join(" ")).to_string()
        };
        let value = if value.is_empty() {
            "0".to_owned()
        } else {
            value
        };
        out.text.push_str(&format!("{} = {value}\n", field.key));
        out.spans.push((from..out.text.len(), field.name));
    }
    if section.is_empty() {
        out.shop();
    }
    out
}

impl Written {
    /// The line that names the shop's file; what is wrong with it is the shop's.
    fn shop(&mut self) {
        let from = self.text.len();
        self.text.push_str(&format!("shop = \"{SHOP_TEXT}\"\n"));
        self.spans.push((from..self.text.len(), "shop"));
    }
}

/// A complaint with the field it belongs to, where it belongs to one.
type Said = (Option<&'static str>, Diag);

/// The field that a complaint is about: by its place, or, where something is missing and so has no
/// place of its own, by the key that the complaint names in backticks.
fn about(diag: &Diag, written: &Written) -> Option<&'static str> {
    let place = diag.place.as_ref()?;
    if place.file == SHOP_TEXT {
        return Some("shop");
    }
    let by_place = written
        .spans
        .iter()
        .find(|(span, _)| span.contains(&place.span.start))
        .map(|(_, name)| *name);
    by_place.or_else(|| missing(diag))
}

fn missing(diag: &Diag) -> Option<&'static str> {
    FIELDS
        .iter()
        .filter(|field| !field.section.starts_with('('))
        .find(|field| diag.seen.contains(&format!("`{}`", field.key)))
        .map(|field| field.name)
}

fn form(site: &Site, ask: &Ask) -> Result<Reply, Fault> {
    let text = ask.query.get("mode") == "text";
    let mut pairs = vec![
        ("shape".to_owned(), "plate".to_owned()),
        ("role".to_owned(), "operator".to_owned()),
    ];
    match ask.query.given("from") {
        Some(from) => {
            let taken = named(site, from)?;
            pairs.push(("text".to_owned(), taken.job));
            pairs.push(("shop".to_owned(), taken.shop));
        }
        None => pairs.push(("shop".to_owned(), last_shop(site)?)),
    }
    let fields = Fields::of(pairs);
    Ok(Reply::page(page(site, ask, &fields, &[], text)))
}

/// The shop file of the job that was taken in last.
fn last_shop(site: &Site) -> Result<String, Fault> {
    let look = site.look()?;
    match book::jobs(&look)?.first() {
        Some(last) => Ok(named(site, &last.job)?.shop),
        None => Ok(String::new()),
    }
}

fn take(site: &Site, ask: &Ask) -> Result<Reply, Fault> {
    let fields = &ask.form;
    let as_text = fields.get("mode") == "text";
    let written = if as_text {
        let text = fields.get("text");
        Written {
            text: format!("{text}\n"),
            spans: vec![(0..text.len() + 2, "text")],
        }
    } else {
        written(fields)
    };
    let shop = format!("{}\n", fields.get("shop"));
    let said: Vec<Said> = match desk::read(&written.text, &shop) {
        Ok((spec, _)) => match enter(site, fields, &spec, &written.text, &shop)? {
            Ok(job) => return Ok(Reply::go(&format!("/jobs/{}", escaped(&job)))),
            Err(said) => vec![said],
        },
        Err(diags) => diags
            .into_iter()
            .map(|diag| {
                (
                    about(&diag, &written).map(|name| {
                        if as_text && name != "shop" {
                            "text"
                        } else {
                            name
                        }
                    }),
                    diag,
                )
            })
            .collect(),
    };
    Ok(Reply::page(page(site, ask, fields, &said, as_text)).status(422))
}

/// Writes the job into the book; what the book refuses comes back for the form.
fn enter(
    site: &Site,
    fields: &Fields,
    spec: &casewright_job::spec::Spec,
    job_text: &str,
    shop_text: &str,
) -> Result<Result<String, Said>, Fault> {
    let job = spec.number.clone().unwrap_or_else(|| spec.name.clone());
    let event = Event::JobRegistered {
        job: job.clone(),
        title: format!("{}: {}", spec.name, spec.part.what),
    };
    let files = [(JOB_TEXT, job_text), (SHOP_TEXT, shop_text)]
        .map(|(name, text)| Attachment {
            name: name.to_owned(),
            bytes: text.as_bytes().to_vec(),
        })
        .to_vec();
    let by = person(fields.get("who"), fields.get("role"));
    let nameless = by.name.is_empty();
    match site.add(by, event, files).map_err(Fault::from) {
        Ok(_) => Ok(Ok(job)),
        Err(Fault::Input(mut diags)) if !diags.is_empty() => {
            let diag = diags.remove(0);
            let at = match diag.code {
                _ if nameless => Some("who"),
                "book-name-taken" if spec.number.is_some() => Some("number"),
                "book-name-taken" => Some("name"),
                _ => None,
            };
            Ok(Err((at, diag)))
        }
        Err(other) => Err(other),
    }
}

fn page(site: &Site, ask: &Ask, fields: &Fields, said: &[Said], as_text: bool) -> Markup {
    let lang = ask.lang;
    let stops = said.iter().any(|(_, diag)| diag.severity == Severity::Stop);
    let loose: Vec<Diag> = said
        .iter()
        .filter(|(name, _)| {
            name.is_none_or(|name| as_text && !matches!(name, "text" | "shop" | "who"))
        })
        .map(|(_, diag)| diag.clone())
        .collect();
    let view = View { lang, fields, said };
    let title = lang.say(Word::NewJob);
    let body = html! {
        (frame::invented(site, ask))
        h1 { (title) }
        @if stops { p.stop role="alert" { span.shape { "■ " } (lang.say(W::FormWrong)) } }
        @if !loose.is_empty() { (frame::findings(&loose)) }
        p.second { (lang.say(W::FormIntro)) " "
            @if as_text { a href="/take-in" { (lang.say(W::AsFields)) } }
            @else { a href="/take-in?mode=text" { (lang.say(W::AsText)) } }
        }
        form.sheet method="post" action="/take-in" novalidate {
            input type="hidden" name="mode" value=(if as_text { "text" } else { "fields" });
            @if as_text { (view.area("text", W::FieldText, 24)) } @else { (view.all()) }
            fieldset { legend { (lang.say(W::ShopHead)) }
                details open[view.get("shop").is_empty() || view.wrong("shop")] {
                    summary { (lang.say(W::FieldShop)) }
                    (view.area("shop", W::FieldShop, 16))
                }
            }
            fieldset { legend { (lang.say(W::WhoHead)) }
                div.row { (view.line("who")) (view.choice("role", W::FieldRole, &ROLES)) }
            }
            p { button type="submit" { (lang.say(W::TakeIn)) } }
        }
    };
    frame::page(ask, title, "/take-in", body)
}

/// The form with what was put in and what was said about it.
struct View<'a> {
    lang: Lang,
    fields: &'a Fields,
    said: &'a [Said],
}

impl View<'_> {
    fn get(&self, name: &str) -> &str {
        self.fields.get(name)
    }

    fn about(&self, name: &str) -> Vec<Diag> {
        self.said
            .iter()
            .filter(|(of, _)| *of == Some(name))
            .map(|(_, diag)| diag.clone())
            .collect()
    }

    fn wrong(&self, name: &str) -> bool {
        !self.about(name).is_empty()
    }

    fn all(&self) -> Markup {
        let lang = self.lang;
        html! {
            (self.line("name"))
            div.row { (self.line("number")) (self.line("quantity")) (self.line("start")) }
            (self.area("note", W::FieldNote, 3))
            fieldset { legend { (lang.say(W::PartHead)) }
                div.row { (self.line("what")) (self.choice("shape", W::FieldShape, &SHAPES)) }
                div.row { (self.line("thickness")) (self.line("width")) (self.line("length")) }
                div.row { (self.line("diameter")) (self.line("outer")) (self.line("inner")) }
            }
            fieldset { legend { (lang.say(W::SteelHead)) }
                div.row { (self.line("grade")) (self.line("heat")) }
            }
            fieldset { legend { (lang.say(W::StockHead)) }
                div.row { (self.line("face")) (self.line("per-side")) (self.line("bow")) }
            }
        }
    }

    /// One field around its control.
    fn around(&self, name: &str, word: W, control: Markup) -> Markup {
        let said = self.about(name);
        html! {
            div class=(if said.is_empty() { "field" } else { "field wrong" }) data-shapes=[shapes_of(name)] {
                label for={ "field-" (name) } { (self.lang.say(word)) }
                (control)
                @if !said.is_empty() { div id={ "said-" (name) } { (frame::findings(&said)) } }
            }
        }
    }

    fn line(&self, name: &'static str) -> Markup {
        let Some(field) = FIELDS.iter().find(|field| field.name == name) else {
            return html! {};
        };
        let told = self.wrong(name).then(|| format!("said-{name}"));
        self.around(name, field.word, html! {
            input type="text" id={ "field-" (name) } name=(name) value=(self.get(name)) autocomplete="off"
                aria-invalid=[told.is_some().then_some("true")] aria-describedby=[told];
        })
    }

    fn area(&self, name: &'static str, word: W, rows: u32) -> Markup {
        let told = self.wrong(name).then(|| format!("said-{name}"));
        let class = if name == "note" { "" } else { "file" };
        self.around(name, word, html! {
            textarea class=(class) id={ "field-" (name) } name=(name) rows=(rows) spellcheck="false"
                aria-invalid=[told.is_some().then_some("true")] aria-describedby=[told] { (self.get(name)) }
        })
    }

    fn choice(&self, name: &'static str, word: W, choices: &[(&'static str, W)]) -> Markup {
        let now = self.get(name);
        self.around(
            name,
            word,
            html! {
                select id={ "field-" (name) } name=(name) {
                    @for (value, word) in choices {
                        option value=(value) selected[*value == now] { (self.lang.say(*word)) }
                    }
                }
            },
        )
    }
}
