//! What is fetched, kept and told.

use std::sync::atomic::{AtomicUsize, Ordering};

use super::testing::{Answer, Server};
use super::*;

fn text() -> Maker<String> {
    Box::new(|bytes, _| {
        let text = String::from_utf8(bytes.to_vec()).map_err(|_| "no text".to_owned())?;
        if text.contains('!') { Err("malformed".into()) } else { Ok(Made::Done(text)) }
    })
}

fn web(address: &str) -> Place {
    Place::Web(WebAddress::new(address).unwrap())
}

/// Waits for something that is bound to happen.
fn until(what: &str, mut is: impl FnMut() -> bool) {
    let patience = Instant::now() + Duration::from_secs(20);
    while !is() {
        assert!(Instant::now() < patience, "{what}");
        thread::sleep(Duration::from_millis(5));
    }
}

#[test]
fn the_last_good_one_stays_and_is_told_stale() {
    let asked = Arc::new(AtomicUsize::new(0));
    let count = Arc::clone(&asked);
    let server = Server::start("127.0.0.1", move |_| match count.fetch_add(1, Ordering::SeqCst) {
        0 => Answer::whole(b"18"),
        1 => Answer::whole(b"19"),
        _ => Answer::whole(b"!"),
    });
    let every = Duration::from_millis(30);
    let feed = Feed::start(web(&server.address("/")), every, text()).unwrap();
    until("both came", || feed.version() == 2);
    until("the third is malformed", || feed.trouble().as_deref() == Some("malformed"));
    assert_eq!(feed.latest(), Some((2, "19".into())));
    until("it is stale", || feed.is_stale());
    assert_eq!(feed.latest(), Some((2, "19".into())), "it stays all the same");
    // Five seconds are waited after the failure: it is not asked in a hurry.
    assert_eq!(asked.load(Ordering::SeqCst), 3);
}

/// Whoever draws asks many times a second, and never waits for the server.
#[test]
fn asking_takes_no_time_while_the_server_is_silent() {
    let server = Server::start("127.0.0.1", |_| Answer::Silent);
    let feed = Feed::start(web(&server.address("/")), Duration::from_secs(1), text()).unwrap();
    until("it is asked", || server.asked() == 1);
    let began = Instant::now();
    for _ in 0..1000 {
        assert_eq!((feed.latest(), feed.version(), feed.is_stale()), (None, 0, false));
    }
    // The fetch itself takes ten seconds.
    assert!(began.elapsed() < Duration::from_secs(5), "{:?}", began.elapsed());
    assert_eq!(feed.trouble(), None);
}

#[test]
fn the_fetching_ends_with_the_last_of_its_handles() {
    let server = Server::start("127.0.0.1", |_| Answer::whole(b"1"));
    let address = web(&server.address("/"));
    let feed = Feed::start(address, Duration::from_millis(10), text()).unwrap();
    let other = feed.clone();
    drop(feed);
    let so_far = other.version();
    until("it goes on", || other.version() > so_far + 2);
    let shared = Arc::downgrade(&other.shared);
    drop(other);
    until("the thread is gone", || shared.strong_count() == 0);
}

#[test]
fn files_are_read_and_what_is_none_is_told() {
    let folder = std::env::temp_dir().join(format!("glowloom-fetch-{}", std::process::id()));
    std::fs::create_dir_all(&folder).unwrap();
    let path = folder.join("data.txt");
    let mut make = text();
    let mut once = |path: &Path| fetch(&Place::File(path.into()), &mut make, Client::default());
    assert!(once(&path).unwrap_err().contains("data.txt: "));
    std::fs::write(&path, "21").unwrap();
    assert_eq!(once(&path), Ok("21".into()));
    assert!(once(&folder).unwrap_err().ends_with("is no file"));
    std::fs::write(&path, vec![b' '; (MOST[0] + 1) as usize]).unwrap();
    assert!(once(&path).unwrap_err().ends_with("it is larger than 1024 KiB"));
    std::fs::remove_dir_all(folder).unwrap();
}

/// The first data lead to the second: beside them, on the same server; never to a file from the web, never
/// outside the folder of a file, and not a third time.
#[test]
fn one_thing_leads_to_another() {
    let follows = || -> Maker<String> {
        Box::new(|bytes, second| {
            let text = String::from_utf8(bytes.to_vec()).map_err(|_| "no text".to_owned())?;
            if second && text != "on" { Ok(Made::Done(text)) } else { Ok(Made::Follow(text)) }
        })
    };
    let server = Server::start("127.0.0.1", |path| match path {
        "/one" => Answer::whole(b"covers/two"),
        "/covers/two" => Answer::whole(b"two"),
        "/file" => Answer::whole(b"file:///etc/hostname"),
        "/path" => Answer::whole(b"../../etc/hostname"),
        "/third" => Answer::whole(b"/on"),
        _ => Answer::whole(b"on"),
    });
    let once = |path: &str| fetch(&web(&server.address(path)), &mut follows(), Client::default());
    assert_eq!(once("/one"), Ok("two".into()));
    assert!(once("/file").unwrap_err().contains("\"file:///etc/hostname\", which is not followed"));
    assert!(once("/third").unwrap_err().contains("\"on\", which is not followed"));
    let folder = std::env::temp_dir().join(format!("glowloom-follow-{}", std::process::id()));
    std::fs::create_dir_all(folder.join("covers")).unwrap();
    let path = folder.join("now.txt");
    let once = |link: &str| {
        std::fs::write(&path, link).unwrap();
        fetch(&Place::File(path.clone()), &mut follows(), Client::default())
    };
    std::fs::write(folder.join("covers/a"), "cover").unwrap();
    assert_eq!(once("covers/a"), Ok("cover".into()));
    assert_eq!(once(&server.address("/covers/two")), Ok("two".into()));
    for wrong in ["../a", "/etc/hostname"] {
        assert!(once(wrong).unwrap_err().ends_with("which is not followed"), "{wrong}");
    }
    std::fs::remove_dir_all(folder).unwrap();
}
