//! The report's drawings in the language of a page: numbers get its comma. Words stay English.

use super::lang::Lang;

/// The drawing; only what stands between its marks is touched.
pub(crate) fn spoken(lang: Lang, drawing: &str) -> String {
    if lang == Lang::En {
        return drawing.to_owned();
    }
    let mut out = String::with_capacity(drawing.len());
    let mut rest = drawing;
    while let Some(open) = rest.find('<') {
        out.push_str(&lang.number(&rest[..open]));
        let end = rest[open..]
            .find('>')
            .map_or(rest.len(), |end| open + end + 1);
        out.push_str(&rest[open..end]);
        rest = &rest[end..];
    }
    out.push_str(&lang.number(rest));
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_words_take_the_comma() {
        let drawing = r#"<svg width="1.5"><text x="2.5">0.8 mm</text></svg>"#;
        assert_eq!(
            spoken(Lang::De, drawing),
            r#"<svg width="1.5"><text x="2.5">0,8 mm</text></svg>"#
        );
        assert_eq!(spoken(Lang::En, drawing), drawing);
    }
}
