//! From bytes to text: what may be a job or a shop file at all. Knows nothing of what it says.

use casewright_terms::{Diag, Place};

/// Largest text that is read, in bytes. A real job file has a few kilobytes.
pub const LARGEST_TEXT_BYTES: usize = 1 << 20;

/// Turns the bytes of a file into text, without a byte order mark.
///
/// All spans of later diagnostics count bytes of the text returned here.
///
/// # Errors
/// The file is larger than 1 MiB, is UTF-16 or another encoding, or is no text at all.
#[expect(clippy::result_large_err, reason = "called once for a file")]
pub fn decode(bytes: &[u8], file_name: &str) -> Result<String, Diag> {
    let at = |span| Place {
        file: file_name.to_owned(),
        span,
    };
    if bytes.len() > LARGEST_TEXT_BYTES {
        return Err(too_large(bytes.len()).at(at(0..0)));
    }
    if bytes.starts_with(&[0xFF, 0xFE]) || bytes.starts_with(&[0xFE, 0xFF]) {
        return Err(
            Diag::stop("text-utf16", "The file is UTF-16, not UTF-8 text.")
                .why("An editor has saved it two bytes to a letter, so no word in it can be read.")
                .accepted("Save it again as UTF-8 (in most editors: Save as, encoding UTF-8).")
                .at(at(0..2)),
        );
    }
    let body = bytes.strip_prefix(b"\xEF\xBB\xBF").unwrap_or(bytes);
    if let Some(offset) = body.iter().position(|&byte| byte == 0) {
        return Err(not_text(offset, "a zero byte").at(at(offset..offset + 1)));
    }
    match std::str::from_utf8(body) {
        Ok(text) => Ok(text.to_owned()),
        Err(problem) => {
            let offset = problem.valid_up_to();
            let what = format!("the byte 0x{:02X}", body[offset]);
            Err(not_text(offset, &what).at(at(offset..offset + 1)))
        }
    }
}

/// The complaint about a text over the limit.
pub(crate) fn too_large(bytes: usize) -> Diag {
    Diag::stop(
        "text-too-large",
        format!("The file has {bytes} bytes; at most {LARGEST_TEXT_BYTES} are read."),
    )
    .why("A job is a few kilobytes of text, so this is most likely another file.")
    .accepted("Give the path of the job file.")
}

fn not_text(offset: usize, what: &str) -> Diag {
    Diag::stop(
        "text-not-utf8",
        format!("There is {what} at byte {offset}, so this is not UTF-8 text."),
    )
    .why(
        "Signs such as ± and ° would be misread, and with them a tolerance or a temperature; \
         or the file is not a text at all.",
    )
    .accepted("Save it again as UTF-8, or give the path of the job file.")
}

#[cfg(test)]
mod tests {
    use super::*;

    fn code(bytes: &[u8]) -> &'static str {
        decode(bytes, "job.toml").unwrap_err().code
    }

    #[test]
    fn a_byte_order_mark_is_dropped() {
        assert_eq!(
            decode(b"\xEF\xBB\xBFname = \"a\"", "j").unwrap(),
            "name = \"a\""
        );
    }

    #[test]
    fn what_is_not_utf8_text_is_refused_with_its_kind() {
        assert_eq!(code(&[0xFF, 0xFE, b'n', 0]), "text-utf16");
        assert_eq!(code(b"n\0a\0"), "text-not-utf8");
        assert_eq!(code(b"note = \"14 \xB0C\""), "text-not-utf8");
        assert_eq!(code(&vec![b'#'; LARGEST_TEXT_BYTES + 1]), "text-too-large");
    }

    #[test]
    fn the_place_is_the_byte_itself() {
        let diag = decode(b"note = \"14 \xB0C\"", "job.toml").unwrap_err();
        assert_eq!(diag.place.unwrap().span, 11..12);
    }
}
