//! Who may ask for what: the judgement of a request's head, before anything else is done with it.
//!
//! The page has no names in the network of names, so a request that calls it by one comes from a page
//! elsewhere whose name was turned to this computer: it is refused, and so is what other pages send.

use std::net::{IpAddr, SocketAddr};
use std::sync::{Mutex, PoisonError};

use axum::http::header::{COOKIE, HOST, ORIGIN, UPGRADE};
use axum::http::{HeaderMap, Method};

/// Most browsers that are let in with a token while a server runs.
const MOST_SESSIONS: usize = 16;

/// Why a request is refused.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Refusal {
    /// It calls this computer by a name, or by an address that it does not listen at.
    Host,
    /// A page of somewhere else sent it.
    CrossSite,
    /// It would change something and does not say which page sent it.
    NoOrigin,
    /// It has not been let in.
    NoSession,
}

impl Refusal {
    /// What was found and what to do, each a sentence.
    #[must_use]
    pub fn words(self) -> [&'static str; 2] {
        match self {
            Self::Host => [
                "This address is not one that the page is at.",
                "Open the address that the terminal shows.",
            ],
            Self::CrossSite => [
                "The request came from a page of somewhere else.",
                "Close that page, and open the address that the terminal shows.",
            ],
            Self::NoOrigin => [
                "The request does not say which page sent it.",
                "Open the address that the terminal shows in a browser that is kept up to date.",
            ],
            Self::NoSession => [
                "This browser has not been let in.",
                "Open the link that the terminal shows, or read its code with the phone.",
            ],
        }
    }
}

/// Who is let in.
pub struct Access {
    at: SocketAddr,
    token: Option<String>,
    sessions: Mutex<Vec<String>>,
}

impl Access {
    /// For a server that listens there. Without a token everybody on this computer is let in; it is for
    /// loopback alone.
    #[must_use]
    pub fn new(at: SocketAddr, token: Option<String>) -> Self {
        Self { at, token, sessions: Mutex::new(Vec::new()) }
    }

    /// The cookie's name; cookies do not keep ports apart.
    #[must_use]
    pub fn cookie(&self) -> String {
        format!("glowloom-{}", self.at.port())
    }

    /// Judges a request by its head. `open` is for the few things that come before a session.
    ///
    /// # Errors
    /// Why it is refused.
    pub fn judge(&self, method: &Method, head: &HeaderMap, open: bool) -> Result<(), Refusal> {
        let host = one(head, HOST.as_str()).ok_or(Refusal::Host)?;
        if !self.is_here(host) {
            return Err(Refusal::Host);
        }
        let safe = matches!(*method, Method::GET | Method::HEAD);
        match one(head, ORIGIN.as_str()) {
            Some(origin) if !origin.eq_ignore_ascii_case(&format!("http://{host}")) => {
                return Err(Refusal::CrossSite);
            }
            Some(_) => {}
            None if head.contains_key(ORIGIN) => return Err(Refusal::CrossSite),
            None if !safe || head.contains_key(UPGRADE) => return Err(Refusal::NoOrigin),
            None => {}
        }
        if let Some(site) = head.get("sec-fetch-site") {
            // A link may lead here; nothing else of another page may.
            let of = |name: &str| one(head, name).unwrap_or("");
            let link = of("sec-fetch-mode") == "navigate" && of("sec-fetch-dest") == "document";
            let own = site == "same-origin" || site == "none";
            if !(own || safe && link) {
                return Err(Refusal::CrossSite);
            }
        }
        if open || self.token.is_none() || self.has_session(head) {
            return Ok(());
        }
        Err(Refusal::NoSession)
    }

    /// Whether a `Host` names this server by an address; ports may differ where one is forwarded.
    fn is_here(&self, host: &str) -> bool {
        let Some(name) = name_of(host) else { return false };
        let own = self.at.ip();
        match name {
            Name::Localhost => own.is_loopback() || own.is_unspecified(),
            Name::Address(address) => {
                address == own
                    || own.is_unspecified()
                    || (own.is_loopback() && address.is_loopback())
            }
        }
    }

    fn has_session(&self, head: &HeaderMap) -> bool {
        let sessions = self.sessions.lock().unwrap_or_else(PoisonError::into_inner);
        let name = self.cookie();
        let texts = head.get_all(COOKIE).into_iter().filter_map(|value| value.to_str().ok());
        let mut pairs =
            texts.flat_map(|text| text.split(';')).filter_map(|c| c.trim().split_once('='));
        pairs.any(|(key, value)| {
            key == name && sessions.iter().any(|known| same(known.as_bytes(), value.as_bytes()))
        })
    }

    /// Lets a browser in that has the token: gives the `Set-Cookie` line. `secret` becomes the session;
    /// the oldest session ends where there would be too many.
    pub fn enter(&self, token: &str, secret: impl FnOnce() -> String) -> Option<String> {
        let known = self.token.as_ref()?;
        if !same(known.as_bytes(), token.trim().as_bytes()) {
            return None;
        }
        let session = secret();
        let line = format!(
            "{}={session}; Path=/; HttpOnly; SameSite=Strict; Max-Age=604800",
            self.cookie()
        );
        let mut sessions = self.sessions.lock().unwrap_or_else(PoisonError::into_inner);
        if sessions.len() >= MOST_SESSIONS {
            sessions.remove(0);
        }
        sessions.push(session);
        Some(line)
    }
}

/// A header that is there exactly once, as text.
fn one<'h>(head: &'h HeaderMap, name: &str) -> Option<&'h str> {
    let mut all = head.get_all(name).into_iter();
    let first = all.next()?;
    all.next().is_none().then_some(first)?.to_str().ok()
}

enum Name {
    Localhost,
    Address(IpAddr),
}

/// What a `Host` names; `None` for a name of the network of names, and for nonsense.
fn name_of(host: &str) -> Option<Name> {
    let name = match host.strip_prefix('[') {
        Some(rest) => {
            let (address, port) = rest.split_once(']')?;
            let port = port.strip_prefix(':').unwrap_or(port);
            let address: std::net::Ipv6Addr = address.parse().ok()?;
            return is_port(port).then_some(Name::Address(address.into()));
        }
        None => match host.split_once(':') {
            Some((name, port)) => is_port(port).then_some(name)?,
            None => host,
        },
    };
    if name.eq_ignore_ascii_case("localhost") {
        return Some(Name::Localhost);
    }
    name.parse::<std::net::Ipv4Addr>().ok().map(|address| Name::Address(address.into()))
}

fn is_port(text: &str) -> bool {
    text.bytes().all(|b| b.is_ascii_digit()) && text.len() <= 5
}

/// Whether two secrets are the same, in a time that does not tell how much of them is.
fn same(a: &[u8], b: &[u8]) -> bool {
    let unlike = a.iter().zip(b).fold(0, |unlike, (a, b)| unlike | (a ^ b));
    a.len() == b.len() && std::hint::black_box(unlike) == 0
}

#[cfg(test)]
mod tests {
    use super::*;
    use axum::http::{HeaderName, HeaderValue};
    use proptest::prelude::*;

    fn head(lines: &[(&'static str, &str)]) -> HeaderMap {
        lines
            .iter()
            .map(|(name, value)| {
                (HeaderName::from_static(name), HeaderValue::from_str(value).unwrap())
            })
            .collect()
    }

    fn at(address: &str) -> Access {
        Access::new(address.parse().unwrap(), None)
    }

    #[test]
    fn only_addresses_that_are_listened_at() {
        let here = at("127.0.0.1:4780");
        for host in
            ["127.0.0.1:4780", "localhost:4780", "LOCALHOST", "[::1]:4780", "127.0.0.1:9000"]
        {
            assert_eq!(here.judge(&Method::GET, &head(&[("host", host)]), false), Ok(()), "{host}");
        }
        for host in [
            "wall.example",
            "wall.example:4780",
            "192.0.2.7:4780",
            "127.0.0.1.example",
            "",
            "localhost:x",
            "[::1",
            "localhost.",
            "127.0.0.1:4780:1",
        ] {
            let judged = here.judge(&Method::GET, &head(&[("host", host)]), false);
            assert_eq!(judged, Err(Refusal::Host), "{host}");
        }
        assert_eq!(here.judge(&Method::GET, &head(&[]), false), Err(Refusal::Host));
        let twice = {
            let mut twice = head(&[("host", "localhost")]);
            twice.append("host", HeaderValue::from_static("wall.example"));
            twice
        };
        assert_eq!(here.judge(&Method::GET, &twice, false), Err(Refusal::Host));
        let open = at("0.0.0.0:4780");
        assert_eq!(open.judge(&Method::GET, &head(&[("host", "192.0.2.7:4780")]), false), Ok(()));
        assert!(open.judge(&Method::GET, &head(&[("host", "wall.example:4780")]), false).is_err());
    }

    #[test]
    fn pages_of_somewhere_else_are_refused() {
        let here = at("127.0.0.1:4780");
        let host = ("host", "127.0.0.1:4780");
        let judge = |method: Method, more: &[(&'static str, &str)]| {
            let lines: Vec<_> = std::iter::once(host).chain(more.iter().copied()).collect();
            here.judge(&method, &head(&lines), false)
        };
        assert_eq!(judge(Method::POST, &[]), Err(Refusal::NoOrigin));
        assert_eq!(judge(Method::GET, &[("upgrade", "websocket")]), Err(Refusal::NoOrigin));
        let own = ("origin", "http://127.0.0.1:4780");
        assert_eq!(judge(Method::POST, &[own]), Ok(()));
        for origin in [
            "null",
            "http://localhost:4780",
            "https://127.0.0.1:4780",
            "http://wall.example",
            "http://127.0.0.1:4781",
        ] {
            assert_eq!(
                judge(Method::GET, &[("origin", origin)]),
                Err(Refusal::CrossSite),
                "{origin}"
            );
        }
        let cross = ("sec-fetch-site", "cross-site");
        assert_eq!(judge(Method::GET, &[cross]), Err(Refusal::CrossSite));
        assert_eq!(judge(Method::POST, &[own, cross]), Err(Refusal::CrossSite));
        let link = [cross, ("sec-fetch-mode", "navigate"), ("sec-fetch-dest", "document")];
        assert_eq!(judge(Method::GET, &link), Ok(()));
        let framed = [cross, ("sec-fetch-mode", "navigate"), ("sec-fetch-dest", "iframe")];
        assert_eq!(judge(Method::GET, &framed), Err(Refusal::CrossSite));
    }

    #[test]
    fn a_token_is_changed_for_a_strict_cookie() {
        let access = Access::new("192.0.2.7:4780".parse().unwrap(), Some("right".into()));
        let host = ("host", "192.0.2.7:4780");
        let judge =
            |cookie: &str| access.judge(&Method::GET, &head(&[host, ("cookie", cookie)]), false);
        assert_eq!(judge("a=b"), Err(Refusal::NoSession));
        assert_eq!(access.enter("wrong", || unreachable!()), None);
        assert_eq!(access.enter("righ", || unreachable!()), None);
        assert_eq!(access.enter("", || unreachable!()), None);
        let line = access.enter("right", || "s1".into()).unwrap();
        assert_eq!(line, "glowloom-4780=s1; Path=/; HttpOnly; SameSite=Strict; Max-Age=604800");
        assert_eq!(judge("x=y; glowloom-4780=s1"), Ok(()));
        for wrong in ["glowloom-4780=s", "glowloom-4780=", "glowloom-1=s1", "glowloom-4780=right"] {
            assert_eq!(judge(wrong), Err(Refusal::NoSession), "{wrong}");
        }
        for i in 0..MOST_SESSIONS {
            access.enter("right", || format!("more{i}")).unwrap();
        }
        assert_eq!(judge("glowloom-4780=s1"), Err(Refusal::NoSession), "the oldest has ended");
    }

    proptest! {
        /// No name of the network of names comes through, whatever it looks like.
        #[test]
        fn no_name_is_an_address(name in "[a-z0-9.:\\[\\]-]{0,40}") {
            let here = at("0.0.0.0:4780");
            let let_in = here.judge(&Method::GET, &head(&[("host", &name)]), false).is_ok();
            if let_in {
                let bare = name.rsplit_once(':').filter(|(_, port)| is_port(port)).map_or(&*name, |(bare, _)| bare);
                let bare = bare.trim_matches(['[', ']']);
                prop_assert!(bare == "localhost" || bare.parse::<IpAddr>().is_ok() || name.trim_matches(['[', ']']).parse::<IpAddr>().is_ok(), "{name}");
            }
        }
    }
}
