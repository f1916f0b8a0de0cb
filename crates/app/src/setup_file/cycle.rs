//! The temperature cycle of a setup: straight pieces, and logs that stand for pieces.

use casewright_physics::setup::{Cycle, Ramp};
use casewright_terms::{Diag, Span, Temperature};
use toml::de::DeValue;

use super::walk::{Table, Walk};
use super::{HOURS, MOST_PIECES, ROOM_C, TEMPERATURE_C, log};

pub(super) fn cycle<'t>(walk: &mut Walk<'t>, root: Table<'t>) -> Option<Cycle> {
    let value = walk.value(root, "cycle", "Pieces `[[cycle]]` with `to_c` and `hours`.")?;
    let DeValue::Array(pieces) = value.get_ref() else {
        walk.wrong_kind(
            "cycle",
            "a list of pieces, each headed `[[cycle]]`",
            value.get_ref(),
            value.span(),
        );
        return None;
    };
    if pieces.is_empty() || pieces.len() > MOST_PIECES {
        walk.complain(
            Diag::stop(
                "cycle-length",
                format!("The cycle has {} pieces.", pieces.len()),
            )
            .accepted(format!("From 1 to {MOST_PIECES} pieces are taken.")),
            value.span(),
        );
        return None;
    }
    let mut ramps = Vec::with_capacity(pieces.len());
    let mut whole = true;
    // `None` once a piece could not be read: what follows it has no known start.
    let mut last_c = Some(ROOM_C);
    for piece in pieces {
        let DeValue::Table(body) = piece.get_ref() else {
            walk.wrong_kind("cycle", "a list of tables", piece.get_ref(), piece.span());
            whole = false;
            last_c = None;
            continue;
        };
        let table = Table {
            name: "cycle",
            span: (piece.span().start, piece.span().end),
            body,
        };
        if body.get("log").is_some() {
            let logged = log::logged(walk, table);
            last_c = logged.as_ref().and_then(|l| Some(l.last()?.to.to_c()));
            whole &= logged.is_some();
            ramps.extend(logged.unwrap_or_default());
            continue;
        }
        walk.only(table, &["from_c", "to_c", "hours", "log"]);
        let from_c = if body.get("from_c").is_some() {
            walk.number(table, "from_c", &TEMPERATURE_C)
        } else {
            last_c
        };
        let to_c = walk.number(table, "to_c", &TEMPERATURE_C);
        let hours = walk.number(table, "hours", &HOURS);
        last_c = to_c;
        if let (Some(from_c), Some(to_c), Some(hours)) = (from_c, to_c, hours) {
            ramps.push(Ramp {
                from: Temperature::from_c(from_c),
                to: Temperature::from_c(to_c),
                duration: Span::from_h(hours),
            });
        } else {
            whole = false;
        }
    }
    whole.then_some(Cycle { pieces: ramps })
}
