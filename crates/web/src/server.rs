//! The listening side: connections within limits, each request judged before it is answered.

use std::collections::BTreeMap;
use std::io;
use std::net::{IpAddr, SocketAddr};
use std::sync::{Arc, Mutex, PoisonError};
use std::time::Duration;

use axum::extract::{DefaultBodyLimit, Extension, Request, State};
use axum::http::header::{self, HeaderMap, HeaderName, HeaderValue};
use axum::http::{Method, StatusCode};
use axum::middleware::{self, Next};
use axum::response::{IntoResponse, Response};
use axum::{Router, routing};
use hyper::server::conn::http1;
use hyper_util::rt::{TokioIo, TokioTimer};
use hyper_util::service::TowerToHyperService;
use tokio::net::{TcpListener, TcpStream};
use tokio::sync::{Semaphore, watch};
use tokio::time::Instant;

use crate::access::{Access, Refusal};
use crate::desk::Desk;
use crate::home::Home;
use crate::limits::{self, Rate};
use crate::{pages, routes};

/// What answers are given from.
pub struct Site {
    /// Who is let in.
    pub access: Access,
    /// The wall.
    pub desk: Desk,
    /// Places for live pictures.
    pub live: Arc<Semaphore>,
    /// Becomes true when the server ends.
    pub ending: watch::Receiver<bool>,
    rate: Mutex<Rate>,
    doors: Mutex<Rate>,
    began: Instant,
}

impl Site {
    /// Whether that address may try a token now: a few at once, one each ten seconds.
    pub fn may_try(&self, peer: IpAddr) -> bool {
        may(&self.doors, peer, self.began.elapsed())
    }
}

fn may(rate: &Mutex<Rate>, peer: IpAddr, now: Duration) -> bool {
    rate.lock().unwrap_or_else(PoisonError::into_inner).may(peer, now)
}

/// Where a request comes from.
#[derive(Clone, Copy)]
pub struct Peer(pub IpAddr);

/// A page that is open to browsers.
pub struct Server {
    at: SocketAddr,
    end: watch::Sender<bool>,
    thread: Option<std::thread::JoinHandle<()>>,
}

impl Server {
    /// Begins to answer on a socket that listens already. With a token nobody is let in without it; a
    /// socket that is not on loopback must have one.
    ///
    /// # Errors
    /// Where the system does not let it, or a token lacks.
    pub fn open(
        listener: std::net::TcpListener,
        home: Arc<dyn Home>,
        token: Option<String>,
    ) -> io::Result<Self> {
        let at = listener.local_addr()?;
        if token.is_none() && !at.ip().is_loopback() {
            return Err(io::Error::other("no page without a token but on loopback"));
        }
        listener.set_nonblocking(true)?;
        let runtime = tokio::runtime::Builder::new_multi_thread()
            .worker_threads(2)
            .max_blocking_threads(8)
            .thread_name("page")
            .enable_all()
            .build()?;
        let (end, ending) = watch::channel(false);
        let access = Access::new(at, token);
        let thread = std::thread::Builder::new().name("page".into()).spawn(move || {
            runtime.block_on(async move {
                let Ok(listener) = TcpListener::from_std(listener) else { return };
                let site = Arc::new(Site {
                    access,
                    desk: Desk::new(home),
                    live: Arc::new(Semaphore::new(limits::LIVE)),
                    ending: ending.clone(),
                    rate: Mutex::new(Rate::new(400, 100.0)),
                    doors: Mutex::new(Rate::new(5, 0.1)),
                    began: Instant::now(),
                });
                accept(listener, app(site), ending).await;
            });
        })?;
        Ok(Self { at, end, thread: Some(thread) })
    }

    /// Where it listens.
    #[must_use]
    pub fn at(&self) -> SocketAddr {
        self.at
    }
}

impl Drop for Server {
    fn drop(&mut self) {
        let _ = self.end.send(true);
        if let Some(thread) = self.thread.take() {
            let _ = thread.join();
        }
    }
}

/// How many connections each address has.
type Each = Arc<Mutex<BTreeMap<IpAddr, usize>>>;

/// A place among the connections, given back when it is dropped.
struct Place {
    each: Each,
    peer: IpAddr,
    _permit: tokio::sync::OwnedSemaphorePermit,
}

impl Place {
    fn take(all: &Arc<Semaphore>, each: &Each, peer: IpAddr) -> Option<Self> {
        let permit = Arc::clone(all).try_acquire_owned().ok()?;
        let mut known = each.lock().unwrap_or_else(PoisonError::into_inner);
        let count = known.entry(peer).or_insert(0);
        if *count >= limits::CONNECTIONS_EACH {
            return None;
        }
        *count += 1;
        Some(Self { each: Arc::clone(each), peer, _permit: permit })
    }
}

impl Drop for Place {
    fn drop(&mut self) {
        let mut known = self.each.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some(count) = known.get_mut(&self.peer) {
            *count -= 1;
            if *count == 0 {
                known.remove(&self.peer);
            }
        }
    }
}

async fn accept(listener: TcpListener, app: Router, mut ending: watch::Receiver<bool>) {
    let all = Arc::new(Semaphore::new(limits::CONNECTIONS));
    let each = Each::default();
    loop {
        let came = tokio::select! {
            came = listener.accept() => came,
            _ = ending.wait_for(|end| *end) => return,
        };
        match came {
            Ok((stream, peer)) => {
                let peer = peer.ip().to_canonical();
                // Above the limits a connection is closed at once.
                if let Some(place) = Place::take(&all, &each, peer) {
                    tokio::spawn(answer(stream, peer, app.clone(), place));
                }
            }
            // No sockets left, for one: others may end meanwhile.
            Err(_) => tokio::time::sleep(Duration::from_millis(50)).await,
        }
    }
}

async fn answer(stream: TcpStream, peer: IpAddr, app: Router, place: Place) {
    // Small answers are not held back.
    let _ = stream.set_nodelay(true);
    let service = TowerToHyperService::new(app.layer(Extension(Peer(peer))));
    let _ = http1::Builder::new()
        .timer(TokioTimer::new())
        .header_read_timeout(limits::HEAD_TIME)
        .max_headers(limits::HEAD_LINES)
        .max_buf_size(limits::HEAD)
        .serve_connection(TokioIo::new(stream), service)
        .with_upgrades()
        .await;
    drop(place);
}

fn app(site: Arc<Site>) -> Router {
    routes::all()
        .fallback(routing::any(routes::nothing_here))
        .layer(DefaultBodyLimit::max(limits::BODY))
        .layer(middleware::from_fn_with_state(Arc::clone(&site), judged))
        .with_state(site)
}

/// Things that a browser may have before it is let in: what the door itself is made of.
fn is_open(path: &str) -> bool {
    matches!(path, "/enter" | "/assets/page.css" | "/assets/enter.js")
}

async fn judged(
    State(site): State<Arc<Site>>,
    Extension(Peer(peer)): Extension<Peer>,
    request: Request,
    next: Next,
) -> Response {
    let mut response = if !may(&site.rate, peer, site.began.elapsed()) {
        refusal(
            StatusCode::TOO_MANY_REQUESTS,
            request.headers(),
            ["Too many requests at once.", "Wait a moment, then go on."],
        )
    } else {
        let open = is_open(request.uri().path());
        match site.access.judge(request.method(), request.headers(), open) {
            Ok(()) => {
                let head = request.method() == Method::HEAD;
                match tokio::time::timeout(limits::ANSWER_TIME, next.run(request)).await {
                    Ok(response) => response,
                    Err(_) if head => StatusCode::REQUEST_TIMEOUT.into_response(),
                    Err(_) => {
                        (StatusCode::REQUEST_TIMEOUT, "The request took too long. Try again.")
                            .into_response()
                    }
                }
            }
            Err(refused) => {
                let status = match refused {
                    Refusal::NoSession => StatusCode::UNAUTHORIZED,
                    Refusal::Host => StatusCode::MISDIRECTED_REQUEST,
                    _ => StatusCode::FORBIDDEN,
                };
                refusal(status, request.headers(), refused.words())
            }
        }
    };
    protect(response.headers_mut());
    response
}

/// A refusal in words: as a page where one is asked for.
fn refusal(status: StatusCode, asked: &HeaderMap, words: [&str; 2]) -> Response {
    let wants_page = asked
        .get(header::ACCEPT)
        .and_then(|accept| accept.to_str().ok())
        .is_some_and(|accept| accept.contains("text/html"));
    if wants_page {
        (status, pages::broken::page(words[0], words[1])).into_response()
    } else {
        (status, words.join(" ")).into_response()
    }
}

/// What every answer says to the browser.
const PROTECTION: [(&str, &str); 7] = [
    (
        "content-security-policy",
        "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' blob:; \
         connect-src 'self'; font-src 'self'; form-action 'self'; frame-ancestors 'none'; base-uri 'none'",
    ),
    ("x-content-type-options", "nosniff"),
    ("referrer-policy", "no-referrer"),
    ("x-frame-options", "DENY"),
    ("cross-origin-opener-policy", "same-origin"),
    ("cross-origin-resource-policy", "same-origin"),
    (
        "permissions-policy",
        "camera=(self), microphone=(self), display-capture=(self), geolocation=(), payment=(), usb=(), serial=()",
    ),
];

fn protect(head: &mut HeaderMap) {
    for (name, value) in PROTECTION {
        head.insert(HeaderName::from_static(name), HeaderValue::from_static(value));
    }
    head.entry(header::CACHE_CONTROL).or_insert(HeaderValue::from_static("no-store"));
}
