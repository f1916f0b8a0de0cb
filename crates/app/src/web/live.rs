//! Tells a page that the book has grown, as events over one open reply. Sends only how far the book
//! goes: the page then looks for itself.

use std::convert::Infallible;
use std::sync::Arc;
use std::sync::atomic::{AtomicU32, Ordering};
use std::time::Duration;

use axum::body::{Body, Bytes};
use axum::http::{HeaderValue, header};
use axum::response::Response;
use casewright_records::Look;

use super::site::Site;

/// Between two looks into the book.
const LOOK: Duration = Duration::from_secs(1);
/// Looks without news after which a line is sent all the same, so that a broken way shows.
const QUIET_LOOKS: u32 = 15;
/// Most pages that are told; each holds one connection and one look a second.
const MOST: u32 = 32;

/// A place among the pages that are told; given back when the page goes.
struct Place(Arc<AtomicU32>);

impl Drop for Place {
    fn drop(&mut self) {
        self.0.fetch_sub(1, Ordering::Relaxed);
    }
}

struct Watch {
    site: Arc<Site>,
    place: Place,
    told: Option<u64>,
    quiet: u32,
}

/// The open reply; `None` where too many are open already: the page then asks on its own.
pub(crate) fn stream(site: &Arc<Site>) -> Option<Response> {
    let open = site.watchers.clone();
    if open.fetch_add(1, Ordering::Relaxed) >= MOST {
        open.fetch_sub(1, Ordering::Relaxed);
        return None;
    }
    let watch = Watch {
        site: site.clone(),
        place: Place(open),
        told: None,
        quiet: 0,
    };
    let lines = futures_util::stream::unfold(watch, |mut watch| async move {
        let line = next(&mut watch).await?;
        Some((Ok::<Bytes, Infallible>(Bytes::from(line)), watch))
    });
    let mut response = Response::new(Body::from_stream(lines));
    response.headers_mut().insert(
        header::CONTENT_TYPE,
        HeaderValue::from_static("text/event-stream"),
    );
    Some(response)
}

/// The next line; `None` where the server ends or the book cannot be read.
async fn next(watch: &mut Watch) -> Option<String> {
    debug_assert!(watch.place.0.load(Ordering::Relaxed) > 0);
    loop {
        if watch.site.is_closing() {
            return None;
        }
        let site = watch.site.clone();
        let count = tokio::task::spawn_blocking(move || site.look().ok()?.head().ok())
            .await
            .ok()??
            .count;
        if watch.told != Some(count) {
            watch.told = Some(count);
            watch.quiet = 0;
            return Some(format!("event: grown\ndata: {count}\n\n"));
        }
        watch.quiet += 1;
        if watch.quiet >= QUIET_LOOKS {
            watch.quiet = 0;
            return Some(": still here\n\n".to_owned());
        }
        tokio::time::sleep(LOOK).await;
    }
}
