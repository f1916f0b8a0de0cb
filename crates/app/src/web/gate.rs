//! The gate before every page: who may ask, how much may be sent, and the heads that every reply
//! carries.
//!
//! A form is taken only from our own pages: the browser says where it comes from (`Sec-Fetch-Site`,
//! `Origin`), and neither can be set by a foreign page. The name in `Host` must be this machine's own,
//! so that a foreign name pointed at it opens nothing.

use axum::http::{HeaderMap, HeaderValue, header};

use super::fault::Fault;
use super::route::Method;

/// Most that is taken in one form, in bytes: a note, a shop file and some words.
pub(crate) const MOST_BYTES: usize = 1 << 20;

/// Who can reach the pages.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Reach {
    /// This machine only.
    Here,
    /// Whoever is in the network and signs in.
    Network,
}

/// Heads of every reply.
const HEADS: [(&str, &str); 7] = [
    (
        "content-security-policy",
        "default-src 'self'; img-src 'self' data:; base-uri 'none'; form-action 'self'; \
         frame-ancestors 'none'; object-src 'none'",
    ),
    ("x-content-type-options", "nosniff"),
    ("x-frame-options", "DENY"),
    ("referrer-policy", "same-origin"),
    (
        "permissions-policy",
        "accelerometer=(), camera=(), geolocation=(), gyroscope=(), magnetometer=(), microphone=(), \
         payment=(), usb=()",
    ),
    ("cross-origin-opener-policy", "same-origin"),
    ("cross-origin-resource-policy", "same-origin"),
];

/// Puts the heads of the house on a reply.
pub(crate) fn dress(heads: &mut HeaderMap) {
    for (name, value) in HEADS {
        heads.insert(name, HeaderValue::from_static(value));
    }
    // What a shop reads is its own; a shared machine's browser keeps none of it.
    heads
        .entry(header::CACHE_CONTROL)
        .or_insert(HeaderValue::from_static("no-store"));
}

/// Whether the question may be answered.
///
/// # Errors
/// [`Fault::Stranger`] with the reason for the log.
pub(crate) fn admit(method: Method, heads: &HeaderMap, reach: Reach) -> Result<(), Fault> {
    let said = |name: header::HeaderName| heads.get(name).and_then(|value| value.to_str().ok());
    let host = said(header::HOST).unwrap_or("");
    if !own_name(host, reach) {
        return Err(Fault::Stranger("the Host head names another machine"));
    }
    if method == Method::Get {
        return Ok(());
    }
    let site = heads
        .get("sec-fetch-site")
        .and_then(|value| value.to_str().ok());
    if site.is_some_and(|site| site != "same-origin") {
        return Err(Fault::Stranger("a form of another site"));
    }
    match said(header::ORIGIN) {
        Some(origin) if origin.strip_prefix("http://") == Some(host) => Ok(()),
        None if site.is_some() => Ok(()),
        Some(_) => Err(Fault::Stranger("the Origin head names another site")),
        None => Err(Fault::Stranger("the form does not say where it comes from")),
    }
}

/// Names under which this machine calls itself.
///
/// On a network this machine is asked for by its number only: a foreign page can point a name at a
/// number, but not have the browser send the number as the name.
fn own_name(host: &str, reach: Reach) -> bool {
    let name = match host.rsplit_once(':') {
        Some((name, port)) if port.bytes().all(|digit| digit.is_ascii_digit()) => name,
        _ => host,
    };
    let number = || name.parse::<std::net::Ipv4Addr>().is_ok();
    matches!(name, "127.0.0.1" | "localhost" | "[::1]") || (reach == Reach::Network && number())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn heads(pairs: &[(&'static str, &'static str)]) -> HeaderMap {
        let mut map = HeaderMap::new();
        for (name, value) in pairs {
            map.insert(*name, HeaderValue::from_static(value));
        }
        map
    }

    #[test]
    fn only_our_own_forms_are_taken() {
        let host = ("host", "127.0.0.1:8417");
        let taken = |more: &[(&'static str, &'static str)]| {
            let mut all = vec![host];
            all.extend_from_slice(more);
            admit(Method::Post, &heads(&all), Reach::Here).is_ok()
        };
        assert!(taken(&[("origin", "http://127.0.0.1:8417")]));
        assert!(taken(&[("sec-fetch-site", "same-origin")]));
        assert!(!taken(&[]));
        assert!(!taken(&[("origin", "http://127.0.0.1:9000")]));
        assert!(!taken(&[("origin", "null")]));
        assert!(!taken(&[("origin", "http://evil.test")]));
        for site in ["cross-site", "same-site", "none"] {
            assert!(!taken(&[
                ("sec-fetch-site", site),
                ("origin", "http://127.0.0.1:8417")
            ]));
        }
    }

    #[test]
    fn a_foreign_name_opens_nothing() {
        for host in [
            "shop.test",
            "127.0.0.1.evil.test",
            "",
            "127.0.0.1:x",
            "evil.test:8417",
        ] {
            let map =
                HeaderMap::from_iter([(header::HOST, HeaderValue::from_str(host).expect("plain"))]);
            assert!(admit(Method::Get, &map, Reach::Here).is_err(), "{host}");
        }
        assert!(
            admit(
                Method::Get,
                &heads(&[("host", "localhost:8417")]),
                Reach::Here
            )
            .is_ok()
        );
        assert!(admit(Method::Get, &heads(&[("host", "[::1]:8417")]), Reach::Here).is_ok());
    }

    #[test]
    fn on_a_network_this_machine_is_asked_for_by_its_number() {
        let asked = |host, reach| admit(Method::Get, &heads(&[("host", host)]), reach).is_ok();
        assert!(asked("192.168.7.20:8417", Reach::Network));
        assert!(!asked("192.168.7.20:8417", Reach::Here));
        assert!(!asked("shop.evil.test:8417", Reach::Network));
    }
}
