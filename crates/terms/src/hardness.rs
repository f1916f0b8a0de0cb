//! Hardness scales by the names that drawings and standards use.

use std::fmt;

/// A hardness scale. The number alone means nothing without it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Scale {
    /// Vickers.
    Hv,
    /// Knoop.
    Hk,
    /// Brinell with a tungsten carbide ball.
    Hbw,
    /// Rockwell C (diamond, 150 kgf).
    Hrc,
    /// Rockwell A (diamond, 60 kgf).
    Hra,
    /// Rockwell B (ball, 100 kgf).
    Hrb,
    /// Rockwell D (diamond, 100 kgf).
    Hrd,
    /// Superficial Rockwell 15N.
    Hr15n,
    /// Superficial Rockwell 30N.
    Hr30n,
    /// Superficial Rockwell 45N.
    Hr45n,
}

impl Scale {
    /// All scales, in the order tables print them.
    pub const ALL: [Self; 10] = [
        Self::Hv,
        Self::Hrc,
        Self::Hra,
        Self::Hrd,
        Self::Hr15n,
        Self::Hr30n,
        Self::Hr45n,
        Self::Hrb,
        Self::Hbw,
        Self::Hk,
    ];

    /// The designation written after the number, such as `HRC`.
    #[must_use]
    pub const fn symbol(self) -> &'static str {
        match self {
            Self::Hv => "HV",
            Self::Hk => "HK",
            Self::Hbw => "HBW",
            Self::Hrc => "HRC",
            Self::Hra => "HRA",
            Self::Hrb => "HRB",
            Self::Hrd => "HRD",
            Self::Hr15n => "HR15N",
            Self::Hr30n => "HR30N",
            Self::Hr45n => "HR45N",
        }
    }

    /// Reads a designation as the standards write it, any case.
    #[must_use]
    pub fn from_symbol(text: &str) -> Option<Self> {
        let upper = text.trim().to_ascii_uppercase();
        Self::ALL.into_iter().find(|scale| scale.symbol() == upper)
    }
}

impl fmt::Display for Scale {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.symbol())
    }
}

/// A hardness number on its scale.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Hardness {
    /// The scale the number belongs to.
    pub scale: Scale,
    /// The number on that scale.
    pub value: f64,
}

impl Hardness {
    /// A hardness; a bare number cannot be made into one.
    #[must_use]
    pub const fn new(scale: Scale, value: f64) -> Self {
        Self { scale, value }
    }
}

impl fmt::Display for Hardness {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let decimals = match self.scale {
            Scale::Hv | Scale::Hk | Scale::Hbw => 0,
            _ => 1,
        };
        write!(
            f,
            "{} {}",
            crate::quantity::format_trimmed(self.value, decimals),
            self.scale
        )
    }
}
