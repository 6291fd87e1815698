//! One page's socket: knocking, then the scene and moments out and intents in.

use std::time::Duration;

use axum::extract::ws::{Message, Utf8Bytes, WebSocket};
use tokio::sync::mpsc::{UnboundedSender, unbounded_channel};
use tokio::sync::watch;
use tokio::time::{Instant, MissedTickBehavior, interval, sleep_until, timeout};

use super::Server;
use super::accept::Peer;
use crate::door::{Bucket, Guest, Time};
use crate::stage::json;
use crate::wire::{Intent, Knock, PairAsk, ToPage};

/// So many moments may be on their way to a page that says which it has seen; then it gets the newest, not the next.
/// Without this a page on a slow machine would fall behind by as much as the system's buffers hold: half a minute.
const MOST_ON_THE_WAY: u32 = 4;

/// Messages that a page may send a second, and at once: a hand that drags eleven lights sends 330 a second.
const MESSAGES: u32 = 600;
const MESSAGES_AT_ONCE: u32 = 600;
/// The same before it is admitted.
const KNOCKS: u32 = 2;
const KNOCKS_AT_ONCE: u32 = 10;

/// So long a browser may stand before the door; then it knocks anew.
const BEFORE_THE_DOOR: Duration = Duration::from_secs(120);
/// A browser that takes nothing for so long is gone.
const TAKES_NOTHING: Duration = Duration::from_secs(30);
/// The last words are not waited for longer.
const LAST_WORDS: Duration = Duration::from_secs(1);

/// Talks until either side ends it.
pub(super) async fn talk(mut socket: WebSocket, server: Server, peer: Peer) {
    let Some(guest) = admitted(&mut socket, &server, &peer).await else { return };
    let sent_away = tokio::select! {
        biased;
        () = stayed(guest.stay.clone()) => true,
        () = inside(&mut socket, server, &guest) => false,
    };
    if sent_away {
        let says = "This browser was sent away from the laptop's page.".to_owned();
        let last = Message::Text(json(&ToPage::SentAway { says }));
        let _ = timeout(LAST_WORDS, socket.send(last)).await;
        let _ = timeout(LAST_WORDS, socket.send(Message::Close(None))).await;
        // Until the other side has ended too: what is still on its way here would otherwise make the system drop the last
        // words before they are read.
        let ended = async { while socket.recv().await.is_some_and(|heard| heard.is_ok()) {} };
        let _ = timeout(LAST_WORDS, ended).await;
    }
}

/// Lets a browser in, at once or once it has shown what it must; none when it does not.
pub(super) async fn admitted(socket: &mut WebSocket, server: &Server, peer: &Peer) -> Option<Guest> {
    let guest = match server.door.at_home(peer.ip) {
        Some(guest) => guest,
        None => tokio::select! {
            biased;
            () = peer.place.gone() => return None,
            knocked = timeout(BEFORE_THE_DOOR, knocks(socket, server, peer)) => knocked.ok().flatten()?,
        },
    };
    peer.place.settle();
    Some(guest)
}

/// Returns when the browser is sent away.
pub(super) async fn stayed(stay: Option<watch::Receiver<()>>) {
    let Some(mut stay) = stay else { return std::future::pending().await };
    while stay.changed().await.is_ok() {}
}

/// Before the door: says "pair" once a second, and hears nothing but a code or a token.
async fn knocks(socket: &mut WebSocket, server: &Server, peer: &Peer) -> Option<Guest> {
    let mut paced = Paced::new(KNOCKS, KNOCKS_AT_ONCE);
    let mut again = interval(Duration::from_secs(1));
    again.set_missed_tick_behavior(MissedTickBehavior::Delay);
    let mut ask = PairAsk::default();
    loop {
        tokio::select! {
            heard = paced.hear(socket) => {
                let Ok(knock) = serde_json::from_str::<Knock>(&heard?) else { continue };
                match server.door.knock(peer.ip, &knock, Time::now()) {
                    Ok(guest) => return Some(guest),
                    Err(why) => ask = why,
                }
            }
            _ = again.tick() => {
                ask.wait_s = server.door.wait(peer.ip, Time::now().now).as_secs_f64().ceil();
            }
        }
        send(socket, json(&ToPage::Pair(ask.clone()))).await?;
        // Said once; the sentence stays.
        ask.forget = false;
    }
}

async fn inside(socket: &mut WebSocket, mut server: Server, guest: &Guest) {
    if send(socket, guest.welcome()).await.is_none() {
        return;
    }
    server.scene.mark_changed();
    server.moment.mark_changed();
    server.setting_up.mark_changed();
    let mut doors = guest.own.then(|| server.door.views());
    if let Some(doors) = &mut doors {
        doors.mark_changed();
    }
    let mut paced = Paced::new(MESSAGES, MESSAGES_AT_ONCE);
    let (answer, mut answers) = unbounded_channel();
    let mut on_the_way: u32 = 0;
    // What never says that it has seen a moment is not waited for.
    let mut says_seen = false;
    loop {
        let message = tokio::select! {
            biased;
            changed = server.scene.changed() => match changed {
                Ok(()) => server.scene.borrow_and_update().clone(),
                Err(_) => return,
            },
            changed = server.setting_up.changed() => match changed {
                Ok(()) => server.setting_up.borrow_and_update().clone(),
                Err(_) => return,
            },
            view = newest(&mut doors) => view,
            Some(said) = answers.recv() => said,
            heard = paced.hear(socket) => {
                let Some(text) = heard else { return };
                // What is no intent is dropped: an older page may know words that are gone.
                match serde_json::from_str::<Intent>(&text) {
                    Ok(Intent::Seen) => {
                        says_seen = true;
                        on_the_way = on_the_way.saturating_sub(1);
                        continue;
                    }
                    Ok(intent) => match take(&server, guest, &intent, &answer) {
                        Some(answer) => answer,
                        None => continue,
                    },
                    Err(_) => continue,
                }
            },
            changed = server.moment.changed(), if !says_seen || on_the_way < MOST_ON_THE_WAY => {
                if changed.is_err() {
                    return;
                }
                let moment = server.moment.borrow_and_update().clone();
                on_the_way = on_the_way.saturating_add(u32::from(!moment.is_empty()));
                moment
            }
        };
        // Before its first moment a show has nothing to say of it.
        if !message.is_empty() && send(socket, message).await.is_none() {
            return;
        }
    }
}

/// The door as it is now, when it has changed; never for those who are not told.
async fn newest(doors: &mut Option<watch::Receiver<Utf8Bytes>>) -> Utf8Bytes {
    let Some(doors) = doors else { return std::future::pending().await };
    match doors.changed().await {
        Ok(()) => doors.borrow_and_update().clone(),
        Err(_) => std::future::pending().await,
    }
}

/// Does what is asked, as far as this browser may; the answer goes to it alone.
fn take(
    server: &Server,
    guest: &Guest,
    intent: &Intent,
    answer: &UnboundedSender<Utf8Bytes>,
) -> Option<Utf8Bytes> {
    let refused = |says: &str| Some(json(&ToPage::Refused { says: says.to_owned() }));
    if let Some(says) = guest.role.refuses(intent) {
        return refused(says);
    }
    match intent {
        Intent::NewCode { .. } | Intent::SendAway { .. } if !guest.own => {
            return refused("Codes are made, and browsers sent away, on the laptop's own page.");
        }
        Intent::NewCode { role } => server.door.new_code(*role, Time::now()),
        Intent::SendAway { id } => server.door.send_away(*id, Time::now()),
        intent if server.desk.take(intent, answer) => {}
        intent => match server.hand.answer(intent) {
            Some(answer) => return Some(answer),
            None => {
                if let Err(says) = server.hand.take(intent) {
                    return refused(&says);
                }
            }
        },
    }
    None
}

/// Hears no faster than a bucket allows.
struct Paced {
    bucket: Bucket,
    open: Instant,
}

impl Paced {
    fn new(rate: u32, at_once: u32) -> Self {
        let now = Instant::now();
        Self { bucket: Bucket::new(rate, at_once, now.into_std()), open: now }
    }

    /// The next text; none when the other side has ended or says what cannot be understood. Nothing is lost when this
    /// is given up before it has an answer.
    async fn hear(&mut self, socket: &mut WebSocket) -> Option<Utf8Bytes> {
        loop {
            if self.open > Instant::now() {
                sleep_until(self.open).await;
            }
            let heard = socket.recv().await;
            let now = Instant::now();
            self.open = now + self.bucket.take(1, now.into_std());
            match heard? {
                Ok(Message::Text(text)) => return Some(text),
                Ok(Message::Close(_)) | Err(_) => return None,
                Ok(_) => {}
            }
        }
    }
}

/// Sends one message; none when it did not get through.
async fn send(socket: &mut WebSocket, message: Utf8Bytes) -> Option<()> {
    timeout(TAKES_NOTHING, socket.send(Message::Text(message))).await.ok()?.ok()
}
