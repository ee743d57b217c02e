//! How much anybody may ask for. Time is handed in.

use std::collections::BTreeMap;
use std::net::IpAddr;
use std::time::Duration;

/// Largest body of a request, bytes: a whole wall file with room for its JSON.
pub const BODY: usize = 9 << 20;
/// Largest head of a request, bytes.
pub const HEAD: usize = 32 << 10;
/// Most header lines.
pub const HEAD_LINES: usize = 64;
/// Most connections at once.
pub const CONNECTIONS: usize = 128;
/// Most connections at once from one address.
pub const CONNECTIONS_EACH: usize = 32;
/// Most live pictures at once.
pub const LIVE: usize = 16;
/// A head that is not whole by then ends its connection.
pub const HEAD_TIME: Duration = Duration::from_secs(10);
/// A request that is not answered by then is given up.
pub const ANSWER_TIME: Duration = Duration::from_secs(60);
/// Most addresses that are remembered.
const REMEMBERED: usize = 1024;

/// Requests of each address: so many at once, and then so many a second.
pub struct Rate {
    burst: f64,
    per_second: f64,
    known: BTreeMap<IpAddr, (f64, Duration)>,
}

impl Rate {
    /// That many at once, that many a second from then on.
    #[must_use]
    pub fn new(burst: u32, per_second: f64) -> Self {
        Self { burst: f64::from(burst), per_second, known: BTreeMap::new() }
    }

    /// Whether an address may ask now; `now` counts from any one moment.
    pub fn may(&mut self, address: IpAddr, now: Duration) -> bool {
        if self.known.len() >= REMEMBERED && !self.known.contains_key(&address) {
            // Who has not asked for long has a full allowance anyway.
            let full = Duration::from_secs_f64(self.burst / self.per_second);
            self.known.retain(|_, (_, last)| now.saturating_sub(*last) < full);
            if self.known.len() >= REMEMBERED {
                return false;
            }
        }
        let (left, last) = self.known.entry(address).or_insert((self.burst, now));
        let since = now.saturating_sub(*last).as_secs_f64();
        *left = (*left + since * self.per_second).min(self.burst);
        *last = now;
        if *left < 1.0 {
            return false;
        }
        *left -= 1.0;
        true
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn so_many_at_once_and_then_so_many_a_second() {
        let mut rate = Rate::new(3, 2.0);
        let (one, other) = ("192.0.2.1".parse().unwrap(), "192.0.2.2".parse().unwrap());
        let at = Duration::from_millis;
        assert!((0..3).all(|_| rate.may(one, at(0))));
        assert!(!rate.may(one, at(0)));
        assert!(rate.may(other, at(0)), "others have their own");
        assert!(!rate.may(one, at(400)));
        assert!(rate.may(one, at(600)));
        assert!((0..3).all(|_| rate.may(one, at(60_000))));
        assert!(!rate.may(one, at(60_000)));
    }

    #[test]
    fn many_addresses_do_not_fill_the_memory() {
        let mut rate = Rate::new(2, 1.0);
        for i in 0..5000_u32 {
            rate.may(std::net::Ipv4Addr::from(i).into(), Duration::ZERO);
        }
        assert!(rate.known.len() <= REMEMBERED);
        assert!(rate.may("192.0.2.1".parse().unwrap(), Duration::from_secs(10)));
    }
}
