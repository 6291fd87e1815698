//! Patience with wrong codes: each address waits for its own, and all together for everybody's.

use std::collections::BTreeMap;
use std::net::{IpAddr, Ipv6Addr};
use std::time::{Duration, Instant};

/// So many wrong codes are slips of a thumb.
const FREE: u32 = 5;
/// The longest wait.
const LONGEST: Duration = Duration::from_secs(60);
/// After so long without a wrong code everything is forgotten.
const FORGOTTEN: Duration = Duration::from_secs(600);
/// So many addresses are told apart; further ones wait with all.
const MOST_ADDRESSES: usize = 256;

/// Wrong codes so far.
#[derive(Default)]
pub(super) struct Guard {
    by_address: BTreeMap<IpAddr, Wrong>,
    all: Wrong,
    last: Option<IpAddr>,
}

#[derive(Clone, Copy, Default)]
struct Wrong {
    count: u32,
    at: Option<Instant>,
}

impl Wrong {
    fn add(&mut self, now: Instant) {
        self.count = self.count.saturating_add(1);
        self.at = Some(now);
    }

    fn wait(self, now: Instant) -> Duration {
        let Some(past) = self.count.checked_sub(FREE) else { return Duration::ZERO };
        // 1 s, 2 s, 4 s … : six doublings pass the longest.
        let whole = Duration::from_secs(1 << past.min(6)).min(LONGEST);
        self.at.map_or(Duration::ZERO, |at| whole.saturating_sub(now.saturating_duration_since(at)))
    }

    fn forgotten(self, now: Instant) -> bool {
        self.at.is_none_or(|at| now.saturating_duration_since(at) >= FORGOTTEN)
    }
}

impl Guard {
    /// How long a code from there is not listened to. An address that has never been wrong is heard though others
    /// keep everybody waiting: whoever types the code rightly comes in while somebody guesses.
    pub(super) fn wait(&mut self, from: IpAddr, now: Instant) -> Duration {
        self.forget(now);
        let own = self.by_address.get(&place(from)).copied();
        match own {
            None if self.by_address.len() < MOST_ADDRESSES => Duration::ZERO,
            own => own.unwrap_or_default().wait(now).max(self.all.wait(now)),
        }
    }

    /// Notes a wrong code.
    pub(super) fn wrong(&mut self, from: IpAddr, now: Instant) {
        self.all.add(now);
        self.last = Some(from);
        let place = place(from);
        if self.by_address.len() < MOST_ADDRESSES || self.by_address.contains_key(&place) {
            self.by_address.entry(place).or_default().add(now);
        }
    }

    /// A right code: what came from there before were slips.
    pub(super) fn right(&mut self, from: IpAddr) {
        self.by_address.remove(&place(from));
    }

    /// What the machine's own page should know of it.
    pub(super) fn says(&self) -> Option<String> {
        let last = self.last?;
        Some(match self.all.count {
            0 => return None,
            1 => format!("One wrong code came in lately, from {last}."),
            count => format!("{count} wrong codes came in lately, the last from {last}."),
        })
    }

    fn forget(&mut self, now: Instant) {
        self.by_address.retain(|_, wrong| !wrong.forgotten(now));
        if self.all.forgotten(now) {
            self.all = Wrong::default();
        }
    }
}

/// A household of IPv6 has a whole /64 to itself: it counts as one address.
fn place(from: IpAddr) -> IpAddr {
    match from {
        IpAddr::V4(_) => from,
        IpAddr::V6(six) => Ipv6Addr::from_bits(six.to_bits() >> 64 << 64).into(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn address(last: u32) -> IpAddr {
        IpAddr::V4((0x0A00_0000 + last).into())
    }

    #[test]
    fn after_five_wrong_codes_each_wait_is_twice_the_one_before() {
        let mut guard = Guard::default();
        let mut now = Instant::now();
        let mut waits = Vec::new();
        for _ in 0..14 {
            guard.wrong(address(1), now);
            let wait = guard.wait(address(1), now);
            waits.push(wait.as_secs());
            now += wait;
        }
        assert_eq!(waits, [0, 0, 0, 0, 1, 2, 4, 8, 16, 32, 60, 60, 60, 60]);
        assert!(guard.wait(address(1), now).is_zero());
        assert!(guard.says().unwrap().contains("14 wrong codes"));
        guard.wrong(address(1), now);
        assert!(guard.wait(address(1), now + FORGOTTEN).is_zero(), "ten minutes later all is forgotten");
        assert_eq!(guard.says(), None);
    }

    #[test]
    fn who_was_never_wrong_is_heard_while_others_guess() {
        let mut guard = Guard::default();
        let now = Instant::now();
        for _ in 0..50 {
            guard.wrong(address(1), now);
        }
        assert!(guard.wait(address(2), now).is_zero());
        guard.wrong(address(2), now);
        assert_eq!(guard.wait(address(2), now), LONGEST, "now it waits with all");
        guard.right(address(2));
        assert!(guard.wait(address(2), now).is_zero());
    }

    #[test]
    fn many_addresses_take_no_more_room_and_buy_no_more_tries() {
        let mut guard = Guard::default();
        let now = Instant::now();
        let mut heard = 0;
        for last in 0..10_000 {
            if guard.wait(address(last), now).is_zero() {
                heard += 1;
                guard.wrong(address(last), now);
            }
        }
        assert_eq!(heard, MOST_ADDRESSES);
        assert_eq!(guard.by_address.len(), MOST_ADDRESSES);
    }

    #[test]
    fn an_ipv6_network_is_one_address() {
        let mut guard = Guard::default();
        let now = Instant::now();
        for last in 0..6 {
            guard.wrong(format!("2001:db8:0:1::{last}").parse().unwrap(), now);
        }
        assert!(!guard.wait("2001:db8:0:1::ffff".parse().unwrap(), now).is_zero());
        assert!(guard.wait("2001:db8:0:2::1".parse().unwrap(), now).is_zero());
    }
}
