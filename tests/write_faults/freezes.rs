//! A quote frozen and killed: its folder is whole or not there, its boards are held if it is.

use std::fs;
use std::process::{Child, Command, Stdio};
use std::time::Instant;

use crate::common::dice::Dice;
use crate::common::some_of;
use crate::floor_support::{ShopFolder, rows};
use crate::write_faults::shops::{kill, moment, wait_for};

const JOB: &str = "mine/job.toml";

fn freeze(shop: &ShopFolder) -> Child {
    Command::new(env!("CARGO_BIN_EXE_slatwright"))
        .current_dir(shop.home.path())
        .args(["quote", JOB, "--freeze", "--date", "2026-03-02"])
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .spawn()
        .unwrap()
}

fn revisions(shop: &ShopFolder) -> Vec<String> {
    let Ok(entries) = fs::read_dir(shop.path("mine/quotes")) else { return Vec::new() };
    let names = entries.map(|entry| entry.unwrap().file_name().into_string().unwrap());
    let mut names: Vec<String> = names.filter(|name| !name.starts_with('.')).collect();
    names.sort();
    names
}

/// Kills at random moments of the whole run, of the staging, and right behind the journal.
#[test]
fn a_freeze_killed_at_any_moment_leaves_a_whole_revision_or_none() {
    let strip = "[[strip]]\nname = \"rail\"\nspecies = \"cherry\"\nlength = 30\nwidth = \"5/8\"\n\
                 thickness = \"3/8\"\nquantity = 4\nspares = \"none\"\n";
    let rack = "rail stock,cherry,4/4,6,96,2,,\nsale,cherry,4/4,6,96,,30.00,each\n";
    let shop = ShopFolder::small(strip, rack);
    shop.write("mine/shop.toml", &(shop.read("mine/shop.toml") + "\n[shop]\nnext_quote = 41\n"));
    let (shop_file, boards) = (shop.read("mine/shop.toml"), shop.read("mine/boards.csv"));
    let begun = Instant::now();
    freeze(&shop).wait().unwrap();
    let whole_run = begun.elapsed();
    let held = shop.read("mine/boards.csv");
    assert!(held.contains("1 x bench") && revisions(&shop) == ["41-r1"]);
    let stage = shop.path("mine/quotes/.slatwright-stage");
    let mut dice = Dice::new(41);
    let (mut none, mut whole, mut caught) = (0, 0, 0);
    for round in 0..some_of(200) {
        fs::remove_dir_all(shop.path("mine/quotes")).unwrap();
        shop.write("mine/shop.toml", &shop_file);
        shop.write("mine/boards.csv", &boards);
        let mut child = freeze(&shop);
        match round % 3 {
            0 => std::thread::sleep(moment(&mut dice, whole_run)),
            1 => {
                wait_for(&mut child, || stage.exists());
                std::thread::sleep(moment(&mut dice, whole_run / 8));
            }
            _ => wait_for(&mut child, || stage.join("journal").exists()),
        }
        kill(child);
        caught += usize::from(stage.join("journal").exists());
        // The next run settles it: what is listed is whole, and nothing of a stage is left.
        let listed = shop.run(&["quote", JOB, "--list", "--csv", "--date", "2026-03-02"]);
        assert!(listed.status.success(), "round {round}: {}", String::from_utf8_lossy(&listed.stderr));
        assert!(!stage.exists(), "round {round}");
        let listed = rows(&String::from_utf8(listed.stdout).unwrap());
        let there = revisions(&shop);
        assert_eq!(listed.len(), there.len(), "round {round}");
        let rack = shop.read("mine/boards.csv");
        match there.as_slice() {
            [] => {
                assert!(rack == boards, "round {round}: boards held for no quote: {rack}");
                none += 1;
            }
            [one] => {
                assert!(rack == held, "round {round}: {rack}");
                shop.ok(&["quote", JOB, "--revision", "1"]);
                assert_eq!(one, "41-r1");
                whole += 1;
            }
            several => panic!("round {round}: {several:?}"),
        }
        let text = shop.read("mine/shop.toml");
        let next = |number: u32| text == shop_file.replace("41", &number.to_string());
        assert!(next(41) || next(42), "round {round}: {text}");
        // A number is used up or not, and never used twice.
        assert!(next(42) || there.is_empty(), "round {round}");
        let said = shop.ok(&["quote", JOB, "--freeze", "--date", "2026-03-02"]);
        assert!(said.contains("Quote 4"), "round {round}: {said}");
    }
    println!("{none} times none, {whole} times whole, {caught} times killed behind the journal");
    assert!(none > 0 && whole > 0 && caught > 0, "{none} none, {whole} whole, {caught} behind the journal");
}
