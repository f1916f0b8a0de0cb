//! The server: binds, hands every question to its page, ends on an interrupt.
//!
//! Pages are plain functions and may take their time; they run on threads of their own, and a defect
//! in one is a page that says so.

use std::net::{Ipv4Addr, SocketAddr};
use std::pin::Pin;
use std::sync::Arc;

use axum::Router;
use axum::body::{Body, to_bytes};
use axum::extract::{RawPathParams, Request};
use axum::http::{HeaderName, HeaderValue, StatusCode, header};
use axum::response::Response;
use axum::routing::{MethodFilter, MethodRouter, on};
use tokio::net::TcpListener;

use super::ask::{Ask, Fields, Reply};
use super::fault::Fault;
use super::gate::{self, Reach};
use super::lang::Lang;
use super::people::SESSION_COOKIE;
use super::route::{Kind, Method, Route};
use super::site::Site;
use super::{live, sign_in};
use crate::{guard, world};

/// The cookie that remembers the language.
pub(crate) const LANG_COOKIE: &str = "casewright-language";

/// A server that listens.
#[derive(Debug)]
pub(crate) struct Listening {
    site: Arc<Site>,
    listener: TcpListener,
    router: Router,
    /// Where.
    pub(crate) address: SocketAddr,
}

impl Listening {
    /// Answers until the signal comes.
    ///
    /// # Errors
    /// Where the system takes the listener away.
    pub(crate) async fn until(
        self,
        signal: impl Future<Output = ()> + Send + 'static,
    ) -> std::io::Result<()> {
        let site = self.site;
        let ending = async move {
            signal.await;
            // Open replies would keep the server waiting for good.
            site.close();
        };
        axum::serve(self.listener, self.router)
            .with_graceful_shutdown(ending)
            .await
    }
}

/// Listens; port 0 takes a free one.
///
/// # Errors
/// Where the port is taken.
pub(crate) async fn listen(site: Arc<Site>, port: u16, reach: Reach) -> std::io::Result<Listening> {
    let where_from = match reach {
        Reach::Here => Ipv4Addr::LOCALHOST,
        Reach::Network => Ipv4Addr::UNSPECIFIED,
    };
    let listener = TcpListener::bind((where_from, port)).await?;
    let address = listener.local_addr()?;
    Ok(Listening {
        listener,
        router: router(&site, reach),
        site,
        address,
    })
}

fn router(site: &Arc<Site>, reach: Reach) -> Router {
    let mut router = Router::new();
    for route in super::routes() {
        router = router.route(route.path, method(site, route, reach));
    }
    let told = site.clone();
    let live = on(MethodFilter::GET, move |request: Request| {
        let site = told.clone();
        async move { watched(&site, reach, request) }
    });
    router
        .route("/runs/{run}/live", live)
        .method_not_allowed_fallback(nowhere(site, reach))
        .fallback(nowhere(site, reach))
}

/// The handler where no route, or none of that method, is.
fn nowhere(
    site: &Arc<Site>,
    reach: Reach,
) -> impl Fn(Request) -> Pin<Box<dyn Future<Output = Response> + Send>> + Clone + Send + Sync + 'static
{
    let site = site.clone();
    move |request| {
        let site = site.clone();
        Box::pin(async move { answered(&site, &NOWHERE, Vec::new(), request, reach).await })
    }
}

/// What answers where no route does.
const NOWHERE: Route = Route::page("", "no such page", |_, _| Err(Fault::Missing));

/// The open reply that tells when the book grows.
fn watched(site: &Arc<Site>, reach: Reach, request: Request) -> Response {
    let (head, _) = request.into_parts();
    let ask = asked(site, &head, Vec::new());
    let admitted = gate::admit(Method::Get, &head.headers, reach).and_then(|()| let_in(site, &ask));
    let opened = admitted.and_then(|()| live::stream(site).ok_or(Fault::TooOften));
    match opened {
        Ok(mut response) => {
            gate::dress(response.headers_mut());
            response
        }
        Err(fault) => response(fault.json()),
    }
}

/// Whether somebody is signed in, where somebody has to be.
fn let_in(site: &Site, ask: &Ask) -> Result<(), Fault> {
    if site.people.any() && ask.signed_in.is_none() {
        return Err(Fault::SignIn);
    }
    Ok(())
}

/// What can be asked before anybody has signed in: the way in, and what it is dressed with.
fn is_open(path: &str) -> bool {
    matches!(path, "/sign-in" | "/language" | "/assets/{name}")
}

fn method(site: &Arc<Site>, route: &'static Route, reach: Reach) -> MethodRouter {
    let filter = match route.method {
        Method::Get => MethodFilter::GET,
        Method::Post => MethodFilter::POST,
    };
    let site = site.clone();
    on(filter, move |params: RawPathParams, request: Request| {
        let site = site.clone();
        let parts = params
            .iter()
            .map(|(name, value)| (name.to_owned(), value.to_owned()))
            .collect();
        async move { answered(&site, route, parts, request, reach).await }
    })
}

async fn answered(
    site: &Arc<Site>,
    route: &'static Route,
    parts: Vec<(String, String)>,
    request: Request,
    reach: Reach,
) -> Response {
    let (head, body) = request.into_parts();
    let method = if head.method == "POST" {
        Method::Post
    } else {
        Method::Get
    };
    let mut ask = asked(site, &head, parts);
    let admitted = gate::admit(method, &head.headers, reach).and_then(|()| {
        if is_open(route.path) {
            Ok(())
        } else {
            let_in(site, &ask)
        }
    });
    let outcome = match (admitted, taken(method, body).await) {
        (Err(fault), _) | (_, Err(fault)) => Err(fault),
        (Ok(()), Ok(form)) => {
            ask.form = form;
            let (site, ask) = (site.clone(), ask.clone());
            tokio::task::spawn_blocking(move || held(&site, route, &ask))
                .await
                .unwrap_or_else(|fault| Err(Fault::Inside(fault.to_string())))
        }
    };
    let reply = outcome.unwrap_or_else(|fault| {
        if let Some(words) = fault.log() {
            world::complain(&format!("{}: {words}\n", route.path));
        }
        match route.kind {
            Kind::Page if matches!(fault, Fault::SignIn) => sign_in::show_the_way(&ask),
            Kind::Page => fault.page(&ask),
            Kind::Api => fault.json(),
        }
    });
    response(reply)
}

/// Runs the page; its defects become a fault.
fn held(site: &Site, route: &Route, ask: &Ask) -> Result<Reply, Fault> {
    guard::run(|| Ok((route.answer)(site, ask)))?
}

async fn taken(method: Method, body: Body) -> Result<Fields, Fault> {
    if method == Method::Get {
        return Ok(Fields::default());
    }
    let bytes = to_bytes(body, gate::MOST_BYTES)
        .await
        .map_err(|_| Fault::TooMuch)?;
    Ok(Fields::read(&String::from_utf8_lossy(&bytes)))
}

fn asked(site: &Site, head: &axum::http::request::Parts, parts: Vec<(String, String)>) -> Ask {
    let said = |name| {
        head.headers
            .get(name)
            .and_then(|value: &HeaderValue| value.to_str().ok())
            .unwrap_or("")
    };
    let cookies: Vec<(String, String)> = said(header::COOKIE)
        .split(';')
        .filter_map(|pair| pair.trim().split_once('='))
        .map(|(name, value)| (name.to_owned(), value.to_owned()))
        .collect();
    let lang = cookies
        .iter()
        .find(|(name, _)| name == LANG_COOKIE)
        .and_then(|(_, code)| Lang::of(code))
        .or_else(|| Lang::liked(said(header::ACCEPT_LANGUAGE)))
        .unwrap_or(Lang::En);
    let signed_in = cookies
        .iter()
        .find(|(name, _)| name == SESSION_COOKIE)
        .and_then(|(_, token)| site.people.of_session(token));
    Ask {
        signed_in,
        address: head
            .uri
            .path_and_query()
            .map_or_else(|| "/".to_owned(), ToString::to_string),
        parts: Fields::of(parts),
        query: Fields::read(head.uri.query().unwrap_or("")),
        form: Fields::default(),
        cookies,
        lang,
    }
}

fn response(reply: Reply) -> Response {
    let mut response = Response::new(Body::from(reply.body));
    *response.status_mut() =
        StatusCode::from_u16(reply.status).unwrap_or(StatusCode::INTERNAL_SERVER_ERROR);
    let heads = response.headers_mut();
    heads.insert(
        header::CONTENT_TYPE,
        HeaderValue::from_static(reply.content_type),
    );
    for (name, value) in reply.heads {
        // A value that no head can carry is left out: a broken reply would tell less.
        if let Ok(value) = HeaderValue::from_str(&value) {
            heads.append(HeaderName::from_static(name), value);
        }
    }
    gate::dress(heads);
    response
}
