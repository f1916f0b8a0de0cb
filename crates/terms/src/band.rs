//! A value with the interval it is given with.

/// A prediction: `mid` is the value of the nominal inputs, `low` and `high` bound the band.
///
/// Bands are 90 % unless the place that makes them says otherwise.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Band<T> {
    /// Lower end.
    pub low: T,
    /// The value of the nominal inputs.
    pub mid: T,
    /// Upper end.
    pub high: T,
}

impl<T: Copy> Band<T> {
    /// A band of no width.
    #[must_use]
    pub fn exact(value: T) -> Self {
        Self {
            low: value,
            mid: value,
            high: value,
        }
    }

    /// The same band in another unit or type; the map must keep the order.
    #[must_use]
    pub fn map<U>(self, mut f: impl FnMut(T) -> U) -> Band<U> {
        Band {
            low: f(self.low),
            mid: f(self.mid),
            high: f(self.high),
        }
    }
}
