//! Charts of lights: read while they are pasted, taken out of a PDF, taken into the show. Texts of hundreds of kilobytes come
//! as requests and not through a page's socket, whose messages are short. Whoever may not make the show is turned away before
//! anything of the body is read.

use axum::body::{Bytes, to_bytes};
use axum::extract::{Extension, Request, State};
use axum::http::{StatusCode, Uri, header};
use axum::response::{IntoResponse, Response};

use super::accept::Peer;
use super::{Server, made, not_paired};
use crate::chart;
use crate::stage::json;
use crate::wire::{ChartAsk, ChartTake, ToPage};

/// The longest request with a chart in it, in bytes: JSON may write a letter as six.
const LONGEST_CHART: usize = 2 << 20;
/// The longest PDF that a page may send, in bytes.
const LONGEST_PDF: usize = 8 << 20;

/// A chart, read.
pub(super) async fn read(
    State(server): State<Server>,
    Extension(peer): Extension<Peer>,
    request: Request,
) -> Response {
    let headers = request.headers().clone();
    let body = match taken(&server, &peer, request, LONGEST_CHART).await {
        Ok(body) => body,
        Err(refused) => return refused,
    };
    match serde_json::from_slice::<ChartAsk>(&body) {
        Ok(ask) => made(server, peer, headers, move |_| chart::read(&ask)).await,
        Err(error) => (StatusCode::BAD_REQUEST, error.to_string()).into_response(),
    }
}

/// The text of a PDF.
pub(super) async fn pdf(
    State(server): State<Server>,
    Extension(peer): Extension<Peer>,
    request: Request,
) -> Response {
    let headers = request.headers().clone();
    match taken(&server, &peer, request, LONGEST_PDF).await {
        Ok(body) => made(server, peer, headers, move |_| chart::text_of(body.into())).await,
        Err(refused) => refused,
    }
}

/// A chart, taken into the show: a change like any other, answered once it is durable.
pub(super) async fn take(
    State(server): State<Server>,
    Extension(peer): Extension<Peer>,
    request: Request,
) -> Response {
    let body = match taken(&server, &peer, request, LONGEST_CHART).await {
        Ok(body) => body,
        Err(refused) => return refused,
    };
    let take = match serde_json::from_slice::<ChartTake>(&body) {
        Ok(take) => take,
        Err(error) => return (StatusCode::BAD_REQUEST, error.to_string()).into_response(),
    };
    let (answer, mut answers) = tokio::sync::mpsc::unbounded_channel();
    server.desk.take(&take.intent(), &answer);
    drop(answer);
    let busy = || {
        let says = "There are too many changes at once: try again in a moment.".to_owned();
        json(&ToPage::Said { says, wrong: true })
    };
    let said = answers.recv().await.unwrap_or_else(busy);
    ([(header::CONTENT_TYPE, "application/json"), (header::CACHE_CONTROL, "no-store")], said.to_string())
        .into_response()
}

/// What a kind of light's channels do, and the chart that it came from.
pub(super) async fn kind(
    State(server): State<Server>,
    Extension(peer): Extension<Peer>,
    headers: axum::http::HeaderMap,
    uri: Uri,
) -> Response {
    let hand = server.hand.clone();
    made(server, peer, headers, move |_| chart::kind(&hand.both(), uri.query().unwrap_or_default())).await
}

/// The body of a request by somebody who makes the show.
async fn taken(server: &Server, peer: &Peer, request: Request, most: usize) -> Result<Bytes, Response> {
    let role = server.role(peer, request.headers()).ok_or_else(not_paired)?;
    if let Some(why) = role.makes() {
        return Err((StatusCode::FORBIDDEN, why).into_response());
    }
    peer.place.may_send_much(true);
    let body = to_bytes(request.into_body(), most).await;
    peer.place.may_send_much(false);
    body.map_err(|_| {
        let why = format!("This is more than {} MB: send the pages of the chart alone.", most >> 20);
        (StatusCode::PAYLOAD_TOO_LARGE, why).into_response()
    })
}
