//! Whoever has no business here is refused, and keeps nobody else out.

use std::collections::BTreeMap;
use std::fs;
use std::io::{Read, Write};
use std::net::TcpStream;
use std::path::Path;
use std::time::{Duration, Instant};

use super::{serve, starter};
use crate::common::{all_cases, dice::Dice};

/// Every file of a folder with what it holds.
fn holds(folder: &Path) -> BTreeMap<String, Vec<u8>> {
    let entries = fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path());
    entries.filter(|path| path.is_file()).map(|path| (path.display().to_string(), fs::read(path).unwrap())).collect()
}

#[test]
fn another_site_another_name_or_no_key_is_refused_and_nothing_written() {
    let (home, path) = starter();
    let served = serve(&path);
    let before = holds(home.path());
    let (host, token) = (&served.host, &served.token);
    let body = "what=set&at=name&to=mine&seen=";
    let mark = served.mark();
    let post = |path: &str, headers: &str| {
        let body = format!("{body}{mark}");
        let head = format!("POST {path} HTTP/1.1\r\nContent-Length: {}\r\n{headers}\r\n{body}", body.len());
        served.raw(head.as_bytes())
    };
    let edit = format!("/{token}/edit");
    let port = host.split(':').next_back().unwrap();
    for (path, headers) in [
        // A form and a fetch of another site, and a page in a frame of none.
        (edit.as_str(), format!("Host: {host}\r\nOrigin: http://evil.example\r\nSec-Fetch-Site: cross-site\r\n")),
        (edit.as_str(), format!("Host: {host}\r\nOrigin: null\r\n")),
        (edit.as_str(), format!("Host: {host}\r\n")),
        // A name that somebody made point here.
        (edit.as_str(), format!("Host: evil.example:{port}\r\nOrigin: http://evil.example:{port}\r\n")),
        // No key, half of it, another.
        ("/edit", format!("Host: {host}\r\nOrigin: http://{host}\r\n")),
        ("//edit", format!("Host: {host}\r\nOrigin: http://{host}\r\n")),
        ("/00000000000000000000000000000000/edit", format!("Host: {host}\r\nOrigin: http://{host}\r\n")),
    ] {
        let answer = post(path, &headers);
        assert!(answer.starts_with("HTTP/1.1 403") || answer.starts_with("HTTP/1.1 421"), "{headers}{answer}");
        assert!(!answer.contains(token.as_str()), "the key is not told");
    }
    for path in
        ["../job.toml", "sheets/../../job.toml", "%2e%2e/job.toml", "sheets//etc/passwd", "frozen/../1", "job.toml"]
    {
        let (status, body) = served.get(path);
        assert!(status == 404 && !body.contains("[slats]"), "{path}: {status}");
    }
    assert_eq!(holds(home.path()), before);
    assert!(post(&edit, &format!("Host: {host}\r\nOrigin: http://{host}\r\n")).starts_with("HTTP/1.1 200"));
    assert_ne!(holds(home.path()), before, "the same from the page itself is written");
}

#[test]
fn pages_hold_no_script_of_their_own_and_may_load_none_from_elsewhere() {
    let (_home, path) = starter();
    let served = serve(&path);
    let answer = served.raw(format!("GET /{}/ HTTP/1.1\r\nHost: {}\r\n\r\n", served.token, served.host).as_bytes());
    let (head, body) = answer.split_once("\r\n\r\n").unwrap();
    for line in
        ["default-src 'none'; script-src 'self'", "X-Content-Type-Options: nosniff", "Referrer-Policy: same-origin"]
    {
        assert!(head.contains(line), "{line}\n{head}");
    }
    assert!(!head.contains("unsafe-inline"));
    assert_eq!(body.matches("<script").count(), 1);
    for inline in ["<style", " style=", " onclick", "javascript:", "http://", "https://"] {
        assert!(!body.contains(inline), "{inline}");
    }
}

#[test]
fn large_and_broken_requests_are_answered_or_dropped() {
    let (home, path) = starter();
    let served = serve(&path);
    let before = holds(home.path());
    let head = |length: &str| {
        let (host, token) = (&served.host, &served.token);
        format!(
            "POST /{token}/edit HTTP/1.1\r\nHost: {host}\r\nOrigin: http://{host}\r\nContent-Length: {length}\r\n\r\n"
        )
    };
    // 100 MB are refused by their length, and sent in vain.
    let mut stream = TcpStream::connect(&served.host).unwrap();
    stream.write_all(head("104857600").as_bytes()).unwrap();
    let mut sent = 0;
    while sent < 104_857_600 && stream.write_all(&[b'x'; 65536]).is_ok() {
        sent += 65536;
    }
    assert!(sent < 8 * 1024 * 1024, "{sent} bytes were taken");
    for length in ["-1", "99999999999999999999999", "", "1e3"] {
        assert!(served.raw(head(length).as_bytes()).starts_with("HTTP/1.1 4"), "{length}");
    }
    assert!(served.raw("GET / HTTP/1.1\r\nTransfer-Encoding: chunked\r\n\r\n".as_bytes()).starts_with("HTTP/1.1 411"));
    assert!(served.raw(format!("GET /{} HTTP/1.1\r\n", "x".repeat(40_000)).as_bytes()).starts_with("HTTP/1.1 431"));
    let many = "a: b\r\n".repeat(100);
    assert!(served.raw(format!("GET / HTTP/1.1\r\n{many}\r\n").as_bytes()).starts_with("HTTP/1.1 431"));
    assert!(served.raw(b"DELETE / HTTP/1.1\r\n\r\n").starts_with("HTTP/1.1 405"));
    let mut dice = Dice::new(10_099);
    for _ in 0..200 {
        let noise: Vec<u8> = (0..dice.below(400)).map(|_| dice.below(256) as u8).collect();
        let answer = served.raw(&[&noise[..], b"\r\n\r\n"].concat());
        assert!(answer.is_empty() || answer.starts_with("HTTP/1.1 4"), "{answer}");
    }
    assert_eq!(holds(home.path()), before);
    assert_eq!(served.get("").0, 200);
}

/// However it goes on.
#[test]
#[ignore = "waits eight seconds: `.ci/run` runs it"]
fn a_slow_request_is_dropped_when_its_time_is_over() {
    let (home, path) = starter();
    let served = serve(&path);
    let before = holds(home.path());
    let begun = Instant::now();
    let mut slow = TcpStream::connect(&served.host).unwrap();
    slow.set_read_timeout(Some(Duration::from_millis(500))).unwrap();
    let mut answer = [0; 100];
    let dropped = loop {
        if slow.write_all(b"G").is_err() {
            break true;
        }
        match slow.read(&mut answer) {
            Ok(_) => break true,
            Err(_) if begun.elapsed() > Duration::from_secs(20) => break false,
            Err(_) => {}
        }
    };
    assert!(dropped, "still open after {:?}", begun.elapsed());
    assert_eq!(holds(home.path()), before);
    assert_eq!(served.get("").0, 200);
}

#[test]
fn a_thousand_connections_held_open_keep_nobody_out() {
    let (_home, path) = starter();
    let served = serve(&path);
    let mut held = Vec::new();
    for number in 0..if all_cases() { 1_000 } else { 300 } {
        // Where the system gives no more handles, those held are enough.
        let Ok(mut stream) = TcpStream::connect(&served.host) else { break };
        let _ = stream.write_all(b"GET / HTTP/1.1\r\nHost: x\r\n");
        held.push(stream);
        if number % 150 == 149 {
            let begun = Instant::now();
            assert_eq!(served.get("look.css").0, 200, "after {number}");
            assert!(begun.elapsed() < Duration::from_secs(5), "{:?}", begun.elapsed());
        }
    }
    assert!(held.len() > 200, "{}", held.len());
    #[cfg(target_os = "linux")]
    {
        let threads = fs::read_dir("/proc/self/task").unwrap().count();
        assert!(threads < 400, "{threads} threads");
    }
}

fn huge() -> String {
    "9".repeat(3_000)
}

/// What somebody might put into any field.
fn values(huge: &str) -> [&str; 19] {
    [
        "",
        "0",
        "-1",
        "99999999999999999999",
        "cabinet.0.count",
        "cabinet.99.count",
        "../x",
        "\u{0}",
        "é",
        "=1",
        "\"",
        "yard 1",
        "shop:margin",
        "shop:operation.99.minutes",
        "boards:0.price",
        "boards:99.stock",
        "boards",
        "shop",
        huge,
    ]
}

#[test]
fn what_any_form_of_yard_and_saw_holds_is_an_answer() {
    let (_home, path) = starter();
    let served = serve(&path);
    let huge = huge();
    let values = values(&huge);
    let mut dice = Dice::new(10_008);
    for path in ["saw-count", "yard-measure", "yard-decide", "saw-next", "saw-begin", "saw-elsewhere", "yard/../saw"] {
        for _ in 0..8 {
            let mut any = || values[dice.below(values.len() as u64) as usize];
            let names = ["board", "cut", "part", "what", "count", "seen", "width", "length", "thickness", "defects"];
            let fields: Vec<(&str, &str)> = names.iter().map(|name| (*name, any())).collect();
            let (status, _) = served.post(path, &fields);
            assert!([200, 303, 400, 404].contains(&status), "{path} {fields:?}: {status}");
        }
    }
}

#[test]
fn what_any_form_holds_is_an_answer() {
    let (_home, path) = starter();
    let served = serve(&path);
    let huge = huge();
    let values = values(&huge);
    let mut dice = Dice::new(10_007);
    for what in
        ["set", "step", "copy", "remove", "bring", "cure", "alternative", "copy_row", "remove_row", "nothing", ""]
    {
        for _ in 0..12 {
            let mut any = || values[dice.below(values.len() as u64) as usize];
            let fields = [
                ("what", what),
                ("at", any()),
                ("to", any()),
                ("by", any()),
                ("cabinet", any()),
                ("open", any()),
                ("door", any()),
                ("fix", any()),
                ("index", any()),
                ("file", any()),
                ("from", any()),
                ("of", any()),
                ("row", any()),
                ("view", any()),
                ("seen", any()),
            ];
            let (status, _) = served.post("edit", &fields);
            assert!([200, 400].contains(&status), "{fields:?}: {status}");
            let (status, _) = served.post("try", &fields);
            assert!([200, 400, 409].contains(&status), "{fields:?}: {status}");
        }
    }
    for query in ["of=1&cabinet=99", "of=99999999999999999999", "of=-1", "of=&cabinet="] {
        assert!([200, 404].contains(&served.get(&format!("positions?{query}")).0), "{query}");
    }
}

/// What a program of this system holds in memory at most, in KB.
#[cfg(target_os = "linux")]
fn most_held(program: &std::process::Child) -> u64 {
    let about = fs::read_to_string(format!("/proc/{}/status", program.id())).unwrap();
    let line = about.lines().find_map(|line| line.strip_prefix("VmHWM:")).unwrap();
    line.trim().split(' ').next().unwrap().parse().unwrap()
}

#[test]
#[cfg(target_os = "linux")]
fn whatever_is_sent_memory_stays_bounded() {
    use std::io::{BufRead, BufReader};
    let (_home, path) = starter();
    let mut program = std::process::Command::new(env!("CARGO_BIN_EXE_slatwright"))
        .args(["open", path.to_str().unwrap(), "--no-browser", "--lan=127.0.0.1"])
        .stdout(std::process::Stdio::piped())
        .spawn()
        .unwrap();
    let said = BufReader::new(program.stdout.take().unwrap()).lines().map(Result::unwrap);
    let places: Vec<_> =
        said.filter(|line| line.starts_with("http")).take(2).map(|line| super::Served::at(&line)).collect();
    places[0].card();
    let before = most_held(&program);
    for served in &places {
        let mut held = Vec::new();
        for number in 0..300 {
            let Ok(mut stream) = TcpStream::connect(&served.host) else { break };
            // A head that is nearly too long, half of them with a body that is never whole.
            let body = if number % 2 == 0 { "POST" } else { "GET" };
            let head = format!(
                "{body} /{} HTTP/1.1\r\nContent-Length: 65536\r\nA: {}\r\n\r\n",
                served.token,
                "x".repeat(15_000)
            );
            let _ = stream.write_all(head.as_bytes()).and_then(|()| stream.write_all(&[b'y'; 60_000]));
            held.push(stream);
        }
        for _ in 0..10 {
            let Ok(mut stream) = TcpStream::connect(&served.host) else { continue };
            let _ = stream.write_all(
                format!("POST /{}/edit HTTP/1.1\r\nContent-Length: 104857600\r\n\r\n", served.token).as_bytes(),
            );
            let _ = (0..200).try_for_each(|_| stream.write_all(&[b'z'; 65_536]));
        }
    }
    assert_eq!(places[0].get("look.css").0, 200);
    let more = most_held(&program).saturating_sub(before);
    program.kill().unwrap();
    program.wait().unwrap();
    assert!(more < 96 * 1024, "{more} KB more than the {before} KB before");
}
