//! Tables as text: comma, quotes where needed, and nothing that a spreadsheet would run.

/// One line with its end.
#[must_use]
pub fn line<S: AsRef<str>>(cells: &[S]) -> String {
    let cells: Vec<String> = cells.iter().map(|cell| self::cell(cell.as_ref())).collect();
    format!("{}\r\n", cells.join(","))
}

/// A cell. Text that a spreadsheet would take for a formula gets an apostrophe in front, a number
/// below zero does not.
fn cell(text: &str) -> String {
    let formula =
        text.starts_with(['=', '+', '-', '@', '\t', '\r']) && text.parse::<f64>().is_err();
    let mark = if formula { "'" } else { "" };
    if text.contains([',', '"', '\n', '\r', ';', '\t']) || formula {
        format!("\"{mark}{}\"", text.replace('"', "\"\""))
    } else {
        text.to_owned()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn cells_are_quoted_and_formulas_are_words() {
        assert_eq!(
            line(&["a", "b,c", "say \"x\"", "=cmd|' /C calc'!A0", "-5", "-x"]),
            "a,\"b,c\",\"say \"\"x\"\"\",\"'=cmd|' /C calc'!A0\",-5,\"'-x\"\r\n"
        );
    }
}
