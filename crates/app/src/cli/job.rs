//! Loads a job: its file, its shop's file, and everything that is wrong with either at once.

use std::path::Path;

use casewright_job::shop::Shop;
use casewright_job::spec::{GradeBook, Spec};
use casewright_physics::matter::steel;
use casewright_plan::SteelTable;
use casewright_terms::{Composition, Diag, Place};

use crate::answer::{Texts, Trouble};
use crate::world;

/// Gives the text of the shop file that a job names.
pub(crate) type ShopText<'s> = &'s dyn Fn(&str) -> Result<NamedText, Diag>;

/// A text and the name that places use for it.
pub(crate) struct NamedText {
    pub(crate) name: String,
    pub(crate) text: String,
}

/// Chemistry of the middle of a grade's range, or names that look like it.
pub(crate) fn grade(written: &str) -> Result<Composition, Vec<String>> {
    steel::find(written)
        .map(steel::SteelRecord::middle)
        .ok_or_else(|| SteelTable.near(written))
}

/// Reads a job file and the shop file it names.
///
/// # Errors
/// All complaints about both.
pub(crate) fn load(path: &Path) -> Result<(Spec, Texts), Trouble> {
    let text = world::read_text(path).map_err(Trouble::input)?;
    let folder = path.parent().unwrap_or(Path::new(""));
    let shop_text = |name: &str| {
        let path = folder.join(name);
        world::read_text(&path).map(|text| NamedText {
            name: path.display().to_string(),
            text,
        })
    };
    understand(&path.display().to_string(), &text, &shop_text)
}

/// Reads a job from its text; `shop_text` gives name and text of the shop file it names.
///
/// # Errors
/// All complaints about both.
pub(crate) fn understand(
    name: &str,
    text: &str,
    shop_text: ShopText<'_>,
) -> Result<(Spec, Texts), Trouble> {
    let mut texts = Texts::one(name, text);
    // What parsing found is in the draft, and `resolve` says it again.
    let (draft, _) = casewright_job::parse(name, text);
    let mut about_shop = Vec::new();
    let shop = draft.shop_reference().and_then(|(named, place)| {
        read_shop(&named, place, shop_text, &mut texts, &mut about_shop)
    });
    let shop_failed = shop.is_none() && !about_shop.is_empty();
    match casewright_job::resolve(draft, shop, &SteelTable) {
        Ok(mut spec) if !shop_failed => {
            spec.remarks.splice(0..0, about_shop);
            Ok((spec, texts))
        }
        Ok(_) => Err(Trouble::Input {
            diags: about_shop,
            texts,
        }),
        Err(diags) => {
            about_shop.extend(diags);
            Err(Trouble::Input {
                diags: about_shop,
                texts,
            })
        }
    }
}

fn read_shop(
    named: &str,
    place: Place,
    shop_text: ShopText<'_>,
    texts: &mut Texts,
    diags: &mut Vec<Diag>,
) -> Option<Shop> {
    match shop_text(named) {
        Ok(NamedText { name, text }) => {
            let (shop, found) = casewright_job::parse_shop(&name, &text);
            texts.add(name, text);
            diags.extend(found);
            shop
        }
        Err(diag) => {
            // The fault is that the job names this file, so the job's line is the place.
            diags.push(diag.at(place));
            None
        }
    }
}
