//! `convert`: one hardness on the other scales.

use casewright_physics::law::hardness_conversion::{self, Conversion};
use casewright_physics::law::indentation;
use casewright_terms::quantity::format_trimmed;
use casewright_terms::{Diag, Force, Hardness, Length, Scale, Vickers};
use clap::Args;

use super::words;
use crate::answer::{Answer, Trouble};
use crate::show::wrap::hanging;
use crate::wire;

/// Options of `convert`.
#[derive(Debug, Args)]
pub(crate) struct Options {
    /// A number with its scale: 58HRC, "58 HRC", "HRC 58", 550HV, "550 HV1".
    #[arg(value_name = "HARDNESS", required = true, num_args = 1.., allow_negative_numbers = true)]
    hardness: Vec<String>,
}

/// Converts. A reading outside its scale or the tables is answered with `valid = false` and is no
/// failure: that it cannot be converted is the answer.
pub(crate) fn run(options: &Options) -> Result<Answer, Trouble> {
    let found = look(&options.hardness.join(" ")).map_err(Trouble::input)?;
    Ok(Answer::done(
        told(&found.conversion, found.indent.as_ref(), &found.notes),
        found.json(),
    ))
}

/// A hardness looked up on every scale.
#[derive(Debug)]
pub(crate) struct Found {
    /// The conversion.
    pub(crate) conversion: Conversion,
    /// The test force that was written.
    force_kgf: Option<f64>,
    /// What the force says beside the number.
    pub(crate) indent: Option<Indent>,
    /// What there is to say beside the tables' own remarks.
    pub(crate) notes: Vec<String>,
}

impl Found {
    /// For a script.
    pub(crate) fn json(&self) -> String {
        wire::json(&wire::convert::Converted::of(
            &self.conversion,
            self.force_kgf,
            self.indent.as_ref(),
            &self.notes,
        ))
    }
}

/// Looks up what was typed.
///
/// # Errors
/// What is no hardness.
pub(crate) fn look(typed: &str) -> Result<Found, Diag> {
    let typed = words::hardness(typed)?;
    let conversion = hardness_conversion::convert(typed.hardness);
    let notes: Vec<String> = typed
        .force_kgf
        .map(|force| {
            format!(
                "The tables know no test force; that the reading was made with {} kgf changes \
                 nothing here.",
                format_trimmed(force, 3)
            )
        })
        .into_iter()
        .collect();
    let indent = typed
        .force_kgf
        .and_then(|kgf| Indent::of(typed.hardness, kgf));
    Ok(Found {
        conversion,
        force_kgf: typed.force_kgf,
        indent,
        notes,
    })
}

/// What a reading with a test force says beside its number.
#[derive(Debug)]
pub(crate) struct Indent {
    /// As a report writes it: HV0.5, HK0.1.
    pub(crate) designation: String,
    /// Across the indent; the long diagonal of Knoop.
    pub(crate) diagonal: Length,
    /// Least hard layer that the force may be used on at that hardness.
    pub(crate) least_case: Length,
    /// Whether the force is one that the standard names.
    named: bool,
}

impl Indent {
    fn of(hardness: Hardness, kgf: f64) -> Option<Self> {
        let force = Force::from_kgf(kgf);
        let (diagonal, least_case, forces): (_, _, &[f64]) = match hardness.scale {
            Scale::Hv => {
                let hv = Vickers::checked(hardness.value)?;
                let layer = indentation::vickers_layer(hv, force)?;
                let forces = &indentation::VICKERS_FORCES_KGF;
                (indentation::vickers_diagonal(hv, force)?, layer, forces)
            }
            Scale::Hk => (
                indentation::knoop_diagonal(hardness.value, force)?,
                indentation::knoop_depth(hardness.value, force)? * 10.0,
                &indentation::KNOOP_FORCES_KGF,
            ),
            _ => return None,
        };
        Some(Self {
            designation: indentation::designation(hardness.scale, force),
            diagonal,
            least_case,
            named: forces.iter().any(|named| (named - kgf).abs() < 1e-9),
        })
    }

    pub(crate) fn told(&self) -> String {
        let mut out = format!(
            "  an indent {:.1} µm across; needs a hard layer of {:.3} mm ({:.4} in) or more\n",
            self.diagonal.to_um(),
            self.least_case.to_mm(),
            self.least_case.to_in()
        );
        if !self.named {
            out.push_str(&format!(
                "▲ {} is no force that a case is usually tested with.\n",
                self.designation
            ));
        }
        out
    }
}

fn told(conversion: &Conversion, indent: Option<&Indent>, notes: &[String]) -> String {
    let mut out = match indent {
        Some(indent) => format!(
            "{} {}\n{}",
            format_trimmed(conversion.from.value, 0),
            indent.designation,
            indent.told()
        ),
        None => format!("{}\n", conversion.from),
    };
    for (scale, value) in &conversion.to {
        if *scale == conversion.from.scale {
            continue;
        }
        let shown = value.map_or_else(
            || "not valid".to_owned(),
            |value| Hardness::new(*scale, value).to_string(),
        );
        out.push_str(&format!("  {:<6} {shown}\n", scale.symbol()));
    }
    if !conversion.valid {
        out.push_str("■ This is no reading that the tables can convert.\n");
    }
    if !conversion.table.is_empty() {
        out.push_str(&hanging("Table: ", conversion.table));
    }
    let remarks = conversion.remarks.iter().map(|remark| &remark.text);
    for note in remarks.chain(notes) {
        out.push_str(&hanging("▲ ", note));
    }
    out
}
