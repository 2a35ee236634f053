//! Requests read and answers written: as much of HTTP/1.1 (RFC 9112) as a page on the shop's own machine needs.
//!
//! One connection carries one request and is then closed: there is nothing to smuggle behind it. `httparse` reads the
//! head. Every connection has a thread, there are never more than [`MOST_CONNECTIONS`], and each has to bring its request
//! within [`PATIENCE`]: a slow one is dropped, and where there are too many the oldest that has not yet shown the token
//! makes room. So connections held open keep nobody out and memory is bounded. No other server crate of pure Rust does
//! both without an asynchronous runtime, which would be the largest part of this program.

use std::collections::VecDeque;
use std::io::{self, Read, Write};
use std::net::{IpAddr, Shutdown, TcpListener, TcpStream};
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::mpsc::{Receiver, RecvTimeoutError};
use std::sync::{Arc, Mutex, PoisonError};
use std::time::{Duration, Instant};

use super::devices::Right;

/// Connections at one time.
const MOST_CONNECTIONS: usize = 96;
/// A request is there within this time, whole.
const PATIENCE: Duration = Duration::from_secs(8);
/// Nothing is written to a reader who takes nothing for so long.
const SLOWEST_READER: Duration = Duration::from_secs(8);
/// Silence on a stream of news after which a sign of life is sent.
const HEARTBEAT: Duration = Duration::from_secs(10);
/// The longest head of a request, and the most lines in it.
const LONGEST_HEAD: usize = 16 * 1024;
const MOST_HEADERS: usize = 64;
/// The largest body: a job's name and a few figures.
const LARGEST_BODY: usize = 64 * 1024;
/// Stack of a connection's thread: doors are laid out on it.
const STACK: usize = 2 * 1024 * 1024;

/// What is asked.
#[derive(Debug)]
pub(crate) struct Request {
    pub(crate) post: bool,
    /// Path without the query, as it was sent.
    pub(crate) path: String,
    query: String,
    headers: Vec<(String, String)>,
    body: Vec<u8>,
    pub(crate) peer: Option<IpAddr>,
    /// What the device may that sent it; `None` for the maker's own machine.
    pub(crate) device: Option<Right>,
    /// Set once the token was right: such a connection is not closed to make room.
    pub(crate) trusted: Arc<AtomicBool>,
}

impl Request {
    #[cfg(test)]
    pub(crate) fn test(post: bool, path: &str, query: &str, headers: &[(&str, &str)], body: &str) -> Self {
        let headers = headers.iter().map(|(name, value)| ((*name).to_owned(), (*value).to_owned())).collect();
        Self {
            post,
            path: path.to_owned(),
            query: query.to_owned(),
            headers,
            body: body.as_bytes().to_vec(),
            peer: Some(IpAddr::from([127, 0, 0, 1])),
            device: None,
            trusted: Arc::default(),
        }
    }

    /// The first part of the path, which is the key, and what stands behind it.
    pub(crate) fn key(&self) -> (&str, &str) {
        let path = self.path.strip_prefix('/').unwrap_or_default();
        path.split_once('/').unwrap_or((path, ""))
    }

    /// The one header of this name (in small letters); `None` where there is none, or where there are two.
    pub(crate) fn header(&self, name: &str) -> Option<&str> {
        let mut found = self.headers.iter().filter(|(there, _)| there == name);
        found.next().filter(|_| found.next().is_none()).map(|(_, value)| value.as_str())
    }

    /// A value of the form or of the query.
    pub(crate) fn value(&self, name: &str) -> Option<String> {
        let from = if self.post { &self.body } else { self.query.as_bytes() };
        let mut pairs = form_urlencoded::parse(from);
        pairs.find(|(key, _)| key == name).map(|(_, value)| value.into_owned())
    }

    /// A whole number of the form or of the query.
    pub(crate) fn number(&self, name: &str) -> Option<usize> {
        self.value(name)?.parse().ok()
    }
}

/// What is answered.
#[derive(Debug)]
pub(crate) enum Reply {
    /// Something whole.
    Whole {
        status: u16,
        kind: &'static str,
        /// The content security policy.
        policy: &'static str,
        /// More header lines, each with its line end.
        more: String,
        body: Vec<u8>,
    },
    /// News as they come (server-sent events).
    News(Receiver<String>),
}

/// Only what comes from here: no script, style or form of anybody else's, and none written into the page.
pub(crate) const STRICT: &str = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; connect-src \
                                 'self'; form-action 'self'; frame-ancestors 'none'; base-uri 'none'";
/// The printed sheets carry their style within themselves and have no script.
pub(crate) const SHEET: &str = "default-src 'none'; style-src 'unsafe-inline'; img-src data:; form-action 'none'; \
                                frame-ancestors 'none'; base-uri 'none'";

impl Reply {
    pub(crate) fn html(body: String) -> Self {
        Self::whole(200, "text/html; charset=utf-8", body.into_bytes())
    }

    pub(crate) fn whole(status: u16, kind: &'static str, body: Vec<u8>) -> Self {
        Self::Whole { status, kind, policy: STRICT, more: String::new(), body }
    }

    /// Somewhere else on the page, once something was done.
    pub(crate) fn to(place: &str) -> Self {
        let more = format!("Location: {place}\r\n");
        Self::Whole { status: 303, kind: "text/plain; charset=utf-8", policy: STRICT, more, body: Vec::new() }
    }

    pub(crate) fn refused(status: u16, why: &str) -> Self {
        Self::whole(status, "text/plain; charset=utf-8", format!("{why}\n").into_bytes())
    }
}

/// Connections that are open, the oldest first.
#[derive(Debug, Default)]
struct Open(Mutex<VecDeque<(u64, TcpStream, Arc<AtomicBool>)>>);

impl Open {
    /// Takes a connection in; the oldest that is not trusted goes where there are too many. False where all are.
    fn enter(&self, id: u64, stream: &TcpStream, trusted: &Arc<AtomicBool>) -> bool {
        let Ok(copy) = stream.try_clone() else { return false };
        let mut open = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        if open.len() >= MOST_CONNECTIONS {
            let oldest = open.iter().position(|(_, _, trusted)| !trusted.load(Ordering::Relaxed));
            let Some((_, old, _)) = oldest.and_then(|at| open.remove(at)) else { return false };
            let _ = old.shutdown(Shutdown::Both);
        }
        open.push_back((id, copy, Arc::clone(trusted)));
        true
    }

    fn leave(&self, id: u64) {
        self.0.lock().unwrap_or_else(PoisonError::into_inner).retain(|(other, ..)| *other != id);
    }
}

/// Answers whoever connects, until `stop` is set.
pub(crate) fn serve(listener: &TcpListener, stop: &AtomicBool, answer: Arc<dyn Fn(Request) -> Reply + Send + Sync>) {
    let open = Arc::new(Open::default());
    for (id, stream) in (0..).zip(listener.incoming()) {
        if stop.load(Ordering::Relaxed) {
            return;
        }
        let Ok(stream) = stream else {
            // Out of file handles, most likely: some come free as others give up.
            std::thread::sleep(Duration::from_millis(20));
            continue;
        };
        let trusted = Arc::new(AtomicBool::new(false));
        if !open.enter(id, &stream, &trusted) {
            continue;
        }
        let (here, answer) = (Arc::clone(&open), Arc::clone(&answer));
        let work = move || {
            // Whoever leaves in the middle of it is no concern of the others.
            let _ = converse(stream, trusted, &*answer);
            here.leave(id);
        };
        if std::thread::Builder::new().stack_size(STACK).spawn(work).is_err() {
            open.leave(id);
        }
    }
}

fn converse(mut stream: TcpStream, trusted: Arc<AtomicBool>, answer: &dyn Fn(Request) -> Reply) -> io::Result<()> {
    stream.set_nodelay(true)?;
    stream.set_write_timeout(Some(SLOWEST_READER))?;
    let reply = match read(&mut stream, trusted)? {
        Ok(request) => answer(request),
        Err((status, why)) => Reply::refused(status, why),
    };
    match reply {
        Reply::Whole { status, kind, policy, more, body } => {
            let head = head(status, kind, policy) + &more + &format!("Content-Length: {}\r\n\r\n", body.len());
            stream.write_all(&[head.as_bytes(), &body].concat())?;
        }
        Reply::News(news) => {
            stream.write_all((head(200, "text/event-stream", STRICT) + "\r\n").as_bytes())?;
            tell(&mut stream, &news)?;
        }
    }
    stream.shutdown(Shutdown::Write)?;
    // What was sent and not read would make the system take the answer back.
    stream.set_read_timeout(Some(Duration::from_millis(100)))?;
    let mut rest = [0; 4096];
    for _ in 0..16 {
        if stream.read(&mut rest)? == 0 {
            break;
        }
    }
    Ok(())
}

fn tell(stream: &mut TcpStream, news: &Receiver<String>) -> io::Result<()> {
    loop {
        match news.recv_timeout(HEARTBEAT) {
            Ok(event) => stream.write_all(event.as_bytes())?,
            Err(RecvTimeoutError::Timeout) => stream.write_all(b":\n\n")?,
            Err(RecvTimeoutError::Disconnected) => return Ok(()),
        }
    }
}

fn head(status: u16, kind: &str, policy: &str) -> String {
    let word = match status {
        200 => "OK",
        303 => "See Other",
        400 => "Bad Request",
        403 => "Forbidden",
        404 => "Not Found",
        405 => "Method Not Allowed",
        408 => "Request Timeout",
        409 => "Conflict",
        411 => "Length Required",
        413 => "Content Too Large",
        421 => "Misdirected Request",
        431 => "Request Header Fields Too Large",
        _ => "Answer",
    };
    format!(
        "HTTP/1.1 {status} {word}\r\nContent-Type: {kind}\r\nContent-Security-Policy: {policy}\r\n\
         X-Content-Type-Options: nosniff\r\nReferrer-Policy: same-origin\r\nCross-Origin-Resource-Policy: same-origin\r\n\
         Cross-Origin-Opener-Policy: same-origin\r\nX-Frame-Options: DENY\r\nCache-Control: no-store\r\n\
         Connection: close\r\n"
    )
}

/// Why a request is not heard: status and reason.
type Unheard = (u16, &'static str);

fn read(stream: &mut TcpStream, trusted: Arc<AtomicBool>) -> io::Result<Result<Request, Unheard>> {
    let until = Instant::now() + PATIENCE;
    let mut bytes = Vec::new();
    let end = loop {
        if let Some(end) = bytes.windows(4).position(|four| four == b"\r\n\r\n") {
            break end + 4;
        }
        if bytes.len() > LONGEST_HEAD {
            return Ok(Err((431, "the head of the request is too long")));
        }
        if !more(stream, &mut bytes, until)? {
            return Ok(Err((408, "the request did not come in time")));
        }
    };
    let mut request = match heard(&bytes[..end], trusted) {
        Ok(request) => request,
        Err(unheard) => return Ok(Err(unheard)),
    };
    request.peer = stream.peer_addr().ok().map(|peer| peer.ip());
    if request.post {
        let length = request.header("content-length").and_then(|length| length.parse::<usize>().ok());
        let Some(length) = length else { return Ok(Err((411, "say how long the body is"))) };
        if length > LARGEST_BODY {
            return Ok(Err((413, "the body is too large")));
        }
        let mut body = bytes.split_off(end);
        while body.len() < length {
            if !more(stream, &mut body, until)? {
                return Ok(Err((408, "the request did not come in time")));
            }
        }
        body.truncate(length);
        request.body = body;
    }
    Ok(Ok(request))
}

/// Reads what is there; false when nothing came in time or nothing more will.
fn more(stream: &mut TcpStream, bytes: &mut Vec<u8>, until: Instant) -> io::Result<bool> {
    let left = until.saturating_duration_since(Instant::now());
    if left.is_zero() {
        return Ok(false);
    }
    stream.set_read_timeout(Some(left))?;
    let mut some = [0; 4096];
    match stream.read(&mut some) {
        Ok(0) => Ok(false),
        Ok(read) => {
            bytes.extend_from_slice(&some[..read]);
            Ok(true)
        }
        Err(error) if error.kind() == io::ErrorKind::Interrupted => Ok(true),
        Err(error) if matches!(error.kind(), io::ErrorKind::WouldBlock | io::ErrorKind::TimedOut) => Ok(false),
        Err(error) => Err(error),
    }
}

/// The head of a request in its parts.
fn heard(head: &[u8], trusted: Arc<AtomicBool>) -> Result<Request, Unheard> {
    let mut headers = [httparse::EMPTY_HEADER; MOST_HEADERS];
    let mut parsed = httparse::Request::new(&mut headers);
    match parsed.parse(head) {
        Ok(httparse::Status::Complete(_)) => {}
        Err(httparse::Error::TooManyHeaders) => return Err((431, "there are too many headers")),
        _ => return Err((400, "this is no request")),
    }
    let post = match parsed.method {
        Some("GET") => false,
        Some("POST") => true,
        _ => return Err((405, "only GET and POST are answered")),
    };
    let target = parsed.path.unwrap_or_default();
    let (path, query) = target.split_once('?').unwrap_or((target, ""));
    let text = |value: &[u8]| String::from_utf8_lossy(value).trim().to_owned();
    let headers: Vec<(String, String)> =
        parsed.headers.iter().map(|header| (header.name.to_ascii_lowercase(), text(header.value))).collect();
    if headers.iter().any(|(name, _)| name == "transfer-encoding") {
        return Err((411, "say how long the body is"));
    }
    let (path, query) = (path.to_owned(), query.to_owned());
    Ok(Request { post, path, query, headers, body: Vec::new(), peer: None, device: None, trusted })
}
