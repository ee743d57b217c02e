//! Every way in which a server can be a bad one.

use super::*;
use crate::fetch::testing::{Answer, Server};

const MOST: u64 = 64 << 10;

/// 127.0.0.1 stands for the internet here, 127.0.0.2 for the house's own network.
fn depth_of(ip: IpAddr) -> Depth {
    match ip.to_string().as_str() {
        "127.0.0.1" => Depth::Public,
        "127.0.0.2" => Depth::Private,
        _ => Depth::Here,
    }
}

fn client() -> Client {
    Client { patience: Duration::from_millis(700), depth_of }
}

fn get(address: &str) -> Result<Got, String> {
    client().get(&WebAddress::new(address).unwrap(), MOST, Depth::Here)
}

#[test]
fn what_is_there_comes() {
    let server = Server::start("127.0.0.1", |path| {
        match path {
        "/a.json" => Answer::whole(b"{\"a\":1}"),
        "/chunks" => Answer::Raw(
            b"HTTP/1.1 200 OK\r\nTransfer-Encoding: chunked\r\n\r\n3\r\nabc\r\n2\r\nde\r\n0\r\n\r\n".to_vec(),
        ),
        _ => Answer::Raw(b"HTTP/1.1 404 Not Found\r\nContent-Length: 0\r\n\r\n".to_vec()),
    }
    });
    let got = get(&server.address("/a.json")).unwrap();
    assert_eq!((&got.bytes[..], got.depth), (&b"{\"a\":1}"[..], Depth::Public));
    assert_eq!(get(&server.address("/chunks")).unwrap().bytes, b"abcde");
    let wrong = get(&server.address("/b.json")).unwrap_err();
    assert!(wrong.ends_with("/b.json answers with 404 Not Found"), "{wrong}");
}

#[test]
fn what_is_huge_is_left() {
    let server = Server::start("127.0.0.1", |path| match path {
        "/said" => Answer::whole(&vec![b' '; 100 << 10]),
        // It never ends, and does not say so.
        _ => Answer::Endless,
    });
    for path in ["/said", "/endless"] {
        let wrong = get(&server.address(path)).unwrap_err();
        assert!(wrong.ends_with("it is larger than 64 KiB"), "{wrong}");
    }
}

#[test]
fn what_is_slow_is_given_up() {
    let server = Server::start("127.0.0.1", |path| match path {
        "/silent" => Answer::Silent,
        // A byte now and then, so that no single read takes too long.
        _ => Answer::Dripping,
    });
    for path in ["/silent", "/dripping"] {
        let began = Instant::now();
        let wrong = get(&server.address(path)).unwrap_err();
        assert!(wrong.ends_with("nothing whole came within 0.7 s"), "{wrong}");
        assert!(began.elapsed() >= Duration::from_millis(600));
    }
}

#[test]
fn redirects_are_few_and_lead_no_further_inside() {
    let inside = Server::start("127.0.0.2", |_| Answer::whole(b"secret"));
    let here = Server::start("127.0.0.3", |_| Answer::whole(b"most secret"));
    let (inside_at, here_at) = (inside.address("/"), here.address("/"));
    let links = (inside_at.clone(), here_at.clone());
    let server = Server::start("127.0.0.1", move |path| match path {
        "/beside" => Answer::to("whole"),
        "/whole" => Answer::whole(b"whole"),
        "/round" => Answer::to("/round"),
        "/file" => Answer::to("file:///etc/passwd"),
        "/inside" => Answer::to(&links.0),
        "/here" => Answer::to(&links.1),
        _ => Answer::Raw(b"HTTP/1.1 302 Found\r\nContent-Length: 0\r\n\r\n".to_vec()),
    });
    let got = get(&server.address("/beside")).unwrap();
    assert_eq!((&got.bytes[..], got.from.to_string()), (&b"whole"[..], server.address("/whole")));
    for (path, said) in [
        ("/round", "is one redirect too many: 3 are followed"),
        ("/file", "sends to \"file:///etc/passwd\", and only HTTP and HTTPS are followed"),
        ("/inside", "is an address inside the network, and a link from outside led there"),
        ("/here", "is an address inside the network, and a link from outside led there"),
        ("/nowhere", "sends elsewhere and not where"),
    ] {
        let wrong = get(&server.address(path)).unwrap_err();
        assert!(wrong.contains(said), "{path}: {wrong}");
    }
    assert_eq!((inside.asked(), here.asked()), (0, 0), "nobody was asked at all");
    // A person may write any address; from there outward is no harm.
    assert_eq!(get(&inside_at).unwrap().depth, Depth::Private);
    assert_eq!(get(&here_at).unwrap().bytes, b"most secret");
    let out = server.address("/whole");
    let outward = Server::start("127.0.0.3", move |_| Answer::to(&out));
    assert_eq!(get(&outward.address("/")).unwrap().depth, Depth::Public);
    let wrong = client().get(&WebAddress::new(&inside_at).unwrap(), MOST, Depth::Public);
    assert!(wrong.unwrap_err().contains("inside the network"));
}

#[test]
fn who_is_not_there_is_told() {
    let nobody = std::net::TcpListener::bind("127.0.0.1:0").unwrap().local_addr().unwrap();
    let wrong = get(&format!("http://{nobody}/")).unwrap_err();
    assert!(wrong.starts_with(&format!("http://{nobody}/: ")), "{wrong}");
    let server =
        Server::start("127.0.0.1", |_| Answer::Raw(b"this is not HTTP at all\r\n\r\n".to_vec()));
    assert!(get(&server.address("/")).is_err());
    let server = Server::start("127.0.0.1", |_| {
        Answer::Raw(b"HTTP/1.1 200 OK\r\nContent-Length: 100\r\n\r\nshort".to_vec())
    });
    assert!(get(&server.address("/")).is_err(), "it ended before its end");
}
