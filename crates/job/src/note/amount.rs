//! Numbers with their ranges, tolerances, bounds, units and scales, as one piece each.
//!
//! A small grammar over tokens. It says what stands there (`.030-.040`, `60 +4/0 HRC`,
//! `58 MIN RC`), not what it is for.

use super::scale::{self, Mark, Other, ScaleName, Unit};
use super::token::{Doubt, Number, Token};
use super::words::{self, Meaning};
use casewright_terms::Scale;

/// How the amount is bounded.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Shape {
    /// One number alone.
    Single,
    /// Two ends, from a range or a tolerance.
    Range,
    /// At least.
    Least,
    /// At most.
    Most,
}

/// An amount.
#[derive(Clone, Debug)]
pub(super) struct Amount {
    /// Lower end, as written.
    pub(super) low: f64,
    /// Upper end, as written.
    pub(super) high: f64,
    /// Which of the ends count.
    pub(super) shape: Shape,
    /// Unit of length or of another thing.
    pub(super) unit: Option<Unit>,
    /// Scale.
    pub(super) mark: Option<Mark>,
    /// Some number had no digit before its point.
    pub(super) leading_dot: bool,
    /// Some number had a decimal comma.
    pub(super) comma: bool,
    /// Most digits behind a point.
    pub(super) decimals: usize,
    /// Written as a fraction.
    pub(super) fraction: bool,
    /// First doubt over one of the numbers.
    pub(super) doubt: Option<Doubt>,
    /// `C58-62`, `58-62C`: the scale is a lone letter.
    pub(super) lone_c: bool,
}

impl Amount {
    /// Whether all its numbers are whole.
    pub(super) fn whole(&self) -> bool {
        self.decimals == 0 && !self.fraction
    }

    /// Whether it has a unit of length.
    pub(super) fn is_length(&self) -> bool {
        self.unit.is_some_and(Unit::is_length)
    }

    /// The unit where it is not one of length.
    pub(super) fn other(&self) -> Option<Other> {
        match self.unit {
            Some(Unit::Other(other)) => Some(other),
            _ => None,
        }
    }
}

/// Where the reading stands.
pub(super) struct Cursor<'a> {
    pub(super) tokens: &'a [Token],
    pub(super) at: usize,
    /// A bound said earlier in the clause waits for this amount.
    pub(super) bound_waits: bool,
}

/// A number or fraction read.
#[derive(Clone, Copy)]
pub(super) struct Read {
    pub(super) number: Number,
    pub(super) fraction: Option<(f64, f64)>,
}

/// The amount that starts at token `at`, and the index behind it.
pub(super) fn find(tokens: &[Token], at: usize) -> Option<(Amount, usize)> {
    let mut cursor = Cursor {
        tokens,
        at,
        bound_waits: bound_waits(tokens, at),
    };
    let mut shape = cursor.bound_before();
    let open = cursor.take_sign('(');
    let mut lone_c = false;
    let mut mark = cursor.scale_before(&mut lone_c);
    if mark.is_some() {
        cursor.skip(&[':', '=']);
        cursor.take_word("OF");
        cursor.take_word("TO");
        shape = shape.or_else(|| cursor.bound_before());
    }
    if open && mark.is_none() && !cursor.bracketed_tolerance() {
        return None;
    }
    let first = cursor.number()?;
    let mut amount = start(first);
    amount.unit = cursor.unit(&amount);
    if mark.is_none() && amount.unit.is_none() {
        mark = cursor.scale_after(&amount, &mut lone_c);
    }
    cursor.ends(&mut amount, first, &mut mark);
    if open {
        cursor.take_sign(')');
    }
    if amount.unit.is_none() {
        amount.unit = cursor.unit(&amount);
    }
    cursor.skip_repeated(&mark);
    // `MIN 0.8 MAX 1.2`: the bound behind a bounded number belongs to the next.
    let bound = if shape.is_none() {
        cursor.bound_after(&amount)
    } else {
        None
    };
    if mark.is_none() && amount.unit.is_none() {
        mark = cursor.scale_after(&amount, &mut lone_c);
        if mark.is_none() {
            amount.unit = cursor.unit(&amount);
        }
    }
    let bound = bound.or_else(|| {
        if shape.is_none() {
            cursor.bound_after(&amount)
        } else {
            None
        }
    });
    if amount.shape == Shape::Single {
        amount.shape = bound.or(shape).unwrap_or(Shape::Single);
    }
    if let (Some(_), Some((numerator, denominator))) = (&mark, first.fraction) {
        // `58/64 HRC` is a range, not a fraction of an inch.
        if amount.shape == Shape::Single || amount.low == amount.high {
            (amount.low, amount.high) = (numerator, denominator);
            amount.shape = Shape::Range;
            amount.fraction = false;
        }
    }
    if let Some(Mark {
        name: ScaleName::Known(Scale::Hra),
        ..
    }) = mark
    {
        // `RA 32` is a roughness; no steel reads 32 on the A scale and is meant to.
        if tokens[at].is_word("RA") && amount.high < 70.0 {
            return None;
        }
    }
    amount.mark = mark;
    amount.lone_c = lone_c;
    Some((amount, cursor.at))
}

/// Whether a bound apart from its number, as in `MIN CASE DEPTH .020`, waits before token `at`.
fn bound_waits(tokens: &[Token], at: usize) -> bool {
    for back in (at.saturating_sub(8)..at).rev() {
        let token = &tokens[back];
        if matches!(token.text.as_str(), "MIN" | "MINIMUM" | "MAX" | "MAXIMUM") {
            // Behind a number, its scale or its unit the bound is that number's.
            let served = back > 0
                && (tokens[back - 1].number().is_some()
                    || scale::scale(tokens, back - 1).is_some()
                    || scale::unit(tokens, back - 1, 1.0, true).is_some());
            return !served;
        }
        let abbreviation = token.is_sign('.') && token.glued && back > 0 && {
            matches!(tokens[back - 1].text.as_str(), "MIN" | "MAX" | "EFF")
        };
        let ends = matches!(token.kind, super::token::Kind::Sign(',' | ';' | '.')) && !abbreviation;
        if ends || token.number().is_some() || tokens[back + 1].new_line {
            return false;
        }
    }
    false
}

fn start(read: Read) -> Amount {
    Amount {
        low: read.number.value,
        high: read.number.value,
        shape: Shape::Single,
        unit: None,
        mark: None,
        leading_dot: read.number.leading_dot,
        comma: read.number.comma,
        decimals: read.number.decimals,
        fraction: read.fraction.is_some(),
        doubt: read.number.doubt,
        lone_c: false,
    }
}

impl Amount {
    /// Takes the marks of a second number.
    pub(super) fn join(&mut self, read: Read) {
        self.leading_dot |= read.number.leading_dot;
        self.comma |= read.number.comma;
        self.decimals = self.decimals.max(read.number.decimals);
        self.fraction |= read.fraction.is_some();
        self.doubt = self.doubt.or(read.number.doubt);
    }
}

impl Cursor<'_> {
    pub(super) fn token(&self, ahead: usize) -> Option<&Token> {
        self.tokens.get(self.at + ahead)
    }

    pub(super) fn text(&self, ahead: usize) -> &str {
        self.token(ahead).map_or("", |t| t.text.as_str())
    }

    pub(super) fn take_sign(&mut self, sign: char) -> bool {
        let found = self.token(0).is_some_and(|t| t.is_sign(sign));
        self.at += usize::from(found);
        found
    }

    pub(super) fn take_word(&mut self, word: &str) -> bool {
        let found = self.token(0).is_some_and(|t| t.is_word(word));
        self.at += usize::from(found);
        found
    }

    pub(super) fn skip(&mut self, signs: &[char]) {
        while signs.iter().any(|&s| self.take_sign(s)) {}
    }

    /// Takes the first of the word rows that stands here.
    pub(super) fn take_row(&mut self, rows: &[&str]) -> bool {
        for row in rows {
            let words: Vec<&str> = row.split(' ').collect();
            if words.iter().enumerate().all(|(i, w)| self.text(i) == *w) {
                self.at += words.len();
                return true;
            }
        }
        false
    }

    /// `MIN`, `≥`, `AT LEAST`, `MAX`, … in front of a number or a scale.
    fn bound_before(&mut self) -> Option<Shape> {
        let from = self.at;
        let shape = if self.take_row(&[
            "MIN",
            "MINIMUM",
            "AT LEAST",
            "NOT LESS THAN",
            "NO LESS THAN",
            "MORE THAN",
            "GREATER THAN",
            "HARDER THAN",
            "NOT SOFTER THAN",
            "NO SOFTER THAN",
            "NOT BELOW",
            "NOT UNDER",
            "NOT SHALLOWER THAN",
            "≥",
            "> =",
            ">",
            "MINDESTENS",
            "MIND",
            "MINIMO",
            "MINDEST",
        ]) {
            Some(Shape::Least)
        } else if self.take_row(&[
            "MAX",
            "MAXIMUM",
            "NOT MORE THAN",
            "NO MORE THAN",
            "LESS THAN",
            "SOFTER THAN",
            "NOT DEEPER THAN",
            "NO DEEPER THAN",
            "NOT HARDER THAN",
            "NO HARDER THAN",
            "NOT ABOVE",
            "NO HIGHER THAN",
            "NOT HIGHER THAN",
            "NOT OVER",
            "NOT TO EXCEED",
            "SHALL NOT EXCEED",
            "UP TO",
            "≤",
            "< =",
            "<",
            "HOCHSTENS",
            "MAXIMO",
            "NOT EXCEEDING",
            "BELOW",
            "UNDER",
        ]) {
            Some(Shape::Most)
        } else {
            self.take_row(&["BETWEEN", "ZWISCHEN", "ENTRE"]);
            None
        };
        if shape.is_some() {
            self.take_sign('.');
            self.skip(&[':']);
            self.take_word("OF");
        }
        let number = self.token(0).is_some_and(|t| t.number().is_some());
        let scale = scale::scale(self.tokens, self.at).is_some();
        if !(number || scale || shape.is_none() && self.token(0).is_some_and(|t| t.is_sign('('))) {
            self.at = from;
            return None;
        }
        shape
    }

    /// `MIN`, `MIN.`, `OR MORE`, a lone `+`, `MAX` behind a number.
    pub(super) fn bound_after(&mut self, amount: &Amount) -> Option<Shape> {
        if (self.bound_waits || amount.shape == Shape::Range) && self.bound_leads_ahead() {
            return None;
        }
        let minutes = amount.other().is_some() || self.after_for(amount);
        if !minutes
            && self.take_row(&[
                "MIN",
                "MINIMUM",
                "OR MORE",
                "OR BETTER",
                "OR HARDER",
                "AND UP",
                "OR HIGHER",
                "AND OVER",
                "OR OVER",
                "MINIMO",
                "MINI",
                "MINDESTENS",
                "OR ABOVE",
                "OR GREATER",
                "OR DEEPER",
            ])
        {
            self.take_abbreviation_point();
            return Some(Shape::Least);
        }
        if self.take_row(&[
            "MAX",
            "MAXIMUM",
            "OR LESS",
            "OR UNDER",
            "OR SOFTER",
            "MAXI",
            "MAXIMO",
            "OR LOWER",
            "OR BELOW",
        ]) {
            self.take_abbreviation_point();
            return Some(Shape::Most);
        }
        let plus = self.token(0).is_some_and(|t| t.is_sign('+') && t.glued);
        let alone = self
            .token(1)
            .is_none_or(|t| t.number().is_none() && !t.is_sign('/'));
        if plus && alone {
            self.at += 1;
            return Some(Shape::Least);
        }
        None
    }

    /// `MIN CASE .020 MAX CORE 40 HRC`: a number with its own bound or both ends leaves the bound
    /// behind it to the subject that follows.
    fn bound_leads_ahead(&self) -> bool {
        if !matches!(self.text(0), "MIN" | "MINIMUM" | "MAX" | "MAXIMUM") {
            return false;
        }
        let point = self.token(1).is_some_and(|t| t.is_sign('.') && t.glued);
        let next = self.at + 1 + usize::from(point);
        self.tokens.get(next).is_some_and(|t| !t.new_line)
            && words::find(self.tokens, next).is_some_and(|(entry, _)| {
                matches!(
                    entry.meaning,
                    Meaning::Core
                        | Meaning::Surface
                        | Meaning::HardnessWord
                        | Meaning::Case
                        | Meaning::Depth
                        | Meaning::Effective { .. }
                        | Meaning::Total
                )
            })
    }

    /// The point of `MIN.` in front of a scale; elsewhere it may end the sentence and stays.
    fn take_abbreviation_point(&mut self) {
        let scale = scale::scale(self.tokens, self.at + 1)
            .is_some_and(|(_, next)| self.tokens.get(next).is_none_or(|t| t.number().is_none()))
            && self.token(1).is_some_and(|t| t.number().is_none());
        if scale && self.token(0).is_some_and(|t| t.is_sign('.') && t.glued) {
            self.at += 1;
        }
    }

    /// `FOR 60 MIN` counts minutes.
    fn after_for(&self, amount: &Amount) -> bool {
        let mut back = self.at;
        while back > 0 && self.tokens[back - 1].number().is_some() {
            back -= 1;
        }
        amount.whole() && back > 0 && self.tokens[back - 1].is_word("FOR")
    }

    /// A scale in front of its number; a number must follow.
    fn scale_before(&mut self, lone_c: &mut bool) -> Option<Mark> {
        if let Some((mut mark, next)) = scale::scale(self.tokens, self.at) {
            let named_by_number = self.token(0).is_some_and(|t| t.number().is_some());
            let from = self.at;
            self.at = next;
            self.force_before(&mut mark);
            if self.value_follows() {
                return Some(mark);
            }
            self.at = from;
            if named_by_number {
                return None;
            }
        }
        // `C58-62`, `C 58-62`: a lone letter counts in front of a plausible number only.
        let plausible = self
            .token(1)
            .and_then(Token::number)
            .is_some_and(|n| (20.0..=70.0).contains(&n.value) && n.decimals <= 1);
        let bounded = self.text(2) == "-"
            || self.text(2) == "/"
            || matches!(self.text(2), "TO" | "MIN" | "±" | "+" | "MAX" | "~");
        let ends = self
            .tokens
            .get(self.at + 3)
            .is_none_or(|t| t.kind != super::token::Kind::Word || !t.glued);
        if self.token(0).is_some_and(|t| t.is_word("C")) && plausible && bounded && ends {
            self.at += 1;
            *lone_c = true;
            return Some(Mark {
                name: ScaleName::Known(Scale::Hrc),
                force_kgf: None,
            });
        }
        None
    }

    /// Whether a number, or a bound and a number, comes next.
    fn value_follows(&self) -> bool {
        let mut at = self.at;
        while self.tokens.get(at).is_some_and(|t| {
            [':', '=', '≥', '≤', '>', '<', '.', '(']
                .iter()
                .any(|&s| t.is_sign(s))
                || matches!(
                    t.text.as_str(),
                    "MIN" | "MAX" | "OF" | "TO" | "MINIMUM" | "MAXIMUM" | "BETWEEN"
                )
        }) {
            at += 1;
        }
        let is_scale = scale::scale(self.tokens, at).is_some();
        self.tokens
            .get(at)
            .and_then(Token::number)
            .is_some_and(|n| n.value >= 10.0 || n.doubt.is_some())
            && !is_scale
    }

    /// `HV10 700`, `KHN500 690`, `HV 1 550`: the force between the scale and the number.
    fn force_before(&mut self, mark: &mut Mark) {
        if !matches!(mark.name, ScaleName::Known(Scale::Hv | Scale::Hk)) {
            return;
        }
        let Some(number) = self.token(0).and_then(Token::number) else {
            return;
        };
        let skip = usize::from(matches!(self.text(1), "G" | "GF" | "GM" | "KG" | "KGF"));
        let mut next = self.at + 1 + skip;
        while self
            .tokens
            .get(next)
            .is_some_and(|t| [':', '=', ')', ','].iter().any(|&s| t.is_sign(s)))
        {
            next += 1;
        }
        if matches!(self.tokens.get(next).map_or("", |t| &t.text), "MIN" | "MAX") {
            next += 1;
        }
        let value_next = self
            .tokens
            .get(next)
            .and_then(Token::number)
            .is_some_and(|n| n.value >= 100.0);
        if !value_next {
            return;
        }
        let kgf = self.text(1).starts_with('K') && skip == 1;
        let force = if !kgf && (number.value >= 100.0 || skip == 1) {
            scale::gram_force_kgf(number.value)
        } else {
            scale::is_force_kgf(number.value).then_some(number.value)
        };
        if force.is_some() {
            mark.force_kgf = force;
            self.at += 1 + skip;
            self.skip(&[':', '=', ')']);
        }
    }

    /// A scale behind its number, with its force.
    fn scale_after(&mut self, amount: &Amount, lone_c: &mut bool) -> Option<Mark> {
        let from = self.at;
        self.take_word("ON");
        self.take_word("THE");
        self.take_sign('(');
        let bracket = self.at > from && self.tokens[self.at - 1].is_sign('(');
        let numbered = self.token(0).is_some_and(|t| t.number().is_some());
        if let Some((mut mark, next)) = scale::scale(self.tokens, self.at) {
            // `… 60 HRC 15N 90`: the second scale belongs to the number behind it.
            let belongs_ahead =
                numbered && self.tokens.get(next).is_some_and(|t| t.number().is_some());
            let bracketed_value =
                bracket && self.tokens.get(next).is_some_and(|t| t.number().is_some());
            if !(belongs_ahead || bracketed_value || amount.high < 10.0) {
                // Behind a number the point ends the sentence.
                let point = self.tokens[next - 1].is_sign('.') && next - 1 > self.at;
                self.at = next - usize::from(point && !self.is_dotted(next));
                self.force_after(&mut mark);
                if bracket {
                    self.take_sign(')');
                }
                return Some(mark);
            }
        }
        self.at = from;
        // `58-62C`, `60 C MIN`: degrees have their sign, or three digits.
        let plausible = (20.0..=70.0).contains(&amount.low) && (20.0..=70.0).contains(&amount.high);
        let next = self.token(1);
        let ends = next.is_none_or(|t| {
            !t.glued
                || t.is_sign(',')
                || t.is_sign('.')
                || t.is_sign(';')
                || t.is_sign(')')
                || t.is_sign('-')
        });
        if self.token(0).is_some_and(|t| t.is_word("C")) && plausible && ends {
            self.at += 1;
            *lone_c = true;
            return Some(Mark {
                name: ScaleName::Known(Scale::Hrc),
                force_kgf: None,
            });
        }
        None
    }

    /// Whether the point before `next` belongs to an abbreviation with inner points, `R.C.`.
    fn is_dotted(&self, next: usize) -> bool {
        next >= 3 && self.tokens[next - 3].is_sign('.')
    }

    /// `HV10`, `HV 30`, `HK0.5`, `HK 500` behind a number.
    fn force_after(&mut self, mark: &mut Mark) {
        if !matches!(mark.name, ScaleName::Known(Scale::Hv | Scale::Hk)) {
            return;
        }
        let Some((number, glued)) = self.token(0).and_then(|t| Some((t.number()?, t.glued))) else {
            return;
        };
        let force = scale::is_force_kgf(number.value)
            .then_some(number.value)
            .or_else(|| scale::gram_force_kgf(number.value).filter(|_| number.value >= 100.0));
        let next = self.token(1);
        let starts_value = next.is_some_and(|t| {
            ['-', '+', '~', '±'].iter().any(|&s| t.is_sign(s))
                || matches!(
                    t.text.as_str(),
                    "TO" | "BIS" | "MM" | "IN" | "\"" | "MIN" | "MAX"
                )
        });
        if force.is_some() && (glued || !starts_value) {
            mark.force_kgf = force;
            self.at += 1;
            // Dwell or ball data such as `HV1/15` tell nothing more.
            if self.token(0).is_some_and(|t| t.is_sign('/') && t.glued)
                && self
                    .token(1)
                    .is_some_and(|t| t.glued && t.number().is_some())
            {
                self.at += 2;
            }
        }
    }

    pub(super) fn unit(&mut self, amount: &Amount) -> Option<Unit> {
        let minutes = self.token(0).is_some_and(|t| t.is_word("MIN")) && self.after_for(amount);
        if minutes {
            self.at += 1;
            return Some(Unit::Other(Other::Time));
        }
        let from = self.at;
        let bracket = self.take_sign('(');
        let dashed = !bracket && self.token(0).is_some_and(|t| t.is_sign('-') && t.glued);
        self.at += usize::from(dashed);
        if let Some((unit, next)) = scale::unit(self.tokens, self.at, amount.high, amount.whole()) {
            let closes = !bracket || self.tokens.get(next).is_some_and(|t| t.is_sign(')'));
            if closes && (unit.is_length() || !dashed) {
                self.at = next + usize::from(bracket);
                return Some(unit);
            }
        }
        self.at = from;
        None
    }

    /// A number, or a fraction of an inch.
    pub(super) fn number(&mut self) -> Option<Read> {
        let mut number = self.token(0)?.number()?;
        if scale::scale(self.tokens, self.at)
            .is_some_and(|(_, next)| self.tokens.get(next).is_some_and(|t| t.number().is_some()))
        {
            return None;
        }
        self.at += 1;
        // `1 1/32`
        let whole = number;
        let mixed = number.decimals == 0
            && self.text(1) == "/"
            && self
                .token(0)
                .is_some_and(|t| !t.glued && t.number().is_some())
            && self.fraction_at(self.at).is_some();
        if let Some((numerator, denominator)) = self.fraction_at(self.at - 1) {
            self.at += 2;
            number.value = numerator / denominator;
            return Some(Read {
                number,
                fraction: Some((numerator, denominator)),
            });
        }
        if mixed && number.value <= 12.0 {
            let (numerator, denominator) = self.fraction_at(self.at)?;
            self.at += 3;
            number = Number {
                value: whole.value + numerator / denominator,
                ..whole
            };
            return Some(Read {
                number,
                fraction: Some((numerator, denominator)),
            });
        }
        Some(Read {
            number,
            fraction: None,
        })
    }

    /// `1/32`, `30/1000` at a token: numerator and denominator.
    fn fraction_at(&self, at: usize) -> Option<(f64, f64)> {
        let numerator = self.tokens.get(at)?.number()?;
        let bar = self.tokens.get(at + 1)?;
        let below = self.tokens.get(at + 2)?;
        let denominator = below.number()?;
        let tight = bar.is_sign('/') && bar.glued && below.glued;
        let fraction =
            [2.0, 4.0, 8.0, 16.0, 32.0, 64.0, 100.0, 1000.0].contains(&denominator.value);
        let plain =
            numerator.decimals == 0 && denominator.decimals == 0 && numerator.doubt.is_none();
        let proper = numerator.value >= 1.0 && numerator.value < denominator.value;
        // `58/64` and `28/32` are Rockwell ranges; no case is that deep.
        let hardness = [32.0, 64.0].contains(&denominator.value) && numerator.value >= 20.0;
        let longer = self
            .tokens
            .get(at + 3)
            .is_some_and(|t| t.is_sign('/') && t.glued);
        (tight && fraction && plain && proper && !hardness && !longer)
            .then_some((numerator.value, denominator.value))
    }

    /// Whether `(number tolerance)` stands behind an opened bracket, as in `(700+80) HV10`.
    fn bracketed_tolerance(&self) -> bool {
        let close = (0..8).find(|&i| self.token(i).is_some_and(|t| t.is_sign(')')));
        let Some(close) = close else { return false };
        let only_numbers = (0..close).all(|i| {
            self.token(i).is_some_and(|t| {
                t.number().is_some() || ['+', '-', '/', '±', '~'].iter().any(|&s| t.is_sign(s))
            })
        });
        let scale_behind = scale::scale(self.tokens, self.at + close + 1).is_some();
        let unit_behind = self.token(close + 1).is_some_and(|t| t.is_word("MM"));
        only_numbers && (scale_behind || unit_behind)
    }
}
