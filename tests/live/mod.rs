//! The live page, asked as a browser asks it: what it shows, what it writes, and whom it refuses.

mod attacks;
mod edits;
mod figures;
#[cfg(unix)]
mod kills;
mod network;
mod saw;
mod shop;
mod yard;

use std::io::{Read, Write};
use std::net::TcpStream;
use std::path::{Path, PathBuf};
use std::sync::atomic::AtomicBool;
use std::time::Duration;

use jiff::civil::date;
use slatwright::live::{Hands, Live};

static NEVER: AtomicBool = AtomicBool::new(false);

/// A job being served, and the way to ask.
pub(crate) struct Served {
    /// Host and port.
    pub(crate) host: String,
    pub(crate) token: String,
}

pub(crate) fn hands() -> Hands {
    Hands {
        today: || date(2031, 4, 5),
        quote: |job, _, _| format!("quote of {}\n", job.name),
        client: |job, _, _| format!("client of {}\n", job.name),
        why: |_, cannot| cannot.to_string(),
    }
}

pub(crate) fn serve(job: &Path) -> Served {
    let live = Live::open(job, hands()).unwrap();
    let served = Served::at(live.address());
    std::thread::spawn(move || live.serve(&NEVER));
    served
}

impl Served {
    pub(crate) fn at(address: &str) -> Self {
        let (host, token) = address.strip_prefix("http://").unwrap().split_once('/').unwrap();
        Self { host: host.to_owned(), token: token.trim_end_matches('/').to_owned() }
    }

    /// Sends bytes as they are and gives all that comes back.
    pub(crate) fn raw(&self, bytes: &[u8]) -> String {
        let mut stream = TcpStream::connect(&self.host).unwrap();
        stream.set_read_timeout(Some(Duration::from_secs(60))).unwrap();
        // Whoever is refused in the middle of it may not read the rest.
        let _ = stream.write_all(bytes);
        let mut answer = Vec::new();
        let _ = stream.read_to_end(&mut answer);
        String::from_utf8_lossy(&answer).into_owned()
    }

    /// Status and body of a page.
    pub(crate) fn get(&self, path: &str) -> (u16, String) {
        parted(&self.raw(format!("GET /{}/{path} HTTP/1.1\r\nHost: {}\r\n\r\n", self.token, self.host).as_bytes()))
    }

    pub(crate) fn post(&self, path: &str, fields: &[(&str, &str)]) -> (u16, String) {
        let body = fields.iter().map(|(key, value)| format!("{key}={}", encoded(value))).collect::<Vec<_>>().join("&");
        let head = format!(
            "POST /{}/{path} HTTP/1.1\r\nHost: {host}\r\nOrigin: http://{host}\r\nContent-Length: {}\r\n\r\n",
            self.token,
            body.len(),
            host = self.host
        );
        parted(&self.raw((head + &body).as_bytes()))
    }

    /// The mark of the page as it is now.
    pub(crate) fn mark(&self) -> String {
        attribute(&self.get("").1, "data-seen")
    }

    /// A page once it shows something: broken files are not believed at once.
    pub(crate) fn once(&self, path: &str, shows: impl Fn(&str) -> bool) -> String {
        for _ in 0..600 {
            let page = self.get(path).1;
            if shows(&page) {
                return page;
            }
            std::thread::sleep(Duration::from_millis(50));
        }
        panic!("the page does not hear of a change: {}", self.get(path).1);
    }

    /// Writes a value and gives the page back.
    pub(crate) fn set(&self, at: &str, to: &str) -> String {
        let (status, page) = self.post("edit", &[("what", "set"), ("seen", &self.mark()), ("at", at), ("to", to)]);
        assert_eq!(status, 200, "{page}");
        page
    }

    /// The card once the price is no longer being worked out.
    pub(crate) fn card(&self) -> String {
        let mut card = String::new();
        for _ in 0..1200 {
            card = self.get("card").1;
            if ["whole", "cannot"].contains(&attribute(&card, "data-stand").as_str()) {
                return card;
            }
            std::thread::sleep(Duration::from_millis(100));
        }
        panic!("no price in two minutes: {card}");
    }
}

fn encoded(text: &str) -> String {
    text.bytes().map(|byte| format!("%{byte:02X}")).collect()
}

fn parted(answer: &str) -> (u16, String) {
    let status = answer.split(' ').nth(1).and_then(|word| word.parse().ok()).unwrap_or(0);
    (status, answer.split_once("\r\n\r\n").map(|(_, body)| body.to_owned()).unwrap_or_default())
}

/// The first value of an attribute.
pub(crate) fn attribute(html: &str, name: &str) -> String {
    let value = html.split_once(&format!("{name}=\"")).map(|(_, rest)| rest.split('"').next().unwrap_or_default());
    plain(value.unwrap_or_default())
}

/// The text of an element by its id.
pub(crate) fn text_of(html: &str, id: &str) -> String {
    let Some((_, rest)) = html.split_once(&format!(" id=\"{id}\"")) else { return String::new() };
    let inner = rest.split_once('>').map_or("", |(_, inner)| inner);
    plain(inner.split("</p>").next().unwrap_or_default())
}

/// Without tags, and with its signs as they are.
pub(crate) fn plain(html: &str) -> String {
    let mut text = String::new();
    let mut within = false;
    for c in html.chars() {
        match c {
            '<' => within = true,
            '>' => within = false,
            c if !within => text.push(c),
            _ => {}
        }
    }
    text.replace("&lt;", "<").replace("&gt;", ">").replace("&quot;", "\"").replace("&amp;", "&")
}

/// The starter job in a folder of its own.
pub(crate) fn starter() -> (tempfile::TempDir, PathBuf) {
    let home = tempfile::tempdir().unwrap();
    for file in slatwright::files::starter(slatwright::measure::Units::Inch, None) {
        std::fs::write(home.path().join(file.name), file.text).unwrap();
    }
    let job = home.path().join("job.toml");
    (home, job)
}
