//! Who is let in: the token, the host asked for, and where a request comes from.

use std::fmt::Write as _;
use std::sync::atomic::Ordering;

use subtle::ConstantTimeEq;

use super::http::{Reply, Request};

/// A random word of 128 bits, as 32 hexadecimal figures.
///
/// # Errors
/// What the system says when it has no random bytes to give.
pub(crate) fn random_word() -> Result<String, getrandom::Error> {
    let mut bytes = [0; 16];
    getrandom::fill(&mut bytes)?;
    Ok(bytes.iter().fold(String::new(), |mut text, byte| {
        // Writing to a string cannot fail.
        let _ = write!(text, "{byte:02x}");
        text
    }))
}

/// True when both are the same; how long that takes does not say where they differ.
pub(crate) fn same(a: &str, b: &str) -> bool {
    a.as_bytes().ct_eq(b.as_bytes()).into()
}

/// Refuses another site's form, script, picture or frame.
pub(crate) fn from_the_page(request: &Request, host: &str) -> Result<(), &'static str> {
    if !matches!(request.header("sec-fetch-site"), None | Some("same-origin" | "none")) {
        return Err("another site asked for this");
    }
    if request.post && request.header("origin") != Some(format!("http://{host}").as_str()) {
        return Err("another site sent this");
    }
    Ok(())
}

/// What every request has to show.
#[derive(Debug, Clone)]
pub(crate) struct Guard {
    /// First part of every path.
    pub(crate) token: String,
    /// Hosts, with the port, by which the page may be asked for: no name that somebody else could point here.
    pub(crate) hosts: Vec<String>,
}

impl Guard {
    /// The path behind the token, without the slash between; or why the request is refused.
    pub(crate) fn admit<'r>(&self, request: &'r Request) -> Result<&'r str, Reply> {
        let refused = |why| Reply::refused(403, why);
        let host = request.header("host").unwrap_or_default();
        if !self.hosts.iter().any(|known| known == host) {
            return Err(Reply::refused(421, "this is not the host that slatwright serves"));
        }
        let (token, rest) = request.key();
        if !same(token, &self.token) {
            return Err(refused("open the whole address that `slatwright open` printed: its last part is the key"));
        }
        from_the_page(request, host).map_err(refused)?;
        request.trusted.store(true, Ordering::Relaxed);
        Ok(rest)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn guard() -> Guard {
        Guard {
            token: "0123456789abcdef".to_owned(),
            hosts: vec!["127.0.0.1:81".to_owned(), "localhost:81".to_owned()],
        }
    }

    fn status(post: bool, path: &str, headers: &[(&str, &str)]) -> u16 {
        match guard().admit(&Request::test(post, path, "", headers, "")) {
            Ok(_) => 200,
            Err(Reply::Whole { status, .. }) => status,
            Err(Reply::News(_)) => 0,
        }
    }

    #[test]
    fn the_key_the_host_and_the_origin_have_to_be_right() {
        let host = ("host", "127.0.0.1:81");
        let origin = ("origin", "http://127.0.0.1:81");
        assert_eq!(status(false, "/0123456789abcdef/", &[host]), 200);
        assert_eq!(status(false, "/0123456789abcdef/news", &[("host", "localhost:81")]), 200);
        assert_eq!(status(true, "/0123456789abcdef/edit", &[host, origin]), 200);
        for path in ["/", "", "/0123456789abcdee/", "/0123456789abcdef0/", "/0123/", "0123456789abcdef//"] {
            assert_eq!(status(false, path, &[host]), 403, "{path}");
        }
        for other in ["evil.example:81", "127.0.0.1", "127.0.0.1:82", "", "127.0.0.1:81 "] {
            assert_eq!(status(false, "/0123456789abcdef/", &[("host", other)]), 421, "{other}");
        }
        assert_eq!(status(false, "/0123456789abcdef/", &[host, host]), 421);
        assert_eq!(status(true, "/0123456789abcdef/edit", &[host]), 403);
        for other in ["null", "http://evil.example", "http://localhost:81", "https://127.0.0.1:81"] {
            assert_eq!(status(true, "/0123456789abcdef/edit", &[host, ("origin", other)]), 403, "{other}");
        }
        for site in ["cross-site", "same-site"] {
            assert_eq!(status(false, "/0123456789abcdef/", &[host, ("sec-fetch-site", site)]), 403, "{site}");
        }
    }

    #[test]
    fn random_words_are_long_and_differ() {
        let (a, b) = (random_word().unwrap(), random_word().unwrap());
        assert_eq!((a.len(), a == b), (32, false));
    }
}
