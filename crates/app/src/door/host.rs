//! Which requests come from our own page: by the address that was asked for, and by the page that asks.
//!
//! A page of another site can make a browser send requests here, even under a name of its own that it lets point at this
//! machine. So the `Host` must be the address that this very connection came in by, or a name given at the start, and
//! the `Origin`, where there is one, must be that same host.

use std::net::{IpAddr, SocketAddr};

use axum::http::{HeaderMap, header};

/// The host asked for, if the request may come in by it; else why not.
pub(crate) fn admitted(
    headers: &HeaderMap,
    local: SocketAddr,
    names: &[String],
) -> Result<String, &'static str> {
    let mut hosts = headers.get_all(header::HOST).iter();
    let (Some(host), None) = (hosts.next(), hosts.next()) else { return Err("say one host\n") };
    let host = host.to_str().ok().filter(|host| is_ours(host, local, names));
    let host = host.ok_or("no address or name of this machine; --host NAME at the start adds one\n")?;
    match headers.get(header::ORIGIN).map(|origin| origin.to_str().unwrap_or_default()) {
        // Not a browser's page, or this one; what it may do is asked further in.
        None => Ok(host.to_owned()),
        Some(origin) if origin.strip_prefix("http://") == Some(host) => Ok(host.to_owned()),
        Some(_) => Err("another site's page has no hand on the lights\n"),
    }
}

fn is_ours(host: &str, local: SocketAddr, names: &[String]) -> bool {
    let (name, port) = match host.rsplit_once(':') {
        // Digits after the last colon, and no colon before it but in brackets.
        Some((name, port)) if !name.contains(':') || name.ends_with(']') => (name, port.parse().ok()),
        _ => (host, Some(80)),
    };
    if port != Some(local.port()) {
        return false;
    }
    let bare = name.strip_prefix('[').and_then(|name| name.strip_suffix(']')).unwrap_or(name);
    let here = local.ip().to_canonical();
    match bare.parse::<IpAddr>() {
        Ok(ip) => ip.to_canonical() == here,
        Err(_) => {
            (here.is_loopback() && name.eq_ignore_ascii_case("localhost"))
                || names.iter().any(|ours| ours.eq_ignore_ascii_case(name))
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_our_own_page_has_a_hand_on_the_lights() {
        let names = ["hall.local".to_owned()];
        for (host, origin, local, ok) in [
            ("127.0.0.1:7411", Some("http://127.0.0.1:7411"), "127.0.0.1:7411", true),
            ("localhost:7411", Some("http://localhost:7411"), "127.0.0.1:7411", true),
            ("LocalHost:7411", None, "[::1]:7411", true),
            ("[::1]:7411", Some("http://[::1]:7411"), "[::1]:7411", true),
            ("127.0.0.1:7411", None, "127.0.0.1:7411", true),
            ("127.0.0.1", None, "127.0.0.1:80", true),
            ("10.0.0.5:7411", Some("http://10.0.0.5:7411"), "10.0.0.5:7411", true),
            ("10.0.0.5:7411", None, "[::ffff:10.0.0.5]:7411", true),
            ("hall.local:7411", Some("http://hall.local:7411"), "10.0.0.5:7411", true),
            // Another site's page.
            ("127.0.0.1:7411", Some("http://elsewhere.example"), "127.0.0.1:7411", false),
            ("10.0.0.5:7411", Some("null"), "10.0.0.5:7411", false),
            ("10.0.0.5:7411", Some(""), "10.0.0.5:7411", false),
            ("10.0.0.5:7411", Some("https://10.0.0.5:7411"), "10.0.0.5:7411", false),
            ("10.0.0.5:7411", Some("http://10.0.0.5:7412"), "10.0.0.5:7411", false),
            ("10.0.0.5:7411", Some("http://10.0.0.5:7411.elsewhere.example"), "10.0.0.5:7411", false),
            // Another site's name that points here.
            ("rebound.example:7411", Some("http://rebound.example:7411"), "127.0.0.1:7411", false),
            ("rebound.example:7411", None, "10.0.0.5:7411", false),
            ("localhost.rebound.example:7411", None, "127.0.0.1:7411", false),
            ("localhost:7411", None, "10.0.0.5:7411", false),
            // Not the address that it came in by, or another port.
            ("10.0.0.6:7411", None, "10.0.0.5:7411", false),
            ("127.0.0.1:7411", None, "10.0.0.5:7411", false),
            ("10.0.0.5", None, "10.0.0.5:7411", false),
            ("10.0.0.5:7412", None, "10.0.0.5:7411", false),
            ("10.0.0.5:", None, "10.0.0.5:7411", false),
            ("", None, "10.0.0.5:7411", false),
            (":7411", None, "10.0.0.5:7411", false),
            ("[10.0.0.5:7411", None, "10.0.0.5:7411", false),
            ("::1:7411", None, "[::1]:7411", false),
            ("user@10.0.0.5:7411", None, "10.0.0.5:7411", false),
        ] {
            let mut headers = HeaderMap::new();
            headers.insert(header::HOST, host.parse().unwrap());
            if let Some(origin) = origin {
                headers.insert(header::ORIGIN, origin.parse().unwrap());
            }
            let found = admitted(&headers, local.parse().unwrap(), &names);
            assert_eq!(found.is_ok(), ok, "{host} {origin:?} at {local}");
        }
        let none = HeaderMap::new();
        let mut two = HeaderMap::new();
        two.append(header::HOST, "127.0.0.1:7411".parse().unwrap());
        two.append(header::HOST, "rebound.example:7411".parse().unwrap());
        for headers in [none, two] {
            assert!(admitted(&headers, "127.0.0.1:7411".parse().unwrap(), &names).is_err());
        }
    }
}
