//! Connections: how many, how much a second each, and for how long.

use std::collections::BTreeMap;
use std::io;
use std::net::{IpAddr, SocketAddr};
use std::pin::{Pin, pin};
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::task::{Context, Poll, ready};
use std::time::Duration;

use axum::Router;
use axum::body::Body;
use axum::http::Request;
use hyper::server::conn::http1;
use hyper_util::rt::{TokioIo, TokioTimer};
use tokio::io::{AsyncRead, AsyncWrite, ReadBuf};
use tokio::net::{TcpListener, TcpStream};
use tokio::sync::watch;
use tokio::time::{Instant, Sleep, sleep, timeout};
use tower_service::Service;

use crate::door::Bucket;

/// Connections from the network at the same time; so many more are kept free for this machine's own.
const MOST: usize = 250;
/// From one address of the network.
const MOST_FROM_ONE: usize = 32;

/// Bytes that one connection may send a second, and at once.
const BYTES: u32 = 64 * 1024;
const BYTES_AT_ONCE: u32 = 128 * 1024;

/// A request's head has to be there, and the next one to have begun, in so long.
const HEAD: Duration = Duration::from_secs(10);
/// A connection that is no socket of a page ends after this; browsers open another.
const VISIT: Duration = Duration::from_secs(60);
/// What is being sent then may still take so long.
const LAST: Duration = Duration::from_secs(30);

/// Longest head of a request.
const LONGEST_HEAD: usize = 16 * 1024;

/// Who is at the other end of a connection.
#[derive(Clone, Debug)]
pub(crate) struct Peer {
    /// Their address.
    pub(crate) ip: IpAddr,
    /// Our own, that they came in by.
    pub(crate) local: SocketAddr,
    /// Their place among all connections.
    pub(crate) place: Arc<Place>,
}

/// Serves for ever.
pub(crate) async fn serve(listener: TcpListener, router: Router) -> io::Result<()> {
    let places = Places::default();
    loop {
        let Ok((stream, from)) = listener.accept().await else {
            // No more of what the system gives: connections that end free some.
            sleep(Duration::from_millis(50)).await;
            continue;
        };
        let (Ok(local), ip) = (stream.local_addr(), from.ip().to_canonical()) else { continue };
        let Some(place) = places.take(ip) else { continue };
        let peer = Peer { ip, local, place: Arc::new(place) };
        tokio::spawn(connection(stream, peer, router.clone()));
    }
}

async fn connection(stream: TcpStream, peer: Peer, router: Router) {
    // Moments go out at once; where the system does not know how, they go a little later.
    let _ = stream.set_nodelay(true);
    let place = peer.place.clone();
    let service = hyper::service::service_fn(move |request: Request<hyper::body::Incoming>| {
        let mut request = request.map(Body::new);
        request.extensions_mut().insert(peer.clone());
        router.clone().call(request)
    });
    let mut http = http1::Builder::new();
    http.timer(TokioTimer::new()).header_read_timeout(HEAD).max_buf_size(LONGEST_HEAD);
    let served =
        http.serve_connection(TokioIo::new(Metered::new(stream, place.clone())), service).with_upgrades();
    let mut served = pin!(served);
    // However it ends, that is the end of it: what the other side does wrong is no news.
    tokio::select! {
        _ = served.as_mut() => {}
        () = place.gone() => {}
        () = sleep(VISIT) => {
            served.as_mut().graceful_shutdown();
            let _ = timeout(LAST, served).await;
        }
    }
}

/// The places of all connections.
#[derive(Clone, Debug, Default)]
struct Places(Arc<Mutex<Taken>>);

#[derive(Debug, Default)]
struct Taken {
    next: u64,
    /// In the order in which they came.
    by_number: BTreeMap<u64, One>,
}

#[derive(Debug)]
struct One {
    ip: IpAddr,
    /// Paired, or of this machine: it gives way to nobody.
    settled: bool,
    /// Dropped with the entry: then the connection ends.
    _stay: watch::Sender<()>,
}

/// A connection's place; free again when this is dropped.
#[derive(Debug)]
pub(crate) struct Place {
    number: u64,
    places: Places,
    stay: watch::Receiver<()>,
    /// Let in, and about to send a file: it is not held back meanwhile.
    much: AtomicBool,
}

impl Places {
    fn taken(&self) -> MutexGuard<'_, Taken> {
        self.0.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// A place for a connection from there; none while all are held by those who are settled. The oldest connection
    /// that is not settled gives way: those who only sit there keep nobody out.
    fn take(&self, ip: IpAddr) -> Option<Place> {
        let mut taken = self.taken();
        // This machine's own are counted apart, so that the network never takes their room.
        if ip.is_loopback() {
            taken.make_room(MOST, |other| other.is_loopback())?;
        } else {
            taken.make_room(MOST_FROM_ONE, |other| other == ip)?;
            taken.make_room(MOST, |other| !other.is_loopback())?;
        }
        let number = taken.next;
        taken.next += 1;
        let (keep, stay) = watch::channel(());
        taken.by_number.insert(number, One { ip, settled: false, _stay: keep });
        drop(taken);
        Some(Place { number, places: self.clone(), stay, much: AtomicBool::new(false) })
    }
}

impl Taken {
    fn make_room(&mut self, most: usize, counted: impl Fn(IpAddr) -> bool) -> Option<()> {
        let among = |one: &One| counted(one.ip);
        if self.by_number.values().filter(|one| among(one)).count() < most {
            return Some(());
        }
        let (oldest, _) = self.by_number.iter().find(|(_, one)| among(one) && !one.settled)?;
        let oldest = *oldest;
        self.by_number.remove(&oldest);
        Some(())
    }
}

impl Place {
    /// From now on this connection gives way to nobody.
    pub(crate) fn settle(&self) {
        if let Some(one) = self.places.taken().by_number.get_mut(&self.number) {
            one.settled = true;
        }
    }

    /// What comes now is not held back, or is again: for the body of a request that was let in and is bounded.
    pub(crate) fn may_send_much(&self, much: bool) {
        self.much.store(much, Ordering::Release);
    }

    /// Returns when it has to give way.
    pub(crate) async fn gone(&self) {
        let mut stay = self.stay.clone();
        while stay.changed().await.is_ok() {}
    }
}

impl Drop for Place {
    fn drop(&mut self) {
        self.places.taken().by_number.remove(&self.number);
    }
}

/// A connection that is read no faster than its bucket allows; the rest waits on the other side.
struct Metered {
    stream: TcpStream,
    place: Arc<Place>,
    bucket: Bucket,
    pause: Option<Pin<Box<Sleep>>>,
}

impl Metered {
    fn new(stream: TcpStream, place: Arc<Place>) -> Self {
        let bucket = Bucket::new(BYTES, BYTES_AT_ONCE, Instant::now().into_std());
        Self { stream, place, bucket, pause: None }
    }
}

impl AsyncRead for Metered {
    fn poll_read(
        mut self: Pin<&mut Self>,
        cx: &mut Context<'_>,
        buf: &mut ReadBuf<'_>,
    ) -> Poll<io::Result<()>> {
        if let Some(pause) = &mut self.pause {
            ready!(pause.as_mut().poll(cx));
            self.pause = None;
        }
        let before = buf.filled().len();
        ready!(Pin::new(&mut self.stream).poll_read(cx, buf))?;
        if self.place.much.load(Ordering::Acquire) {
            return Poll::Ready(Ok(()));
        }
        let came = u32::try_from(buf.filled().len() - before).unwrap_or(u32::MAX);
        let wait = self.bucket.take(came, Instant::now().into_std());
        if !wait.is_zero() {
            self.pause = Some(Box::pin(sleep(wait)));
        }
        Poll::Ready(Ok(()))
    }
}

impl AsyncWrite for Metered {
    fn poll_write(mut self: Pin<&mut Self>, cx: &mut Context<'_>, bytes: &[u8]) -> Poll<io::Result<usize>> {
        Pin::new(&mut self.stream).poll_write(cx, bytes)
    }

    fn poll_flush(mut self: Pin<&mut Self>, cx: &mut Context<'_>) -> Poll<io::Result<()>> {
        Pin::new(&mut self.stream).poll_flush(cx)
    }

    fn poll_shutdown(mut self: Pin<&mut Self>, cx: &mut Context<'_>) -> Poll<io::Result<()>> {
        Pin::new(&mut self.stream).poll_shutdown(cx)
    }

    fn poll_write_vectored(
        mut self: Pin<&mut Self>,
        cx: &mut Context<'_>,
        bytes: &[io::IoSlice<'_>],
    ) -> Poll<io::Result<usize>> {
        Pin::new(&mut self.stream).poll_write_vectored(cx, bytes)
    }

    fn is_write_vectored(&self) -> bool {
        self.stream.is_write_vectored()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn address(last: u32) -> IpAddr {
        IpAddr::V4((0x0A00_0000 + last).into())
    }

    #[test]
    fn those_who_only_sit_there_give_way_and_the_settled_do_not() {
        let places = Places::default();
        let sitting: Vec<Place> = (0..250).map(|last| places.take(address(last)).unwrap()).collect();
        sitting[0].settle();
        let newest = places.take(address(1000)).unwrap();
        assert!(sitting[0].stay.has_changed().is_ok(), "settled");
        assert!(sitting[1].stay.has_changed().is_err(), "the oldest of the others");
        assert!(sitting[2].stay.has_changed().is_ok());
        newest.settle();
        sitting.iter().for_each(Place::settle);
        assert!(places.take(address(1001)).is_none(), "all are settled");
        let home = places.take(IpAddr::V4(std::net::Ipv4Addr::LOCALHOST));
        assert!(home.is_some(), "this machine has room of its own");
        drop(sitting);
        assert_eq!(places.taken().by_number.len(), 2, "places are given back");
    }

    #[test]
    fn one_address_does_not_take_the_places_of_all() {
        let places = Places::default();
        let other = places.take(address(1)).unwrap();
        let many: Vec<Place> = (0..40).map(|_| places.take(address(2)).unwrap()).collect();
        assert!(other.stay.has_changed().is_ok());
        assert_eq!(many.iter().filter(|place| place.stay.has_changed().is_ok()).count(), MOST_FROM_ONE);
    }
}
