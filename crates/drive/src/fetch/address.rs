//! Addresses of the web, and how far inside a network one lies.

use std::net::{IpAddr, Ipv4Addr, Ipv6Addr};

/// Where something is fetched by HTTP or HTTPS.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct WebAddress {
    scheme: &'static str,
    /// Name or address, and the port if one is written.
    authority: String,
    /// From the slash on.
    path: String,
}

/// How far inside a network an address lies. What comes from outside may not lead further inside: a page of
/// the internet has no say about what is asked of the house's own devices.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Depth {
    /// The internet.
    Public,
    /// The house's own network.
    Private,
    /// This computer.
    Here,
}

impl WebAddress {
    /// Reads `http://` or `https://` with a host, a port if need be, and a path.
    #[must_use]
    pub fn new(text: &str) -> Option<Self> {
        // Spaces, control characters and quotation marks stand in no address.
        if text.len() > 2000 || !text.bytes().all(|byte| byte.is_ascii_graphic() && byte != b'"') {
            return None;
        }
        let (scheme, rest) = text.split_once("://")?;
        let scheme =
            ["http", "https"].into_iter().find(|known| scheme.eq_ignore_ascii_case(known))?;
        let rest = rest.split_once('#').map_or(rest, |(before, _)| before);
        let end = rest.find(['/', '?']).unwrap_or(rest.len());
        let (authority, path) = rest.split_at_checked(end)?;
        // A name before @ is no host: it makes an address look like another.
        if authority.is_empty() || authority.contains('@') {
            return None;
        }
        let path = if path.starts_with('/') { path.to_owned() } else { format!("/{path}") };
        Some(Self { scheme, authority: authority.to_owned(), path })
    }

    /// Where a link in what is found here leads (RFC 3986, 5.2, without `..`): a whole address, a path from
    /// the root or one beside this. `None` where it leads to anything but HTTP, or from HTTPS to HTTP.
    pub(crate) fn follow(&self, link: &str) -> Option<Self> {
        let there = if let Some(rest) = link.strip_prefix("//") {
            Self::new(&format!("{}://{rest}", self.scheme))?
        } else if link.starts_with('/') {
            Self::new(&format!("{}://{}{link}", self.scheme, self.authority))?
        } else if link.split(['/', '?', '#']).next().is_some_and(|first| first.contains(':')) {
            Self::new(link)?
        } else {
            let path = self.path.split_once('?').map_or(&*self.path, |(path, _)| path);
            let folder = path.rsplit_once('/').map_or("", |(folder, _)| folder);
            Self::new(&format!("{}://{}{folder}/{link}", self.scheme, self.authority))?
        };
        (self.scheme == "http" || there.scheme == "https").then_some(there)
    }
}

impl std::fmt::Display for WebAddress {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{}://{}{}", self.scheme, self.authority, self.path)
    }
}

impl Depth {
    /// How far inside an address lies (IANA's registries of special addresses, from memory).
    pub(crate) fn of(ip: IpAddr) -> Self {
        match ip {
            IpAddr::V4(ip) => Self::of_v4(ip),
            IpAddr::V6(ip) => Self::of_v6(ip),
        }
    }

    fn of_v4(ip: Ipv4Addr) -> Self {
        let [a, b, c, _] = ip.octets();
        if ip.is_loopback() || a == 0 {
            return Self::Here;
        }
        // Shared by carriers, of protocols, of benchmarks; from 224 on groups and what is reserved.
        let special = (a == 100 && b & 0xC0 == 64)
            || (a, b, c) == (192, 0, 0)
            || (a == 198 && b & 0xFE == 18)
            || a >= 224;
        if ip.is_private() || ip.is_link_local() || special { Self::Private } else { Self::Public }
    }

    fn of_v6(ip: Ipv6Addr) -> Self {
        let groups = ip.segments();
        let last = |high: u16, low: u16| {
            let [a, b] = high.to_be_bytes();
            let [c, d] = low.to_be_bytes();
            Self::of_v4(Ipv4Addr::new(a, b, c, d))
        };
        match groups {
            [0, 0, 0, 0, 0, 0, 0, 0 | 1] => Self::Here,
            // An address of version 4 in another dress: mapped, translated (RFC 6052), tunnelled (RFC 3056).
            [0, 0, 0, 0, 0, 0 | 0xFFFF, high, low] | [0x64, 0xFF9B, 0, 0, 0, 0, high, low] => {
                last(high, low)
            }
            [0x2002, high, low, ..] => last(high, low),
            [first, ..]
                if first & 0xFE00 == 0xFC00 || first & 0xFF80 == 0xFE80 || first >= 0xFF00 =>
            {
                Self::Private
            }
            _ => Self::Public,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn address(text: &str) -> String {
        WebAddress::new(text).map_or("none".into(), |address| address.to_string())
    }

    #[test]
    fn addresses_of_the_web_and_others() {
        assert_eq!(address("http://192.0.2.7/a.json?x=1#y"), "http://192.0.2.7/a.json?x=1");
        assert_eq!(address("HTTPS://example.net:8443"), "https://example.net:8443/");
        assert_eq!(address("http://[2001:db8::1]/"), "http://[2001:db8::1]/");
        assert_eq!(address("http://example.net?q"), "http://example.net/?q");
        for wrong in [
            "file:///etc/passwd",
            "ftp://example.net/",
            "http://",
            "http:///a",
            "http://example.net@192.0.2.1/",
            "http://a b/",
            "http://a/\r\nHost: b",
            "example.net",
            "",
        ] {
            assert_eq!(address(wrong), "none", "{wrong}");
        }
    }

    #[test]
    fn links_lead_to_the_web_alone() {
        let follow = |from: &str, link: &str| {
            WebAddress::new(from).unwrap().follow(link).map_or("none".into(), |to| to.to_string())
        };
        let from = "https://example.net/a/b.json?c=/d/";
        assert_eq!(follow(from, "/e.png"), "https://example.net/e.png");
        assert_eq!(follow(from, "e.png?f"), "https://example.net/a/e.png?f");
        assert_eq!(follow(from, "//example.org/e"), "https://example.org/e");
        assert_eq!(follow(from, "https://example.org"), "https://example.org/");
        assert_eq!(follow("http://example.net", "https://example.org/"), "https://example.org/");
        for wrong in [
            "http://example.net/",
            "file:///etc/passwd",
            "data:,a",
            "javascript:1",
            "FILE:/a",
            "a b",
        ] {
            assert_eq!(follow(from, wrong), "none", "{wrong}");
        }
    }

    #[test]
    fn addresses_lie_outside_in_the_house_or_here() {
        for (ip, depth) in [
            ("192.0.2.7", Depth::Public),
            ("8.0.0.1", Depth::Public),
            ("172.15.0.1", Depth::Public),
            ("2001:db8::1", Depth::Public),
            ("10.1.2.3", Depth::Private),
            ("172.31.255.255", Depth::Private),
            ("192.168.0.1", Depth::Private),
            ("169.254.169.254", Depth::Private),
            ("100.64.0.1", Depth::Private),
            ("224.0.0.251", Depth::Private),
            ("255.255.255.255", Depth::Private),
            ("fd00::1", Depth::Private),
            ("fe80::1", Depth::Private),
            ("ff02::fb", Depth::Private),
            ("::ffff:192.168.0.1", Depth::Private),
            ("64:ff9b::10.0.0.1", Depth::Private),
            ("2002:c0a8:1::1", Depth::Private),
            ("127.0.0.1", Depth::Here),
            ("127.255.0.9", Depth::Here),
            ("0.0.0.0", Depth::Here),
            ("::1", Depth::Here),
            ("::", Depth::Here),
            ("::ffff:127.0.0.1", Depth::Here),
        ] {
            assert_eq!(Depth::of(ip.parse().unwrap()), depth, "{ip}");
        }
    }
}
