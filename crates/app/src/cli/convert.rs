//! `convert`: one hardness on the other scales.

use casewright_physics::law::hardness_conversion::{self, Conversion};
use casewright_terms::Hardness;
use casewright_terms::quantity::format_trimmed;
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
    let typed = words::hardness(&options.hardness.join(" ")).map_err(Trouble::input)?;
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
    let json = wire::json(&wire::convert::Converted::of(
        &conversion,
        typed.force_kgf,
        &notes,
    ));
    Ok(Answer::done(told(&conversion, &notes), json))
}

fn told(conversion: &Conversion, notes: &[String]) -> String {
    let mut out = format!("{}\n", conversion.from);
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
