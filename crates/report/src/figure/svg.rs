//! A small SVG writer: shapes and words, nothing else. Every element carries a class, so that a
//! page may recolour it, and plain attributes, so that paper and the PDF engine need no style
//! sheet. All text passes through [`escape`].

use std::fmt::Write as _;

use super::grains::Tone;

/// Families in the order of wish; the first two are embedded in the PDF.
pub(crate) const FONTS: &str = "Noto Sans, DejaVu Sans, sans-serif";

/// A straight stroke from one point to another.
pub(super) type Stroke = ((f64, f64), (f64, f64));

/// Inks of the house. Each has its own grey, and no meaning hangs on the colour alone.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Ink {
    /// Near black.
    Text,
    /// Temper blue: what the steel does.
    Steel,
    /// Straw: what the note demands.
    Note,
    /// Thin rules and second-rank words.
    Faint,
    /// Pale fill of a band.
    Band,
    /// Pale fill of the night and of box walls.
    Shade,
    /// The paper.
    Paper,
}

impl Ink {
    const fn colour(self) -> &'static str {
        match self {
            Self::Text => "#1d1b18",
            Self::Steel => "#1f4e79",
            Self::Note => "#8a5a00",
            Self::Faint => "#6f6a62",
            Self::Band => "#d5e0eb",
            Self::Shade => "#e9e6e0",
            Self::Paper => "#ffffff",
        }
    }

    const fn class(self) -> &'static str {
        match self {
            Self::Text => "ink-text",
            Self::Steel => "ink-steel",
            Self::Note => "ink-note",
            Self::Faint => "ink-faint",
            Self::Band => "ink-band",
            Self::Shade => "ink-shade",
            Self::Paper => "ink-paper",
        }
    }
}

impl Tone {
    const fn colour(self) -> &'static str {
        match self {
            Self::White => "#ffffff",
            Self::Pale => "#f3e6c2",
            Self::Needle => "#c3d1df",
            Self::Drawn => "#8da2b8",
            Self::Feather => "#a79f93",
            Self::Colony => "#dcd7cf",
            Self::Dot | Self::Lamella => "#1d1b18",
            Self::NeedleLine => "#6c86a0",
            Self::DrawnLine => "#33506d",
            Self::FeatherLine => "#4c463f",
        }
    }

    const fn class(self) -> &'static str {
        match self {
            Self::White => "tone-ferrite",
            Self::Pale => "tone-austenite",
            Self::Needle | Self::NeedleLine => "tone-martensite",
            Self::Drawn | Self::DrawnLine => "tone-drawn",
            Self::Feather | Self::FeatherLine => "tone-bainite",
            Self::Colony | Self::Lamella => "tone-pearlite",
            Self::Dot => "tone-carbide",
        }
    }

    const fn width(self) -> f64 {
        match self {
            Self::Lamella => 0.8,
            Self::FeatherLine => 0.7,
            _ => 0.45,
        }
    }
}

/// How a line is drawn.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Pen {
    pub(crate) ink: Ink,
    pub(crate) width: f64,
    /// Dash pattern; empty for a full line.
    pub(crate) dash: &'static str,
}

impl Pen {
    pub(crate) const fn full(ink: Ink, width: f64) -> Self {
        Self {
            ink,
            width,
            dash: "",
        }
    }

    pub(crate) const fn dashed(ink: Ink, width: f64, dash: &'static str) -> Self {
        Self { ink, width, dash }
    }

    fn attributes(self) -> String {
        let dash = if self.dash.is_empty() {
            String::new()
        } else {
            format!(r#" stroke-dasharray="{}""#, self.dash)
        };
        format!(
            r#"class="line {}" fill="none" stroke="{}" stroke-width="{}"{dash}"#,
            self.ink.class(),
            self.ink.colour(),
            num(self.width)
        )
    }
}

/// Where a text is held.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Anchor {
    Start,
    Middle,
    End,
}

/// How a text is set.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Type {
    pub(crate) size: f64,
    pub(crate) anchor: Anchor,
    pub(crate) ink: Ink,
    pub(crate) bold: bool,
    /// Turned to read upwards.
    pub(crate) up: bool,
    /// With a rim of paper, so that it can stand on lines.
    pub(crate) rim: bool,
}

impl Type {
    pub(crate) const fn new(size: f64, anchor: Anchor) -> Self {
        Self {
            size,
            anchor,
            ink: Ink::Text,
            bold: false,
            up: false,
            rim: false,
        }
    }

    pub(crate) const fn ink(mut self, ink: Ink) -> Self {
        self.ink = ink;
        self
    }

    pub(crate) const fn bold(mut self) -> Self {
        self.bold = true;
        self
    }

    pub(crate) const fn up(mut self) -> Self {
        self.up = true;
        self
    }

    pub(crate) const fn rim(mut self) -> Self {
        self.rim = true;
        self
    }
}

/// A drawing being made. Units are points at full size on the page.
pub(crate) struct Svg {
    width: f64,
    height: f64,
    title: String,
    body: String,
}

impl Svg {
    /// An empty drawing; `title` is what a screen reader says.
    pub(crate) fn new(width: f64, height: f64, title: &str) -> Self {
        Self {
            width,
            height,
            title: title.to_owned(),
            body: String::new(),
        }
    }

    pub(crate) fn line(&mut self, from: (f64, f64), to: (f64, f64), pen: Pen) {
        let _ = writeln!(
            self.body,
            r#"<line x1="{}" y1="{}" x2="{}" y2="{}" {}/>"#,
            num(from.0),
            num(from.1),
            num(to.0),
            num(to.1),
            pen.attributes()
        );
    }

    pub(crate) fn path(&mut self, points: &[(f64, f64)], pen: Pen) {
        if points.len() < 2 {
            return;
        }
        let _ = writeln!(
            self.body,
            r#"<polyline points="{}" stroke-linejoin="round" {}/>"#,
            list(points),
            pen.attributes()
        );
    }

    pub(crate) fn area(&mut self, points: &[(f64, f64)], fill: Ink) {
        if points.len() < 3 {
            return;
        }
        let _ = writeln!(
            self.body,
            r#"<polygon points="{}" class="fill {}" fill="{}"/>"#,
            list(points),
            fill.class(),
            fill.colour()
        );
    }

    /// Fills the inside of loops, holes left open; `tone` from 0 (paper) to 1 (full ink).
    pub(crate) fn loops(&mut self, loops: &[Vec<(f64, f64)>], ink: Ink, tone: f64) {
        let mut d = String::new();
        for line in loops.iter().filter(|line| line.len() > 2) {
            for (k, point) in line.iter().enumerate() {
                let mark = if k == 0 { 'M' } else { 'L' };
                let _ = write!(d, "{mark}{} {}", num(point.0), num(point.1));
            }
            d.push('Z');
        }
        if d.is_empty() {
            return;
        }
        let _ = writeln!(
            self.body,
            r#"<path d="{d}" class="fill {}" fill="{}" fill-opacity="{}" fill-rule="evenodd"/>"#,
            ink.class(),
            ink.colour(),
            num(tone)
        );
    }

    pub(crate) fn rect(
        &mut self,
        at: (f64, f64),
        size: (f64, f64),
        fill: Option<Ink>,
        pen: Option<Pen>,
    ) {
        if let Some(fill) = fill {
            let _ = writeln!(
                self.body,
                r#"<rect x="{}" y="{}" width="{}" height="{}" class="fill {}" fill="{}"/>"#,
                num(at.0),
                num(at.1),
                num(size.0.max(0.0)),
                num(size.1.max(0.0)),
                fill.class(),
                fill.colour()
            );
        }
        if let Some(pen) = pen {
            let _ = writeln!(
                self.body,
                r#"<rect x="{}" y="{}" width="{}" height="{}" {}/>"#,
                num(at.0),
                num(at.1),
                num(size.0.max(0.0)),
                num(size.1.max(0.0)),
                pen.attributes()
            );
        }
    }

    pub(crate) fn ellipse(&mut self, centre: (f64, f64), radii: (f64, f64), pen: Pen) {
        let _ = writeln!(
            self.body,
            r#"<ellipse cx="{}" cy="{}" rx="{}" ry="{}" {}/>"#,
            num(centre.0),
            num(centre.1),
            num(radii.0.max(0.0)),
            num(radii.1.max(0.0)),
            pen.attributes()
        );
    }

    /// Many areas of one tone as one path; `name` says what they stand for.
    pub(super) fn polygons(&mut self, name: &str, all: &[Vec<(f64, f64)>], tone: Tone) {
        let mut d = String::new();
        for polygon in all.iter().filter(|polygon| polygon.len() >= 3) {
            trace(&mut d, polygon);
            d.push('z');
        }
        if !d.is_empty() {
            let _ = writeln!(
                self.body,
                r#"<path d="{d}" class="fill {class}" fill="{}" data-mark="{}"/>"#,
                tone.colour(),
                escape(name),
                class = tone.class(),
            );
        }
    }

    /// Many strokes of one tone as one path.
    pub(super) fn strokes(&mut self, all: &[Stroke], tone: Tone) {
        let mut d = String::new();
        for (a, b) in all {
            trace(&mut d, &[*a, *b]);
        }
        if !d.is_empty() {
            let _ = writeln!(
                self.body,
                r#"<path d="{d}" class="line {class}" fill="none" stroke="{}" stroke-width="{}"/>"#,
                tone.colour(),
                num(tone.width()),
                class = tone.class(),
            );
        }
    }

    /// Outlines of areas as one path of thin lines.
    pub(super) fn outlines(&mut self, all: &[Vec<(f64, f64)>]) {
        let mut d = String::new();
        for polygon in all {
            trace(&mut d, polygon);
            d.push('z');
        }
        if !d.is_empty() {
            let pen = Pen::full(Ink::Faint, 0.45);
            let _ = writeln!(self.body, r#"<path d="{d}" {}/>"#, pen.attributes());
        }
    }

    /// Diagonal strokes inside a rectangle.
    pub(crate) fn hatch(&mut self, at: (f64, f64), size: (f64, f64), step: f64, pen: Pen) {
        let (w, h) = size;
        if w <= 0.0 || h <= 0.0 {
            return;
        }
        let count = ((w + h) / step).floor() as usize;
        for i in 1..=count {
            let c = i as f64 * step;
            let from = (at.0 + (c - h).max(0.0), at.1 + c.min(h));
            let to = (at.0 + c.min(w), at.1 + (c - w).max(0.0));
            self.line(from, to, pen);
        }
    }

    pub(crate) fn text(&mut self, at: (f64, f64), words: &str, style: Type) {
        let anchor = match style.anchor {
            Anchor::Start => "start",
            Anchor::Middle => "middle",
            Anchor::End => "end",
        };
        let weight = if style.bold {
            r#" font-weight="bold""#
        } else {
            ""
        };
        let turn = if style.up {
            format!(r#" transform="rotate(-90 {} {})""#, num(at.0), num(at.1))
        } else {
            String::new()
        };
        if style.rim {
            let _ = writeln!(
                self.body,
                r#"<text x="{}" y="{}" font-size="{}" text-anchor="{anchor}"{weight}{turn} class="rim" fill="{p}" stroke="{p}" stroke-width="3" stroke-linejoin="round" aria-hidden="true">{}</text>"#,
                num(at.0),
                num(at.1),
                num(style.size),
                escape(words),
                p = Ink::Paper.colour(),
            );
        }
        let _ = writeln!(
            self.body,
            r#"<text x="{}" y="{}" font-size="{}" text-anchor="{anchor}"{weight}{turn} class="words {}" fill="{}">{}</text>"#,
            num(at.0),
            num(at.1),
            num(style.size),
            style.ink.class(),
            style.ink.colour(),
            escape(words)
        );
    }

    /// A dimension line with end strokes and its words in the middle; horizontal or vertical.
    pub(crate) fn dimension(&mut self, from: (f64, f64), to: (f64, f64), words: &str, size: f64) {
        let pen = Pen::full(Ink::Text, 0.6);
        self.line(from, to, pen);
        for p in [from, to] {
            self.line((p.0 - 2.2, p.1 + 2.2), (p.0 + 2.2, p.1 - 2.2), pen);
        }
        if words.is_empty() {
            return;
        }
        let middle = ((from.0 + to.0) / 2.0, (from.1 + to.1) / 2.0);
        if (from.1 - to.1).abs() < 0.01 {
            self.text(
                (middle.0, middle.1 - 2.5),
                words,
                Type::new(size, Anchor::Middle).rim(),
            );
        } else {
            self.text(
                (middle.0 - 2.5, middle.1),
                words,
                Type::new(size, Anchor::Middle).up().rim(),
            );
        }
    }

    pub(crate) fn finish(self) -> String {
        format!(
            concat!(
                r#"<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {w} {h}" width="{w}" "#,
                r#"height="{h}" font-family="{fonts}" role="img" aria-label="{title}">"#,
                "\n{body}</svg>\n"
            ),
            w = num(self.width),
            h = num(self.height),
            fonts = FONTS,
            title = escape(&self.title),
            body = self.body
        )
    }
}

/// Steps from corner to corner in tenths of a point, each from where the last one came to lie, so
/// that rounding does not add up.
fn trace(d: &mut String, points: &[(f64, f64)]) {
    let tenth = |v: f64| (v * 10.0).round() as i64;
    let write = |d: &mut String, v: i64| {
        let sign = if v < 0 { "-" } else { "" };
        let (whole, part) = (v.abs() / 10, v.abs() % 10);
        let _ = match (whole, part) {
            (w, 0) => write!(d, "{sign}{w}"),
            (0, p) => write!(d, "{sign}.{p}"),
            (w, p) => write!(d, "{sign}{w}.{p}"),
        };
    };
    let mut last = (0, 0);
    for (i, p) in points.iter().enumerate() {
        let at = (tenth(p.0), tenth(p.1));
        let (x, y) = if i == 0 {
            d.push('M');
            at
        } else {
            d.push(if i == 1 { 'l' } else { ' ' });
            (at.0 - last.0, at.1 - last.1)
        };
        write(d, x);
        if y >= 0 {
            d.push(' ');
        }
        write(d, y);
        last = at;
    }
}

fn list(points: &[(f64, f64)]) -> String {
    let all: Vec<String> = points
        .iter()
        .map(|p| format!("{},{}", num(p.0), num(p.1)))
        .collect();
    all.join(" ")
}

/// A coordinate with two decimals at most; a number that is not finite would break the drawing,
/// so it is put at zero, where it can be seen.
fn num(value: f64) -> String {
    if value.is_finite() {
        casewright_terms::quantity::format_trimmed(value, 2)
    } else {
        "0".to_owned()
    }
}

/// Text as XML: the five marks escaped, and characters that XML does not allow left out.
pub(crate) fn escape(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in crate::text::harmless(text).chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\'' => out.push_str("&#39;"),
            '\u{FFFE}' | '\u{FFFF}' => {}
            c => out.push(c),
        }
    }
    out
}

/// Width of a text, near enough to keep labels apart: mean advances of the embedded sans by
/// class of character, read off its metrics and rounded up.
pub(crate) fn width_of(words: &str, size: f64) -> f64 {
    let ems: f64 = words
        .chars()
        .map(|c| match c {
            ' ' | '.' | ',' | ':' | ';' | 'i' | 'j' | 'l' | 'I' | '\'' | '|' | '(' | ')' => 0.3,
            'm' | 'w' | 'M' | 'W' | '%' | '@' => 0.92,
            c if c.is_uppercase() => 0.66,
            _ => 0.575,
        })
        .sum();
    ems * size
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn hostile_words_stay_words() {
        let mut svg = Svg::new(10.0, 10.0, "\"><script>");
        svg.text(
            (1.0, 1.0),
            "</text><script>alert(1)</script>&\u{0}",
            Type::new(9.0, Anchor::Start),
        );
        let out = svg.finish();
        assert!(!out.contains("<script"), "{out}");
        let parsed = roxmltree::Document::parse(&out).expect("well formed");
        assert!(parsed.descendants().all(|n| !n.has_tag_name("script")));
    }

    #[test]
    fn hatch_stays_inside() {
        let mut svg = Svg::new(50.0, 50.0, "h");
        svg.hatch((10.0, 10.0), (7.0, 20.0), 4.0, Pen::full(Ink::Text, 0.5));
        let out = svg.finish();
        let document = roxmltree::Document::parse(&out).expect("well formed");
        for line in document.descendants().filter(|n| n.has_tag_name("line")) {
            let at = |k: &str| line.attribute(k).expect(k).parse::<f64>().expect("number");
            for (x, y) in [(at("x1"), at("y1")), (at("x2"), at("y2"))] {
                assert!(
                    (10.0..=17.0).contains(&x) && (10.0..=30.0).contains(&y),
                    "{x} {y}"
                );
            }
        }
    }
}
