//! Languages of the pages: which one is wanted, and how numbers are written in it.
//!
//! The engine's own sentences (findings, steps, reasons) are English; pages mark them as such.

use super::words::Said;

/// A language.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Lang {
    /// English.
    En,
    /// Spanish.
    Es,
    /// German.
    De,
    /// French.
    Fr,
}

impl Lang {
    /// All, in the order they are offered.
    pub(crate) const ALL: [Self; 4] = [Self::En, Self::Es, Self::De, Self::Fr];

    /// Its code in addresses and heads.
    pub(crate) const fn code(self) -> &'static str {
        match self {
            Self::En => "en",
            Self::Es => "es",
            Self::De => "de",
            Self::Fr => "fr",
        }
    }

    /// Its own name.
    pub(crate) const fn name(self) -> &'static str {
        match self {
            Self::En => "English",
            Self::Es => "Español",
            Self::De => "Deutsch",
            Self::Fr => "Français",
        }
    }

    /// By its code, as in `de` or `de-AT`.
    pub(crate) fn of(code: &str) -> Option<Self> {
        let main = code.split(['-', '_']).next().unwrap_or("").trim();
        Self::ALL
            .into_iter()
            .find(|lang| main.eq_ignore_ascii_case(lang.code()))
    }

    /// The one a browser likes best of ours: `Accept-Language` with its weights.
    pub(crate) fn liked(head: &str) -> Option<Self> {
        let mut best: Option<(f64, Self)> = None;
        for wish in head.split(',').take(20) {
            let mut pieces = wish.split(';');
            let lang = pieces.next().and_then(Self::of);
            let weight = pieces
                .find_map(|piece| piece.trim().strip_prefix("q="))
                .and_then(|weight| weight.parse::<f64>().ok())
                .unwrap_or(1.0);
            if let Some(lang) = lang
                && weight > 0.0
                && best.is_none_or(|(most, _)| weight > most)
            {
                best = Some((weight, lang));
            }
        }
        best.map(|(_, lang)| lang)
    }

    /// A word of the pages.
    pub(crate) fn say(self, word: impl Said) -> &'static str {
        word.texts()[self as usize]
    }

    /// A sentence with its gaps `{0}`, `{1}` filled.
    pub(crate) fn tell(self, word: impl Said, gaps: &[&str]) -> String {
        let mut rest = self.say(word);
        let mut out = String::new();
        while let Some(open) = rest.find('{') {
            out.push_str(&rest[..open]);
            let gap = rest
                .as_bytes()
                .get(open + 1)
                .map_or(9, |digit| digit.wrapping_sub(b'0'));
            out.push_str(gaps.get(usize::from(gap)).copied().unwrap_or(""));
            rest = rest.get(open + 3..).unwrap_or("");
        }
        out.push_str(rest);
        out
    }

    /// A written value in this language: a decimal point between digits becomes a comma where the
    /// language has one. Chemistry such as `C15E` and codes are not touched.
    pub(crate) fn number(self, text: &str) -> String {
        if self == Self::En {
            return text.to_owned();
        }
        let marks: Vec<char> = text.chars().collect();
        marks
            .iter()
            .enumerate()
            .map(|(at, mark)| {
                let digit = |at: Option<usize>| {
                    at.and_then(|at| marks.get(at))
                        .is_some_and(char::is_ascii_digit)
                };
                if *mark == '.' && digit(at.checked_sub(1)) && digit(Some(at + 1)) {
                    ','
                } else {
                    *mark
                }
            })
            .collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_best_liked_language_of_ours_is_taken() {
        assert_eq!(Lang::liked("pt, de-AT;q=0.8, fr;q=0.9"), Some(Lang::Fr));
        assert_eq!(Lang::liked("de;q=0, es;q=0.1"), Some(Lang::Es));
        assert_eq!(Lang::liked("pt-BR"), None);
        assert_eq!(Lang::liked(""), None);
    }

    #[test]
    fn numbers_take_the_comma_of_the_language() {
        assert_eq!(Lang::De.number("0.92 mm (0.036 in)"), "0,92 mm (0,036 in)");
        assert_eq!(Lang::En.number("0.92 mm"), "0.92 mm");
        assert_eq!(Lang::Fr.number("Done. 8.5 h."), "Done. 8,5 h.");
        assert_eq!(Lang::Es.number("é.5 1.é"), "é.5 1.é");
    }
}
