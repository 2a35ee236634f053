//! A kill at any moment leaves each file of the job as it was or as it was to be.

use std::fs;
use std::io::{BufRead, BufReader};
use std::process::{Command, Stdio};
use std::time::Duration;

use super::{Served, starter};

#[test]
fn a_kill_leaves_each_file_old_or_new() {
    let (_home, path) = starter();
    let text = fs::read_to_string(&path).unwrap();
    let with = |width: u32| text.replace("inside_width = \"36\"", &format!("inside_width = \"{width}\""));
    let boards = path.with_file_name("boards.csv");
    let list = fs::read_to_string(&boards).unwrap();
    let priced = |price: u32| list.replace(",9.85,", &format!(",{price},"));
    let (mut widths, mut prices) = (vec![36], Vec::new());
    for round in 0..16 {
        let mut program = Command::new(env!("CARGO_BIN_EXE_slatwright"))
            .args(["open", path.to_str().unwrap(), "--no-browser"])
            .stdout(Stdio::piped())
            .spawn()
            .unwrap();
        let mut first = String::new();
        BufReader::new(program.stdout.take().unwrap()).read_line(&mut first).unwrap();
        let served = Served::at(first.trim());
        let mark = served.mark();
        let figure = 40 + round;
        let at = if round % 2 == 0 { "cabinet.0.inside_width" } else { "boards:1.price" };
        if round % 2 == 0 {
            widths.push(figure)
        } else {
            prices.push(figure)
        }
        let asking = std::thread::spawn(move || {
            let to = figure.to_string();
            let fields = [("what", "set"), ("seen", mark.as_str()), ("at", at), ("to", &to)];
            // The program may be gone before it answers.
            let _ = std::panic::catch_unwind(|| served.post("edit", &fields));
        });
        std::thread::sleep(Duration::from_micros(u64::from(round) * 3_000));
        program.kill().unwrap();
        program.wait().unwrap();
        asking.join().unwrap();
        let now = fs::read_to_string(&path).unwrap();
        assert!(widths.iter().any(|width| now == with(*width)), "round {round}:\n{now}");
        let now = fs::read_to_string(&boards).unwrap();
        assert!(now == list || prices.iter().any(|price| now == priced(*price)), "round {round}:\n{now}");
    }
    // And the next run writes as ever.
    let served = super::serve(&path);
    served.set("cabinet.0.inside_width", "37");
    assert_eq!(fs::read_to_string(&path).unwrap(), with(37));
}
