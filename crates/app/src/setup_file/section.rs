//! Reads shapes in two dimensions, and what of their map is asked for.
//!
//! Every size is written, a sharp corner as radius 0: which of the two a corner is decides about
//! the part. Faces meet the medium unless they stand in `stop_off`.

use std::ops::RangeInclusive;

use casewright_physics::setup::{Face, KeywayBody, PlaneSection};
use casewright_terms::{Diag, Length, WeightPercent};
use toml::Spanned;
use toml::de::DeValue;

use super::walk::{Table, Walk, listed, near};
use super::{CARBON_WT_PCT, SIZE_MM};

/// Sharp, or rounded with up to the greatest size.
const RADIUS_MM: RangeInclusive<f64> = 0.0..=1000.0;
/// Fewer show nothing; more than a million points of a raster help nobody.
const POINTS: RangeInclusive<f64> = 11.0..=1001.0;
/// Points of the raster along its longer side where the setup does not say.
const POINTS_DEFAULT: usize = 101;
/// More lines than a drawing can label.
const MOST_LINES: usize = 12;
/// Carbon that a case depth is counted to by custom [trade-practice].
const DEPTH_TO_DEFAULT_WT_PCT: f64 = 0.40;

/// The sections of a setup file.
pub(super) const KINDS: [&str; 6] = [
    "rectangle",
    "plate-edge",
    "bore",
    "two-bores",
    "keyway",
    "web",
];

/// What is asked of the map.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct MapWish {
    /// Lines of equal carbon; `None` for those that suit the run.
    pub(crate) lines: Option<Vec<WeightPercent>>,
    /// Carbon that depths are counted to.
    pub(crate) depth_to: WeightPercent,
    /// Points of the raster along the longer side.
    pub(crate) points: usize,
}

/// One shape's keys: its sizes, its radii and its faces.
struct Sizes<'w, 't> {
    walk: &'w mut Walk<'t>,
    table: Table<'t>,
}

impl<'t> Sizes<'_, 't> {
    fn size(&mut self, key: &str) -> Option<Length> {
        self.walk
            .number(self.table, key, &SIZE_MM)
            .map(Length::from_mm)
    }

    fn radius(&mut self, key: &str) -> Option<Length> {
        self.walk
            .number(self.table, key, &RADIUS_MM)
            .map(Length::from_mm)
    }

    /// The faces of those names, in their order.
    fn faces<const N: usize>(&mut self, names: [&str; N]) -> Option<[Face; N]> {
        let mut faces = [Face::Treated; N];
        let Some(value) = self.table.body.get("stop_off") else {
            return Some(faces);
        };
        let DeValue::Array(list) = value.get_ref() else {
            self.walk.wrong_kind(
                "stop_off",
                "a list of faces, as in `stop_off = [\"NAME\"]`",
                value.get_ref(),
                value.span(),
            );
            return None;
        };
        let mut whole = true;
        for item in list {
            let found = self.face(item, &names);
            match found {
                Some(k) => faces[k] = Face::StopOff,
                None => whole = false,
            }
        }
        whole.then_some(faces)
    }

    fn face(&mut self, item: &Spanned<DeValue<'t>>, names: &[&str]) -> Option<usize> {
        let DeValue::String(written) = item.get_ref() else {
            self.walk
                .wrong_kind("stop_off", "a list of words", item.get_ref(), item.span());
            return None;
        };
        let found = names.iter().position(|name| *name == written.as_ref());
        if found.is_none() {
            let known = format!("Faces here: {}.", listed(names));
            self.walk.complain(
                Diag::stop(
                    "unknown-face",
                    format!("\"{written}\" is no face of this shape."),
                )
                .why("A face that is passed over would be carburized against the wish.")
                .accepted(match near(written, names) {
                    Some(meant) => format!("Did you mean \"{meant}\"? {known}"),
                    None => known,
                }),
                item.span(),
            );
        }
        found
    }
}

/// Reads the section of that kind.
pub(super) fn read<'t>(walk: &mut Walk<'t>, table: Table<'t>, kind: &str) -> Option<PlaneSection> {
    let keys: &[&str] = match kind {
        "rectangle" => &["width_mm", "height_mm", "corner_radius_mm"],
        "plate-edge" => &["thickness_mm", "corner_radius_mm"],
        "bore" => &["diameter_mm", "wall_mm"],
        "two-bores" => &["left_diameter_mm", "right_diameter_mm", "web_mm"],
        "keyway" => &["width_mm", "depth_mm", "fillet_mm", "bar_diameter_mm"],
        _ => &["thickness_mm", "height_mm", "fillet_mm", "tip_radius_mm"],
    };
    let known: Vec<&str> = ["kind", "stop_off"]
        .into_iter()
        .chain(keys.iter().copied())
        .collect();
    walk.only(table, &known);
    let mut sizes = Sizes { walk, table };
    // All keys are looked at before the first that is missing ends it.
    match kind {
        "rectangle" => {
            let width = sizes.size("width_mm");
            let height = sizes.size("height_mm");
            let corner_radius = sizes.radius("corner_radius_mm");
            let faces = sizes.faces(["left", "right", "bottom", "top"]);
            Some(PlaneSection::Rectangle {
                width: width?,
                height: height?,
                corner_radius: corner_radius?,
                faces: faces?,
            })
        }
        "plate-edge" => {
            let thickness = sizes.size("thickness_mm");
            let corner_radius = sizes.radius("corner_radius_mm");
            let [end, bottom, top] = sizes.faces(["end", "bottom", "top"])?;
            Some(PlaneSection::PlateEdge {
                thickness: thickness?,
                corner_radius: corner_radius?,
                end,
                flats: [bottom, top],
            })
        }
        "bore" => {
            let diameter = sizes.size("diameter_mm");
            let wall = sizes.size("wall_mm");
            let [bore, surface] = sizes.faces(["bore", "surface"])?;
            Some(PlaneSection::BoreNearWall {
                diameter: diameter?,
                wall: wall?,
                bore,
                surface,
            })
        }
        "two-bores" => {
            let left = sizes.size("left_diameter_mm");
            let right = sizes.size("right_diameter_mm");
            let web = sizes.size("web_mm");
            let bores = sizes.faces(["left", "right"]);
            Some(PlaneSection::TwoBores {
                diameters: [left?, right?],
                web: web?,
                bores: bores?,
            })
        }
        "keyway" => {
            let width = sizes.size("width_mm");
            let depth = sizes.size("depth_mm");
            let fillet = sizes.radius("fillet_mm");
            let body = match table.body.get("bar_diameter_mm") {
                None => Some(KeywayBody::Flat),
                Some(_) => sizes
                    .size("bar_diameter_mm")
                    .map(|diameter| KeywayBody::Round { diameter }),
            };
            let [outside, slot] = sizes.faces(["outside", "slot"])?;
            Some(PlaneSection::Keyway {
                body: body?,
                width: width?,
                depth: depth?,
                fillet: fillet?,
                outside,
                slot,
            })
        }
        _ => {
            let thickness = sizes.size("thickness_mm");
            let height = sizes.size("height_mm");
            let fillet = sizes.radius("fillet_mm");
            let tip_radius = sizes.radius("tip_radius_mm");
            let [tip, sides, floor] = sizes.faces(["tip", "sides", "floor"])?;
            Some(PlaneSection::Web {
                thickness: thickness?,
                height: height?,
                fillet: fillet?,
                tip_radius: tip_radius?,
                tip,
                sides,
                floor,
            })
        }
    }
}

/// Reads `[map]`; what it does not say is the custom.
pub(super) fn map<'t>(walk: &mut Walk<'t>, root: Table<'t>) -> Option<MapWish> {
    let mut wish = MapWish {
        lines: None,
        depth_to: WeightPercent::from_wt_pct(DEPTH_TO_DEFAULT_WT_PCT),
        points: POINTS_DEFAULT,
    };
    if root.body.get("map").is_none() {
        return Some(wish);
    }
    let table = walk.table(root, "map", "")?;
    walk.only(table, &["lines_wt_pct", "depth_to_wt_pct", "points"]);
    let complaints = walk.diags.len();
    if let Some(value) = table.body.get("lines_wt_pct") {
        wish.lines = lines(walk, value);
    }
    if let Some(carbon) = walk.number_if_given(table, "depth_to_wt_pct", &CARBON_WT_PCT) {
        wish.depth_to = WeightPercent::from_wt_pct(carbon);
    }
    if let Some(points) = walk.number_if_given(table, "points", &POINTS) {
        wish.points = points.round() as usize;
    }
    (walk.diags.len() == complaints).then_some(wish)
}

fn lines<'t>(walk: &mut Walk<'t>, value: &Spanned<DeValue<'t>>) -> Option<Vec<WeightPercent>> {
    let DeValue::Array(list) = value.get_ref() else {
        let found = value.get_ref();
        walk.wrong_kind("lines_wt_pct", "a list of numbers", found, value.span());
        return None;
    };
    if list.is_empty() || list.len() > MOST_LINES {
        walk.complain(
            Diag::stop("line-list", format!("{} lines are asked for.", list.len())).accepted(
                format!(
                    "From 1 to {MOST_LINES} are drawn; without the key those that suit the run."
                ),
            ),
            value.span(),
        );
        return None;
    }
    let read: Vec<WeightPercent> = list
        .iter()
        .filter_map(|line| walk.bounded(line, "lines_wt_pct", &CARBON_WT_PCT))
        .map(WeightPercent::from_wt_pct)
        .collect();
    (read.len() == list.len()).then_some(read)
}

/// The section's word in a setup.
pub(crate) fn kind(section: &PlaneSection) -> &'static str {
    match section {
        PlaneSection::Rectangle { .. } => "rectangle",
        PlaneSection::PlateEdge { .. } => "plate-edge",
        PlaneSection::BoreNearWall { .. } => "bore",
        PlaneSection::TwoBores { .. } => "two-bores",
        PlaneSection::Keyway { .. } => "keyway",
        PlaneSection::Web { .. } => "web",
    }
}
