//! Who may come in: somebody on this machine who knows the address, from the page itself.
//!
//! Another site in the same browser can send requests here, but it doesn't know the secret, it
//! names itself as their origin, and a name of its own that leads here is another host. Start
//! reading at [`Gate::lets_in`].

use tiny_http::{Header, Request};

/// The letters of a secret, which are read alike in every fount.
const LETTERS: &[u8; 32] = b"abcdefghijkmnpqrstuvwxyz23456789";

/// The address, and what has to be told to come in.
pub(super) struct Gate {
    port: u16,
    secret: String,
}

impl Gate {
    /// A gate with a new secret of 120 bits; `None` where the machine has nothing random.
    pub(super) fn at(port: u16) -> Option<Gate> {
        let mut random = [0; 24];
        getrandom::fill(&mut random).ok()?;
        let letter = |byte: u8| LETTERS.get(usize::from(byte % 32)).map(|letter| char::from(*letter));
        let secret = random.into_iter().filter_map(letter).collect();
        Some(Gate { port, secret })
    }

    /// Where the page is.
    pub(super) fn address(&self) -> String {
        format!("http://127.0.0.1:{}/{}/", self.port, self.secret)
    }

    /// What is asked for below the address, where the request may come in.
    pub(super) fn lets_in<'a>(&self, request: &'a Request) -> Option<&'a str> {
        let hosts = [format!("127.0.0.1:{}", self.port), format!("localhost:{}", self.port)];
        let is_host = |host: &str| hosts.iter().any(|known| known == host);
        let is_own = |origin: &str| origin.strip_prefix("http://").is_some_and(is_host);
        let header = |name: &'static str| {
            let headers = request.headers().iter();
            let found = headers.filter(move |header: &&Header| header.field.equiv(name));
            found.map(|header| header.value.as_str())
        };
        let one_host = header("Host").count() == 1 && header("Host").all(is_host);
        let own = header("Origin").all(is_own);
        let from_here = header("Sec-Fetch-Site").all(|site| matches!(site, "same-origin" | "none"));
        let below = request.url().strip_prefix('/')?;
        let (secret, asked) = below.split_once('/')?;
        (one_host && own && from_here && self.is_secret(secret)).then_some(asked)
    }

    /// Compared whole, so that the time it takes tells nothing.
    fn is_secret(&self, told: &str) -> bool {
        let differs = |(one, other): (u8, u8)| one ^ other;
        let differing = self
            .secret
            .bytes()
            .zip(told.bytes())
            .map(differs)
            .fold(0, |all, one| all | one);
        told.len() == self.secret.len() && differing == 0
    }
}
