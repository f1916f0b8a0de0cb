//! Writes a job as a job file: one spelling for one meaning, every default written out.
//!
//! Reading the text again gives the same job; only places, remarks and the list of defaults differ.

use std::fmt::Write as _;

use casewright_terms::{Fraction, Scale, UnitSystem};

use crate::draft::{ROUTES, kind_word};
use crate::read_shop::{
    AGITATIONS, COLD, ENERGISERS, HOT_OPENINGS, LUTES, MEDIA, SUBJECTS, TRAITS,
};
use crate::shop::{Furnace, Learnt, Shop};
use crate::spec::{PartShape, Spec, Steel};
use crate::units::Exact;

/// The job as canonical TOML, its shop written inside it.
#[must_use]
pub fn print(spec: &Spec) -> String {
    let mut page = Page {
        text: String::new(),
        units: spec.units,
    };
    page.words("name", &spec.name);
    page.words_if("number", spec.number.as_deref());
    page.plain("quantity", spec.quantity);
    let units = match spec.units {
        UnitSystem::Metric => "metric",
        UnitSystem::Inch => "inch",
    };
    page.words("units", units);
    page.words("note", &spec.note.text);
    if let Some(start) = spec.start {
        page.words("start", &start.to_string());
    }
    page.plain("unattended", spec.unattended);
    part(&mut page, spec);
    steel(&mut page, spec);
    for stock in &spec.stock {
        page.head("[[stock]]");
        page.words("face", &stock.face);
        page.exact("per_side", stock.per_side);
        page.exact("bow", stock.bow);
    }
    for answer in &spec.answers {
        page.head("[[answer]]");
        page.words("code", &answer.code);
        page.words("value", &answer.value);
        page.words("by", &answer.by);
    }
    wishes(&mut page, spec);
    shop(&mut page, &spec.shop);
    page.text
}

/// A text that grows key by key.
pub(crate) struct Page {
    pub(crate) text: String,
    pub(crate) units: UnitSystem,
}

impl Page {
    pub(crate) fn head(&mut self, name: &str) {
        let _ = writeln!(self.text, "\n{name}");
    }

    pub(crate) fn plain(&mut self, key: &str, value: impl std::fmt::Display) {
        let _ = writeln!(self.text, "{key} = {value}");
    }

    pub(crate) fn words(&mut self, key: &str, value: &str) {
        let quoted = quoted(value);
        self.plain(key, quoted);
    }

    pub(crate) fn words_if(&mut self, key: &str, value: Option<&str>) {
        if let Some(value) = value {
            self.words(key, value);
        }
    }

    pub(crate) fn exact(&mut self, key: &str, value: impl Exact) {
        let text = value.exact(self.units);
        self.words(key, &text);
    }

    pub(crate) fn exact_if(&mut self, key: &str, value: Option<impl Exact>) {
        if let Some(value) = value {
            self.exact(key, value);
        }
    }

    pub(crate) fn choice<T: Copy + PartialEq>(&mut self, key: &str, value: T, words: &[(&str, T)]) {
        if let Some((word, _)) = words.iter().find(|(_, known)| *known == value) {
            self.words(key, word);
        }
    }

    fn sides(&mut self, sides: [casewright_terms::Length; 3]) {
        let texts = sides.map(|side| quoted(&side.exact(self.units)));
        self.plain("inside", format!("[{}]", texts.join(", ")));
    }
}

/// A basic string of TOML.
pub(crate) fn quoted(text: &str) -> String {
    let mut out = String::from("\"");
    for c in text.chars() {
        match c {
            '"' => out.push_str("\\\""),
            '\\' => out.push_str("\\\\"),
            '\n' => out.push_str("\\n"),
            '\r' => out.push_str("\\r"),
            '\t' => out.push_str("\\t"),
            c if c.is_control() => {
                let _ = write!(out, "\\u{:04X}", c as u32);
            }
            c => out.push(c),
        }
    }
    out.push('"');
    out
}

fn part(page: &mut Page, spec: &Spec) {
    page.head("[part]");
    page.words("what", &spec.part.what);
    match spec.part.shape {
        PartShape::Plate {
            thickness,
            width,
            length,
        } => {
            page.words("shape", "plate");
            page.exact("thickness", thickness);
            page.exact("width", width);
            page.exact("length", length);
        }
        PartShape::Bar { diameter, length } => {
            page.words("shape", "bar");
            page.exact("diameter", diameter);
            page.exact("length", length);
        }
        PartShape::Tube {
            outer,
            inner,
            length,
        } => {
            page.words("shape", "tube");
            page.exact("outer", outer);
            page.exact("inner", inner);
            page.exact("length", length);
        }
        PartShape::Sphere { diameter } => {
            page.words("shape", "sphere");
            page.exact("diameter", diameter);
        }
        PartShape::Block { a, b, c } => {
            page.words("shape", "block");
            page.exact("thickness", a);
            page.exact("width", b);
            page.exact("length", c);
        }
    }
    page.exact_if("edges", spec.part.edge_radius);
    for feature in &spec.part.features {
        page.head("[[feature]]");
        page.words("kind", kind_word(feature.kind));
        page.words("name", &feature.name);
        page.exact_if("diameter", feature.diameter);
        page.exact_if("web", feature.web);
        page.exact_if("width", feature.width);
        page.exact_if("depth", feature.depth);
        page.exact_if("radius", feature.radius);
        page.exact_if("length", feature.length);
        page.plain("stays_soft", feature.stays_soft);
    }
}

fn steel(page: &mut Page, spec: &Spec) {
    page.head("[steel]");
    match &spec.steel {
        Steel::Grade { name, .. } => {
            page.words("grade", name);
            page.words_if("heat", spec.heat.as_deref());
        }
        Steel::Chemistry {
            label,
            grade,
            composition,
            ..
        } => {
            page.words_if("grade", grade.as_deref());
            page.words_if(
                "label",
                Some(label.as_str()).filter(|label| !label.is_empty()),
            );
            page.words_if("heat", spec.heat.as_deref());
            page.head("[steel.composition]");
            for (element, content) in composition.present() {
                page.plain(element.symbol(), float(content.to_wt_pct()));
            }
        }
    }
}

/// A number of TOML, which must not look like a whole one by accident of formatting.
pub(crate) fn float(value: f64) -> String {
    format!("{value:?}")
}

fn wishes(page: &mut Page, spec: &Spec) {
    let wish = &spec.wishes;
    if *wish == crate::spec::Wishes::default() {
        return;
    }
    page.head("[wish]");
    if let Some(route) = wish.route {
        page.choice("route", route, ROUTES);
    }
    page.words_if("tank", wish.tank.as_deref());
    page.words_if("box", wish.pack_box.as_deref());
    page.words_if("furnace", wish.furnace.as_deref());
    page.words_if("compound", wish.compound.as_deref());
    page.exact_if("temperature", wish.temperature);
    page.exact_if("temper", wish.temper);
}

fn shop(page: &mut Page, shop: &Shop) {
    page.head("[shop]");
    page.words("name", &shop.name);
    let scales: Vec<String> = shop
        .scales
        .iter()
        .copied()
        .map(Scale::symbol)
        .map(quoted)
        .collect();
    page.plain("scales", format!("[{}]", scales.join(", ")));
    page.plain("micro_hardness", shop.micro_hardness);
    page.plain("file_set", shop.file_set);
    if let Some(place) = shop.hot_opening {
        page.choice("hot_opening", place, HOT_OPENINGS);
    }
    if let Some(gear) = shop.cold {
        page.choice("cold", gear, COLD);
    }
    for item in &shop.furnaces {
        furnace(page, "[[shop.furnace]]", item);
    }
    for item in &shop.boxes {
        page.head("[[shop.box]]");
        page.words("id", &item.id);
        page.sides(item.inside);
        page.exact("wall", item.wall);
        if let Some(heats) = item.heats {
            page.plain("heats", heats);
        }
        page.plain("gas_tight", item.gas_tight);
        if let Some(lute) = item.lute {
            page.choice("lute", lute, LUTES);
        }
        page.plain("count", item.count);
        if let Some(bed) = item.bed {
            page.exact("bed_factor", Fraction::from_ratio(bed.factor));
            page.exact("bed_doubt", bed.doubt);
        }
    }
    for lot in &shop.compounds {
        page.head("[[shop.compound]]");
        page.words("id", &lot.id);
        page.choice("energiser", lot.energiser, ENERGISERS);
        page.exact("energiser_fraction", lot.energiser_fraction);
        page.exact("fresh", lot.fresh);
        page.exact("bulk_density", lot.bulk_density);
        page.exact("grain", lot.grain);
        page.plain("dry", lot.dry);
        page.exact_if("stock", lot.stock);
    }
    for tank in &shop.tanks {
        page.head("[[shop.tank]]");
        page.words("id", &tank.id);
        page.choice("medium", tank.medium, MEDIA);
        page.exact("volume", tank.volume);
        page.exact("bath", tank.bath);
        page.choice("agitation", tank.agitation, AGITATIONS);
        page.exact_if("flash_point", tank.flash_point);
        page.exact("transfer", tank.transfer);
        page.exact_if("over_work", tank.over_work);
        page.exact_if("water", tank.water);
        page.plain("air_blown", tank.air_blown);
        page.exact_if("fixture", tank.fixture);
    }
    for item in &shop.ovens {
        furnace(page, "[[shop.oven]]", item);
    }
    page.head("[shop.staffed]");
    const DAYS: [&str; 7] = [
        "monday",
        "tuesday",
        "wednesday",
        "thursday",
        "friday",
        "saturday",
        "sunday",
    ];
    for (day, hours) in DAYS.into_iter().zip(shop.staffed.by_weekday) {
        let clock = |minutes: u16| format!("{:02}:{:02}", minutes / 60, minutes % 60);
        let text = hours.map_or("none".to_owned(), |(from, to)| {
            format!("{}-{}", clock(from), clock(to))
        });
        page.words(day, &text);
    }
    if let Some(prices) = &shop.prices {
        page.head("[shop.prices]");
        page.words("currency", &prices.currency);
        let given = [
            ("energy_per_kwh", prices.energy_per_kwh),
            ("compound_per_kg", prices.compound_per_kg),
            ("hour", prices.hour),
        ];
        for (key, price) in given {
            if let Some(price) = price {
                // With a point, so that it reads back as the same number.
                page.plain(key, format!("{price:?}"));
            }
        }
    }
    for one in &shop.learnt {
        learnt(page, "[[shop.learnt]]", one);
    }
}

/// What finished jobs have taught, as lines for a shop file.
#[must_use]
pub fn learnt_lines(all: &[Learnt]) -> String {
    let mut page = Page {
        text: String::new(),
        units: UnitSystem::Metric,
    };
    for one in all {
        learnt(&mut page, "[[learnt]]", one);
    }
    page.text
}

fn learnt(page: &mut Page, head: &str, one: &Learnt) {
    page.head(head);
    page.choice("about", one.about, SUBJECTS);
    page.words("mark", &one.mark);
    page.choice("what", one.what, TRAITS);
    // With a point, so that they read back as the same numbers.
    page.plain("mid", format!("{:?}", one.mid));
    page.plain("doubt", format!("{:?}", one.doubt));
    if !one.together.is_empty() {
        page.plain("together", format!("{:?}", one.together));
    }
    page.words_if("date", one.date.as_deref());
    if !one.from.is_empty() {
        let from: Vec<String> = one.from.iter().map(|run| quoted(run)).collect();
        page.plain("from", format!("[{}]", from.join(", ")));
    }
}

fn furnace(page: &mut Page, head: &str, item: &Furnace) {
    page.head(head);
    page.words("id", &item.id);
    page.sides(item.inside);
    page.exact("power", item.power);
    page.exact("survey", item.survey);
    page.exact("max", item.max);
    page.plain("independent_high_limit", item.independent_high_limit);
    page.plain("pack_couple", item.pack_couple);
}
