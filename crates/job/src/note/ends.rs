//! The second end of an amount: ranges, tolerances, and the scale said again.
//!
//! Continues the grammar of `amount`; starts behind the first number.

use casewright_terms::Scale;

use super::amount::{Amount, Cursor, Read, Shape};
use super::scale::{self, Mark, ScaleName};
use super::token::{Doubt, Token};

impl Cursor<'_> {
    /// Second end or tolerance behind the first number.
    pub(super) fn ends(&mut self, amount: &mut Amount, first: Read, mark: &mut Option<Mark>) {
        let from = self.at;
        if self.tolerance(amount, mark) {
            return;
        }
        self.at = from;
        if self.range(amount, first, mark).is_none() {
            self.at = from;
        }
    }

    /// `-.040`, `TO 62`, `/1.2`, `… 0,9`.
    fn range(&mut self, amount: &mut Amount, first: Read, mark: &mut Option<Mark>) -> Option<()> {
        let from = self.at;
        self.bound_after(amount);
        let slash = self.token(0).is_some_and(|t| t.is_sign('/'));
        let between = self.token(0).is_some_and(|t| {
            t.is_word("AND") || t.is_word("UND") || t.is_word("Y") || t.is_word("ET")
        });
        let between = between && self.opened_by_between();
        let joined = self.take_sign('-')
            || self.take_sign('~')
            || self.take_sign('/')
            || self.take_row(&["TO", "THRU", "THROUGH", "BIS", "A", "UP TO"]);
        if between {
            self.at += 1;
        } else if !joined {
            self.at = from;
            return None;
        }
        self.take_sign('-');
        let mut scale_again = None;
        if let Some((again, next)) = scale::scale(self.tokens, self.at) {
            let same = mark.as_ref().is_some_and(|m| m.name == again.name);
            let number_next = self.tokens.get(next).is_some_and(|t| t.number().is_some());
            if !same || !number_next {
                return None;
            }
            self.at = next;
            scale_again = Some(again);
        }
        self.take_repeated_c(mark);
        let mut second = self.number()?;
        if slash && second.fraction.is_some() && first.fraction.is_none() {
            return None;
        }
        // A shortened second end, `.020-30`, is not worth a guess.
        let shortened = first.number.leading_dot
            && second.number.decimals == 0
            && second.fraction.is_none()
            && second.number.value >= 1.0;
        let unit = self.unit(&Amount {
            high: second.number.value,
            ..amount.clone()
        });
        if unit.is_some_and(|u| !u.is_length()) && amount.unit.is_none() && mark.is_some() {
            return None;
        }
        let same_units = amount.unit.is_none() || unit.is_none() || amount.unit == unit;
        let far = second.number.value > 20.0 * first.number.value.max(1e-9)
            && second.number.doubt.is_none();
        if !same_units || far && scale_again.is_none() {
            return None;
        }
        if shortened {
            second.number.doubt = Some(Doubt::Odd);
        }
        amount.unit = amount.unit.or(unit);
        amount.high = second.number.value;
        amount.shape = Shape::Range;
        amount.join(second);
        Some(())
    }

    /// `C58-C62`, `RC58-RC62`: the letter said again.
    fn take_repeated_c(&mut self, mark: &Option<Mark>) {
        let hrc = mark
            .as_ref()
            .is_some_and(|m| m.name == ScaleName::Known(Scale::Hrc));
        if hrc && self.token(1).is_some_and(|t| t.number().is_some()) {
            self.take_word("C");
        }
    }

    /// `58 HRC - 62 HRC`, `58C-62C`: the scale said again behind the second end.
    pub(super) fn skip_repeated(&mut self, mark: &Option<Mark>) {
        let Some(mark) = mark else { return };
        let value_at = |at: usize| self.tokens.get(at).is_some_and(|t| t.number().is_some());
        if let Some((again, next)) = scale::scale(self.tokens, self.at) {
            if again.name == mark.name && !value_at(next) && !value_at(self.at) {
                self.at = next;
            }
            return;
        }
        let hrc = mark.name == ScaleName::Known(Scale::Hrc);
        if hrc && self.token(0).is_some_and(|t| t.is_word("C") && t.glued) && !value_at(self.at + 1)
        {
            self.at += 1;
        }
    }

    /// Whether `BETWEEN` opens this range.
    fn opened_by_between(&self) -> bool {
        (1..6).any(|back| {
            self.at
                .checked_sub(back + 1)
                .and_then(|i| self.tokens.get(i))
                .is_some_and(|t| matches!(t.text.as_str(), "BETWEEN" | "ZWISCHEN" | "ENTRE"))
        })
    }

    /// `±.005`, `+0.4/0`, `+0,4`, `+4 -0`, `-0 +0.4`, `0/+0.4`.
    fn tolerance(&mut self, amount: &mut Amount, mark: &mut Option<Mark>) -> bool {
        let nominal = amount.low;
        if self.bracket_of_tolerance() {
            self.skip(&[',']);
            self.take_sign('(');
            let read = self.tolerance(amount, mark);
            return read && self.take_sign(')');
        }
        // `.030, +.005/-.000`: a comma may stand before a plus.
        if self.token(0).is_some_and(|t| t.is_sign(','))
            && (self.text(1) == "+" || self.text(1) == "±")
        {
            self.at += 1;
        }
        let plus_minus = self.take_sign('±')
            || self.take_row(&["+ / -", "+ -", "+ / - /", "PLUS OR MINUS", "PLUS MINUS"])
                && self.token(0).is_some_and(|t| t.number().is_some());
        if plus_minus {
            let Some(step) = self.step(amount) else {
                return false;
            };
            (amount.low, amount.high) = (nominal - step, nominal + step);
            amount.shape = Shape::Range;
            return true;
        }
        let Some(first) = self.signed(amount, false) else {
            return false;
        };
        let from = self.at;
        self.skip(&['/', ',']);
        let bare_zero = self.zero_alone();
        let second = if bare_zero {
            self.step(amount).map(|_| 0.0)
        } else {
            self.signed(
                amount,
                self.at > from && !self.tokens[self.at - 1].is_sign(','),
            )
        };
        // A lone minus is a range, `58-62`; a tolerance needs its plus.
        let (a, b) = match second {
            Some(second) => (first, second),
            None => {
                self.at = from;
                (first, 0.0)
            }
        };
        if a.max(b) <= 0.0 && !(a == 0.0 || b == 0.0) || a < 0.0 && b <= 0.0 && second.is_none() {
            return false;
        }
        if second.is_some_and(|b| a < 0.0 && b < 0.0) {
            return false;
        }
        // A step down past zero, or up past three times the value, is no tolerance.
        if nominal + a.min(b) < 0.0 || a.max(b) > 3.0 * nominal {
            return false;
        }
        (amount.low, amount.high) = (nominal + a.min(b), nominal + a.max(b));
        amount.shape = Shape::Range;
        if mark.is_none() && amount.unit.is_none() {
            amount.unit = self.unit(&Amount { ..amount.clone() });
        }
        true
    }

    /// `.030 (+.010/-.000)`, `0,8 (± 0,2)`: a bracket with a tolerance and nothing else.
    fn bracket_of_tolerance(&self) -> bool {
        if !(self.text(0) == "(" && matches!(self.text(1), "+" | "-" | "±")) {
            return false;
        }
        // The longest is `(+.010 in / -.000 in)`.
        let close = (2..10).find(|&i| self.text(i) == ")");
        close.is_some_and(|close| (1..close).any(|i| matches!(self.text(i), "+" | "±")))
    }

    /// A zero that ends a tolerance: `+0.4 0`, `+4/0`.
    fn zero_alone(&self) -> bool {
        self.token(0)
            .and_then(Token::number)
            .is_some_and(|n| n.value == 0.0 && n.doubt.is_none())
    }

    /// A signed step; `bare` allows one without sign behind a bar, taken as minus.
    fn signed(&mut self, amount: &mut Amount, bare: bool) -> Option<f64> {
        let from = self.at;
        let sign = if self.take_sign('+') {
            1.0
        } else if self.take_sign('-') || bare {
            -1.0
        } else if self.zero_alone() && (self.text(1) == "/" || self.text(1) == "+") {
            self.at += 1;
            return Some(0.0);
        } else {
            return None;
        };
        let number_next = self.token(0).is_some_and(|t| t.number().is_some());
        // `-.040` alone is the far end of a range: a minus counts before a plus or a zero only.
        if sign < 0.0
            && !bare
            && number_next
            && amount.shape == Shape::Single
            && !self.preceded_by_plus(from)
        {
            let plus_follows = self.text(1) == "+" || (self.text(1) == "/" && self.text(2) == "+");
            if !plus_follows && !self.zero_alone() {
                self.at = from;
                return None;
            }
        }
        match self.step(amount) {
            Some(step) => Some(sign * step),
            None => {
                self.at = from;
                None
            }
        }
    }

    /// Whether a plus step stands just before token `at`.
    fn preceded_by_plus(&self, at: usize) -> bool {
        (1..6).any(|back| {
            at.checked_sub(back)
                .is_some_and(|i| self.tokens[i].is_sign('+'))
        })
    }

    /// A step of a tolerance with the unit it may carry.
    fn step(&mut self, amount: &mut Amount) -> Option<f64> {
        let read = self.number()?;
        if read.number.doubt == Some(Doubt::LostPoint) {
            amount.doubt = amount.doubt.or(Some(Doubt::LostPoint));
        }
        amount.decimals = amount.decimals.max(read.number.decimals);
        amount.comma |= read.number.comma;
        amount.doubt = amount.doubt.or(read.number.doubt);
        let unit = scale::unit(self.tokens, self.at, read.number.value, false)
            .filter(|(u, _)| u.is_length());
        if let Some((unit, next)) = unit
            && (amount.unit.is_none() || amount.unit == Some(unit))
        {
            amount.unit = Some(unit);
            self.at = next;
        }
        Some(read.number.value)
    }
}
