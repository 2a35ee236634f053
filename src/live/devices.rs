//! Phones and tablets of the shop's own network: who asks to be let in, and who was.
//!
//! The address that is printed leads to a door, not to the page: whoever opens it is given a key of their own, which
//! opens nothing before the maker lets that very device in, to look or to write. A key is good from the address alone
//! that it was given to, and until the program ends.

use std::net::{IpAddr, Ipv4Addr, SocketAddr, TcpListener, UdpSocket};
use std::sync::atomic::Ordering;
use std::sync::{Mutex, PoisonError};

use super::guard::{from_the_page, random_word, same};
use super::http::{Reply, Request};

/// Devices that ask at one time, and that are in.
const MOST_WAITING: usize = 6;
const MOST_INSIDE: usize = 20;

/// What a device may do that was let in.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Right {
    /// See all, change nothing.
    Look,
    /// Whatever the maker may, but for letting others in.
    Write,
}

/// A device that asked.
#[derive(Debug, Clone)]
pub(crate) struct Device {
    key: String,
    pub(crate) peer: IpAddr,
    /// Shown here and there, so that the maker knows which one it is.
    pub(crate) number: u32,
    /// What it may do; `None` while it waits.
    pub(crate) right: Option<Right>,
}

/// The door to the network.
pub(crate) struct Lan {
    pub(crate) listener: TcpListener,
    /// Address and port.
    host: String,
    /// The key of the door.
    word: String,
    devices: Mutex<Vec<Device>>,
}

/// What a request from the network comes to.
pub(crate) enum Caller<'r> {
    /// It is answered as it stands: refused, or told to wait.
    Not(Reply),
    /// It waits: its number.
    Waits(u32),
    /// It was let in: the path behind its key.
    In(Right, &'r str),
}

/// This machine's address in the network it is in, if that is one of the addresses that are nobody's in the world
/// (RFC 1918, RFC 3927). Nothing is sent: the system is asked by which address it would.
pub(crate) fn own_address() -> Option<Ipv4Addr> {
    let socket = UdpSocket::bind((Ipv4Addr::UNSPECIFIED, 0)).ok()?;
    // An address kept for documents (RFC 5737): nobody has it.
    socket.connect((Ipv4Addr::new(192, 0, 2, 1), 9)).ok()?;
    match socket.local_addr().ok()? {
        SocketAddr::V4(address) if is_own(*address.ip()) && !address.ip().is_loopback() => Some(*address.ip()),
        _ => None,
    }
}

/// An address of a network of one's own.
pub(crate) const fn is_own(address: Ipv4Addr) -> bool {
    address.is_private() || address.is_link_local() || address.is_loopback()
}

impl Lan {
    pub(crate) fn new(listener: TcpListener, host: String) -> Result<Self, getrandom::Error> {
        Ok(Self { listener, host, word: random_word()?, devices: Mutex::default() })
    }

    /// Where the door is.
    pub(crate) fn address(&self) -> String {
        format!("http://{}/{}/", self.host, self.word)
    }

    fn devices(&self) -> std::sync::MutexGuard<'_, Vec<Device>> {
        self.devices.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// All that asked and were not turned away.
    pub(crate) fn all(&self) -> Vec<Device> {
        self.devices().clone()
    }

    /// Who calls. True beside it when somebody new asks to be let in.
    pub(crate) fn caller<'r>(&self, request: &'r Request) -> (Caller<'r>, bool) {
        let refused = |status, why| (Caller::Not(Reply::refused(status, why)), false);
        if request.header("host") != Some(self.host.as_str()) {
            return refused(421, "this is not the host that slatwright serves");
        }
        let (key, rest) = request.key();
        if let Err(why) = from_the_page(request, &self.host) {
            return refused(403, why);
        }
        let Some(peer) = request.peer else { return refused(403, "nobody knows who asks") };
        if same(key, &self.word) {
            return if request.post || !rest.is_empty() {
                refused(403, "there is only a door here")
            } else {
                self.knock(peer)
            };
        }
        // All are compared, so that how long it takes tells nothing.
        let mut found = None;
        for device in self.devices().iter() {
            if same(key, &device.key) && device.peer == peer {
                found = Some((device.right, device.number));
            }
        }
        match found {
            None => refused(403, "this key opens nothing: open the address again that `slatwright open --lan` printed"),
            Some((None, _)) if request.post => refused(403, "this device is not let in yet"),
            Some((None, number)) => (Caller::Waits(number), false),
            Some((Some(Right::Look), _)) if request.post => {
                refused(403, "this device was let in to look, not to write")
            }
            Some((Some(right), _)) => {
                request.trusted.store(true, Ordering::Relaxed);
                (Caller::In(right, rest), false)
            }
        }
    }

    /// Somebody at the door: a key, which opens nothing yet.
    fn knock(&self, peer: IpAddr) -> (Caller<'static>, bool) {
        let mut devices = self.devices();
        let sent_on = |key: &str| Caller::Not(Reply::to(&format!("/{key}/")));
        if let Some(there) = devices.iter().find(|device| device.peer == peer && device.right.is_none()) {
            return (sent_on(&there.key), false);
        }
        let waiting = devices.iter().filter(|device| device.right.is_none()).count();
        let full = waiting >= MOST_WAITING || devices.len() >= MOST_WAITING + MOST_INSIDE;
        let key = if full { None } else { random_word().ok() };
        let Some((key, number)) = key.and_then(|key| Some((key, free_number(&devices)?))) else {
            return (Caller::Not(Reply::refused(403, "too many devices ask: turn some away on the page first")), false);
        };
        let reply = sent_on(&key);
        devices.push(Device { key, peer, number, right: None });
        (reply, true)
    }

    /// Lets a device in, or changes what it may; without a right it is out. False where there is none of that number.
    pub(crate) fn decide(&self, number: u32, right: Option<Right>) -> bool {
        let mut devices = self.devices();
        let Some(at) = devices.iter().position(|device| device.number == number) else { return false };
        match right {
            Some(_) => devices[at].right = right,
            None => drop(devices.remove(at)),
        }
        true
    }
}

/// Four figures that no other device has.
fn free_number(devices: &[Device]) -> Option<u32> {
    for _ in 0..50 {
        let number = 1000 + getrandom::u32().ok()? % 9000;
        if devices.iter().all(|device| device.number != number) {
            return Some(number);
        }
    }
    None
}

#[cfg(test)]
mod tests {
    use super::*;

    fn lan() -> Lan {
        Lan::new(TcpListener::bind((Ipv4Addr::LOCALHOST, 0)).unwrap(), "192.168.1.5:81".to_owned()).unwrap()
    }

    fn from(peer: [u8; 4], post: bool, path: &str) -> Request {
        let headers = [("host", "192.168.1.5:81"), ("origin", "http://192.168.1.5:81")];
        let mut request = Request::test(post, path, "", &headers, "");
        request.peer = Some(IpAddr::from(peer));
        request
    }

    /// Knocks and gives the key.
    fn knock(lan: &Lan, peer: [u8; 4]) -> Option<String> {
        let before = lan.all().len();
        let request = from(peer, false, &format!("/{}/", lan.word));
        let (caller, new) = lan.caller(&request);
        assert!(matches!(caller, Caller::Not(_)));
        assert_eq!(new, lan.all().len() > before);
        lan.all().iter().rev().find(|device| device.peer == IpAddr::from(peer)).map(|device| device.key.clone())
    }

    #[test]
    fn a_key_opens_what_the_maker_said_and_from_its_own_address_alone() {
        let lan = lan();
        let (mine, other) = ([192, 168, 1, 7], [192, 168, 1, 8]);
        let key = knock(&lan, mine).unwrap();
        let path = format!("/{key}/saw");
        let number = lan.all()[0].number;
        assert!(matches!(lan.caller(&from(mine, false, &path)).0, Caller::Waits(n) if n == number));
        assert!(matches!(lan.caller(&from(mine, true, &path)).0, Caller::Not(_)));
        assert!(lan.decide(number, Some(Right::Look)) && !lan.decide(1, Some(Right::Write)));
        assert!(matches!(lan.caller(&from(mine, false, &path)).0, Caller::In(Right::Look, "saw")));
        assert!(matches!(lan.caller(&from(mine, true, &path)).0, Caller::Not(_)));
        assert!(lan.decide(number, Some(Right::Write)));
        assert!(matches!(lan.caller(&from(mine, true, &path)).0, Caller::In(Right::Write, "saw")));
        assert!(matches!(lan.caller(&from(other, false, &path)).0, Caller::Not(_)));
        assert!(lan.decide(number, None));
        assert!(matches!(lan.caller(&from(mine, false, &path)).0, Caller::Not(_)));
    }

    #[test]
    fn no_more_than_a_few_ask_at_a_time() {
        let lan = lan();
        for last in 1..=200 {
            knock(&lan, [10, 0, 0, last]);
            // One that asks again is the same.
            knock(&lan, [10, 0, 0, last]);
        }
        assert_eq!(lan.all().len(), MOST_WAITING);
        let numbers: std::collections::BTreeSet<u32> = lan.all().iter().map(|device| device.number).collect();
        assert_eq!(numbers.len(), MOST_WAITING);
        assert!(lan.decide(lan.all()[0].number, None));
        assert!(knock(&lan, [10, 0, 1, 1]).is_some());
    }

    #[test]
    fn networks_of_ones_own() {
        let own = |text: &str| is_own(text.parse().unwrap());
        assert!(["10.1.2.3", "172.16.0.1", "192.168.0.9", "169.254.3.4", "127.0.0.1"].into_iter().all(own));
        assert!(!["8.8.8.8", "172.32.0.1", "0.0.0.0", "224.0.0.1", "100.64.0.1"].into_iter().any(own));
    }
}
