//! Every reason for which a note stops a plan, with its stable code and what settles it.
//!
//! Codes are part of the machine-readable results and of job files (`[[answer]] code = …`): they
//! are added to, never renamed. This file decides nothing; `judge` does.

/// One kind of open point.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct BlockKind {
    /// Stable code.
    pub code: &'static str,
    /// When it is raised.
    pub when: &'static str,
    /// Which answers settle it; empty where only a corrected note can.
    pub accepted: &'static str,
}

/// The text says nothing about case hardening.
pub const NOT_A_CASE_NOTE: &str = "not-a-case-note";
/// The note asks for a treatment or a way of carburizing that is not pack carburizing.
pub const OTHER_PROCESS: &str = "other-process";
/// A called specification does not cover pack carburizing, or the note forbids it.
pub const SPEC_EXCLUDES_PACK: &str = "spec-excludes-pack";
/// No case depth is given.
pub const NO_DEPTH: &str = "no-depth";
/// A length stands without a unit that can be told.
pub const UNIT: &str = "unit";
/// A number can be read in two ways.
pub const NUMBER_FORM: &str = "number-form";
/// A least value stands above its greatest.
pub const RANGE_REVERSED: &str = "range-reversed";
/// The depth is outside anything a case is made to.
pub const DEPTH_RANGE: &str = "depth-range";
/// One depth without tolerance.
pub const DEPTH_TOLERANCE: &str = "depth-tolerance";
/// Effective or total is not said.
pub const DEPTH_KIND: &str = "depth-kind";
/// The limit hardness of an effective depth cannot be told.
pub const LIMIT_HARDNESS: &str = "limit-hardness";
/// Two depths that are not the same.
pub const DEPTH_CONFLICT: &str = "depth-conflict";
/// Before or after grinding is not said.
pub const STAGE: &str = "stage";
/// Stock per side or on the diameter is not said.
pub const STOCK: &str = "stock";
/// A hardness number without scale.
pub const HARDNESS_SCALE: &str = "hardness-scale";
/// A hardness on a scale that cannot be turned into a reading of this shop's testers.
pub const SCALE_NOT_CONVERTIBLE: &str = "scale-not-convertible";
/// Two surface hardnesses that are not the same.
pub const SURFACE_CONFLICT: &str = "surface-conflict";
/// A surface hardness that no case reaches, or that is no case.
pub const SURFACE_RANGE: &str = "surface-range";
/// Two core hardnesses that are not the same.
pub const CORE_CONFLICT: &str = "core-conflict";
/// The core is asked to be harder than the surface.
pub const CORE_ABOVE_SURFACE: &str = "core-above-surface";
/// The note demands acceptance on a scale that presses through the case.
pub const SCALE_TOO_HEAVY: &str = "scale-too-heavy";
/// One area must and must not be cased.
pub const AREA_CONFLICT: &str = "area-conflict";
/// A number was left unread.
pub const UNREAD_NUMBER: &str = "unread-number";
/// A "not", "except" or the like was left unread.
pub const UNREAD_EXCEPTION: &str = "unread-exception";

/// All kinds, in the order in which open points are asked.
pub const TABLE: &[BlockKind] = &[
    BlockKind {
        code: NOT_A_CASE_NOTE,
        when: "nothing in the text is about case hardening, or it is too long for a drawing note",
        accepted: "",
    },
    BlockKind {
        code: OTHER_PROCESS,
        when: "the note names another treatment (nitriding, induction, …) or another way of carburizing",
        accepted: "`pack carburize`, where the customer allows it",
    },
    BlockKind {
        code: SPEC_EXCLUDES_PACK,
        when: "AMS 2759/7 is called, whose scope leaves pack carburizing out, or the note itself forbids the pack",
        accepted: "`waived`, with the customer's release",
    },
    BlockKind {
        code: NO_DEPTH,
        when: "no case depth is given",
        accepted: "a depth with unit, such as `0.8-1.2 mm` or `.030-.040 in`",
    },
    BlockKind {
        code: UNIT,
        when: "a depth or stock has no unit and its form does not tell",
        accepted: "`mm`, `inch` or `thou`",
    },
    BlockKind {
        code: NUMBER_FORM,
        when: "a number reads two ways: `1,200`, `030` with a lost point, digits that make no number",
        accepted: "the depth with unit, such as `0.030-0.040 in`",
    },
    BlockKind {
        code: RANGE_REVERSED,
        when: "a least value is greater than its greatest",
        accepted: "the range again with unit or scale, such as `0.8-1.2 mm` or `58-62 HRC`",
    },
    BlockKind {
        code: DEPTH_RANGE,
        when: "the depth is under 0.1 mm, over 3 mm or over 0.125 in, which is often a slip of unit",
        accepted: "`as written`, or the depth with unit, such as `.030-.040 in`",
    },
    BlockKind {
        code: DEPTH_TOLERANCE,
        when: "one depth stands alone: least, middle or greatest is not said",
        accepted: "`min`, `max`, or the depth with unit and both ends, such as `0.8-1.2 mm`",
    },
    BlockKind {
        code: DEPTH_KIND,
        when: "the depth is not said to be effective or total, or is defined by a carbon content",
        accepted: "`effective`, `effective 550 HV`, `effective 50 HRC` or `total`",
    },
    BlockKind {
        code: LIMIT_HARDNESS,
        when: "an effective depth whose limit hardness neither the note nor its system of units tells",
        accepted: "a hardness with scale, such as `550 HV` or `50 HRC`",
    },
    BlockKind {
        code: DEPTH_CONFLICT,
        when: "the note gives two depths that do not agree",
        accepted: "the depth that governs, with unit, such as `0.8-1.2 mm`",
    },
    BlockKind {
        code: STAGE,
        when: "grinding or stock is in play and the note does not say before or after, or says both",
        accepted: "`after-grind` or `before-grind`",
    },
    BlockKind {
        code: STOCK,
        when: "grinding stock is given and per side or on the diameter is not said",
        accepted: "`per side`, `on diameter`, or the stock with unit, such as `0.12 mm per side`",
    },
    BlockKind {
        code: HARDNESS_SCALE,
        when: "a hardness number has no scale",
        accepted: "a scale: `HRC`, `HRA`, `HV`, `HR15N`, `HR30N`, `HR45N`, `HBW`, `HK`, `HRB` or `HRD`",
    },
    BlockKind {
        code: SCALE_NOT_CONVERTIBLE,
        when: "a hardness is given as rebound (scleroscope, Shore), tensile strength or on a scale not held here",
        accepted: "a hardness with scale, such as `58-62 HRC`, or `no requirement`",
    },
    BlockKind {
        code: SURFACE_CONFLICT,
        when: "the note gives two surface hardnesses that do not agree",
        accepted: "the one that governs, such as `58-62 HRC`",
    },
    BlockKind {
        code: SURFACE_RANGE,
        when: "the surface is asked above 68 HRC, below 45 HRC, or its like on another scale",
        accepted: "a surface hardness with scale, such as `58-62 HRC`",
    },
    BlockKind {
        code: CORE_CONFLICT,
        when: "the note gives two core hardnesses that do not agree",
        accepted: "the one that governs, such as `25-40 HRC`",
    },
    BlockKind {
        code: CORE_ABOVE_SURFACE,
        when: "the core is asked harder than the surface",
        accepted: "the core hardness with scale, such as `25-40 HRC`, or `no requirement`",
    },
    BlockKind {
        code: SCALE_TOO_HEAVY,
        when: "the note demands that the surface be accepted on a scale that presses through this case",
        accepted: "a surface hardness on a lighter scale, such as `90 HR15N min`, or `agreed` where another scale is agreed with the customer",
    },
    BlockKind {
        code: AREA_CONFLICT,
        when: "one area must be cased and must not",
        accepted: "`must`, `may` or `must-not`",
    },
    BlockKind {
        code: UNREAD_NUMBER,
        when: "a number was not understood",
        accepted: "`no requirement`, where the number asks nothing of the heat treater",
    },
    BlockKind {
        code: UNREAD_EXCEPTION,
        when: "a `not`, `except` or the like was not understood",
        accepted: "`no requirement`, where it asks nothing of the heat treater",
    },
];

/// The table's row of a code, where there is one.
#[must_use]
pub fn find(code: &str) -> Option<&'static BlockKind> {
    TABLE.iter().find(|kind| kind.code == code)
}
