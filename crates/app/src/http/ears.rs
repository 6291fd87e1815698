//! A page's sound: a socket of its own, so that neither what a hand asks nor the picture ever waits for it, nor it for them.

use std::time::Duration;

use axum::extract::ws::{Message, Utf8Bytes, WebSocket};
use lanthorn_live::ears::{Brings, Feed, Source};
use lanthorn_physics::Span;
use tokio::time::{Instant, sleep_until, timeout};

use super::Server;
use super::accept::Peer;
use super::talk;
use crate::door::Bucket;
use crate::ears::samples;
use crate::wire::{EarsHello, Intent, MusicAsk, ToEars};

/// Blocks a second, and at once: pages send fifty to a hundred.
const BLOCKS: u32 = 200;
const BLOCKS_AT_ONCE: u32 = 200;
/// Largest block: 80 ms at 48 kHz.
const LARGEST: usize = 8 * 1024;
/// Bytes before the samples of a block.
const COUNT: usize = 8;
/// The first words have to come within this.
const HELLO: Duration = Duration::from_secs(10);
/// Rates that can be listened to are told by the ears; a name is no longer than this.
const LONGEST_NAME: usize = 60;
/// No input is later than this, milliseconds.
const MOST_DELAY_MS: f64 = 500.0;

/// Hears a page until either side ends it.
pub(super) async fn listen(mut socket: WebSocket, server: Server, peer: Peer) {
    let Some(guest) = talk::admitted(&mut socket, &server, &peer).await else { return };
    let sent_away = tokio::select! {
        biased;
        () = talk::stayed(guest.stay.clone()) => true,
        () = async {
            let says = match guest.role.refuses(&Intent::Music { ask: MusicAsk::Off }) {
                Some(says) => says.to_owned(),
                None => hear(&mut socket, &server, &peer).await,
            };
            end(&mut socket, says).await;
        } => false,
    };
    if sent_away {
        end(&mut socket, "This browser was sent away.".to_owned()).await;
    }
}

/// Hears blocks; why it ended, in one sentence.
async fn hear(socket: &mut WebSocket, server: &Server, peer: &Peer) -> String {
    let Ok(Some(hello)) = timeout(HELLO, hello(socket)).await else {
        return "The page did not say what it sends.".to_owned();
    };
    let feed = server.hand.ears().open(source(&hello));
    if say(socket, &ToEars::Listening { number: feed.number() as f64 }).await.is_none() {
        return String::new();
    }
    // It was let in, and is bounded below.
    peer.place.may_send_much(true);
    let says = blocks(socket, server, &feed).await;
    peer.place.may_send_much(false);
    says
}

/// The first words. A browser of this machine may have knocked before them, needlessly.
async fn hello(socket: &mut WebSocket) -> Option<EarsHello> {
    for _ in 0..2 {
        let Some(Ok(Message::Text(text))) = socket.recv().await else { return None };
        if let Ok(hello) = serde_json::from_str(&text) {
            return Some(hello);
        }
    }
    None
}

async fn blocks(socket: &mut WebSocket, server: &Server, feed: &Feed) -> String {
    let began = Instant::now();
    let mut bucket = Bucket::new(BLOCKS, BLOCKS_AT_ONCE, began.into_std());
    let mut open = began;
    loop {
        sleep_until(open).await;
        let heard = socket.recv().await;
        let now = Instant::now();
        open = now + bucket.take(1, now.into_std());
        match heard {
            Some(Ok(Message::Binary(block))) if block.len() <= LARGEST => {
                let Some((count, rest)) = block.split_first_chunk::<COUNT>() else { continue };
                let brought = samples(rest);
                if !brought.is_empty()
                    && !feed.push(Some(u64::from_le_bytes(*count)), brought, server.hand.now())
                {
                    return "Something else is listened to now.".to_owned();
                }
            }
            Some(Ok(Message::Binary(_))) => return "A block was too long.".to_owned(),
            Some(Ok(Message::Close(_)) | Err(_)) | None => {
                feed.end(None);
                return String::new();
            }
            Some(Ok(_)) => {}
        }
    }
}

fn source(hello: &EarsHello) -> Source {
    let name: String = hello.name.chars().filter(|c| !c.is_control()).take(LONGEST_NAME).collect();
    let delay = if hello.delay_ms.is_finite() { hello.delay_ms.clamp(0.0, MOST_DELAY_MS) } else { 0.0 };
    Source { name, brings: Brings::Sound { rate: hello.rate, delay: Span::from_secs(delay / 1e3) } }
}

async fn end(socket: &mut WebSocket, says: String) {
    if !says.is_empty() {
        let _ = say(socket, &ToEars::Ended { says }).await;
    }
    let _ = timeout(Duration::from_secs(1), socket.send(Message::Close(None))).await;
}

async fn say(socket: &mut WebSocket, message: &ToEars) -> Option<()> {
    let text: Utf8Bytes = serde_json::to_string(message).unwrap_or_default().into();
    timeout(Duration::from_secs(5), socket.send(Message::Text(text))).await.ok()?.ok()
}
