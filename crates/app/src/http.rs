//! The page's server: its files, and one WebSocket for each page that looks on.
//!
//! Pages of other sites must not reach the lights: a WebSocket is opened only for a page that this very server gave
//! out (its `Origin` is the `Host` asked for), and while listening on this machine alone only by its local names.

use std::net::SocketAddr;
use std::sync::Arc;

use axum::Router;
use axum::extract::State;
use axum::extract::ws::{Message, Utf8Bytes, WebSocket, WebSocketUpgrade};
use axum::http::{HeaderMap, HeaderName, StatusCode, Uri, header};
use axum::response::{IntoResponse, Response};
use axum::routing::get;
use futures_util::{SinkExt, StreamExt};
use tokio::sync::watch;

use crate::lux::Mapper;
use crate::page::FILES;
use crate::stage::Hand;
use crate::wire::Intent;

/// Largest message a page may send: intents are short.
const LONGEST_INTENT: usize = 16 * 1024;

/// So many moments may be on their way to a page that says which it has seen; then it gets the newest, not the next.
/// Without this a page on a slow machine would fall behind by as much as the system's buffers hold: half a minute.
const MOST_ON_THE_WAY: u32 = 4;

/// What every connection needs.
#[derive(Clone)]
pub(crate) struct Server {
    /// The scene, as JSON; changes wake every page.
    pub(crate) scene: watch::Receiver<Utf8Bytes>,
    /// The newest moment, as JSON. A slow page skips moments, it never queues them.
    pub(crate) moment: watch::Receiver<Utf8Bytes>,
    /// Where intents go.
    pub(crate) hand: Arc<Hand>,
    /// Light level maps of what is on.
    pub(crate) mapper: Arc<Mapper>,
    /// `true` while listening on this machine alone.
    pub(crate) local: bool,
}

/// The routes.
pub(crate) fn router(server: Server) -> Router {
    let mut router = Router::new()
        .route("/live", get(live))
        .route("/lux.json", get(lux_json))
        .route("/lux.svg", get(lux_paper));
    for file in FILES {
        let headers: [(HeaderName, &str); 3] = [
            (header::CONTENT_TYPE, file.content_type),
            (header::CACHE_CONTROL, "no-cache"),
            (header::X_CONTENT_TYPE_OPTIONS, "nosniff"),
        ];
        router = router.route(file.path, get(move || async move { (headers, file.bytes) }));
    }
    router.with_state(server)
}

async fn live(State(server): State<Server>, headers: HeaderMap, upgrade: WebSocketUpgrade) -> Response {
    if let Err(why) = admitted(&headers, server.local) {
        return (StatusCode::FORBIDDEN, why).into_response();
    }
    upgrade.max_message_size(LONGEST_INTENT).on_upgrade(move |socket| talk(socket, server))
}

async fn lux_json(State(server): State<Server>, headers: HeaderMap, uri: Uri) -> Response {
    map(server, headers, move |mapper| mapper.json(uri.query())).await
}

async fn lux_paper(State(server): State<Server>, headers: HeaderMap, uri: Uri) -> Response {
    map(server, headers, move |mapper| mapper.paper(uri.query())).await
}

/// A map takes some milliseconds: not where sockets are served.
async fn map(
    server: Server,
    headers: HeaderMap,
    draw: impl FnOnce(&Mapper) -> Response + Send + 'static,
) -> Response {
    if let Err(why) = admitted(&headers, server.local) {
        return (StatusCode::FORBIDDEN, why).into_response();
    }
    let drawn = tokio::task::spawn_blocking(move || draw(&server.mapper)).await;
    drawn.unwrap_or_else(|_| StatusCode::INTERNAL_SERVER_ERROR.into_response())
}

/// Whether the request comes from our own page.
fn admitted(headers: &HeaderMap, local: bool) -> Result<(), &'static str> {
    let text = |name: HeaderName| headers.get(name).and_then(|value| value.to_str().ok());
    let host = text(header::HOST).ok_or("no host")?;
    if local && !is_local_name(host) {
        return Err("this show listens on its own machine only");
    }
    match text(header::ORIGIN) {
        Some(origin) if origin.split_once("://").is_some_and(|(_, from)| from == host) => Ok(()),
        Some(_) => Err("another site's page has no hand on the lights"),
        // Not a browser: a script on this machine or network, which could as well claim any origin.
        None => Ok(()),
    }
}

fn is_local_name(host: &str) -> bool {
    let name = match host.parse::<SocketAddr>() {
        Ok(address) => return address.ip().is_loopback(),
        Err(_) => host.rsplit_once(':').map_or(host, |(name, _)| name),
    };
    name == "localhost" || name.parse::<std::net::IpAddr>().is_ok_and(|ip| ip.is_loopback())
}

async fn talk(socket: WebSocket, mut server: Server) {
    let (mut out, mut input) = socket.split();
    server.scene.mark_changed();
    server.moment.mark_changed();
    let mut on_the_way: u32 = 0;
    // What never says that it has seen a moment is not waited for.
    let mut says_seen = false;
    loop {
        let message = tokio::select! {
            biased;
            changed = server.scene.changed() => match changed {
                Ok(()) => server.scene.borrow_and_update().clone(),
                Err(_) => break,
            },
            heard = input.next() => match heard {
                Some(Ok(Message::Text(text))) => {
                    // What is no intent is dropped: an older page may know words that are gone.
                    match serde_json::from_str::<Intent>(&text) {
                        Ok(Intent::Seen) => {
                            says_seen = true;
                            on_the_way = on_the_way.saturating_sub(1);
                        }
                        Ok(intent) => match server.hand.answer(&intent) {
                            Some(answer) => {
                                if out.send(Message::Text(answer)).await.is_err() {
                                    break;
                                }
                            }
                            None => server.hand.take(&intent),
                        },
                        Err(_) => {}
                    }
                    continue;
                }
                Some(Ok(Message::Close(_)) | Err(_)) | None => break,
                Some(Ok(_)) => continue,
            },
            changed = server.moment.changed(), if !says_seen || on_the_way < MOST_ON_THE_WAY => {
                if changed.is_err() {
                    break;
                }
                let moment = server.moment.borrow_and_update().clone();
                on_the_way = on_the_way.saturating_add(u32::from(!moment.is_empty()));
                moment
            }
        };
        // Before its first moment a show has nothing to say of it.
        if !message.is_empty() && out.send(Message::Text(message)).await.is_err() {
            break;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_our_own_page_has_a_hand_on_the_lights() {
        let headers = |host: &str, origin: Option<&str>| {
            let mut headers = HeaderMap::new();
            headers.insert(header::HOST, host.parse().unwrap());
            if let Some(origin) = origin {
                headers.insert(header::ORIGIN, origin.parse().unwrap());
            }
            headers
        };
        for (host, origin, local, ok) in [
            ("127.0.0.1:7411", Some("http://127.0.0.1:7411"), true, true),
            ("localhost:7411", Some("http://localhost:7411"), true, true),
            ("[::1]:7411", Some("http://[::1]:7411"), true, true),
            ("127.0.0.1:7411", None, true, true),
            ("127.0.0.1:7411", Some("http://elsewhere.example"), true, false),
            ("rebound.example:7411", Some("http://rebound.example:7411"), true, false),
            ("10.0.0.5:7411", Some("http://10.0.0.5:7411"), false, true),
            ("10.0.0.5:7411", Some("null"), false, false),
        ] {
            assert_eq!(admitted(&headers(host, origin), local).is_ok(), ok, "{host} {origin:?}");
        }
    }
}
