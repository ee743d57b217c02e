//! Something that is fetched again and again, from the web or a file, by a thread of its own: the one that
//! draws never waits for it. What came last and was good stays until there is better.

mod address;
mod client;
mod schedule;
#[cfg(test)]
pub(crate) mod testing;

use std::fmt;
use std::fs::File;
use std::io::Read;
use std::path::{Path, PathBuf};
use std::sync::{Arc, Condvar, Mutex, MutexGuard, PoisonError};
use std::thread;
use std::time::{Duration, Instant};

use self::address::Depth;
pub use self::address::WebAddress;
use self::client::Client;
use self::schedule::Schedule;
use crate::DriveError;

/// The most that is read of data, and of what they lead to, bytes.
const MOST: [u64; 2] = [1 << 20, 16 << 20];

/// Where something is fetched.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Place {
    /// A file of this computer.
    File(PathBuf),
    /// An address.
    Web(WebAddress),
}

/// What is made of bytes that came.
#[derive(Debug)]
pub enum Made<T> {
    /// All that is wanted.
    Done(T),
    /// Something else has to be fetched: an address, or a file beside the one that was read.
    Follow(String),
}

/// Makes something of bytes that came; of the second ones, where the first led to them. What is wrong is told
/// in one line with no full stop.
pub type Maker<T> = Box<dyn FnMut(&[u8], bool) -> Result<Made<T>, String> + Send>;

/// Something that is fetched again and again. Those that are cloned are one; the fetching ends with the last
/// of them.
pub struct Feed<T> {
    shared: Arc<Shared<T>>,
    _open: Arc<Open<T>>,
}

impl<T> Clone for Feed<T> {
    fn clone(&self) -> Self {
        Self { shared: Arc::clone(&self.shared), _open: Arc::clone(&self._open) }
    }
}

struct Shared<T> {
    state: Mutex<State<T>>,
    changed: Condvar,
    every: Duration,
}

struct State<T> {
    value: Option<T>,
    /// Counts what came.
    version: u64,
    /// When the last good one came.
    good: Option<Instant>,
    trouble: Option<String>,
    closed: bool,
}

/// Closes when it is dropped.
struct Open<T>(Arc<Shared<T>>);

impl<T> Drop for Open<T> {
    fn drop(&mut self) {
        self.0.lock().closed = true;
        self.0.changed.notify_all();
    }
}

impl<T> Shared<T> {
    fn lock(&self) -> MutexGuard<'_, State<T>> {
        self.state.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

impl<T: Clone + Send + 'static> Feed<T> {
    /// Begins to fetch, at once and then as often as is asked for. After a failure it is tried again soon,
    /// then less and less often.
    ///
    /// # Errors
    /// [`DriveError::Thread`] where no thread can be had. What cannot be fetched is no error:
    /// [`Feed::trouble`] tells.
    pub fn start(place: Place, every: Duration, make: Maker<T>) -> Result<Self, DriveError> {
        Self::start_with(place, every, make, Client::default())
    }

    fn start_with(
        place: Place,
        every: Duration,
        make: Maker<T>,
        client: Client,
    ) -> Result<Self, DriveError> {
        let state = State { value: None, version: 0, good: None, trouble: None, closed: false };
        let shared = Arc::new(Shared { state: Mutex::new(state), changed: Condvar::new(), every });
        let fetching = Arc::clone(&shared);
        thread::Builder::new()
            .name("fetching".into())
            .spawn(move || fetching.fetch_on(&place, make, client))
            .map_err(DriveError::Thread)?;
        let open = Arc::new(Open(Arc::clone(&shared)));
        Ok(Self { shared, _open: open })
    }

    /// The number of what came last, and what it was.
    #[must_use]
    pub fn latest(&self) -> Option<(u64, T)> {
        let state = self.shared.lock();
        state.value.clone().map(|value| (state.version, value))
    }

    /// The number of what came last, 0 before the first.
    #[must_use]
    pub fn version(&self) -> u64 {
        self.shared.lock().version
    }

    /// Whether what came last is older than twice the time after which it should have been fetched anew.
    #[must_use]
    pub fn is_stale(&self) -> bool {
        let state = self.shared.lock();
        let old = |good: Instant| good.elapsed() >= self.shared.every.saturating_mul(2);
        state.trouble.is_some() && state.good.is_some_and(old)
    }

    /// Why the last fetch failed, in one line with no full stop; `None`: it did not, or there was none yet.
    #[must_use]
    pub fn trouble(&self) -> Option<String> {
        self.shared.lock().trouble.clone()
    }
}

impl<T> Shared<T> {
    fn fetch_on(&self, place: &Place, mut make: Maker<T>, client: Client) {
        let mut schedule = Schedule::new(self.every);
        loop {
            let made = fetch(place, &mut make, client);
            let wait = schedule.after(made.is_ok());
            let mut state = self.lock();
            match made {
                Ok(value) => {
                    state.value = Some(value);
                    state.version += 1;
                    state.good = Some(Instant::now());
                    state.trouble = None;
                }
                Err(why) => state.trouble = Some(why),
            }
            let waited = self.changed.wait_timeout_while(state, wait, |state| !state.closed);
            let (state, _) = waited.unwrap_or_else(PoisonError::into_inner);
            if state.closed {
                return;
            }
        }
    }
}

/// Fetches once, and what that leads to.
fn fetch<T>(place: &Place, make: &mut Maker<T>, client: Client) -> Result<T, String> {
    let [first, second] = MOST;
    match place {
        Place::Web(address) => {
            let got = client.get(address, first, Depth::Here)?;
            let link = match make(&got.bytes, false)? {
                Made::Done(value) => return Ok(value),
                Made::Follow(link) => link,
            };
            let there = got.from.follow(&link).ok_or_else(|| led_astray(&link))?;
            // What an address found in data leads to lies no further inside than these do.
            done(make(&client.get(&there, second, got.depth)?.bytes, true)?)
        }
        Place::File(path) => {
            let link = match make(&read(path, first)?, false)? {
                Made::Done(value) => return Ok(value),
                Made::Follow(link) => link,
            };
            let bytes = match WebAddress::new(&link) {
                Some(address) => client.get(&address, second, Depth::Here)?.bytes,
                None => read(&beside(path, &link).ok_or_else(|| led_astray(&link))?, second)?,
            };
            done(make(&bytes, true)?)
        }
    }
}

fn done<T>(made: Made<T>) -> Result<T, String> {
    match made {
        Made::Done(value) => Ok(value),
        Made::Follow(link) => Err(led_astray(&link)),
    }
}

fn led_astray(link: &str) -> String {
    let link: String = link.chars().take(60).collect();
    format!("the data lead to {link:?}, which is not followed")
}

/// A file beside another or below it.
fn beside(path: &Path, link: &str) -> Option<PathBuf> {
    use std::path::Component::{CurDir, Normal};
    let link = Path::new(link);
    let below = link.components().all(|part| matches!(part, Normal(_) | CurDir));
    below.then(|| path.with_file_name("").join(link))
}

/// Reads a file; a pipe or a device, which might never end, is none.
fn read(path: &Path, most: u64) -> Result<Vec<u8>, String> {
    let wrong = |error: std::io::Error| format!("{}: {error}", path.display());
    if !std::fs::metadata(path).map_err(wrong)?.is_file() {
        return Err(format!("{} is no file", path.display()));
    }
    let mut bytes = Vec::new();
    File::open(path).and_then(|file| file.take(most + 1).read_to_end(&mut bytes)).map_err(wrong)?;
    if bytes.len() as u64 > most {
        return Err(format!("{}: it is larger than {} KiB", path.display(), most >> 10));
    }
    Ok(bytes)
}

impl<T> fmt::Debug for Feed<T> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_struct("Feed").field("every", &self.shared.every).finish_non_exhaustive()
    }
}

#[cfg(test)]
mod tests;
