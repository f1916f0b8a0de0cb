//! Writes evidence as an evidence file; reading the text again gives the same but for its places.

use casewright_terms::Length;

use super::read::{KINDS, STATES, UNITS};
use super::sections::{DIRECTIONS, FILES, NETWORKS, PLACES, RINGS};
use super::{
    Evidence, FileTest, Item, Readings, Ring, StepGrind, Structure, Surface, TaperGrind, Traverse,
    What,
};
use crate::print::{Page, float, quoted};
use crate::units::{Exact, grams};

/// The evidence as canonical TOML.
#[must_use]
pub fn print(evidence: &Evidence) -> String {
    let mut page = Page {
        text: String::new(),
        units: evidence.units,
    };
    page.words_if("job", evidence.job.as_deref());
    page.words_if("run", evidence.run.as_deref());
    page.choice("units", evidence.units, UNITS);
    for piece in &evidence.specimens {
        page.head("[[specimen]]");
        page.words("mark", &piece.mark);
        page.choice("kind", piece.kind, KINDS);
        page.choice("state", piece.state, STATES);
        page.words_if("steel", piece.steel.as_deref());
        page.words_if("heat", piece.heat.as_deref());
        if let Some(yes) = piece.carburized_with_lot {
            page.plain("carburized_with_lot", yes);
        }
        if let Some(yes) = piece.hardened_with_lot {
            page.plain("hardened_with_lot", yes);
        }
        page.words_if("position", piece.position.as_deref());
        page.exact_if("diameter", piece.diameter);
        page.exact_if("thickness", piece.thickness);
    }
    for tester in &evidence.testers {
        page.head("[[tester]]");
        page.words("id", &tester.id);
        page.words_if("what", tester.what.as_deref());
        for block in &tester.blocks {
            page.head("[[tester.block]]");
            page.words("scale", &block.scale.to_string());
            page.plain("nominal", float(block.nominal));
            if let Some(tolerance) = block.tolerance {
                page.plain("tolerance", float(tolerance));
            }
            page.plain("readings", numbers(&block.readings));
            if let Some(date) = block.date {
                page.words("date", &date.to_string());
            }
        }
    }
    for item in &evidence.items {
        one(&mut page, item);
    }
    page.text
}

fn numbers(values: &[f64]) -> String {
    let texts: Vec<String> = values.iter().map(|v| float(*v)).collect();
    format!("[{}]", texts.join(", "))
}

fn lengths(page: &Page, values: &[Length]) -> String {
    let texts: Vec<String> = values
        .iter()
        .map(|v| quoted(&v.exact(page.units)))
        .collect();
    format!("[{}]", texts.join(", "))
}

fn one(page: &mut Page, item: &Item) {
    page.head(&format!("[[{}]]", item.what.section()));
    page.words("specimen", &item.specimen);
    page.words_if("by", item.by.as_deref());
    if let Some(date) = item.date {
        page.words("date", &date.to_string());
    }
    page.words_if("tester", item.tester.as_deref());
    page.words_if("remark", item.remark.as_deref());
    match &item.what {
        What::Hardness(read) => hardness(page, read),
        What::Traverse(read) => traverse(page, read),
        What::StepGrind(read) => step_grind(page, read),
        What::TaperGrind(read) => taper_grind(page, read),
        What::Ring(read) => ring(page, read),
        What::FileTest(read) => file(page, read),
        What::WeightGain(read) => {
            page.words("before", &grams(read.before));
            page.words("after", &grams(read.after));
            page.exact("area", read.area);
            if let Some(error) = read.error {
                page.words("error", &grams(error));
            }
        }
        What::Structure(read) => structure(page, read),
    }
}

fn surface(page: &mut Page, surface: &Surface) {
    match surface {
        Surface::AsHardened => {}
        Surface::Removed(depth) => page.exact("removed", *depth),
        Surface::Finished(face) => {
            page.plain("finished", true);
            page.words_if("face", face.as_deref());
        }
    }
}

fn hardness(page: &mut Page, read: &Readings) {
    page.words("scale", &read.scale.to_string());
    page.plain("values", numbers(&read.values));
    page.choice("at", read.at, PLACES);
    page.words_if("spot", read.spot.as_deref());
    surface(page, &read.surface);
    page.exact_if("round", read.round);
    page.plain("corrected", read.corrected);
}

fn traverse(page: &mut Page, read: &Traverse) {
    page.words("scale", &read.scale.to_string());
    let depths = lengths(page, &read.depths);
    page.plain("depths", depths);
    page.plain("values", numbers(&read.values));
    page.choice("direction", read.direction, DIRECTIONS);
    page.exact_if("spacing", read.spacing);
    page.exact_if("depth_error", read.depth_error);
    page.exact("ground_before", read.ground_before);
}

fn step_grind(page: &mut Page, read: &StepGrind) {
    page.words("scale", &read.scale.to_string());
    let removed = lengths(page, &read.removed);
    page.plain("removed", removed);
    let groups: Vec<String> = read.values.iter().map(|group| numbers(group)).collect();
    page.plain("values", format!("[{}]", groups.join(", ")));
    page.exact_if("depth_error", read.depth_error);
}

fn taper_grind(page: &mut Page, read: &TaperGrind) {
    page.words("scale", &read.scale.to_string());
    let along = lengths(page, &read.along);
    page.plain("along", along);
    page.plain("slope", float(read.slope));
    page.plain("values", numbers(&read.values));
    page.exact_if("depth_error", read.depth_error);
}

fn ring(page: &mut Page, read: &Ring) {
    page.choice("kind", read.kind, RINGS);
    let depths = lengths(page, &read.depths);
    page.plain("depths", depths);
    page.exact_if("doubt", read.doubt);
    page.words_if("etch", read.etch.as_deref());
}

fn file(page: &mut Page, read: &FileTest) {
    if let Some(hrc) = read.file_hrc {
        page.plain("file_hrc", float(hrc));
    }
    page.choice("result", read.result, FILES);
    page.choice("at", read.at, PLACES);
    page.words_if("spot", read.spot.as_deref());
    surface(page, &read.surface);
}

fn structure(page: &mut Page, read: &Structure) {
    if let Some(network) = read.network {
        page.choice("network", network, NETWORKS);
    }
    page.exact_if("retained_austenite", read.retained_austenite);
    page.exact_if("decarburized", read.decarburized);
    page.exact_if("white_layer", read.white_layer);
    page.words_if("how", read.how.as_deref());
}
