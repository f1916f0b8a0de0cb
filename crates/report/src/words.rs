//! Sentences that every sheet carries. One place, so that page, text and PDF say the same.

/// Which rules win.
pub const LOCAL_RULES: &str = "Follow your local codes and your employer's or school's authorised \
procedure; if they differ from this sheet, they win.";

/// What a phone cannot do.
pub const PHONE_ALARM: &str = "An alarm from a phone or a screen is not a safety device. Carbon \
monoxide, over-temperature and high-limit devices are hardware, fitted and tested.";

/// First aid that must be on the wall as well.
pub const BURNS: &str =
    "Burn: cool under running water for 20 minutes, take off rings, call for help.";

/// How to write on the sheet.
pub const WRITING: &str = "Write at the time, in ink. Correct with a single line through, initials \
and date. Leave no box blank: write a dash and why.";

/// What the bands mean.
pub const BANDS: &str = "Each prediction is given with the interval that should hold nine times out \
of ten. It is a forecast: the coupon decides.";

/// What a drawing of the pack is.
pub const TO_SCALE: &str = "Drawn to scale; distances in the drawing as placed, in the table the \
least allowed.";

/// Places that must be known before the furnace is lit; the person fills them in.
pub const EMERGENCY: [&str; 5] = [
    "Emergency number",
    "Extinguisher is at",
    "Eyewash is at",
    "CO alarm tested",
    "Second person",
];
