//! A question as a page sees it, and the reply. Knows the rules of addresses and forms; knows no page.

use maud::Markup;

use super::lang::Lang;

/// Names and values, in the order they came.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(crate) struct Fields(Vec<(String, String)>);

impl Fields {
    /// From `a=1&b=two+words`, as in an address or a plain form.
    pub(crate) fn read(text: &str) -> Self {
        Self(
            text.split('&')
                .filter(|pair| !pair.is_empty())
                .map(|pair| {
                    let (name, value) = pair.split_once('=').unwrap_or((pair, ""));
                    (unescaped(name), unescaped(value))
                })
                .collect(),
        )
    }

    /// From names and values.
    pub(crate) fn of(pairs: Vec<(String, String)>) -> Self {
        Self(pairs)
    }

    /// The first value of that name, without blanks at its ends; empty where there is none.
    pub(crate) fn get(&self, name: &str) -> &str {
        self.0
            .iter()
            .find(|(known, _)| known == name)
            .map_or("", |(_, value)| value.trim())
    }

    /// The same; nothing where it is empty.
    pub(crate) fn given(&self, name: &str) -> Option<&str> {
        Some(self.get(name)).filter(|value| !value.is_empty())
    }
}

/// A browser writes a blank as `+` and whatever could be misread as `%` and two digits.
fn unescaped(text: &str) -> String {
    let bytes = text.as_bytes();
    let mut out = Vec::with_capacity(bytes.len());
    let mut at = 0;
    while at < bytes.len() {
        let coded = (bytes[at] == b'%')
            .then(|| text.get(at + 1..at + 3))
            .flatten()
            .filter(|digits| digits.bytes().all(|digit| digit.is_ascii_hexdigit()))
            .and_then(|digits| u8::from_str_radix(digits, 16).ok());
        match (coded, bytes[at]) {
            (Some(byte), _) => {
                out.push(byte);
                at += 2;
            }
            (None, b'+') => out.push(b' '),
            (None, byte) => out.push(byte),
        }
        at += 1;
    }
    // Lines end as everywhere else in the program.
    String::from_utf8_lossy(&out).replace("\r\n", "\n")
}

/// A text as one part of an address.
pub(crate) fn escaped(text: &str) -> String {
    text.bytes()
        .map(|byte| match byte {
            b'A'..=b'Z' | b'a'..=b'z' | b'0'..=b'9' | b'-' | b'_' | b'.' | b'~' => {
                char::from(byte).to_string()
            }
            byte => format!("%{byte:02X}"),
        })
        .collect()
}

/// A question.
#[derive(Clone, Debug)]
pub(crate) struct Ask {
    /// The path as asked, with what stands behind it.
    pub(crate) address: String,
    /// Parts of the path by the route's names.
    pub(crate) parts: Fields,
    /// What stands behind the question mark.
    pub(crate) query: Fields,
    /// The form; empty for a look.
    pub(crate) form: Fields,
    /// Cookies as they came.
    pub(crate) cookies: Vec<(String, String)>,
    /// Language of the reply.
    pub(crate) lang: Lang,
    /// Who is signed in, where anybody has to.
    pub(crate) signed_in: Option<casewright_records::Person>,
}

impl Ask {
    /// The value of a cookie.
    pub(crate) fn cookie(&self, name: &str) -> Option<&str> {
        self.cookies
            .iter()
            .find(|(known, _)| known == name)
            .map(|(_, value)| value.as_str())
    }
}

/// A reply.
#[derive(Clone, Debug)]
pub(crate) struct Reply {
    /// Status.
    pub(crate) status: u16,
    /// What the bytes are.
    pub(crate) content_type: &'static str,
    /// Further heads.
    pub(crate) heads: Vec<(&'static str, String)>,
    /// The bytes.
    pub(crate) body: Vec<u8>,
}

impl Reply {
    /// A page.
    pub(crate) fn page(markup: Markup) -> Self {
        Self::bytes(
            "text/html; charset=utf-8",
            markup.into_string().into_bytes(),
        )
    }

    /// An answer for scripts, already JSON.
    pub(crate) fn json(text: String) -> Self {
        Self::bytes("application/json", text.into_bytes())
    }

    /// Bytes of a kind.
    pub(crate) fn bytes(content_type: &'static str, body: Vec<u8>) -> Self {
        Self {
            status: 200,
            content_type,
            heads: Vec::new(),
            body,
        }
    }

    /// What was asked is done; go and look there.
    pub(crate) fn go(to: &str) -> Self {
        Self {
            status: 303,
            content_type: "text/plain; charset=utf-8",
            heads: vec![("location", to.to_owned())],
            body: Vec::new(),
        }
    }

    /// The same with another status.
    pub(crate) fn status(mut self, status: u16) -> Self {
        self.status = status;
        self
    }

    /// The same with one more head.
    pub(crate) fn head(mut self, name: &'static str, value: impl Into<String>) -> Self {
        self.heads.push((name, value.into()));
        self
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_form_is_read_as_browsers_write_it() {
        let fields = Fields::read("note=CHD+550+HV%2B&x=%C3%A9&broken=%zz%&empty=&x=2");
        assert_eq!(fields.get("note"), "CHD 550 HV+");
        assert_eq!(fields.get("x"), "é");
        assert_eq!(fields.get("broken"), "%zz%");
        assert_eq!(fields.given("empty"), None);
        assert_eq!(fields.get("missing"), "");
    }

    #[test]
    fn an_escaped_part_reads_back() {
        for text in ["GS-0141", "a b/c?d&e=é<script>", "100 %"] {
            assert_eq!(unescaped(&escaped(text)), text);
        }
    }
}
