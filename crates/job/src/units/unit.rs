//! The units that are understood, their spellings, and what each kind of quantity is called.

use casewright_terms::UnitSystem;

/// A kind of quantity.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[expect(missing_docs, reason = "the names say it")]
pub enum Kind {
    Length,
    Area,
    Temperature,
    Step,
    Mass,
    Volume,
    Power,
    Span,
    Density,
    Share,
}

impl Kind {
    /// With its article, for sentences.
    #[must_use]
    pub const fn noun(self) -> &'static str {
        match self {
            Self::Length => "a length",
            Self::Area => "an area",
            Self::Temperature => "a temperature",
            Self::Step => "a temperature difference",
            Self::Mass => "a mass",
            Self::Volume => "a volume",
            Self::Power => "a power",
            Self::Span => "a time",
            Self::Density => "a density",
            Self::Share => "a share",
        }
    }

    /// Without its article.
    #[must_use]
    pub fn name(self) -> &'static str {
        &self.noun()[2..]
    }

    /// Two ways to write one.
    #[must_use]
    pub const fn examples(self) -> &'static str {
        match self {
            Self::Length => "\"14 mm\" or \"0.750 in\"",
            Self::Area => "\"25.4 cm2\" or \"4 in2\"",
            Self::Temperature => "\"925 °C\" or \"1700 °F\"",
            Self::Step => "\"±14 °C\" or \"±25 °F\"",
            Self::Mass => "\"12 kg\" or \"26 lb\"",
            Self::Volume => "\"60 L\" or \"16 gal\"",
            Self::Power => "\"9 kW\"",
            Self::Span => "\"8 h\" or \"1 h 30 min\"",
            Self::Density => "\"0.55 kg/L\" or \"550 kg/m3\"",
            Self::Share => "\"15 %\"",
        }
    }

    /// Likely units of a bare number, the likelier first.
    pub(super) fn likely(self, value: f64) -> &'static [&'static str] {
        match self {
            // Shop sizes under 3 are mostly inches; 100 and more are hardly ever.
            Self::Length if value.abs() < 3.0 => &["in", "mm"],
            Self::Length => &["mm", "in"],
            Self::Area => &["cm2", "mm2", "in2"],
            // Carburizing is 815–955 °C or 1500–1750 °F (trade-practice).
            Self::Temperature if value > 1200.0 || (250.0..=450.0).contains(&value) => {
                &["°F", "°C"]
            }
            Self::Temperature => &["°C", "°F"],
            Self::Step => &["°C", "°F"],
            Self::Mass => &["kg", "lb"],
            Self::Volume => &["L", "gal"],
            Self::Power if value >= 500.0 => &["W"],
            Self::Power => &["kW"],
            Self::Span if value >= 60.0 => &["min", "s"],
            Self::Span => &["h", "min", "s"],
            Self::Density if value >= 10.0 => &["kg/m3", "lb/ft3"],
            Self::Density => &["kg/L"],
            Self::Share => &["%"],
        }
    }

    /// Why a number alone is not enough.
    pub(super) const fn why_unit(self) -> &'static str {
        match self {
            Self::Length => "Millimetres taken for inches make the part 25 times too big.",
            Self::Temperature => {
                "900 in °F is only 482 °C, where no carbon enters; the slip ruins the load."
            }
            Self::Step => "A difference of 25 °F is 14 °C.",
            Self::Span => "Hours taken for minutes give no case at all.",
            Self::Share => "0.2 and 20 would mean the same share or a hundredth of it.",
            _ => "The same number in another unit is another quantity.",
        }
    }
}

/// A unit of measure.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[expect(missing_docs, reason = "the names say it")]
pub enum Unit {
    Millimetre,
    Micrometre,
    Centimetre,
    Metre,
    Inch,
    Thou,
    Foot,
    SquareMillimetre,
    SquareCentimetre,
    SquareMetre,
    SquareInch,
    Celsius,
    Fahrenheit,
    Kelvin,
    Milligram,
    Gram,
    Kilogram,
    Pound,
    Ounce,
    Litre,
    Millilitre,
    Gallon,
    CubicMetre,
    Watt,
    Kilowatt,
    Second,
    Minute,
    Hour,
    Day,
    KilogramPerCubicMetre,
    KilogramPerLitre,
    PoundPerCubicFoot,
    Percent,
    PartsOfOne,
}

/// Spellings in lower case, blanks and closing dots removed, the first of each unit the usual one.
const SPELLINGS: &[(Unit, &[&str])] = &[
    (
        Unit::Millimetre,
        &[
            "mm",
            "millimetre",
            "millimetres",
            "millimeter",
            "millimeters",
        ],
    ),
    (
        Unit::Micrometre,
        &[
            "µm",
            "μm",
            "um",
            "micron",
            "microns",
            "micrometre",
            "micrometer",
        ],
    ),
    (Unit::Centimetre, &["cm", "centimetre", "centimeter"]),
    (Unit::Metre, &["m", "metre", "metres", "meter", "meters"]),
    (Unit::Inch, &["in", "inch", "inches", "\"", "″", "”", "''"]),
    (Unit::Thou, &["thou", "thous", "thousandth", "thousandths"]),
    (Unit::Foot, &["ft", "foot", "feet", "'"]),
    (
        Unit::Celsius,
        &[
            "°c",
            "c",
            "c°",
            "degc",
            "degreesc",
            "celsius",
            "degcelsius",
            "℃",
        ],
    ),
    (
        Unit::Fahrenheit,
        &[
            "°f",
            "f",
            "f°",
            "degf",
            "degreesf",
            "fahrenheit",
            "degfahrenheit",
            "℉",
        ],
    ),
    (Unit::Kelvin, &["k", "kelvin", "°k"]),
    (Unit::SquareMillimetre, &["mm2", "mm²", "sqmm"]),
    (Unit::SquareCentimetre, &["cm2", "cm²", "sqcm"]),
    (Unit::SquareMetre, &["m2", "m²"]),
    (Unit::SquareInch, &["in2", "in²", "sqin", "sq.in"]),
    (Unit::Milligram, &["mg", "milligram", "milligrams"]),
    (Unit::Gram, &["g", "gram", "grams", "gr"]),
    (
        Unit::Kilogram,
        &["kg", "kilo", "kilos", "kilogram", "kilograms"],
    ),
    (Unit::Pound, &["lb", "lbs", "pound", "pounds", "#"]),
    (Unit::Ounce, &["oz", "ounce", "ounces"]),
    (
        Unit::Litre,
        &["l", "litre", "litres", "liter", "liters", "ltr", "dm3"],
    ),
    (Unit::Millilitre, &["ml", "cm3", "cc"]),
    (
        Unit::Gallon,
        &[
            "gal",
            "gals",
            "gallon",
            "gallons",
            "usgal",
            "usgallon",
            "usgallons",
        ],
    ),
    (Unit::CubicMetre, &["m3", "m³"]),
    (Unit::Watt, &["w", "watt", "watts"]),
    (Unit::Kilowatt, &["kw", "kilowatt", "kilowatts"]),
    (Unit::Second, &["s", "sec", "secs", "second", "seconds"]),
    (Unit::Minute, &["min", "mins", "minute", "minutes"]),
    (Unit::Hour, &["h", "hr", "hrs", "hour", "hours"]),
    (Unit::Day, &["d", "day", "days"]),
    (Unit::KilogramPerCubicMetre, &["kg/m3", "kg/m³", "g/l"]),
    (
        Unit::KilogramPerLitre,
        &["kg/l", "kg/dm3", "g/cm3", "g/cm³", "g/cc", "g/ml"],
    ),
    (
        Unit::PoundPerCubicFoot,
        &["lb/ft3", "lb/ft³", "lbs/ft3", "lb/cuft", "pcf"],
    ),
    (
        Unit::Percent,
        &["%", "percent", "pct", "wt%", "wt.-%", "mass%", "%bymass"],
    ),
    (Unit::PartsOfOne, &["of1", "partsofone"]),
];

/// Words that mean different things to different people.
const UNCLEAR: &[(&str, &str)] = &[
    (
        "mil",
        "a thousandth of an inch, or in the workshop a millimetre",
    ),
    (
        "mils",
        "thousandths of an inch, or in the workshop millimetres",
    ),
    ("deg", "°C or °F"),
    ("degrees", "°C or °F"),
    ("°", "°C or °F"),
    ("ton", "1000 kg or 2000 lb"),
];

impl Unit {
    /// The unit a word stands for, or why the word is asked about (`None`: not known at all).
    pub(super) fn from_word(word: &str) -> Result<Self, Option<&'static str>> {
        let key: String = word
            .chars()
            .filter(|c| !c.is_whitespace())
            .map(|c| if matches!(c, 'º' | '˚') { '°' } else { c })
            .flat_map(char::to_lowercase)
            .collect();
        let key = key.strip_suffix('.').unwrap_or(&key);
        if let Some((_, asks)) = UNCLEAR.iter().find(|(word, _)| *word == key) {
            return Err(Some(asks));
        }
        SPELLINGS
            .iter()
            .find(|(_, words)| words.contains(&key))
            .map(|(unit, _)| *unit)
            .ok_or(None)
    }

    /// What it measures; temperatures count as points.
    #[must_use]
    pub const fn kind(self) -> Kind {
        match self {
            Self::Millimetre
            | Self::Micrometre
            | Self::Centimetre
            | Self::Metre
            | Self::Inch
            | Self::Thou
            | Self::Foot => Kind::Length,
            Self::Celsius | Self::Fahrenheit | Self::Kelvin => Kind::Temperature,
            Self::SquareMillimetre
            | Self::SquareCentimetre
            | Self::SquareMetre
            | Self::SquareInch => Kind::Area,
            Self::Milligram | Self::Gram | Self::Kilogram | Self::Pound | Self::Ounce => Kind::Mass,
            Self::Litre | Self::Millilitre | Self::Gallon | Self::CubicMetre => Kind::Volume,
            Self::Watt | Self::Kilowatt => Kind::Power,
            Self::Second | Self::Minute | Self::Hour | Self::Day => Kind::Span,
            Self::KilogramPerCubicMetre | Self::KilogramPerLitre | Self::PoundPerCubicFoot => {
                Kind::Density
            }
            Self::Percent | Self::PartsOfOne => Kind::Share,
        }
    }

    /// The unit system it belongs to, for lengths and temperatures.
    #[must_use]
    pub const fn system(self) -> Option<UnitSystem> {
        match self {
            Self::Millimetre
            | Self::Micrometre
            | Self::Centimetre
            | Self::Metre
            | Self::Celsius => Some(UnitSystem::Metric),
            Self::Inch | Self::Thou | Self::Foot | Self::Fahrenheit => Some(UnitSystem::Inch),
            _ => None,
        }
    }
}

/// Spellings of the units of one kind, for hints.
pub(super) fn spellings(kind: Kind) -> impl Iterator<Item = &'static str> {
    let kind = if kind == Kind::Step {
        Kind::Temperature
    } else {
        kind
    };
    SPELLINGS
        .iter()
        .filter(move |(unit, _)| unit.kind() == kind)
        .flat_map(|(_, words)| words.iter().copied())
}
