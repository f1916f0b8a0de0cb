//! From a logger's bytes to lines and fields: encodings, line ends, delimiters, quotes. Knows no
//! times and no temperatures.

use std::borrow::Cow;

use casewright_terms::Diag;

/// How the bytes were read.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Encoding {
    /// UTF-8, plain ASCII included.
    Utf8,
    /// UTF-16, low byte first.
    Utf16Le,
    /// UTF-16, high byte first.
    Utf16Be,
    /// Windows-1252, which holds Latin-1.
    Windows1252,
}

impl Encoding {
    /// Its usual name.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Utf8 => "UTF-8",
            Self::Utf16Le => "UTF-16LE",
            Self::Utf16Be => "UTF-16BE",
            Self::Windows1252 => "Windows-1252",
        }
    }
}

/// What stands between fields.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Delimiter {
    /// A tabulator.
    Tab,
    /// A semicolon.
    Semicolon,
    /// A vertical bar.
    Bar,
    /// A comma.
    Comma,
    /// One or more blanks.
    Blanks,
}

impl Delimiter {
    /// All, the surest first.
    pub(super) const ALL: [Self; 5] = [
        Self::Tab,
        Self::Semicolon,
        Self::Bar,
        Self::Comma,
        Self::Blanks,
    ];

    /// The word.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Tab => "tab",
            Self::Semicolon => "semicolon",
            Self::Bar => "bar",
            Self::Comma => "comma",
            Self::Blanks => "blanks",
        }
    }

    fn sign(self) -> char {
        match self {
            Self::Tab => '\t',
            Self::Semicolon => ';',
            Self::Bar => '|',
            Self::Comma => ',',
            Self::Blanks => ' ',
        }
    }
}

/// Reads the bytes as text.
pub(super) fn decode(bytes: &[u8]) -> Result<(Cow<'_, str>, Encoding), Diag> {
    let (encoding, body) = match bytes {
        [0xEF, 0xBB, 0xBF, rest @ ..] => (Encoding::Utf8, rest),
        [0xFF, 0xFE, rest @ ..] => (Encoding::Utf16Le, rest),
        [0xFE, 0xFF, rest @ ..] => (Encoding::Utf16Be, rest),
        all => (unmarked(all), all),
    };
    let text = match encoding {
        Encoding::Utf8 | Encoding::Windows1252 => match std::str::from_utf8(body) {
            Ok(text) => return plain(Cow::Borrowed(text), Encoding::Utf8),
            Err(_) => {
                encoding_rs::WINDOWS_1252
                    .decode_without_bom_handling(body)
                    .0
            }
        },
        Encoding::Utf16Le => encoding_rs::UTF_16LE.decode_without_bom_handling(body).0,
        Encoding::Utf16Be => encoding_rs::UTF_16BE.decode_without_bom_handling(body).0,
    };
    let encoding = match encoding {
        Encoding::Utf8 => Encoding::Windows1252,
        other => other,
    };
    plain(text, encoding)
}

/// UTF-16 without its mark: logs are mostly ASCII, so every other byte is zero.
fn unmarked(bytes: &[u8]) -> Encoding {
    let sample = &bytes[..bytes.len().min(2000) & !1];
    let zeros = |from: usize| {
        sample
            .iter()
            .skip(from)
            .step_by(2)
            .filter(|byte| **byte == 0)
            .count()
    };
    let half = sample.len() / 2;
    match (zeros(0), zeros(1)) {
        (even, odd) if half > 3 && odd * 10 > half * 7 && even * 10 < half => Encoding::Utf16Le,
        (even, odd) if half > 3 && even * 10 > half * 7 && odd * 10 < half => Encoding::Utf16Be,
        _ => Encoding::Utf8,
    }
}

/// Refuses what is no text: many marks that no logger writes.
fn plain(text: Cow<'_, str>, encoding: Encoding) -> Result<(Cow<'_, str>, Encoding), Diag> {
    let odd = text
        .bytes()
        .take(20_000)
        .filter(|byte| *byte < 0x20 && !matches!(byte, b'\t' | b'\r' | b'\n' | 0x0C | 0x1A))
        .count();
    if odd * 20 > text.len().min(20_000) {
        return Err(Diag::stop(
            "log-not-text",
            "The file is no text: it is full of control bytes.",
        )
        .why("A logger's own binary file or a picture cannot be read as a table.")
        .accepted("Export the log as text (CSV) from the logger's own program."));
    }
    Ok((text, encoding))
}

/// Lines without their ends; the bool says whether the line had one.
pub(super) fn lines(text: &str) -> impl Iterator<Item = (&str, bool)> {
    // Some loggers end lines with a carriage return alone.
    let end = if text.contains('\n') { '\n' } else { '\r' };
    text.split_inclusive(end).map(move |line| {
        let whole = line.ends_with(end);
        (line.trim_end_matches(['\r', '\n']), whole)
    })
}

/// The fields of a line, without blanks and quotes around them.
pub(super) fn split<'a>(line: &'a str, delimiter: Delimiter, fields: &mut Vec<&'a str>) {
    fields.clear();
    if delimiter == Delimiter::Blanks {
        fields.extend(line.split_whitespace().map(unquoted));
        return;
    }
    let sign = delimiter.sign();
    if !line.contains('"') {
        fields.extend(line.split(sign).map(str::trim));
        return;
    }
    let mut start = 0;
    let mut quoted = false;
    for (at, mark) in line.char_indices() {
        if mark == '"' {
            quoted = !quoted;
        } else if mark == sign && !quoted {
            fields.push(unquoted(&line[start..at]));
            start = at + sign.len_utf8();
        }
    }
    fields.push(unquoted(&line[start..]));
    // A quote that is never closed would swallow fields: then it is a sign like any other.
    if quoted {
        fields.clear();
        fields.extend(line.split(sign).map(str::trim));
    }
}

fn unquoted(field: &str) -> &str {
    let field = field.trim();
    field
        .strip_prefix('"')
        .and_then(|rest| rest.strip_suffix('"'))
        .map_or(field, str::trim)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn encodings_are_told_apart() {
        let text = "Zeit;Ofen °C\n10:00;927,5\n";
        let low: Vec<u8> = text.encode_utf16().flat_map(u16::to_le_bytes).collect();
        let high: Vec<u8> = text.encode_utf16().flat_map(u16::to_be_bytes).collect();
        let western: Vec<u8> = text.chars().map(|c| c as u8).collect();
        let marked = [&[0xFF, 0xFE][..], &low].concat();
        for (bytes, expected) in [
            (text.as_bytes(), Encoding::Utf8),
            (&low, Encoding::Utf16Le),
            (&high, Encoding::Utf16Be),
            (&marked, Encoding::Utf16Le),
            (&western, Encoding::Windows1252),
        ] {
            let (read, encoding) = decode(bytes).unwrap();
            assert_eq!((read.as_ref(), encoding), (text, expected));
        }
        assert_eq!(decode(&[1, 2, 3, 200, 4]).unwrap_err().code, "log-not-text");
    }

    #[test]
    fn quotes_hold_delimiters_and_a_lone_quote_swallows_nothing() {
        let mut fields = Vec::new();
        split("\"a;b\"; c ;\"\"", Delimiter::Semicolon, &mut fields);
        assert_eq!(fields, ["a;b", "c", ""]);
        split("a;\"b;c", Delimiter::Semicolon, &mut fields);
        assert_eq!(fields, ["a", "\"b", "c"]);
        assert_eq!(
            lines("a\r\nb\rc\n").collect::<Vec<_>>(),
            [("a", true), ("b\rc", true)]
        );
        assert_eq!(
            lines("a\rb").collect::<Vec<_>>(),
            [("a", true), ("b", false)]
        );
    }
}
