//! Real requests over real sockets: what is answered, and each refusal.

use std::io::{Read, Write};
use std::net::{SocketAddr, TcpListener, TcpStream};
use std::sync::Arc;
use std::time::Duration;

use proptest::prelude::*;

use crate::memory::Memory;
use crate::{Server, limits};

const TIDEWALL: &str = include_str!("../../../examples/walls/tidewall.toml");

fn open(token: Option<&str>) -> (Server, Arc<Memory>) {
    let home = Arc::new(Memory::new(TIDEWALL));
    let listener = TcpListener::bind("127.0.0.1:0").unwrap();
    let server =
        Server::open(listener, Arc::clone(&home) as Arc<_>, token.map(Into::into)).unwrap();
    (server, home)
}

/// What came back.
struct Answer {
    status: u16,
    head: String,
    body: String,
}

/// Sends bytes as they are and reads until the other side is done.
fn raw(at: SocketAddr, bytes: &[u8]) -> Answer {
    let mut stream = TcpStream::connect(at).unwrap();
    stream.set_read_timeout(Some(Duration::from_secs(60))).unwrap();
    let _ = stream.write_all(bytes);
    let mut all = Vec::new();
    let _ = stream.read_to_end(&mut all);
    let text = String::from_utf8_lossy(&all).into_owned();
    let (head, body) = text.split_once("\r\n\r\n").unwrap_or((&text, ""));
    let status = head.split(' ').nth(1).and_then(|code| code.parse().ok()).unwrap_or(0);
    Answer { status, head: head.to_lowercase(), body: body.to_owned() }
}

fn ask(at: SocketAddr, first: &str, lines: &[&str], body: &str) -> Answer {
    let host = if lines.iter().any(|line| line.starts_with("Host:")) {
        String::new()
    } else {
        format!("Host: {at}\r\n")
    };
    let lines: String = lines.iter().map(|line| format!("{line}\r\n")).collect();
    let length = body.len();
    let text = format!(
        "{first} HTTP/1.1\r\n{host}{lines}Content-Length: {length}\r\nConnection: close\r\n\r\n{body}"
    );
    raw(at, text.as_bytes())
}

fn get(at: SocketAddr, path: &str) -> Answer {
    ask(at, &format!("GET {path}"), &[], "")
}

fn post(at: SocketAddr, path: &str, body: &str) -> Answer {
    let origin = format!("Origin: http://{at}");
    ask(at, &format!("POST {path}"), &[&origin, "Content-Type: application/json"], body)
}

#[test]
fn every_screen_is_answered_and_protected() {
    let (server, _) = open(None);
    let at = server.at();
    for path in [
        "/",
        "/wall",
        "/wall?show=path&side=back",
        "/wall?show=current&panel=1",
        "/wall?show=data",
        "/file",
        "/build",
        "/run",
        "/sheets",
        "/sheets/1",
    ] {
        let answer = get(at, path);
        assert_eq!(answer.status, 200, "{path}: {}", answer.body);
        assert!(answer.head.contains("content-security-policy: default-src 'none'"), "{path}");
        assert!(answer.head.contains("x-content-type-options: nosniff"), "{path}");
        assert!(answer.head.contains("cache-control: no-store"), "{path}");
        assert!(answer.body.contains("Tidewall"), "{path}");
        // What the policy forbids would not work.
        assert!(!answer.body.contains(" style=") && !answer.body.contains("<style"), "{path}");
        assert!(!answer.body.contains("<script>") && !answer.body.contains(" onclick"), "{path}");
    }
    for (name, kind, _) in crate::assets::ASSETS {
        let answer = get(at, &format!("/assets/{name}"));
        assert_eq!(answer.status, 200, "{name}");
        assert!(answer.head.contains(&format!("content-type: {kind}")), "{name}");
    }
    for path in [
        "/nothing",
        "/sheets/9999",
        "/assets/../routes.rs",
        "/assets/%2e%2e%2froutes.rs",
        "/book/../wall.toml",
        "/pixel?column=60&row=0",
        "/values?of=other",
    ] {
        assert_eq!(get(at, path).status, 404, "{path}");
    }
    assert!(get(at, "/pixel?column=59&row=31").body.contains("panel east"));
    assert!(get(at, "/book/lists/pixels.csv").head.contains("attachment; filename=\"pixels.csv\""));
}

#[test]
fn names_and_other_pages_are_refused() {
    let (server, home) = open(None);
    let at = server.at();
    assert_eq!(ask(at, "GET /", &["Host: wall.example"], "").status, 421);
    assert_eq!(ask(at, "GET /", &["Origin: http://wall.example"], "").status, 403);
    assert_eq!(
        ask(
            at,
            "GET /values?of=volts",
            &["Sec-Fetch-Site: cross-site", "Sec-Fetch-Mode: no-cors", "Sec-Fetch-Dest: image"],
            ""
        )
        .status,
        403
    );
    let change = r#"{"changes":[{"what":"set","figure":"trim","value":"4.9"}]}"#;
    let kind = "Content-Type: application/json";
    assert_eq!(ask(at, "POST /change", &[kind], change).status, 403, "no origin");
    assert_eq!(ask(at, "POST /change", &[kind, "Origin: null"], change).status, 403);
    assert_eq!(ask(at, "POST /change", &[kind, "Origin: http://wall.example"], change).status, 403);
    let own = format!("Origin: http://{at}");
    // What a form of another page can send is no JSON.
    assert_eq!(ask(at, "POST /change", &["Content-Type: text/plain", &own], change).status, 415);
    assert_eq!(home.text(), TIDEWALL);
    assert_eq!(post(at, "/change", change).status, 200);
    assert!(home.text().contains("trim_volts = 4.9"));
}

#[test]
fn a_live_picture_is_for_our_own_page() {
    let (server, _) = open(None);
    let at = server.at();
    let upgrade = [
        "Connection: Upgrade",
        "Upgrade: websocket",
        "Sec-WebSocket-Version: 13",
        "Sec-WebSocket-Key: dGhlIHNhbXBsZSBub25jZQ==",
    ];
    let with = |origin: &str| {
        let lines: String = upgrade.iter().map(|line| format!("{line}\r\n")).collect();
        raw(at, format!("GET /live HTTP/1.1\r\nHost: {at}\r\n{origin}{lines}\r\n").as_bytes())
            .status
    };
    // Both refusals come before the upgrade: a connection that is not kept ends.
    assert_eq!(with("Connection: close\r\n"), 403);
    assert_eq!(with("Connection: close\r\nOrigin: http://wall.example\r\n"), 403);
}

#[test]
fn a_token_opens_and_nothing_else_does() {
    let (server, _) = open(Some("the-right-token"));
    let at = server.at();
    for path in ["/", "/wall", "/file", "/state", "/book/wall.toml", "/assets/wall.js", "/live"] {
        let answer = get(at, path);
        assert_eq!(answer.status, 401, "{path}");
        assert!(!answer.body.contains("Tidewall"), "{path}");
    }
    assert_eq!(get(at, "/?token=the-right-token").status, 401, "no token in an address");
    assert_eq!(get(at, "/enter").status, 200);
    assert_eq!(post(at, "/enter", r#"{"token":"wrong"}"#).status, 401);
    let origin = "Origin: http://wall.example";
    let kind = "Content-Type: application/json";
    assert_eq!(
        ask(at, "POST /enter", &[origin, kind], r#"{"token":"the-right-token"}"#).status,
        403
    );
    let answer = post(at, "/enter", r#"{"token":"the-right-token"}"#);
    assert_eq!(answer.status, 200);
    let cookie = answer.head.lines().find_map(|line| line.strip_prefix("set-cookie: ")).unwrap();
    assert!(cookie.contains("httponly") && cookie.contains("samesite=strict"), "{cookie}");
    let cookie = format!("Cookie: {}", cookie.split(';').next().unwrap());
    let answer = ask(at, "GET /", &[&cookie], "");
    assert_eq!(answer.status, 200);
    assert!(!answer.body.contains("the-right-token") && !answer.body.contains("secret0"));
    // Whoever guesses gets few tries.
    let tries: Vec<u16> =
        (0..6).map(|_| post(at, "/enter", r#"{"token":"guess"}"#).status).collect();
    assert_eq!(tries.last(), Some(&429));
}

#[test]
fn no_page_without_a_token_but_on_loopback() {
    let listener = TcpListener::bind("0.0.0.0:0").unwrap();
    let home = Arc::new(Memory::new(TIDEWALL));
    assert!(Server::open(listener, home as Arc<_>, None).is_err());
}

#[test]
fn what_is_too_large_is_refused() {
    let (server, home) = open(None);
    let at = server.at();
    let large = format!(r#"{{"mark":"","text":"{}"}}"#, "x".repeat(limits::BODY));
    assert_eq!(post(at, "/file", &large).status, 413);
    let long = format!("X-Long: {}", "x".repeat(4 * limits::HEAD));
    assert_eq!(ask(at, "GET /", &[&long], "").status, 431);
    let many: Vec<String> = (0..=limits::HEAD_LINES).map(|i| format!("X-{i}: 1")).collect();
    let many: Vec<&str> = many.iter().map(String::as_str).collect();
    assert_eq!(ask(at, "GET /", &many, "").status, 431);
    assert_eq!(home.text(), TIDEWALL);
}

#[test]
fn too_many_at_once_are_told_to_wait() {
    let (server, _) = open(None);
    let at = server.at();
    let mut refused = false;
    for _ in 0..50 {
        // Many requests over one connection, which costs little.
        let one = format!("GET /assets/icon.svg HTTP/1.1\r\nHost: {at}\r\n\r\n");
        let last =
            format!("GET /assets/icon.svg HTTP/1.1\r\nHost: {at}\r\nConnection: close\r\n\r\n");
        let answer = raw(at, format!("{}{last}", one.repeat(99)).as_bytes());
        refused |= answer.body.contains("Too many requests");
        if refused {
            break;
        }
    }
    assert!(refused, "five thousand requests at once");
}

#[test]
fn connections_of_one_address_are_few() {
    let (server, _) = open(None);
    let at = server.at();
    let held: Vec<TcpStream> = (0..limits::CONNECTIONS_EACH)
        .map(|_| {
            // An answer on each shows that it has its place.
            let mut stream = TcpStream::connect(at).unwrap();
            write!(stream, "GET /assets/icon.svg HTTP/1.1\r\nHost: {at}\r\n\r\n").unwrap();
            assert!(stream.read(&mut [0; 16]).unwrap() > 0);
            stream
        })
        .collect();
    assert_eq!(get(at, "/assets/icon.svg").status, 0, "one more is closed at once");
    drop(held);
    let again = (0..200).any(|_| {
        std::thread::sleep(Duration::from_millis(20));
        get(at, "/assets/icon.svg").status == 200
    });
    assert!(again, "places are given back");
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 24, ..ProptestConfig::default() })]

    /// Whatever is sent, nothing breaks, nothing is let in, and the file stays a sound one.
    #[test]
    fn no_path_and_no_body_breaks_it(
        path in "/[a-z%0-9./?&=~\\\\-]{0,40}",
        body in prop::collection::vec(any::<u8>(), 0..200),
        json in "[{}\\[\\]\":,a-z0-9]{0,80}",
    ) {
        let (server, home) = shared();
        let at = server.at();
        let answer = raw(at, &[format!("GET {path} HTTP/1.1\r\nHost: {at}\r\nConnection: close\r\n\r\n").as_bytes(), &body].concat());
        prop_assert!(answer.status < 500, "{path}: {}", answer.status);
        prop_assert!(!answer.body.contains("root:"));
        let _ = raw(at, &body);
        for target in ["/change", "/file", "/done", "/show", "/try", "/enter", "/undo", "/begin"] {
            let answer = post(at, target, &json);
            prop_assert!((400..500).contains(&answer.status), "{target}: {}", answer.status);
        }
        prop_assert_eq!(home.text(), TIDEWALL);
    }
}

/// One server for all cases, so that its wall is planned once.
fn shared() -> &'static (Server, Arc<Memory>) {
    static SHARED: std::sync::OnceLock<(Server, Arc<Memory>)> = std::sync::OnceLock::new();
    SHARED.get_or_init(|| open(None))
}
