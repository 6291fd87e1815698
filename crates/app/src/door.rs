//! Who may come in: pairing codes, paired browsers and their roles, and patience with wrong codes.
//!
//! Browsers of this very machine are admitted as they are, unless `--everyone-pairs`. All others show a code once and
//! then a token. The machine keeps no token, only its hash.

mod book;
mod bucket;
mod codes;
mod guard;
mod host;
mod qr;

use std::net::IpAddr;
use std::path::PathBuf;
use std::sync::{Mutex, MutexGuard, PoisonError};
use std::time::{Duration, Instant, SystemTime, UNIX_EPOCH};

use anyhow::Context;
use axum::extract::ws::Utf8Bytes;
use sha2::{Digest, Sha256};
use tokio::sync::watch;

use crate::stage::json;
use crate::wire::{Admitted, CodeView, DoorView, Intent, Knock, PairAsk, Role, ToPage};
use book::Book;
use codes::Codes;
use guard::Guard;

pub(crate) use bucket::Bucket;
pub(crate) use host::admitted;
pub(crate) use qr::in_terminal;

/// How the door was set up at the start.
#[derive(Clone, Debug, Default)]
pub(crate) struct Settings {
    /// The network is served, not this machine alone; with it the role that the first code gives.
    pub(crate) lan: Option<Role>,
    /// Browsers of this machine pair as well.
    pub(crate) everyone_pairs: bool,
    /// Where others find the page, `http://ADDRESS/`.
    pub(crate) url: Option<String>,
    /// Names by which browsers may ask for this machine, beside its own addresses.
    pub(crate) names: Vec<String>,
    /// Where paired browsers are kept.
    pub(crate) file: Option<PathBuf>,
}

/// A moment, on the clock that runs on and on the calendar's.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Time {
    pub(crate) now: Instant,
    /// Seconds since 1970.
    pub(crate) unix_s: u64,
}

impl Time {
    pub(crate) fn now() -> Self {
        let unix = SystemTime::now().duration_since(UNIX_EPOCH).unwrap_or(Duration::ZERO);
        Self { now: Instant::now(), unix_s: unix.as_secs() }
    }
}

/// Someone who was let in.
#[derive(Debug)]
pub(crate) struct Guest {
    pub(crate) role: Role,
    /// The machine's own browser.
    pub(crate) own: bool,
    /// For a browser that has just paired.
    pub(crate) token: Option<String>,
    /// Ends when this browser is sent away; none for those who are admitted without pairing.
    pub(crate) stay: Option<watch::Receiver<()>>,
}

impl Guest {
    /// What this browser is told first.
    pub(crate) fn welcome(&self) -> Utf8Bytes {
        json(&ToPage::Admitted(Admitted { role: self.role, own: self.own, token: self.token.clone() }))
    }
}

/// The door.
pub(crate) struct Door {
    settings: Settings,
    inside: Mutex<Inside>,
    view: watch::Sender<Utf8Bytes>,
}

struct Inside {
    codes: Codes,
    guard: Guard,
    book: Book,
}

impl Door {
    /// Opens it; with a network the first code is made.
    pub(crate) fn new(settings: Settings, time: Time) -> anyhow::Result<Self> {
        let mut codes = Codes::default();
        if let Some(role) = settings.lan {
            codes.renew(role, time.now).context("ask the system for random numbers")?;
        }
        let book = Book::open(settings.file.clone(), time.unix_s);
        let inside = Mutex::new(Inside { codes, guard: Guard::default(), book });
        let door = Self { settings, inside, view: watch::Sender::new(Utf8Bytes::default()) };
        door.refresh(time);
        Ok(door)
    }

    fn inside(&self) -> MutexGuard<'_, Inside> {
        self.inside.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// Names beside the machine's own addresses.
    pub(crate) fn names(&self) -> &[String] {
        &self.settings.names
    }

    /// Where others find the page; none where it is served to this machine alone.
    pub(crate) fn url(&self) -> Option<&str> {
        self.settings.url.as_deref().filter(|_| self.settings.lan.is_some())
    }

    /// Someone who is admitted without pairing.
    pub(crate) fn at_home(&self, from: IpAddr) -> Option<Guest> {
        let home = from.is_loopback() && !self.settings.everyone_pairs;
        home.then_some(Guest { role: Role::Make, own: true, token: None, stay: None })
    }

    /// A knock from outside.
    pub(crate) fn knock(&self, from: IpAddr, knock: &Knock, time: Time) -> Result<Guest, PairAsk> {
        let answer = match knock {
            Knock::Token { token } => self.token(from, token, time),
            Knock::Pair { code, name } => self.code(from, code, name, time),
        };
        if answer.is_ok() {
            self.refresh(time);
        }
        answer
    }

    fn token(&self, from: IpAddr, token: &str, time: Time) -> Result<Guest, PairAsk> {
        let own = self.settings.everyone_pairs && from.is_loopback();
        let Some((role, stay)) = self.inside().book.enter(&hash(token), time.unix_s) else {
            let says = "This browser is not paired, or no longer: it was sent away, or has not been here for a month."
                .to_owned();
            return Err(PairAsk { says, wait_s: 0.0, forget: true });
        };
        Ok(Guest { role, own: own && role == Role::Make, token: None, stay: Some(stay) })
    }

    fn code(&self, from: IpAddr, code: &str, name: &str, time: Time) -> Result<Guest, PairAsk> {
        let mut inside = self.inside();
        let wait = inside.guard.wait(from, time.now);
        if !wait.is_zero() {
            return Err(asked_to_wait(
                "Too many wrong codes came in; wait a little, then type it again.",
                wait,
            ));
        }
        let Some(role) = inside.codes.take(code, time.now) else {
            inside.guard.wrong(from, time.now);
            let wait = inside.guard.wait(from, time.now);
            return Err(asked_to_wait("That code opens nothing; the laptop's page shows the newest.", wait));
        };
        inside.guard.right(from);
        let paired = token().map(|token| {
            let stay = inside.book.add(&hash(&token), role, name, from, time.unix_s);
            (token, stay)
        });
        let Ok((token, stay)) = paired else {
            return Err(asked_to_wait("The machine could not make a token; try again.", Duration::ZERO));
        };
        let own = self.settings.everyone_pairs && from.is_loopback() && role == Role::Make;
        Ok(Guest { role, own, token: Some(token), stay: Some(stay) })
    }

    /// How long a code from there would not be listened to.
    pub(crate) fn wait(&self, from: IpAddr, now: Instant) -> Duration {
        self.inside().guard.wait(from, now)
    }

    /// What the paired browser with this token may; none where there is none.
    pub(crate) fn role_of(&self, token: &str) -> Option<Role> {
        self.inside().book.role(&hash(token))
    }

    /// A new code for a role; the one before is no longer good.
    pub(crate) fn new_code(&self, role: Role, time: Time) {
        // Without random numbers there is no code, and none is shown.
        let _ = self.inside().codes.renew(role, time.now);
        self.refresh(time);
    }

    /// Sends a paired browser away: its sockets close at once.
    pub(crate) fn send_away(&self, id: u32, time: Time) {
        self.inside().book.remove(id);
        self.refresh(time);
    }

    /// The code that holds for a role.
    pub(crate) fn code_of(&self, role: Role, now: Instant) -> Option<String> {
        self.inside().codes.held(now).find(|code| code.role == role).map(|code| code.text.to_owned())
    }

    /// What the machine's own page is told, as it changes.
    pub(crate) fn views(&self) -> watch::Receiver<Utf8Bytes> {
        self.view.subscribe()
    }

    /// Looks after what lapses by itself, and tells the machine's own page what has changed.
    pub(crate) fn refresh(&self, time: Time) {
        let view = self.view(time);
        let message = json(&ToPage::Door(Box::new(view)));
        self.view.send_if_modified(|before| {
            let other = *before != message;
            *before = message;
            other
        });
    }

    fn view(&self, time: Time) -> DoorView {
        let mut guard = self.inside();
        let inside = &mut *guard;
        inside.book.look_after(time.unix_s);
        let codes = inside.codes.held(time.now).map(|code| CodeView {
            role: code.role,
            code: code.text.to_owned(),
            minutes: code.minutes,
            qr: self.address_with(code.text).and_then(|address| qr::drawn(&address)),
        });
        let codes = if self.settings.lan.is_some() { codes.collect() } else { Vec::new() };
        let says = inside.guard.says().into_iter().chain(inside.book.says()).collect();
        DoorView {
            lan: self.settings.lan.is_some(),
            address: self.settings.url.clone(),
            codes,
            paired: inside.book.views(),
            says,
        }
    }

    /// The page's address with a code in it. What follows # never leaves the browser.
    pub(crate) fn address_with(&self, code: &str) -> Option<String> {
        Some(format!("{}#pair={code}", self.settings.url.as_ref()?))
    }
}

fn asked_to_wait(says: &str, wait: Duration) -> PairAsk {
    PairAsk { says: says.to_owned(), wait_s: wait.as_secs_f64().ceil(), forget: false }
}

/// 256 random bits, as hexadecimal digits.
fn token() -> Result<String, getrandom::Error> {
    let mut bytes = [0; 32];
    getrandom::fill(&mut bytes)?;
    Ok(hex(&bytes))
}

fn hash(text: &str) -> [u8; 32] {
    Sha256::digest(text.as_bytes()).into()
}

fn hex(bytes: &[u8]) -> String {
    bytes.iter().map(|byte| format!("{byte:02x}")).collect()
}

impl Role {
    /// Why somebody of this role may not make the show; none when they may.
    pub(crate) fn makes(self) -> Option<&'static str> {
        self.refuses(&Intent::Undo)
    }

    /// What a browser of this role is told when it asks for more; none when it may.
    pub(crate) fn refuses(self, intent: &Intent) -> Option<&'static str> {
        let needed = needed(intent);
        if self >= needed {
            return None;
        }
        Some(match (self, needed) {
            (Self::Look, _) => {
                "This browser may look, not touch. The laptop's page can give a code to run or to make."
            }
            _ => "This browser may run the show, not change it. The laptop's page can give a code to make.",
        })
    }
}

/// The least role that may ask for something. What is not named here changes the show: an intent is `Make` until
/// somebody has decided otherwise.
fn needed(intent: &Intent) -> Role {
    match intent {
        Intent::Seen | Intent::AskColour { .. } => Role::Look,
        Intent::Look { .. }
        | Intent::Chase { .. }
        | Intent::ChaseSpeed { .. }
        | Intent::Go
        | Intent::Back
        | Intent::Cue { .. }
        | Intent::Master { .. }
        | Intent::GroupMaster { .. }
        | Intent::Blackout { .. }
        | Intent::Stillness { .. }
        | Intent::StopStrobe { .. }
        | Intent::Tap
        | Intent::Tempo { .. }
        | Intent::Music { .. }
        | Intent::Score { .. }
        | Intent::Aim { .. }
        | Intent::Level { .. }
        | Intent::Colour { .. }
        | Intent::LetGo { .. }
        | Intent::SetUpTick { .. }
        | Intent::SetUpCheck { .. }
        | Intent::SetUpAnswer { .. }
        | Intent::SetUpBack
        | Intent::SetUpAnew => Role::Run,
        _ => Role::Make,
    }
}

#[cfg(test)]
mod tests;
