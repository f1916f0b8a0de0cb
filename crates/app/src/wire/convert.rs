//! A hardness conversion on the wire.

use std::collections::BTreeMap;

use casewright_physics::law::hardness_conversion::Conversion;
use serde::Serialize;

use super::{Reading, number};
use crate::cli::convert::Indent;

/// The answer of `convert`.
#[derive(Debug, Serialize)]
pub(crate) struct Converted {
    from: Reading,
    force_kgf: Option<f64>,
    /// As a report writes the scale with its force, as in HV10; `null` without a force.
    designation: Option<String>,
    indent_diagonal_mm: Option<f64>,
    least_case_mm: Option<f64>,
    /// By scale; `null` where the reading has no counterpart there.
    to: BTreeMap<&'static str, Option<f64>>,
    valid: bool,
    table: Option<String>,
    notes: Vec<String>,
}

impl Converted {
    /// From a conversion; `notes` are the command's own beside those of the tables.
    pub(crate) fn of(
        conversion: &Conversion,
        force_kgf: Option<f64>,
        indent: Option<&Indent>,
        notes: &[String],
    ) -> Self {
        Self {
            from: Reading::from(conversion.from),
            force_kgf: force_kgf.map(number),
            designation: indent.map(|indent| indent.designation.clone()),
            indent_diagonal_mm: indent.map(|indent| number(indent.diagonal.to_mm())),
            least_case_mm: indent.map(|indent| number(indent.least_case.to_mm())),
            to: conversion
                .to
                .iter()
                .map(|(scale, value)| (scale.symbol(), value.map(number)))
                .collect(),
            valid: conversion.valid,
            table: super::diag::some(conversion.table),
            notes: conversion
                .remarks
                .iter()
                .map(|remark| remark.text.clone())
                .chain(notes.iter().cloned())
                .collect(),
        }
    }
}
