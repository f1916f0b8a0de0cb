//! Small words for complaints about logs.

use super::moment::RawDate;

/// The three numbers of a date, in their order.
pub(super) fn raw(date: RawDate) -> String {
    let [a, b, c] = date.parts();
    format!("{a:02}, {b:02}, {c:02} in this order")
}
