//! Who may come in: a page that was fetched here, by somebody who knows the address.
//!
//! Another site in the same browser can send requests here, but it doesn't know the secret, it
//! names itself as their origin, and a name of its own that leads here is another host. Start
//! reading at [`Gate::lets_in`].

use std::net::{IpAddr, UdpSocket};

use tiny_http::{Header, Request};

/// The letters of a secret, which are read alike in every fount.
const LETTERS: &[u8; 32] = b"abcdefghijkmnpqrstuvwxyz23456789";

/// So many letters at random, 5 bits each; `None` where the machine has nothing random.
pub(super) fn letters(count: usize) -> Option<String> {
    let mut random = vec![0; count];
    getrandom::fill(&mut random).ok()?;
    let letter = |byte: u8| LETTERS.get(usize::from(byte % 32)).map(|letter| char::from(*letter));
    Some(random.into_iter().filter_map(letter).collect())
}

/// The hosts that this machine is called by.
pub(super) struct Gate {
    hosts: Vec<String>,
}

impl Gate {
    /// On this machine alone, or in its network under its address there.
    pub(super) fn at(port: u16, network: Option<IpAddr>) -> Gate {
        let own = [format!("127.0.0.1:{port}"), format!("localhost:{port}")];
        let there = network.map(|address| format!("{address}:{port}"));
        Gate {
            hosts: own.into_iter().chain(there).collect(),
        }
    }

    /// What stands behind the host, where the request may come in.
    pub(super) fn lets_in<'a>(&self, request: &'a Request) -> Option<&'a str> {
        let is_host = |host: &str| self.hosts.iter().any(|known| known == host);
        let is_own = |origin: &str| origin.strip_prefix("http://").is_some_and(is_host);
        let header = |name: &'static str| {
            let headers = request.headers().iter();
            let found = headers.filter(move |header: &&Header| header.field.equiv(name));
            found.map(|header| header.value.as_str())
        };
        let one_host = header("Host").count() == 1 && header("Host").all(is_host);
        let own = header("Origin").all(is_own);
        let from_here = header("Sec-Fetch-Site").all(|site| matches!(site, "same-origin" | "none"));
        let path = request.url().strip_prefix('/')?;
        (one_host && own && from_here).then_some(path)
    }
}

/// This machine's address in its network, as the system would send from it; nothing is sent.
pub(super) fn network_address() -> Option<IpAddr> {
    let socket = UdpSocket::bind(("0.0.0.0", 0)).ok()?;
    // an address for documentation (RFC 5737): any that isn't near does
    socket.connect(("192.0.2.1", 9)).ok()?;
    Some(socket.local_addr().ok()?.ip())
}
