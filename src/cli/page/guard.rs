//! Who may ask: the browser that was given the page's secret, from the page itself.

use axum::http::{HeaderMap, HeaderValue, Method, Response, StatusCode, header};

use crate::cli::failure::Failure;

/// How long a secret is, in bytes.
const BYTES: usize = 32;

/// What the page's own address is, and its secrets.
#[derive(Clone, Debug)]
pub struct Guard {
    port: u16,
    key: String,
    cookie: String,
}

impl Guard {
    /// Fresh secrets for a port.
    pub fn new(port: u16) -> Result<Self, Failure> {
        Ok(Self { port, key: secret()?, cookie: secret()? })
    }

    /// The address that opens the page.
    pub fn address(&self) -> String {
        format!("http://127.0.0.1:{}/?key={}", self.port, self.key)
    }

    /// Whether a key is the one in that address.
    pub fn is_key(&self, key: &str) -> bool {
        same(key, &self.key)
    }

    /// The cookie that the page goes by from then on. Its name has the port, as browsers keep cookies of
    /// all ports together.
    pub fn set_cookie(&self) -> String {
        let Self { port, cookie, .. } = self;
        format!("landplaster-{port}={cookie}; Path=/; HttpOnly; SameSite=Strict")
    }

    /// Refuses what does not come from this computer's own page: another host's name for this address
    /// (DNS rebinding), another site's page, a change without an origin.
    pub fn check_origin(&self, method: &Method, headers: &HeaderMap) -> Result<(), Refusal> {
        let own = [format!("127.0.0.1:{}", self.port), format!("localhost:{}", self.port)];
        let only = |name: header::HeaderName| {
            let mut all = headers.get_all(name).iter();
            let first = all.next().map(|value| value.to_str().unwrap_or("?").to_owned());
            if all.next().is_some() { Some("?".to_owned()) } else { first }
        };
        let host = only(header::HOST).ok_or(Refusal("no host"))?;
        if !own.contains(&host) {
            return Err(Refusal("another host"));
        }
        match only(header::ORIGIN) {
            Some(origin) if origin == format!("http://{host}") => {}
            Some(_) => return Err(Refusal("another origin")),
            None if method != Method::GET => return Err(Refusal("no origin")),
            None => {}
        }
        let site = headers.get("sec-fetch-site").map(HeaderValue::as_bytes);
        if site.is_some_and(|site| ![b"same-origin".as_slice(), b"none"].contains(&site)) {
            return Err(Refusal("another site"));
        }
        Ok(())
    }

    /// Refuses what does not have the cookie.
    pub fn check_cookie(&self, headers: &HeaderMap) -> Result<(), Refusal> {
        let name = format!("landplaster-{}=", self.port);
        let cookies =
            headers.get_all(header::COOKIE).iter().filter_map(|value| value.to_str().ok());
        let mut own = cookies
            .flat_map(|cookies| cookies.split(';'))
            .filter_map(|cookie| cookie.trim().strip_prefix(&name));
        if own.any(|value| same(value, &self.cookie)) { Ok(()) } else { Err(Refusal("no key")) }
    }
}

/// Why a request is not answered.
#[derive(Clone, Copy, Debug)]
pub struct Refusal(&'static str);

impl Refusal {
    /// What is answered all the same.
    pub fn response(self) -> Response<axum::body::Body> {
        let text = format!(
            "Refused: {}. Open the page by the address that landplaster printed.\n",
            self.0
        );
        let mut response = Response::new(axum::body::Body::from(text));
        *response.status_mut() = StatusCode::FORBIDDEN;
        response
    }
}

/// Nothing but the page's own files; the field sheet has its own look in itself.
const OF_PAGE: &str = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; connect-src 'self'; form-action 'none'; base-uri 'none'; frame-ancestors 'none'";
const OF_SHEET: &str = "default-src 'none'; style-src 'unsafe-inline'; img-src data:; form-action 'none'; base-uri 'none'; frame-ancestors 'none'; sandbox allow-popups allow-modals";

/// What every answer says to the browser.
pub fn add_headers(path: &str, headers: &mut HeaderMap) {
    let policy = if path == "/sheet" { OF_SHEET } else { OF_PAGE };
    for (name, value) in [
        ("content-security-policy", policy),
        ("x-content-type-options", "nosniff"),
        ("referrer-policy", "no-referrer"),
        ("cross-origin-opener-policy", "same-origin"),
        ("cross-origin-resource-policy", "same-origin"),
        ("cache-control", "no-store"),
    ] {
        headers.insert(name, HeaderValue::from_static(value));
    }
}

fn secret() -> Result<String, Failure> {
    let mut bytes = [0_u8; BYTES];
    getrandom::fill(&mut bytes).map_err(|error| {
        Failure::Ours(format!("the system gives no random numbers ({error}), without which the page would be open to anybody"))
    })?;
    Ok(bytes.iter().flat_map(|byte| [byte >> 4, byte & 15]).map(digit).collect())
}

/// A hexadecimal digit.
fn digit(value: u8) -> char {
    char::from_digit(u32::from(value), 16).unwrap_or('0')
}

/// Whether two texts are the same, in a time that does not tell where they differ.
fn same(a: &str, b: &str) -> bool {
    let differing = a.bytes().zip(b.bytes()).fold(0, |all, (a, b)| all | (a ^ b));
    a.len() == b.len() && differing == 0
}

#[cfg(test)]
mod tests {
    use super::*;

    fn headers(all: &[(&'static str, &str)]) -> HeaderMap {
        all.iter()
            .map(|(name, value)| (header::HeaderName::from_static(name), value.parse().unwrap()))
            .collect()
    }

    #[test]
    fn only_the_page_itself_may_ask() {
        let guard = Guard::new(4321).unwrap();
        let check = |method: &Method, all: &[(&'static str, &str)]| {
            guard.check_origin(method, &headers(all)).map_err(|Refusal(why)| why)
        };
        let (get, post, own) = (Method::GET, Method::POST, ("host", "127.0.0.1:4321"));
        assert_eq!(check(&get, &[own]), Ok(()));
        assert_eq!(check(&get, &[]), Err("no host"));
        for host in ["evil.example", "127.0.0.1", "127.0.0.1:80", "127.0.0.1:4321.evil.example"] {
            assert_eq!(check(&get, &[("host", host)]), Err("another host"), "{host}");
        }
        assert_eq!(check(&post, &[own]), Err("no origin"));
        assert_eq!(check(&post, &[own, ("origin", "http://127.0.0.1:4321")]), Ok(()));
        for origin in
            ["null", "http://localhost:4321", "https://127.0.0.1:4321", "http://evil.example"]
        {
            assert_eq!(check(&post, &[own, ("origin", origin)]), Err("another origin"), "{origin}");
        }
        assert_eq!(check(&get, &[own, ("sec-fetch-site", "cross-site")]), Err("another site"));
    }

    #[test]
    fn the_cookie_is_asked_for() {
        let guard = Guard::new(4321).unwrap();
        let set = guard.set_cookie();
        let pair = set.split(';').next().unwrap();
        assert!(guard.check_cookie(&headers(&[("cookie", &format!("a=b; {pair}"))])).is_ok());
        for cookie in
            ["", "landplaster-4321=", "landplaster-4321=00", &pair.replace("4321", "1234")]
        {
            assert!(guard.check_cookie(&headers(&[("cookie", cookie)])).is_err(), "{cookie}");
        }
        assert!(
            !guard.is_key(pair)
                && guard.address().ends_with(&guard.key)
                && guard.is_key(&guard.key)
        );
    }
}
