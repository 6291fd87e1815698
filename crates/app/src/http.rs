//! The page's server: its files, and one WebSocket for each page that looks on.
//!
//! Every request has to ask for this machine by an address or a name of its own, and pages of other sites are turned
//! away ([`crate::door::admitted`]). The page's files are for everybody; the rest is for those whom the door lets in.

mod accept;
mod charts;
mod ears;
mod talk;

use std::sync::Arc;

use axum::Router;
use axum::extract::ws::{Utf8Bytes, WebSocketUpgrade};
use axum::extract::{DefaultBodyLimit, Extension, Path, Request, State};
use axum::http::{HeaderMap, HeaderName, HeaderValue, StatusCode, Uri, header};
use axum::middleware::{Next, from_fn_with_state};
use axum::response::{IntoResponse, Response};
use axum::routing::{MethodRouter, get, post};
use tokio::sync::{Semaphore, watch};

use crate::begin;
use crate::desk::Desk;
use crate::door::{Door, admitted};
use crate::lux::Mapper;
use crate::page::FILES;
use crate::score;
use crate::sheets;
use crate::stage::Hand;
use crate::wire::{Intent, Role, ScoreAsk};

use accept::Peer;
pub(crate) use accept::serve;

/// Largest message a page may send: intents are short.
const LONGEST_INTENT: usize = 16 * 1024;
/// What is read from a socket at once.
const READ_AT_ONCE: usize = 16 * 1024;

/// So many maps are drawn at the same time; others wait.
const MAPS: usize = 2;

/// What every connection needs.
#[derive(Clone)]
pub(crate) struct Server {
    /// The scene, as JSON; changes wake every page.
    pub(crate) scene: watch::Receiver<Utf8Bytes>,
    /// The newest moment, as JSON. A slow page skips moments, it never queues them.
    pub(crate) moment: watch::Receiver<Utf8Bytes>,
    /// Setting up, as JSON; changes wake every page.
    pub(crate) setting_up: watch::Receiver<Utf8Bytes>,
    /// Where intents go.
    pub(crate) hand: Arc<Hand>,
    /// Where changes of the show go.
    pub(crate) desk: Desk,
    /// Light level maps of what is on.
    pub(crate) mapper: Arc<Mapper>,
    /// Who may come in.
    pub(crate) door: Arc<Door>,
    /// Maps that may be drawn now.
    pub(crate) maps: Arc<Semaphore>,
}

impl Server {
    /// As many maps at once as are good for the machine.
    pub(crate) fn maps() -> Arc<Semaphore> {
        Arc::new(Semaphore::new(MAPS))
    }

    /// What the browser of a request may; none before the door.
    fn role(&self, peer: &Peer, headers: &HeaderMap) -> Option<Role> {
        let token =
            headers.get(header::AUTHORIZATION).and_then(|value| value.to_str().ok()?.strip_prefix("Bearer "));
        let at_home = self.door.at_home(peer.ip).map(|guest| guest.role);
        at_home.or_else(|| self.door.role_of(token?))
    }
}

/// The routes.
pub(crate) fn router(server: Server) -> Router {
    let mut router = Router::new()
        .route("/live", get(live))
        .route("/ears", get(ears_of))
        .route("/lux.json", map(Mapper::json))
        .route("/lux.svg", map(Mapper::paper))
        .route("/score/{place}/sound", get(sound))
        .route("/score/{place}/outline.json", get(outline))
        .route("/sheets.pdf", get(printed))
        .route("/sheets/{file}", get(filed))
        .route("/chart.json", post(charts::read))
        .route("/chart.text", post(charts::pdf))
        .route("/chart.take", post(charts::take))
        .route("/kind.json", get(charts::kind))
        .route("/begin.json", post(begun).layer(DefaultBodyLimit::max(LONGEST_INTENT)));
    for file in FILES {
        let headers: [(HeaderName, &str); 2] =
            [(header::CONTENT_TYPE, file.content_type), (header::CACHE_CONTROL, "no-cache")];
        router = router.route(file.path, get(move || async move { (headers, file.bytes) }));
    }
    router.layer(from_fn_with_state(server.clone(), guarded)).with_state(server)
}

/// Turns away what does not come from our own page, and says with every answer what a browser must not do with it.
async fn guarded(
    State(server): State<Server>,
    Extension(peer): Extension<Peer>,
    request: Request,
    next: Next,
) -> Response {
    let (host, mut response) = match admitted(request.headers(), peer.local, server.door.names()) {
        Ok(host) => (host, next.run(request).await),
        Err(why) => (String::new(), (StatusCode::FORBIDDEN, why).into_response()),
    };
    let headers = response.headers_mut();
    let set = |headers: &mut HeaderMap, name: &'static str, value: &'static str| {
        headers.insert(HeaderName::from_static(name), HeaderValue::from_static(value));
    };
    set(headers, "x-content-type-options", "nosniff");
    set(headers, "referrer-policy", "no-referrer");
    set(headers, "cross-origin-resource-policy", "same-origin");
    set(headers, "cross-origin-embedder-policy", "require-corp");
    if peer.local.ip().to_canonical().is_loopback() {
        // Elsewhere, without TLS, browsers do not heed it and complain.
        set(headers, "cross-origin-opener-policy", "same-origin");
    }
    if !headers.contains_key(header::CONTENT_SECURITY_POLICY) {
        // The socket is named, since not every browser counts it among 'self'.
        let policy = format!(
            "default-src 'none'; script-src 'self'; style-src 'self'; font-src 'self'; img-src 'self' data:; \
             media-src 'self' blob:; connect-src 'self' ws://{host}; base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
        );
        if let Ok(policy) = HeaderValue::from_str(&policy) {
            headers.insert(header::CONTENT_SECURITY_POLICY, policy);
        }
    }
    response
}

async fn live(
    State(server): State<Server>,
    Extension(peer): Extension<Peer>,
    upgrade: WebSocketUpgrade,
) -> Response {
    upgrade
        .max_message_size(LONGEST_INTENT)
        .max_frame_size(LONGEST_INTENT)
        .read_buffer_size(READ_AT_ONCE)
        .on_upgrade(move |socket| talk::talk(socket, server, peer))
}

async fn ears_of(
    State(server): State<Server>,
    Extension(peer): Extension<Peer>,
    upgrade: WebSocketUpgrade,
) -> Response {
    upgrade
        .max_message_size(LONGEST_INTENT)
        .max_frame_size(LONGEST_INTENT)
        .read_buffer_size(READ_AT_ONCE)
        .on_upgrade(move |socket| ears::listen(socket, server, peer))
}

/// A map of what is on, drawn as its request asks, for those who may come in.
fn map(draw: fn(&Mapper, Option<&str>) -> Response) -> MethodRouter<Server> {
    get(
        move |State(server): State<Server>,
              Extension(peer): Extension<Peer>,
              headers: HeaderMap,
              uri: Uri| { made(server, peer, headers, move |mapper| draw(mapper, uri.query())) },
    )
}

/// A first show as it would be, for those who may come in.
async fn begun(
    State(server): State<Server>,
    Extension(peer): Extension<Peer>,
    headers: HeaderMap,
    body: String,
) -> Response {
    let hand = server.hand.clone();
    made(server, peer, headers, move |_| begin::answer(&hand.both(), &body)).await
}

/// The sheets as one file, for those who may come in.
async fn printed(
    State(server): State<Server>,
    Extension(peer): Extension<Peer>,
    headers: HeaderMap,
    uri: Uri,
) -> Response {
    let (hand, door) = (server.hand.clone(), server.door.clone());
    made(server, peer, headers, move |_| sheets::answer(&hand.both(), uri.query(), door.url())).await
}

/// A drawing or a table of the sheets as a file of its own, likewise.
async fn filed(
    State(server): State<Server>,
    Extension(peer): Extension<Peer>,
    headers: HeaderMap,
    Path(file): Path<String>,
    uri: Uri,
) -> Response {
    let hand = server.hand.clone();
    made(server, peer, headers, move |_| sheets::file(&hand.both(), &file, uri.query())).await
}

/// The sound of a score, by its place in the show, for those who may run it.
async fn sound(
    State(server): State<Server>,
    Extension(peer): Extension<Peer>,
    headers: HeaderMap,
    Path(place): Path<usize>,
) -> Response {
    match server.role(&peer, &headers) {
        None => return not_paired(),
        Some(role) if role.refuses(&Intent::Score { ask: ScoreAsk::Stop }).is_some() => {
            return (StatusCode::FORBIDDEN, "this browser may only look on\n").into_response();
        }
        Some(_) => {}
    }
    let (hand, asked) = (server.hand.clone(), headers.clone());
    made(server, peer, headers, move |_| score::sound::answer(&hand.both().show, place, hand.path(), &asked))
        .await
}

/// The outline of that sound, for those who may come in.
async fn outline(
    State(server): State<Server>,
    Extension(peer): Extension<Peer>,
    headers: HeaderMap,
    Path(place): Path<usize>,
) -> Response {
    let hand = server.hand.clone();
    made(server, peer, headers, move |_| score::sound::outline(&hand.both().show, place, hand.path())).await
}

/// What a browser before the door is told.
fn not_paired() -> Response {
    let how = [(header::WWW_AUTHENTICATE, "Bearer")];
    (StatusCode::UNAUTHORIZED, how, "this browser is not paired\n").into_response()
}

/// What takes some milliseconds to make is not made where sockets are served.
async fn made(
    server: Server,
    peer: Peer,
    headers: HeaderMap,
    draw: impl FnOnce(&Mapper) -> Response + Send + 'static,
) -> Response {
    if server.role(&peer, &headers).is_none() {
        return not_paired();
    }
    let Ok(turn) = server.maps.clone().acquire_owned().await else {
        return StatusCode::SERVICE_UNAVAILABLE.into_response();
    };
    let drawn = tokio::task::spawn_blocking(move || {
        let drawn = draw(&server.mapper);
        drop(turn);
        drawn
    })
    .await;
    drawn.unwrap_or_else(|_| StatusCode::INTERNAL_SERVER_ERROR.into_response())
}
