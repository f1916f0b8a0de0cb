//! Writes the made-up run sheets as PDF, A4 and Letter, to a folder: `sheet FOLDER`. Test data.

#![expect(
    clippy::disallowed_methods,
    reason = "an example at the rim: it writes its pages to look at"
)]

#[path = "../src/fixture.rs"]
mod fixture;

use casewright_report::{Paper, Sheet, render, text};

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let folder = std::path::PathBuf::from(std::env::args().nth(1).ok_or("say to which folder")?);
    let printed = Some(jiff::civil::date(2026, 11, 23).at(16, 40, 0, 0));
    let all = [
        ("pawls", fixture::pawls(4)),
        ("one", fixture::pawls(1)),
        ("forty", fixture::pawls(40)),
        ("long", fixture::long_texts()),
        ("double", fixture::double()),
        ("hostile", fixture::hostile()),
        ("refused", fixture::refused()),
    ];
    for (name, (spec, report)) in all {
        let sheet = Sheet::build(&spec, &report, printed, "0.1.0", &fixture::references());
        std::fs::write(
            folder.join(format!("{name}.txt")),
            text::render(&sheet, text::Sources::Counted),
        )?;
        let figures = &sheet.figures;
        for (figure, svg) in [
            ("carbon", &figures.carbon),
            ("hardness", &figures.hardness),
            ("phases", &figures.phases),
            ("cycle", &figures.cycle),
            ("pack", &figures.pack),
            ("chain", &figures.chain),
            ("edge", &figures.edge),
        ] {
            if let Some(svg) = svg {
                std::fs::write(folder.join(format!("{name}-{figure}.svg")), svg)?;
            }
        }
        for (paper, end) in [(Paper::A4, "a4"), (Paper::Letter, "letter")] {
            let pdf = render(&sheet, paper)?;
            std::fs::write(folder.join(format!("{name}-{end}.pdf")), pdf)?;
        }
    }
    Ok(())
}
