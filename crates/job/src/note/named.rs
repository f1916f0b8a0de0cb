//! Standards, steels, JIS depth symbols, dates and list numbers: digits that are names.
//!
//! They are found before amounts, so that no digit of a name is taken for a depth.

use super::token::{Kind, Token};

/// A name with digits in it.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Named {
    /// A standard, in one spelling.
    Standard(String),
    /// A steel.
    Steel,
    /// JIS symbol of a case depth.
    JisDepth(JisDepth),
    /// A number in front of a list entry, a date, a thread, a part number.
    Label(&'static str),
}

/// `CD-H0.3-E0.8`: how measured, at which force, effective or total, how deep.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct JisDepth {
    /// Test force in kgf; `None` for the macro methods.
    pub(super) force_kgf: Option<f64>,
    /// Effective, otherwise total.
    pub(super) effective: bool,
    /// Depth in mm; `None` where it stands apart.
    pub(super) depth_mm: Option<f64>,
}

/// The name that starts at token `at`, and the index behind it.
pub(super) fn find(tokens: &[Token], at: usize) -> Option<(Named, usize)> {
    jis_depth(tokens, at)
        .or_else(|| standard(tokens, at))
        .or_else(|| steel(tokens, at))
        .or_else(|| label(tokens, at))
}

fn text(tokens: &[Token], at: usize) -> &str {
    tokens.get(at).map_or("", |t| t.text.as_str())
}

fn glued(tokens: &[Token], at: usize) -> bool {
    tokens.get(at).is_some_and(|t| t.glued)
}

fn is_number(tokens: &[Token], at: usize) -> bool {
    tokens.get(at).is_some_and(|t| t.number().is_some())
}

/// Index behind the glued run that starts at `at`.
fn glued_run(tokens: &[Token], at: usize, signs: &[char]) -> usize {
    let mut next = at + 1;
    // No name has more parts; the limit keeps endless runs cheap.
    while next < at + 16
        && tokens.get(next).is_some_and(|t| {
            t.glued
                && (!matches!(t.kind, Kind::Sign(_))
                    || signs.iter().any(|&s| t.is_sign(s))
                        && glued(tokens, next + 1)
                        && !matches!(tokens[next + 1].kind, Kind::Sign(_)))
        })
    {
        next += 1;
    }
    next
}

/// JIS G 0557: `CD-H0.3-E0.8`, `CD-M-T1.1`, also with spaces and with `HCD`/`DC` heads.
fn jis_depth(tokens: &[Token], at: usize) -> Option<(Named, usize)> {
    if !matches!(text(tokens, at), "CD" | "HQ" | "DC") {
        return None;
    }
    let mut next = at + 1;
    let mut dash = || {
        let found = text(tokens, next) == "-";
        next += usize::from(found);
        (found, next)
    };
    let (found, mut next) = dash();
    if !found {
        return None;
    }
    if text(tokens, at) == "HQ" && text(tokens, next) == "CD" && text(tokens, next + 1) == "-" {
        next += 2;
    }
    let mut force_kgf = None;
    match text(tokens, next) {
        "H" | "HV" => {
            next += 1;
            if let Some(number) = tokens.get(next).and_then(Token::number) {
                force_kgf = Some(number.value);
                next += 1;
            }
        }
        "M" | "T" | "E" => next += usize::from(text(tokens, next) == "M"),
        _ => return None,
    }
    if text(tokens, next) == "-" {
        next += 1;
    }
    let effective = match text(tokens, next) {
        "E" => true,
        "T" => false,
        _ => return None,
    };
    next += 1;
    let mut depth_mm = None;
    if glued(tokens, next)
        && let Some(number) = tokens
            .get(next)
            .and_then(Token::number)
            .filter(|n| n.doubt.is_none())
    {
        depth_mm = Some(number.value);
        next += 1;
    }
    let depth = JisDepth {
        force_kgf,
        effective,
        depth_mm,
    };
    Some((Named::JisDepth(depth), next))
}

/// `AMS 2759/7`, `MIL-S-6090A`, `ASTM E18`, `SAE J423`, `DIN EN ISO 15787:2018`, `JIS G 0557`.
fn standard(tokens: &[Token], at: usize) -> Option<(Named, usize)> {
    let bodies = [
        "AMS", "MIL", "ASTM", "SAE", "ISO", "DIN", "EN", "JIS", "BS", "ANSI", "NF", "UNE", "AGMA",
        "NADCAP", "AIAG", "CQI", "ASME",
    ];
    if !bodies.contains(&text(tokens, at)) || glued(tokens, at) {
        return None;
    }
    let mut spelled = text(tokens, at).to_owned();
    let mut next = at + 1;
    let mut digits = false;
    // Bodies in a row and letters lead to the number; everything glued to it belongs to it.
    while next < tokens.len() && next < at + 10 {
        let token = &tokens[next];
        match token.kind {
            Kind::Word
                if !digits
                    && (token.text.len() == 1
                        || bodies.contains(&token.text.as_str())
                        || matches!(token.text.as_str(), "STD" | "SPEC" | "DTL")) =>
            {
                let dashed = text(tokens, next - 1) == "-";
                if !dashed {
                    spelled.push(' ');
                }
                spelled.push_str(&token.text);
            }
            Kind::Number(number) if !digits && number.decimals == 0 => {
                let after = &tokens[next - 1];
                let joined =
                    after.is_sign('-') || (after.kind == Kind::Word && after.text.len() == 1);
                if !joined || matches!(spelled.as_str(), "JIS G" | "JIS B" | "JIS Z") {
                    spelled.push(' ');
                }
                spelled.push_str(&token.text);
                digits = true;
            }
            Kind::Sign('-') if !digits => {
                let military = spelled.starts_with("MIL") || spelled.starts_with("AMS");
                if military {
                    spelled.push('-');
                }
            }
            Kind::Number(_) if digits && token.glued => spelled.push_str(&token.text),
            Kind::Word if digits && token.glued && token.text.len() <= 2 => {
                spelled.push_str(&token.text)
            }
            Kind::Sign(sign @ ('/' | '-' | ':'))
                if digits
                    && token.glued
                    && glued(tokens, next + 1)
                    && is_number(tokens, next + 1) =>
            {
                spelled.push(sign)
            }
            _ => break,
        }
        next += 1;
    }
    // `EN 36`, `SAE 8620`, `AMS 6274` name steels.
    let number: String = spelled
        .chars()
        .skip_while(|c| !c.is_ascii_digit())
        .take_while(char::is_ascii_digit)
        .collect();
    let body = text(tokens, at);
    let steel = match body {
        "EN" => number.len() <= 2,
        "SAE" => !spelled.contains('J') && !spelled.contains("AMS"),
        "AMS" => number.starts_with(['5', '6']) && number.len() == 4,
        "ASTM" => spelled.contains("ASTM A"),
        "BS" => number.len() < 4,
        _ => false,
    };
    if !digits {
        return None;
    }
    let named = if steel {
        Named::Steel
    } else {
        Named::Standard(spelled)
    };
    Some((named, next))
}

/// `8620H`, `12L14`, `16MnCr5`, `C15E`, `1.7131`, `SCM415`, `A36`.
fn steel(tokens: &[Token], at: usize) -> Option<(Named, usize)> {
    let token = tokens.get(at)?;
    if token.glued && at > 0 && !matches!(tokens[at - 1].kind, Kind::Sign(_)) {
        return None;
    }
    let end = glued_run(tokens, at, &[]);
    let run: String = tokens[at..end].iter().map(|t| t.text.as_str()).collect();
    let follows_unit = matches!(
        text(tokens, end),
        "F" | "°" | "DEG" | "C" | "MM" | "\"" | "HV" | "PSI" | "MPA" | "N"
    );
    (is_steel(&run) && !follows_unit).then_some((Named::Steel, end))
}

/// Whether a run of letters and digits has the shape of a steel's designation.
fn is_steel(run: &str) -> bool {
    let digits: String = run.chars().take_while(char::is_ascii_digit).collect();
    let rest = &run[digits.len()..];
    let aisi = digits.len() == 4
        && [
            "10", "11", "12", "13", "23", "25", "31", "33", "40", "41", "43", "44", "46", "47",
            "48", "51", "61", "81", "86", "87", "88", "93", "94",
        ]
        .iter()
        .any(|f| digits.starts_with(f))
        && matches!(rest, "" | "H" | "RH" | "A" | "E" | "M" | "CD" | "HR" | "X");
    let leaded = digits.len() == 2
        && rest.len() == 3
        && rest.starts_with(['L', 'B'])
        && rest[1..].chars().all(|c| c.is_ascii_digit());
    let german = (1..=2).contains(&digits.len())
        && ["CR", "MN", "NI", "MO", "NC", "CD", "MC", "SI"]
            .iter()
            .any(|e| rest.starts_with(e))
        && (rest.chars().any(|c| c.is_ascii_digit()) || rest.len() > 3);
    let number = run
        .strip_prefix("1.")
        .is_some_and(|tail| tail.len() == 4 && tail.chars().all(|c| c.is_ascii_digit()));
    let letters: String = run.chars().take_while(char::is_ascii_alphabetic).collect();
    let tail: String = run[letters.len()..].to_owned();
    let tail_digits: String = tail.chars().take_while(char::is_ascii_digit).collect();
    let lettered = match letters.as_str() {
        "C" | "CK" | "CM" | "XC" | "CF" => {
            [
                "10", "15", "16", "18", "22", "45", "1018", "1020", "1008", "1010", "1015", "1117",
                "1144", "1045",
            ]
            .contains(&tail_digits.as_str())
                && tail[tail_digits.len()..].len() <= 1
        }
        "SCM" | "SNCM" | "SNC" | "SCR" | "SS" | "S" | "SUM" | "STKM" => {
            tail_digits.len() >= 2 && tail.len() <= 4
        }
        "A" => ["36", "513", "29", "108"].contains(&tail.as_str()),
        "EN" => tail_digits.len() <= 2 && !tail_digits.is_empty() && tail.len() <= 3,
        "E" => tail_digits.len() == 5 || tail_digits == "9310",
        "G" => tail_digits.len() == 5,
        "ST" => tail_digits.len() == 2,
        _ => false,
    };
    aisi || leaded || german || number || lettered
}

/// List numbers at the start of a line, dates, threads, `#5`.
fn label(tokens: &[Token], at: usize) -> Option<(Named, usize)> {
    let token = tokens.get(at)?;
    let number = token.number();
    if let Some(number) = number {
        let whole = number.decimals == 0 && number.value < 100.0 && !number.leading_dot;
        let closed = matches!(text(tokens, at + 1), "." | ")") && glued(tokens, at + 1);
        let word_next = tokens
            .get(at + 2)
            .is_some_and(|t| !t.glued && (t.kind == Kind::Word || token.new_line));
        let sentence_before =
            at == 0 || token.new_line || matches!(text(tokens, at - 1), "." | ";");
        // `4) 58-62 HRC`: a closing bracket that none opened marks an entry even before a number.
        let bracket = text(tokens, at + 1) == ")"
            && tokens
                .get(at + 2)
                .is_some_and(|t| !t.glued && t.kind != Kind::Sign(')'));
        if whole && closed && (word_next || bracket) && sentence_before {
            return Some((Named::Label("number in a list"), at + 2));
        }
        // 11/25/2026, 25.11.2026, 2026-11-25
        let end = glued_run(tokens, at, &['/', '-']);
        let bars = tokens[at..end]
            .iter()
            .filter(|t| matches!(t.kind, Kind::Sign(_)))
            .count();
        let numbers = tokens[at..end]
            .iter()
            .filter(|t| t.number().is_some_and(|n| n.decimals == 0))
            .count();
        if bars == 2 && numbers == 3 && end == at + 5 {
            return Some((Named::Label("a date"), end));
        }
        // 1/2-13 UNC, 10-32 UNF
        for end in at + 1..(at + 7).min(tokens.len()) {
            if matches!(
                text(tokens, end),
                "UNC" | "UNF" | "UNEF" | "NPT" | "BSW" | "BSF" | "BSP"
            ) {
                return Some((Named::Label("a thread"), end + 1));
            }
            if !(is_number(tokens, end) || matches!(text(tokens, end), "/" | "-")) {
                break;
            }
        }
        return None;
    }
    if token.is_sign('#') && is_number(tokens, at + 1) {
        return Some((Named::Label("a number of a list"), at + 2));
    }
    let metric_thread = token.is_word("M") && glued(tokens, at + 1) && is_number(tokens, at + 1);
    if metric_thread {
        let pitch = text(tokens, at + 2) == "X" && is_number(tokens, at + 3);
        return Some((Named::Label("a thread"), at + if pitch { 4 } else { 2 }));
    }
    None
}
