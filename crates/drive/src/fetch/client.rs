//! One fetch by HTTP: with an end to its time, its size and its redirects, and never further inside a network
//! than where it was sent from.

use std::io::Read;
use std::net::IpAddr;
use std::sync::{Arc, Mutex, PoisonError};
use std::time::{Duration, Instant};

use ureq::http::{StatusCode, Uri, header};
use ureq::unversioned::resolver::{DefaultResolver, ResolvedSocketAddrs, Resolver};
use ureq::unversioned::transport::{DefaultConnector, NextTimeout};
use ureq::{Agent, Timeout};

use super::address::{Depth, WebAddress};

/// How long all of a fetch may take, its redirects included.
const PATIENCE: Duration = Duration::from_secs(10);

/// How often a fetch may be sent elsewhere.
pub(crate) const MOST_REDIRECTS: u32 = 3;

/// Fetches by HTTP.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Client {
    patience: Duration,
    depth_of: fn(IpAddr) -> Depth,
}

/// What came.
#[derive(Debug)]
pub(crate) struct Got {
    pub bytes: Vec<u8>,
    /// Where it was in the end, and how far inside a network that is.
    pub from: WebAddress,
    pub depth: Depth,
}

impl Default for Client {
    fn default() -> Self {
        Self { patience: PATIENCE, depth_of: Depth::of }
    }
}

impl Client {
    /// Fetches at most so many bytes from an address no further inside than `deepest`. What is wrong is told
    /// in one line with no full stop.
    pub(crate) fn get(
        &self,
        address: &WebAddress,
        most: u64,
        deepest: Depth,
    ) -> Result<Got, String> {
        let until = Instant::now() + self.patience;
        let (mut address, mut deepest) = (address.clone(), deepest);
        for _ in 0..=MOST_REDIRECTS {
            let checked = Checked::new(deepest, self.depth_of);
            let seen = Arc::clone(&checked.seen);
            let agent = Agent::with_parts(self.config(until), DefaultConnector::default(), checked);
            let asked = agent.get(address.to_string()).call();
            let seen = *seen.lock().unwrap_or_else(PoisonError::into_inner);
            let response = match asked {
                Ok(response) => response,
                Err(_) if seen.refused => {
                    return Err(format!(
                        "{address} is an address inside the network, and a link from outside led there"
                    ));
                }
                Err(error) => return Err(format!("{address}: {}", self.told(&error))),
            };
            deepest = seen.depth.unwrap_or(Depth::Public);
            let status = response.status();
            if status.is_redirection() && status != StatusCode::NOT_MODIFIED {
                let link = response.headers().get(header::LOCATION).and_then(|to| to.to_str().ok());
                let link =
                    link.ok_or_else(|| format!("{address} sends elsewhere and not where"))?;
                address = address.follow(link).ok_or_else(|| {
                    let shown: String = link.chars().take(60).collect();
                    format!("{address} sends to {shown:?}, and only HTTP and HTTPS are followed")
                })?;
                continue;
            }
            if status != StatusCode::OK {
                return Err(format!("{address} answers with {status}"));
            }
            let bytes = self.body(response, most).map_err(|why| format!("{address}: {why}"))?;
            return Ok(Got { bytes, from: address, depth: deepest });
        }
        Err(format!("{address} is one redirect too many: {MOST_REDIRECTS} are followed"))
    }

    fn config(&self, until: Instant) -> ureq::config::Config {
        Agent::config_builder()
            .timeout_global(Some(until.saturating_duration_since(Instant::now())))
            .max_redirects(0)
            .max_redirects_will_error(false)
            .http_status_as_error(false)
            // The addresses that are connected to are to be those that were looked at.
            .proxy(None)
            .max_idle_connections(0)
            .user_agent("glowloom")
            .build()
    }

    fn body(
        &self,
        response: ureq::http::Response<ureq::Body>,
        most: u64,
    ) -> Result<Vec<u8>, String> {
        let mut bytes = Vec::new();
        let reader = response.into_body().into_with_config().limit(u64::MAX).reader();
        reader.take(most.saturating_add(1)).read_to_end(&mut bytes).map_err(|error| {
            let inner = error.get_ref().and_then(|inner| inner.downcast_ref::<ureq::Error>());
            inner.map_or_else(|| error.to_string(), |inner| self.told(inner))
        })?;
        if bytes.len() as u64 > most {
            return Err(format!("it is larger than {} KiB", most >> 10));
        }
        Ok(bytes)
    }

    fn told(&self, error: &ureq::Error) -> String {
        match error {
            ureq::Error::Timeout(Timeout::Global) => {
                format!("nothing whole came within {} s", self.patience.as_secs_f32())
            }
            ureq::Error::HostNotFound => "there is no such host".into(),
            error => error.to_string(),
        }
    }
}

/// What was seen of the addresses of a host.
#[derive(Clone, Copy, Debug, Default)]
struct Seen {
    /// Of those that may be connected to, the one furthest outside.
    depth: Option<Depth>,
    /// Whether there were some that may not.
    refused: bool,
}

/// Gives the addresses of a host that are not too far inside, and no others can be connected to.
#[derive(Debug)]
struct Checked {
    inner: DefaultResolver,
    deepest: Depth,
    depth_of: fn(IpAddr) -> Depth,
    seen: Arc<Mutex<Seen>>,
}

impl Checked {
    fn new(deepest: Depth, depth_of: fn(IpAddr) -> Depth) -> Self {
        Self { inner: DefaultResolver::default(), deepest, depth_of, seen: Arc::default() }
    }
}

impl Resolver for Checked {
    fn resolve(
        &self,
        uri: &Uri,
        config: &ureq::config::Config,
        timeout: NextTimeout,
    ) -> Result<ResolvedSocketAddrs, ureq::Error> {
        let all = self.inner.resolve(uri, config, timeout)?;
        let mut seen = self.seen.lock().unwrap_or_else(PoisonError::into_inner);
        let mut allowed = self.empty();
        for at in all.iter() {
            let depth = (self.depth_of)(at.ip());
            if depth > self.deepest {
                seen.refused = true;
                continue;
            }
            seen.depth = Some(seen.depth.map_or(depth, |least| least.min(depth)));
            allowed.push(*at);
        }
        if allowed.is_empty() { Err(ureq::Error::HostNotFound) } else { Ok(allowed) }
    }
}

#[cfg(test)]
mod tests;
