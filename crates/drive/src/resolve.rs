//! Names of receivers to addresses, in the background: sending never waits for a name server.

use std::io;
use std::net::{IpAddr, SocketAddr, ToSocketAddrs};
use std::sync::{Arc, Condvar, Mutex, MutexGuard, PoisonError};
use std::thread;
use std::time::{Duration, Instant};

use crate::DriveError;

/// A name that has no address yet is asked for again after this long.
pub const RETRY: Duration = Duration::from_secs(10);
/// A name that has an address is asked for again after this long, in case the receiver moved.
pub const REFRESH: Duration = Duration::from_secs(60);
/// Names that are asked for at one time. One that nobody answers for takes many seconds, and must
/// not hold up the others.
const AT_ONCE: usize = 8;

/// Asks for a name; may take long.
pub type Lookup = fn(&str) -> io::Result<Vec<IpAddr>>;

/// Asks the system for a name.
///
/// # Errors
/// What the system says where nobody knows the name.
pub fn system_lookup(host: &str) -> io::Result<Vec<IpAddr>> {
    // Port 0, for only the address is wanted.
    Ok((host, 0).to_socket_addrs()?.map(|address| address.ip()).collect())
}

/// What is known of one receiver.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Known {
    /// Its address; `None`: not known yet.
    pub at: Option<IpAddr>,
    /// Why the last question went unanswered; the address of an earlier answer is kept.
    pub error: Option<String>,
}

/// When which name is asked for. Knows no clock: the time is a value.
#[derive(Debug)]
struct Schedule {
    names: Vec<Name>,
    /// Counts changes of addresses, so that a reader need not compare.
    changes: u64,
    closed: bool,
}

#[derive(Debug)]
struct Name {
    host: String,
    known: Known,
    /// Where it was found by other means, which goes before.
    found: Option<SocketAddr>,
    /// `None` while it is being asked for, and for numbers, which never are.
    due: Option<Duration>,
}

impl Schedule {
    fn new(hosts: &[String]) -> Self {
        let name = |host: &String| match host.parse() {
            Ok(ip) => Name {
                host: host.clone(),
                known: Known { at: Some(ip), error: None },
                found: None,
                due: None,
            },
            Err(_) => Name {
                host: host.clone(),
                known: Known::default(),
                found: None,
                due: Some(Duration::ZERO),
            },
        };
        Self { names: hosts.iter().map(name).collect(), changes: 0, closed: false }
    }

    /// How many names have to be asked for at all.
    fn questions(&self) -> usize {
        self.names.iter().filter(|name| name.due.is_some()).count()
    }

    /// The name that has waited longest and is due, or how long until one is. `None`: all are being
    /// asked for by others.
    fn next(&mut self, now: Duration) -> Option<Result<usize, Duration>> {
        let due = |name: &Name| name.due;
        let (index, at) = (self.names.iter().enumerate())
            .filter_map(|(index, name)| due(name).map(|at| (index, at)))
            .min_by_key(|&(_, at)| at)?;
        if at > now {
            return Some(Err(at - now));
        }
        self.names[index].due = None;
        Some(Ok(index))
    }

    fn answered(&mut self, index: usize, answer: io::Result<Vec<IpAddr>>, now: Duration) {
        let name = &mut self.names[index];
        let found = answer.map_err(|error| error.to_string()).and_then(|all| {
            best(&all, name.known.at).ok_or_else(|| "the name has no address".into())
        });
        match found {
            Ok(ip) => {
                self.changes += u64::from(name.known.at != Some(ip));
                name.known = Known { at: Some(ip), error: None };
                name.due = Some(now + REFRESH);
            }
            Err(error) => {
                name.known.error = Some(format!("{} is not found: {error}", name.host));
                let wait = if name.known.at.is_some() { REFRESH } else { RETRY };
                name.due = Some(now + wait);
            }
        }
    }
}

/// The address that was good before, if it still is one; else the first of version 4, which small
/// boards speak more often; else the first.
fn best(all: &[IpAddr], before: Option<IpAddr>) -> Option<IpAddr> {
    let kept = before.filter(|ip| all.contains(ip));
    kept.or_else(|| all.iter().copied().find(IpAddr::is_ipv4)).or_else(|| all.first().copied())
}

#[derive(Debug)]
struct Shared {
    schedule: Mutex<Schedule>,
    moved: Condvar,
    start: Instant,
}

impl Shared {
    fn lock(&self) -> MutexGuard<'_, Schedule> {
        self.schedule.lock().unwrap_or_else(PoisonError::into_inner)
    }

    fn ask(&self, lookup: Lookup) {
        let mut schedule = self.lock();
        while !schedule.closed {
            let wait = match schedule.next(self.start.elapsed()) {
                Some(Ok(index)) => {
                    let host = schedule.names[index].host.clone();
                    drop(schedule);
                    let answer = lookup(&host);
                    schedule = self.lock();
                    schedule.answered(index, answer, self.start.elapsed());
                    self.moved.notify_all();
                    continue;
                }
                Some(Err(wait)) => wait,
                None => REFRESH,
            };
            let waited = self.moved.wait_timeout(schedule, wait);
            schedule = waited.unwrap_or_else(PoisonError::into_inner).0;
        }
    }
}

/// Finds the addresses of receivers and keeps them fresh. Ends when dropped, without waiting for a
/// question that is on its way.
#[derive(Debug)]
pub struct Resolver {
    shared: Arc<Shared>,
}

impl Resolver {
    /// Reads addresses at once and asks for names in the background.
    ///
    /// # Errors
    /// [`DriveError::Thread`].
    pub fn start(hosts: &[String], lookup: Lookup) -> Result<Self, DriveError> {
        let schedule = Schedule::new(hosts);
        let threads = schedule.questions().min(AT_ONCE);
        let shared = Arc::new(Shared {
            schedule: Mutex::new(schedule),
            moved: Condvar::new(),
            start: Instant::now(),
        });
        let resolver = Self { shared };
        for _ in 0..threads {
            let shared = Arc::clone(&resolver.shared);
            thread::Builder::new()
                .name("names".into())
                .spawn(move || shared.ask(lookup))
                .map_err(DriveError::Thread)?;
        }
        Ok(resolver)
    }

    /// How often an address has changed so far.
    #[must_use]
    pub fn changes(&self) -> u64 {
        self.shared.lock().changes
    }

    /// The address of a host, by its place in the list that was handed to [`Resolver::start`].
    #[must_use]
    pub fn address(&self, index: usize, port: u16) -> Option<SocketAddr> {
        let schedule = self.shared.lock();
        let name = schedule.names.get(index)?;
        name.found.or_else(|| Some(SocketAddr::new(name.known.at?, port)))
    }

    /// A host was found by other means than its name: from now on it is there.
    pub fn find(&self, index: usize, at: SocketAddr) {
        let mut schedule = self.shared.lock();
        if let Some(name) = schedule.names.get_mut(index).filter(|name| name.found != Some(at)) {
            name.found = Some(at);
            schedule.changes += 1;
        }
    }

    /// All that is known of a host.
    #[must_use]
    pub fn known(&self, index: usize) -> Known {
        let schedule = self.shared.lock();
        schedule.names.get(index).map(|name| name.known.clone()).unwrap_or_default()
    }
}

impl Drop for Resolver {
    fn drop(&mut self) {
        self.shared.lock().closed = true;
        self.shared.moved.notify_all();
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::net::Ipv4Addr;

    const WEST: IpAddr = IpAddr::V4(Ipv4Addr::new(192, 0, 2, 51));
    const EAST: IpAddr = IpAddr::V4(Ipv4Addr::new(192, 0, 2, 52));

    fn seconds(seconds: u64) -> Duration {
        Duration::from_secs(seconds)
    }

    fn refused() -> io::Result<Vec<IpAddr>> {
        Err(io::Error::other("nobody knows"))
    }

    #[test]
    fn numbers_need_no_question() {
        let mut schedule = Schedule::new(&["192.0.2.51".into(), "fe80::1".into()]);
        assert_eq!((schedule.questions(), schedule.next(seconds(99))), (0, None));
        assert_eq!(schedule.names[0].known.at, Some(WEST));
        assert!(schedule.names[1].known.at.is_some_and(|ip| ip.is_ipv6()));
    }

    #[test]
    fn a_name_is_asked_for_again() {
        let mut schedule = Schedule::new(&["west.local".into()]);
        assert_eq!(schedule.next(seconds(0)), Some(Ok(0)));
        assert_eq!(schedule.next(seconds(1)), None);
        schedule.answered(0, refused(), seconds(5));
        let error = schedule.names[0].known.error.clone().unwrap();
        assert_eq!(error, "west.local is not found: nobody knows");
        assert_eq!(schedule.next(seconds(5)), Some(Err(RETRY)));
        assert_eq!(schedule.next(seconds(15)), Some(Ok(0)));
        schedule.answered(0, Ok(vec![WEST]), seconds(15));
        assert_eq!(schedule.names[0].known, Known { at: Some(WEST), error: None });
        assert_eq!((schedule.changes, schedule.next(seconds(15))), (1, Some(Err(REFRESH))));
    }

    #[test]
    fn an_address_outlives_a_silent_name_server() {
        let mut schedule = Schedule::new(&["west.local".into()]);
        schedule.answered(0, Ok(vec![WEST]), seconds(0));
        schedule.answered(0, refused(), seconds(60));
        assert_eq!(schedule.names[0].known.at, Some(WEST));
        assert!(schedule.names[0].known.error.is_some());
        assert_eq!(schedule.next(seconds(60)), Some(Err(REFRESH)));
        schedule.answered(0, Ok(vec![]), seconds(120));
        assert_eq!((schedule.names[0].known.at, schedule.changes), (Some(WEST), 1));
        schedule.answered(0, Ok(vec![EAST]), seconds(180));
        assert_eq!((schedule.names[0].known.at, schedule.changes), (Some(EAST), 2));
    }

    #[test]
    fn an_address_is_kept_while_it_is_good() {
        let v6: IpAddr = "fe80::1".parse().unwrap();
        assert_eq!(best(&[v6, EAST, WEST], None), Some(EAST));
        assert_eq!(best(&[v6, EAST, WEST], Some(WEST)), Some(WEST));
        assert_eq!(best(&[v6], Some(WEST)), Some(v6));
        assert_eq!(best(&[], Some(WEST)), None);
    }

    #[test]
    fn one_silent_name_does_not_hold_up_another() {
        fn lookup(host: &str) -> io::Result<Vec<IpAddr>> {
            if host == "silent.invalid" {
                thread::sleep(Duration::from_secs(3));
            }
            Ok(vec![EAST])
        }
        let hosts = ["silent.invalid", "192.0.2.51", "east.local"].map(String::from);
        let before = Instant::now();
        let resolver = Resolver::start(&hosts, lookup).unwrap();
        assert_eq!(resolver.address(1, 7), Some((WEST, 7).into()));
        while resolver.address(2, 7).is_none() {
            assert!(before.elapsed() < seconds(2), "held up by another name");
            thread::sleep(Duration::from_millis(5));
        }
        assert_eq!((resolver.changes(), resolver.known(0)), (1, Known::default()));
        drop(resolver);
        assert!(before.elapsed() < Duration::from_millis(2900), "waited for a silent name");
    }
}
