//! A complete run, for tests and for looking at the pages. Invented like every example.

use super::{
    Clause, Coupon, Deviation, Equipment, Facts, Judged, LogFact, Piece, Signature, State, Step,
    Test, Tester,
};

fn some(text: &str) -> Option<String> {
    Some(text.to_owned())
}

fn step(number: u32, kind: &str, set: &str, equipment: &str) -> Step {
    let heat = matches!(kind, "carburize" | "reheat" | "temper");
    Step {
        number,
        kind: kind.to_owned(),
        set: set.to_owned(),
        done: some("as on the sheet"),
        begun: heat.then(|| format!("2026-12-0{number} 08:00 +00:00")),
        ended: Some(format!("2026-12-0{number} 14:00 +00:00")),
        by: "M. Tern".to_owned(),
        hold_point: kind == "pack",
        witness: (kind == "pack").then(|| "A. Plover".to_owned()),
        equipment: (!equipment.is_empty()).then(|| equipment.to_owned()),
        read: vec!["couple 181.0 °C (2026-12-03 10:00)".to_owned()],
        temperature_read: true,
    }
}

/// A run with which everything is in order.
#[must_use]
pub fn sample() -> Facts {
    let test = |name: &str, piece: &str, method: &str, tester: Option<&str>| Test {
        name: name.to_owned(),
        piece: piece.to_owned(),
        method: method.to_owned(),
        readings: "60.5, 60.0, 61.0".to_owned(),
        says: "60.5 (59.8 to 61.2)".to_owned(),
        tester: tester.map(str::to_owned),
        needs_tester: tester.is_some(),
        by: some("E. Sandpiper"),
        date: some("2026-12-03"),
        left_out: None,
    };
    let clause = |what: &str, asked: &str, found: &str, by: &str| Clause {
        what: what.to_owned(),
        asked: asked.to_owned(),
        state: State::Holds,
        fared: "holds".to_owned(),
        found: found.to_owned(),
        by: vec![by.to_owned()],
        close: false,
    };
    Facts {
        issuer: "Gannet Slip".to_owned(),
        address: some("Slipway 3, Gannet Harbour, telephone 0000 000"),
        customer: some("Harbour rigging loft"),
        order: some("RL-77, line 2"),
        drawing: some("WP-12 revision C"),
        mill_certificate: some("4471-B of 2026-08-19"),
        specification: None,
        visual: some("no cracks at 10x, E. Sandpiper, 2026-12-03"),
        run: "P-1".to_owned(),
        job: "GS-0141".to_owned(),
        part: "ratchet pawl".to_owned(),
        quantity: 4,
        steel: "C15E".to_owned(),
        heat: some("4471-B"),
        note: "case harden 0.8 +0.4/0 CHD 550 HV, 58-62 HRC after grind".to_owned(),
        answers: Vec::new(),
        practice: false,
        plan: "otter-salt-lamp (entry 3)".to_owned(),
        finished: some("2026-12-03 16:00 +00:00"),
        pack: vec![("box".to_owned(), "B1, compound K-26-03".to_owned())],
        steps: vec![
            step(1, "pack", "pack 4 parts into box B1", ""),
            step(
                2,
                "carburize",
                "925 °C ± 14 °C, 6 h from when the pack is hot",
                "F1",
            ),
            step(3, "reheat", "800 °C, 30 min", "F1"),
            step(4, "quench", "water at 20 °C", "W1"),
            step(5, "temper", "180 °C, 2 h", "T1"),
        ],
        equipment: ["F1", "T1", "W1"]
            .into_iter()
            .map(|id| Equipment {
                id: id.to_owned(),
                what: "used".to_owned(),
                heated: id != "W1",
                calibrated: (id != "W1").then(|| "survey of 2026-09-14".to_owned()),
            })
            .collect(),
        logs: vec![LogFact {
            entry: 11,
            source: "bench logger".to_owned(),
            file: "f1.csv, SHA-256 5feceb66".to_owned(),
            proven: true,
            says: vec!["couple in the pack: 6 h 2 min in the band".to_owned()],
        }],
        deviations: vec![Deviation {
            entry: 13,
            what: "lid clay cracked; seen: a flame at the seam; done about it: luted again"
                .to_owned(),
            by: "M. Tern".to_owned(),
            approved: some("A. Plover"),
        }],
        coupons: vec![Coupon {
            mark: "K1".to_owned(),
            at: "nearest the middle of the load".to_owned(),
            became: some("read"),
        }],
        pieces: [("K1", "coupon"), ("P3", "part")]
            .into_iter()
            .map(|(mark, kind)| Piece {
                mark: mark.to_owned(),
                kind: kind.to_owned(),
                what: "C15E, heat 4471-B".to_owned(),
            })
            .collect(),
        tests: vec![
            test("hardness 1", "P3", "hardness, HRC", Some("R1")),
            test("traverse 1", "K1", "traverse, HV1", Some("V")),
            test("ring 1", "K1", "ring", None),
        ],
        testers: [("R1", "HRC"), ("V", "HV1")]
            .into_iter()
            .map(|(id, scale)| Tester {
                id: id.to_owned(),
                what: "bench tester".to_owned(),
                checks: vec![(
                    scale.to_owned(),
                    "2026-12-03: block 60.4, read 60.2, 60.5".to_owned(),
                )],
            })
            .collect(),
        judged: Some(Judged {
            entry: 20,
            hash: "a59c".repeat(16),
            at: "2026-12-08 10:00 +00:00".to_owned(),
            by: "E. Sandpiper".to_owned(),
            verdict: "meets".to_owned(),
            because: "every clause is shown and holds".to_owned(),
            rule: "by the value where the method is the clause's own".to_owned(),
            evidence: some("evidence.toml, SHA-256 6b86b273"),
            anew: some("meets"),
            clauses: vec![
                clause(
                    "case depth",
                    "0.8 to 1.2 mm to 550 HV",
                    "1.06 mm (1.03 to 1.09 mm)",
                    "traverse 1",
                ),
                clause(
                    "surface hardness",
                    "58 to 62 HRC",
                    "60.5 HRC (59.8 to 61.2)",
                    "hardness 1",
                ),
            ],
        }),
        superseded: Vec::new(),
        corrections: Vec::new(),
        signatures: vec![Signature {
            entry: 21,
            of: 20,
            what: "the judgement".to_owned(),
            name: "K. Heron".to_owned(),
            role: "lead".to_owned(),
            meaning: "approved".to_owned(),
            at: "2026-12-08 11:00 +00:00".to_owned(),
            before_correction: false,
        }],
        last_entry: 20,
        head: (21, "c0de".repeat(16)),
        whole: true,
        program: "0.0.0".to_owned(),
    }
}
