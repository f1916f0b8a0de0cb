//! A note's text as words, numbers and signs, each with its bytes.
//!
//! Folds what drawings, scans and keyboards do to the same sign: full-width digits, typographic
//! dashes, quotes and primes, superscripts, hard spaces, umlauts, invisible direction marks. It
//! knows no trade word.

use std::ops::Range;

/// One word, number or sign.
#[derive(Clone, Debug)]
pub(super) struct Token {
    /// What it is.
    pub(super) kind: Kind,
    /// Folded to capitals without accents.
    pub(super) text: String,
    /// Bytes in the note.
    pub(super) span: Range<usize>,
    /// Nothing stands between it and the token before.
    pub(super) glued: bool,
    /// First of its line.
    pub(super) new_line: bool,
}

/// Kind of a token.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Kind {
    /// A number.
    Number(Number),
    /// A run of letters, apostrophes inside.
    Word,
    /// Anything else.
    Sign(char),
}

/// A number with what its writing tells.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Number {
    /// Its value; zero where `doubt` is `Odd`.
    pub(super) value: f64,
    /// `.030`: no digit before the point.
    pub(super) leading_dot: bool,
    /// A decimal comma was used.
    pub(super) comma: bool,
    /// Digits after the point.
    pub(super) decimals: usize,
    /// What makes the number read two ways.
    pub(super) doubt: Option<Doubt>,
}

/// Why a number reads two ways.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Doubt {
    /// `1,200`: one point two, or twelve hundred.
    Thousands,
    /// `030`: thirty, or a lost point.
    LostPoint,
    /// `1.2.3`, forty digits, and the like.
    Odd,
}

impl Token {
    /// The number, where the token is one.
    pub(super) fn number(&self) -> Option<Number> {
        match self.kind {
            Kind::Number(number) => Some(number),
            _ => None,
        }
    }

    /// Whether the token is this sign.
    pub(super) fn is_sign(&self, sign: char) -> bool {
        self.kind == Kind::Sign(sign)
    }

    /// Whether the token is this word.
    pub(super) fn is_word(&self, word: &str) -> bool {
        self.kind == Kind::Word && self.text == word
    }
}

/// A folded character and the bytes it came from.
#[derive(Clone, Copy)]
struct Folded {
    c: char,
    start: usize,
    end: usize,
}

/// Cuts a text into tokens.
pub(super) fn tokens(text: &str) -> Vec<Token> {
    let chars = fold(text);
    let mut tokens = Vec::new();
    let mut at = 0;
    let mut glued = false;
    let mut new_line = true;
    while at < chars.len() {
        let c = chars[at].c;
        if c == '\n' || c == ' ' {
            new_line |= c == '\n';
            glued = false;
            at += 1;
            continue;
        }
        let end = token_end(&chars, at);
        let folded: String = chars[at..end].iter().map(|f| f.c).collect();
        let kind = if starts_number(&chars, at) {
            Kind::Number(number(&folded))
        } else if c.is_alphabetic() {
            Kind::Word
        } else {
            Kind::Sign(c)
        };
        tokens.push(Token {
            kind,
            text: folded,
            span: chars[at].start..chars[end - 1].end,
            glued,
            new_line,
        });
        glued = true;
        new_line = false;
        at = end;
    }
    tokens
}

/// Whether a number starts here: a digit, or a point before one.
fn starts_number(chars: &[Folded], at: usize) -> bool {
    let digit = |i: usize| chars.get(i).is_some_and(|f| f.c.is_ascii_digit());
    let after_digit = at > 0 && digit(at - 1);
    digit(at) || (matches!(chars[at].c, '.' | ',') && digit(at + 1) && !after_digit)
}

/// Index behind the token that starts at `at`.
fn token_end(chars: &[Folded], at: usize) -> usize {
    let get = |i: usize| chars.get(i).map_or(' ', |f| f.c);
    let mut end = at + 1;
    if starts_number(chars, at) {
        loop {
            let c = get(end);
            let inside = matches!(c, '.' | ',') && get(end + 1).is_ascii_digit();
            if !(c.is_ascii_digit() || inside) {
                return end;
            }
            end += 1;
        }
    }
    if chars[at].c.is_alphabetic() {
        loop {
            let c = get(end);
            let inside = c == '\'' && get(end + 1).is_alphabetic();
            if !(c.is_alphabetic() || inside) {
                return end;
            }
            end += 1;
        }
    }
    end
}

/// What a run of digits, points and commas says.
fn number(text: &str) -> Number {
    let odd = Number {
        value: 0.0,
        leading_dot: false,
        comma: false,
        decimals: 0,
        doubt: Some(Doubt::Odd),
    };
    let separators = text.matches(['.', ',']).count();
    let comma = text.contains(',');
    // Sixteen digits are more than a double holds and more than any drawing means.
    if separators > 1 || text.len() > 16 {
        return odd;
    }
    let (whole, decimals) = text.split_once(['.', ',']).unwrap_or((text, ""));
    let Ok(value) = format!("0{whole}.{decimals}0").parse::<f64>() else {
        return odd;
    };
    let thousands = comma && decimals.len() == 3 && !whole.is_empty() && !whole.starts_with('0');
    let list_like = comma && whole.len() >= 2 && decimals.len() == 2;
    let doubt = if thousands || list_like {
        Some(Doubt::Thousands)
    } else if separators == 0 && whole.len() > 1 && whole.starts_with('0') {
        Some(Doubt::LostPoint)
    } else {
        None
    };
    Number {
        value,
        leading_dot: whole.is_empty(),
        comma,
        decimals: decimals.len(),
        doubt,
    }
}

/// Folds a text to capitals, plain signs and plain digits.
fn fold(text: &str) -> Vec<Folded> {
    let mut folded: Vec<Folded> = Vec::with_capacity(text.len());
    for (start, c) in text.char_indices() {
        let end = start + c.len_utf8();
        let mut push = |c: char| folded.push(Folded { c, start, end });
        if is_invisible(c) {
            continue;
        }
        if let Some(fraction) = vulgar_fraction(c) {
            // The space keeps `1½` from becoming eleven halves.
            push(' ');
            fraction.chars().for_each(push);
            continue;
        }
        match plain(c) {
            'ß' | 'ẞ' => "SS".chars().for_each(push),
            plain => plain.to_uppercase().map(unaccented).for_each(push),
        }
    }
    merge_dots(folded)
}

/// Two or more points in a row are a range sign, like the one-character ellipsis.
fn merge_dots(folded: Vec<Folded>) -> Vec<Folded> {
    let mut merged: Vec<Folded> = Vec::with_capacity(folded.len());
    let mut at = 0;
    while at < folded.len() {
        let mut end = at + 1;
        while folded[at].c == '.' && folded.get(end).is_some_and(|f| f.c == '.') {
            end += 1;
        }
        let mut one = folded[at];
        // A digit after the second point belongs to `.5`, as in `.3-..5`: not worth a guess.
        if end - at > 1 {
            one.c = '~';
            one.end = folded[end - 1].end;
        }
        merged.push(one);
        at = end;
    }
    merged
}

/// Marks that print nothing: soft hyphen, zero-width and direction marks, byte order mark.
fn is_invisible(c: char) -> bool {
    matches!(c, '\u{ad}' | '\u{200b}'..='\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2060}'..='\u{206f}' | '\u{feff}' | '\u{fe0e}' | '\u{fe0f}')
        || ('\u{300}'..='\u{36f}').contains(&c)
}

/// One-character fractions written out.
fn vulgar_fraction(c: char) -> Option<&'static str> {
    Some(match c {
        '½' => "1/2",
        '¼' => "1/4",
        '¾' => "3/4",
        '⅛' => "1/8",
        '⅜' => "3/8",
        '⅝' => "5/8",
        '⅞' => "7/8",
        _ => return None,
    })
}

/// The plain keyboard sign for a typographic one.
fn plain(c: char) -> char {
    match c {
        '\u{ff01}'..='\u{ff5e}' => plain_ascii(c),
        '\u{2070}' | '\u{2074}'..='\u{2079}' => digit(c as u32 - 0x2070),
        '\u{2080}'..='\u{2089}' => digit(c as u32 - 0x2080),
        '¹' => '1',
        '²' => '2',
        '³' => '3',
        '\u{207a}' | '\u{208a}' => '+',
        '\u{207b}' | '\u{208b}' | '‐' | '‑' | '‒' | '–' | '—' | '―' | '−' | 'ー' => {
            '-'
        }
        '\u{2044}' | '\u{2215}' => '/',
        '’' | '‘' | '′' | '´' | '`' | '‛' => '\'',
        '″' | '“' | '”' | '„' | '‟' | '〃' => '"',
        '…' | '〜' | '÷' | '∼' => '~',
        '×' | '✕' => 'X',
        'Ø' | 'ø' | '⌀' | '∅' => '⌀',
        'µ' | 'μ' => 'U',
        'º' | '˚' => '°',
        '℃' => 'C',
        '℉' => 'F',
        '≧' | '⩾' => '≥',
        '≦' | '⩽' => '≤',
        '\n' | '\r' | '\u{b}' | '\u{c}' | '\u{85}' | '\u{2028}' | '\u{2029}' => '\n',
        c if c.is_whitespace() || c.is_control() => ' ',
        c => c,
    }
}

/// Full-width signs stand at a fixed distance from the plain ones.
fn plain_ascii(c: char) -> char {
    char::from_u32(c as u32 - 0xfee0).unwrap_or(c)
}

fn digit(value: u32) -> char {
    char::from_digit(value, 10).unwrap_or('?')
}

/// Letters without their accents, as far as English, German, French and Spanish need.
fn unaccented(c: char) -> char {
    match c {
        'À' | 'Á' | 'Â' | 'Ã' | 'Ä' | 'Å' => 'A',
        'È' | 'É' | 'Ê' | 'Ë' => 'E',
        'Ì' | 'Í' | 'Î' | 'Ï' => 'I',
        'Ò' | 'Ó' | 'Ô' | 'Õ' | 'Ö' => 'O',
        'Ù' | 'Ú' | 'Û' | 'Ü' => 'U',
        'Ç' => 'C',
        'Ñ' => 'N',
        c => c,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn texts(note: &str) -> Vec<String> {
        tokens(note).into_iter().map(|t| t.text).collect()
    }

    #[test]
    fn the_same_note_in_other_signs_gives_the_same_tokens() {
        let plain = texts("CASE 0.8-1.2 +0,4/0 1/2\" 5X");
        assert_eq!(plain, texts("ｃａｓｅ\u{a0}０.８–１.２ ⁺0,4⁄0 ½″ 5×"));
        assert_eq!(texts("0.\u{200f}8"), ["0.8"]);
        assert_eq!(texts("0,6 … 0,9"), texts("0,6..0,9"));
        assert_eq!(texts("Schleifaufmaß"), ["SCHLEIFAUFMASS"]);
        assert_eq!(texts("C’HDN"), ["C'HDN"]);
    }

    #[test]
    fn doubtful_numbers_say_so() {
        let doubt = |text: &str| tokens(text)[0].number().and_then(|n| n.doubt);
        assert_eq!(doubt("1,200"), Some(Doubt::Thousands));
        assert_eq!(doubt("0,800"), None);
        assert_eq!(doubt("030"), Some(Doubt::LostPoint));
        assert_eq!(doubt("1.2.3"), Some(Doubt::Odd));
        assert_eq!(doubt(&"9".repeat(400)), Some(Doubt::Odd));
        assert_eq!(doubt("0,8"), None);
    }

    #[test]
    fn a_full_stop_after_a_number_is_not_part_of_it() {
        assert_eq!(texts("58-62. .030"), ["58", "-", "62", ".", ".030"]);
    }
}
