//! Whether the parts come out of the quench whole, straight and without what chips later: cracks,
//! distortion, carbide on the grain boundaries, austenite that the cold would turn.
//!
//! Everything here is tied to the way that is chosen: its tank, its route, its carbon. What can be
//! said of a note alone stands in `gate`, what edges take in two dimensions in `edge`.

use casewright_job::shop::{ColdGear, Medium};
use casewright_job::spec::{Feature, FeatureKind, RouteWish as Route, Spec};
use casewright_physics::model::chain::harden_cold;
use casewright_physics::model::chain::inside::boundary_carbide;
use casewright_physics::run::Layers;
use casewright_physics::setup::SubZero;
use casewright_terms::{Diag, Element, Length, Span, Temperature, WeightPercent};

use crate::evaluate::{at, hardness_at};
use crate::recipe::Departure;
use crate::search::{Bench, Candidate};
use crate::setup;

/// Retained austenite over this reads soft and moves in service, in percent. [trade-practice]
pub(crate) const AUSTENITE_MOST_PCT: f64 = 25.0;
/// The cold that dry ice in spirit gives, in °C. [trade-practice]
const COLD_C: f64 = -75.0;
/// Longest wait between quench and cold: the austenite settles with every hour. [trade-practice]
const COLD_WITHIN_H: f64 = 1.0;
/// A share of carbide on the boundaries, or left by the reheat, below which nobody tells two fields
/// apart, in percent. [trade-practice]
const CARBIDE_SEEN_PCT: f64 = 1.0;
/// Core carbon over which water is let alone, in wt%. [trade-practice]
const WATER_CORE_WT_PCT: f64 = 0.35;
/// Work thinner than this counts as thin. [trade-practice]
const THIN_MM: f64 = 6.0;
/// Longer than this many sections it counts as slender. [trade-practice]
const SLENDER: f64 = 12.0;
/// A place thinner than this share of the section beside it is an abrupt change. [trade-practice]
const ABRUPT: f64 = 0.5;

/// The findings of the way that is chosen.
pub(crate) fn findings(bench: &Bench<'_>, best: &Candidate<'_>) -> Vec<Diag> {
    let spec = bench.spec;
    let medium = best.recipe.tank.medium;
    let mut list = Vec::new();
    list.extend(core_in_water(bench, medium));
    list.extend(thin_in_water(spec, medium));
    for feature in spec.part.features.iter().filter(|f| !f.stays_soft) {
        list.extend(abrupt_section(spec, feature, medium));
        list.extend(hole_near_edge(spec, feature, medium));
    }
    list.extend(network(bench, best));
    list.extend(cold(bench, best));
    list
}

fn is_water(medium: Medium) -> bool {
    matches!(medium, Medium::Water | Medium::Brine)
}

const fn liquid(medium: Medium) -> &'static str {
    match medium {
        Medium::Water => "water",
        Medium::Brine => "brine",
        Medium::SlowOil | Medium::FastOil => "oil",
        Medium::Polymer => "polymer",
        Medium::Air => "air",
    }
}

/// A core that hardens through in water.
fn core_in_water(bench: &Bench<'_>, medium: Medium) -> Option<Diag> {
    let carbon = bench.matter.composition.wt_pct(Element::C);
    (is_water(medium) && carbon > WATER_CORE_WT_PCT).then(|| {
        Diag::warn(
            "core-carbon-in-water",
            format!(
                "{carbon:.2} wt% carbon in the core goes into {}.",
                liquid(medium)
            ),
        )
        .why(format!(
            "Over about {WATER_CORE_WT_PCT} wt% the core swells after the skin is hard and tears it: cracks in the quench or while waiting for the temper."
        ))
        .accepted("Oil where the steel hardens in it, or a steel with less carbon in the core.")
    })
}

/// Thin and slender work in water.
fn thin_in_water(spec: &Spec, medium: Medium) -> Option<Diag> {
    let section = setup::section(spec.part.shape);
    let longest = setup::brick(spec.part.shape)[2];
    let slender = longest / section;
    if !is_water(medium) || section >= Length::from_mm(THIN_MM) {
        return None;
    }
    let units = spec.units;
    let seen = format!(
        "{} of section and {} long ({slender:.0} sections) into {}.",
        section.size_text(units),
        longest.size_text(units),
        liquid(medium)
    );
    let why =
        "Thin work is cold on one side before the other is wet: it bows, and an edge may crack.";
    let help = "Straight in along its axis, held upright, no swing; leave stock to straighten by grinding; oil where the steel hardens in it.";
    let diag = if slender > SLENDER {
        Diag::warn("thin-in-water", seen)
    } else {
        Diag::note("thin-in-water", seen)
    };
    Some(diag.why(why).accepted(help))
}

/// Thin beside thick.
fn abrupt_section(spec: &Spec, feature: &Feature, medium: Medium) -> Option<Diag> {
    let (web, section) = (feature.web?, setup::section(spec.part.shape));
    if web >= section * ABRUPT || medium == Medium::Air {
        return None;
    }
    let units = spec.units;
    let fillet = feature.radius.unwrap_or(Length::ZERO);
    let foot = if fillet > Length::ZERO {
        format!("with a fillet of {}", fillet.size_text(units))
    } else {
        "with no fillet given".to_owned()
    };
    let seen = format!(
        "{} is {} thick beside {} of section, {foot}.",
        feature.name,
        web.size_text(units),
        section.size_text(units)
    );
    let diag = if is_water(medium) {
        Diag::warn("thin-beside-thick", seen)
    } else {
        Diag::note("thin-beside-thick", seen)
    };
    Some(
        diag.why(format!(
            "In {} the thin place is cold and hard while the thick one still swells: the foot between them cracks, and the part warps.",
            liquid(medium)
        ))
        .accepted("A fillet at the foot, clay around the thin place so that it cools with the thick one, the milder bath, temper at once."),
    )
}

/// A hole with less steel beside it than its own width.
fn hole_near_edge(spec: &Spec, feature: &Feature, medium: Medium) -> Option<Diag> {
    let hole = matches!(
        feature.kind,
        FeatureKind::Bore | FeatureKind::BlindHole | FeatureKind::Thread
    );
    let (web, diameter) = (feature.web?, feature.diameter?);
    if !hole || web >= diameter || medium == Medium::Air {
        return None;
    }
    let units = spec.units;
    let seen = format!(
        "{} of {} leaves {} to the next edge, less than its own width.",
        feature.name,
        diameter.size_text(units),
        web.size_text(units)
    );
    let diag = if is_water(medium) {
        Diag::warn("hole-near-edge", seen)
    } else {
        Diag::note("hole-near-edge", seen)
    };
    Some(
        diag.why(format!(
            "The wall is cased from both sides and cold first in {}: cracks run from the hole to the edge.",
            liquid(medium)
        ))
        .accepted("Plug the hole with clay where its wall may stay soft, round both its mouths, or move it inward by its own width."),
    )
}

/// Carbide that the slow cooling in the box puts on the grain boundaries, and what the last heat
/// leaves of it.
fn network(bench: &Bench<'_>, best: &Candidate<'_>) -> Option<Diag> {
    if best.recipe.route == Route::Direct {
        return None;
    }
    let layers = &best.simulated.chain.layers;
    let steel = &bench.matter.composition;
    let carbon = &best.simulated.chain.carbon;
    let skin_wt_pct = *carbon.carbon_wt_pct.first()?;
    let skin = boundary_carbide(steel, WeightPercent::from_wt_pct(skin_wt_pct));
    let acm = skin.begins?;
    let shed_pct = 100.0 * skin.share;
    if shed_pct < CARBIDE_SEEN_PCT {
        return None;
    }
    let units = bench.spec.units;
    let ends = carbon
        .depth_m
        .iter()
        .zip(&carbon.carbon_wt_pct)
        .find(|(_, wt_pct)| {
            100.0 * skin.share_with(WeightPercent::from_wt_pct(**wt_pct)) < CARBIDE_SEEN_PCT
        })
        .map_or(Length::ZERO, |(depth, _)| Length::from_m(*depth));
    let left_pct = 100.0 * layers.carbide.first()?;
    let heat = best.recipe.reheats.last()?.temperature;
    let ground = bench.chain.stock.1;
    let finish = if ground >= ends {
        "grinding takes all of it".to_owned()
    } else {
        format!(
            "{:.1} % on the ground face",
            100.0 * at(&layers.depth_m, &layers.carbide, ground.to_m())
        )
    };
    let seen = format!(
        "Cooling in the box the skin of {skin_wt_pct:.2} wt% carbon passes Acm at {}: {shed_pct:.1} % of carbide comes out on the grain boundaries, down to {}. The reheat to {} leaves {left_pct:.1} % at the surface ({finish}).",
        acm.text_both(units),
        ends.depth_text_both(units),
        heat.text_both(units),
    );
    if left_pct < CARBIDE_SEEN_PCT {
        return Some(
            Diag::note("grain-boundary-carbide", seen)
                .why("Closed films of carbide chip at edges and crack in grinding; here the reheat dissolves them.")
                .accepted("Do not shorten the reheat or run it colder; look at an etched coupon before grinding."),
        );
    }
    Some(
        Diag::warn("grain-boundary-carbide", seen)
            .why("Closed films of carbide chip at edges and crack in grinding; the reheat breaks them up but does not dissolve them.")
            .accepted(format!(
                "A first reheat over {} and a quench before the last one (double), at the price of grain; less fresh compound or a last soak at lower temperature next time; etch a coupon before grinding.",
                acm.text_both(units)
            )),
    )
}

/// What a cold treatment between quench and temper would do, where too much austenite is kept: in the
/// cold that the shop has, or in dry ice where it has none.
fn cold(bench: &Bench<'_>, best: &Candidate<'_>) -> Option<Diag> {
    let ground = bench.chain.stock.1;
    let chain = &best.simulated.chain;
    let (kept, place) = most_austenite(&chain.layers, ground)?;
    if kept <= AUSTENITE_MOST_PCT {
        return None;
    }
    let setup = best
        .recipe
        .chain_setup(bench.matter, &Departure::NONE, &best.simulated.heat);
    let gear = bench.spec.shop.cold;
    let at_hand = gear.and_then(ColdGear::reaches);
    let treatment = SubZero {
        temperature: at_hand.unwrap_or(Temperature::from_c(COLD_C)),
        wait: Span::from_h(COLD_WITHIN_H),
    };
    let units = bench.spec.units;
    let cold = match harden_cold(&chain.carbon, &setup, &treatment) {
        Ok(cold) => cold,
        Err(failure) => {
            return Some(
                Diag::note(
                    "cold-treatment",
                    format!("What a cold treatment would leave was not computed: {failure}."),
                )
                .why("Nothing is promised that was not computed.")
                .accepted("Lower the reheat instead."),
            );
        }
    };
    let left = 100.0 * at(&cold.layers.depth_m, &cold.layers.retained_austenite, place);
    let hv = |layers: &Layers| hardness_at(layers, ground).to_hv();
    Some(
        Diag::note(
            "cold-treatment",
            format!(
                "A cold treatment at {} within an hour of the quench, before the same temper, would leave {left:.0} % of retained austenite where the plan leaves {kept:.0} %, and {:.0} HV on the finished surface instead of {:.0} HV.",
                treatment.temperature.text_both(units),
                hv(&cold.layers),
                hv(&chain.layers)
            ),
        )
        .why(format!(
            "Fresh, untempered martensite swells in a hard skin: sharp edges and thin places can crack in the cold, and it is brittle until it is tempered. {}; the plan does not count on it.",
            gear_words(gear)
        ))
        .accepted("Cool slowly, never a part with cracks or sharp corners; let it come to room temperature in air and temper at once; after a temper the cold does far less. Or lower the reheat or the carbon, which needs no cold."),
    )
}

/// What the shop has to make cold with.
const fn gear_words(gear: Option<ColdGear>) -> &'static str {
    match gear {
        None => "The shop file names no gear for it (cold)",
        Some(ColdGear::Nothing) => "The shop has no gear for it, so another shop would do it",
        Some(ColdGear::Freezer) => "The shop's freezer is meant",
        Some(ColdGear::DryIce) => "The shop's dry ice is meant",
        Some(ColdGear::Nitrogen) => "The shop's nitrogen is meant",
    }
}

/// Most retained austenite of the finished case in percent, and its depth in metres.
fn most_austenite(layers: &Layers, ground: Length) -> Option<(f64, f64)> {
    layers
        .depth_m
        .iter()
        .zip(&layers.retained_austenite)
        .filter(|(depth, _)| **depth >= ground.to_m())
        .map(|(depth, share)| (100.0 * share, *depth))
        .max_by(|a, b| a.0.total_cmp(&b.0))
}

#[cfg(test)]
mod tests {
    use super::*;

    const SHOP: &str = include_str!("../../../examples/gannet-slip/shop.toml");

    fn spec(part: &str) -> Spec {
        let text = format!(
            "name = \"pin\"\nquantity = 4\nnote = \"CHD 550 HV1 = 0,8 +0,4/0, 58-62 HRC\"\nstart = \"2026-12-01 07:30\"\nshop = \"shop.toml\"\n{part}\n[steel]\ngrade = \"8620\"\n"
        );
        let (shop, _) = casewright_job::parse_shop("shop.toml", SHOP);
        let (draft, _) = casewright_job::parse("job.toml", &text);
        casewright_job::resolve(draft, shop, &crate::SteelTable)
            .unwrap_or_else(|diags| panic!("{diags:?}"))
    }

    fn bar(diameter: &str, length: &str, feature: &str) -> Spec {
        spec(&format!(
            "[part]\nwhat = \"pin\"\nshape = \"bar\"\ndiameter = \"{diameter}\"\nlength = \"{length}\"\n{feature}"
        ))
    }

    fn said(diag: Option<Diag>) -> (casewright_terms::Severity, String) {
        let diag = diag.expect("a finding");
        (diag.severity, diag.text())
    }

    #[test]
    fn thin_work_in_water_is_said_and_slender_work_warned_of() {
        use casewright_terms::Severity::{Note, Warn};
        let thin = |length: &str, medium| thin_in_water(&bar("5 mm", length, ""), medium);
        let (severity, text) = said(thin("80 mm", Medium::Water));
        assert!(severity == Warn && text.contains("16 sections"), "{text}");
        assert_eq!(said(thin("30 mm", Medium::Brine)).0, Note);
        assert!(thin("80 mm", Medium::FastOil).is_none());
        assert!(thin_in_water(&bar("25 mm", "80 mm", ""), Medium::Water).is_none());
    }

    #[test]
    fn thin_beside_thick_and_a_hole_near_an_edge_are_said_with_their_sizes() {
        let hole = "[[feature]]\nkind = \"bore\"\nname = \"cross bore\"\ndiameter = \"10 mm\"\nlength = \"25 mm\"\nweb = \"6 mm\"\nstays_soft = false\n";
        let job = bar("25 mm", "80 mm", hole);
        let feature = &job.part.features[0];
        let (severity, text) = said(hole_near_edge(&job, feature, Medium::Water));
        assert_eq!(severity, casewright_terms::Severity::Warn);
        for words in ["cross bore", "10 mm", "6 mm", "water"] {
            assert!(text.contains(words), "{words}: {text}");
        }
        let (severity, text) = said(abrupt_section(&job, feature, Medium::SlowOil));
        assert_eq!(severity, casewright_terms::Severity::Note);
        assert!(text.contains("6 mm") && text.contains("25 mm"), "{text}");
        // As wide as the hole, and half the section: nothing to say.
        let wide = bar(
            "25 mm",
            "80 mm",
            &hole.replace("web = \"6 mm\"", "web = \"13 mm\""),
        );
        let feature = &wide.part.features[0];
        assert!(hole_near_edge(&wide, feature, Medium::Water).is_none());
        assert!(abrupt_section(&wide, feature, Medium::Water).is_none());
    }
}
