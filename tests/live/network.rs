//! Devices of the network: nothing before the maker lets them in, and then what they were let in for.

use std::fs;
use std::net::Ipv4Addr;
use std::path::Path;

use slatwright::live::{Live, Network, OpenError};

use super::{NEVER, Served, attribute, hands, plain, starter};

/// A job served to a network, which here is this machine: the maker's page, and the door.
fn serve_to_all(job: &Path) -> (Served, Served) {
    let live = Live::open_to(job, hands(), Network::At(Ipv4Addr::LOCALHOST)).unwrap();
    let (maker, door) = (Served::at(live.address()), Served::at(&live.door().unwrap()));
    std::thread::spawn(move || live.serve(&NEVER));
    (maker, door)
}

/// Knocks: the device as it was given its key.
fn knock(door: &Served) -> Served {
    let answer = door.raw(format!("GET /{}/ HTTP/1.1\r\nHost: {}\r\n\r\n", door.token, door.host).as_bytes());
    assert!(answer.starts_with("HTTP/1.1 303"), "{answer}");
    let place = answer.lines().find_map(|line| line.strip_prefix("Location: ")).unwrap();
    Served { host: door.host.clone(), token: place.trim_matches('/').to_owned() }
}

fn decide(maker: &Served, right: &str) -> String {
    let number = attribute(&maker.get("").1, "data-number");
    let (status, page) = maker.post("edit", &[("what", "device"), ("number", &number), ("right", right)]);
    assert_eq!(status, 200, "{page}");
    page
}

#[test]
fn a_device_that_is_not_let_in_gets_nothing() {
    let (_home, path) = starter();
    let before = fs::read(&path).unwrap();
    let (maker, door) = serve_to_all(&path);
    assert_ne!((&maker.host, &maker.token), (&door.host, &door.token));
    // The maker's key opens nothing in the network, nor the door's on the maker's machine.
    for (host, token) in [(&door.host, &maker.token), (&maker.host, &door.token), (&door.host, &"0".repeat(32))] {
        let stranger = Served { host: host.clone(), token: token.clone() };
        for page in ["", "parts", "yard"] {
            assert_eq!(stranger.get(page).0, 403, "{page}");
        }
        assert_eq!(stranger.post("edit", &[("what", "undo")]).0, 403);
    }
    assert_eq!(door.get("yard").0, 403);
    let device = knock(&door);
    let (status, page) = device.get("");
    assert!(status == 200 && page.contains("Waiting to be let in") && !page.contains("seed library"), "{page}");
    let number = attribute(&maker.get("").1, "data-number");
    assert!(plain(&page).contains(&format!("This device is number{number}")), "{number}");
    for page in [
        "parts",
        "card",
        "shop",
        "yard",
        "saw",
        "news",
        "positions?of=1",
        "sheets/job.html",
        "frozen/1",
        "page.js",
        "../",
    ] {
        let (status, body) = device.get(page);
        assert!(status == 403 && body.len() < 100, "{page}: {status}");
    }
    let mark = maker.mark();
    let set = [("what", "set"), ("seen", mark.as_str()), ("at", "name"), ("to", "mine")];
    let myself = [("what", "device"), ("number", number.as_str()), ("right", "write")];
    for (path, fields) in [("edit", &set[..]), ("try", &set), ("edit", &myself), ("saw-begin", &[]), ("yard-cut", &[])]
    {
        assert_eq!(device.post(path, fields).0, 403, "{path}");
    }
    assert_eq!(fs::read(&path).unwrap(), before);
    // Turned away, its key is good for nothing.
    decide(&maker, "out");
    assert_eq!(device.get("").0, 403);
}

#[test]
fn a_device_may_do_what_it_was_let_in_for() {
    let (_home, path) = starter();
    let (maker, door) = serve_to_all(&path);
    let device = knock(&door);
    assert!(maker.get("").1.contains("A device asks to be let in"));
    let page = decide(&maker, "look");
    assert!(!page.contains("A device asks") && plain(&page).contains("may look"));
    let text = fs::read_to_string(&path).unwrap();
    let set = |served: &Served, to: &str| {
        let mark = served.mark();
        served.post("edit", &[("what", "set"), ("seen", &mark), ("at", "cabinet.0.inside_width"), ("to", to)])
    };
    let (status, page) = device.get("");
    assert!(status == 200 && page.contains("seed library"));
    assert!(!page.contains("id=\"devices\"") && !page.contains(&door.token), "others are the maker's alone");
    assert_eq!(set(&device, "37").0, 403);
    assert_eq!(device.post("yard-decide", &[("board", "x"), ("count", "1")]).0, 403);
    assert_eq!(fs::read_to_string(&path).unwrap(), text);
    decide(&maker, "write");
    assert_eq!(set(&device, "37").0, 200);
    assert!(fs::read_to_string(&path).unwrap().contains("inside_width = \"37\""));
    let myself = [("what", "device"), ("number", "1234"), ("right", "write")];
    assert_eq!(device.post("edit", &myself).0, 403);
    // The rules for hosts and origins hold in the network too.
    let (host, token) = (&device.host, &device.token);
    for headers in [
        format!("Host: {host}\r\nOrigin: http://evil.example\r\n"),
        format!("Host: {host}\r\n"),
        "Host: evil.example\r\nOrigin: http://evil.example\r\n".to_owned(),
        format!("Host: {host}\r\nOrigin: http://{host}\r\nSec-Fetch-Site: cross-site\r\n"),
    ] {
        let answer = device
            .raw(format!("POST /{token}/edit HTTP/1.1\r\nContent-Length: 9\r\n{headers}\r\nwhat=undo").as_bytes());
        assert!(answer.starts_with("HTTP/1.1 403") || answer.starts_with("HTTP/1.1 421"), "{headers}{answer}");
    }
    assert!(fs::read_to_string(&path).unwrap().contains("inside_width = \"37\""));
    // A name that somebody made point here.
    let rebound = device.raw(format!("GET /{token}/ HTTP/1.1\r\nHost: evil.example\r\n\r\n").as_bytes());
    assert!(rebound.starts_with("HTTP/1.1 421"), "{rebound}");
    decide(&maker, "out");
    assert_eq!(device.get("").0, 403);
}

#[test]
fn without_being_asked_nobody_listens_in_the_network_and_never_to_the_world() {
    let (_home, path) = starter();
    assert_eq!(Live::open(&path, hands()).unwrap().door(), None);
    let world = Live::open_to(&path, hands(), Network::At(Ipv4Addr::new(8, 8, 8, 8)));
    assert!(matches!(world, Err(OpenError::NotOwn(_))));
    let all = Live::open_to(&path, hands(), Network::At(Ipv4Addr::UNSPECIFIED));
    assert!(matches!(all, Err(OpenError::NotOwn(_))));
}
