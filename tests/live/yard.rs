//! At the yard: what the page says of a board is what `yard` says, and what it writes is what `plan --picked` reads.

use std::fs;
use std::path::Path;

use super::{Served, plain, serve, starter, text_of};
use crate::common::program;

const BOARD: [(&str, &str); 4] = [("width", "6"), ("width_eighths", "6"), ("length", "97"), ("thickness", "4/4")];

fn slatwright(arguments: &[&str]) -> String {
    let run = program().args(arguments).output().unwrap();
    assert!(run.status.success(), "{}", String::from_utf8_lossy(&run.stderr));
    String::from_utf8(run.stdout).unwrap()
}

fn list(job: &Path) -> String {
    fs::read_to_string(job.with_file_name("picked.csv")).unwrap_or_default()
}

/// Measures a board; the page that comes of it.
fn measure(served: &Served, more: &[(&str, &str)]) -> String {
    let seen = super::attribute(served.get("yard").1.split_once("name=\"seen\"").unwrap().1, "value");
    let mut fields: Vec<(&str, &str)> =
        BOARD.into_iter().filter(|(name, _)| more.iter().all(|(other, _)| other != name)).collect();
    fields.extend([("seen", seen.as_str()), ("species", "cherry"), ("per", "bf")]);
    fields.extend(more);
    let (status, page) = served.post("yard-measure", &fields);
    if status == 303 { served.get("yard").1 } else { page }
}

fn decide(served: &Served, board: &str, count: &str) -> String {
    let (status, page) = served.post("yard-decide", &[("board", board), ("count", count)]);
    if status == 303 { served.get("yard").1 } else { page }
}

#[test]
fn a_board_is_judged_as_the_command_judges_it() {
    let (_home, path) = starter();
    let served = serve(&path);
    assert_eq!(list(&path), "");
    let page = measure(&served, &[]);
    // 6-3/4 by 97, at the price of the list's board that is nearest in width.
    assert!(list(&path).ends_with("yard 1,cherry,4/4 rough,6.75,97,,9.85,bf,\n"), "{}", list(&path));
    let picked = path.with_file_name("picked.csv");
    let (job, picked) = (path.to_str().unwrap(), picked.to_str().unwrap());
    let said = slatwright(&["yard", job, "--picked", picked, "--csv"]);
    let row: Vec<&str> = said.lines().nth(1).unwrap().split(',').collect();
    let word =
        plain(page.split_once("class=\"word\"").unwrap().1.split_once('>').unwrap().1.split_once("</p>").unwrap().0);
    assert_eq!((row[0], word.to_lowercase().as_str()), ("yard 1", row[1]));
    for figure in &row[2..4] {
        assert!(plain(&page).contains(&format!("USD {figure}")), "{figure}");
    }
    let page = decide(&served, "yard 1", "1");
    assert!(list(&path).ends_with("6.75,97,1,9.85,bf,\n"), "{}", list(&path));
    // Strip by strip what the command has: wanted, picked, rack, short.
    let said = slatwright(&["yard", job, "--picked", picked, "--csv"]);
    let body = page.split_once("<tbody>").unwrap().1.split_once("</tbody>").unwrap().0;
    let shown: Vec<Vec<String>> = body
        .split("<tr>")
        .skip(1)
        .map(|row| row.split("<td>").skip(1).map(plain).map(|cell| cell.trim().to_owned()).collect())
        .collect();
    let there: Vec<Vec<String>> =
        said.lines().skip(1).map(|line| line.split(',').skip(5).map(str::to_owned).collect()).collect();
    assert_eq!(shown, there);
    assert!(there.iter().any(|row| row[1] != "0"), "{there:?}");
    // And back.
    let page = decide(&served, "yard 1", "0");
    assert!(page.contains("Left there") && list(&path).ends_with("6.75,97,0,9.85,bf,\n"));
    assert!(plain(&decide(&served, "yard 9", "1")).contains("There is no such board"));
    assert_eq!(served.post("yard-decide", &[("board", "yard 1"), ("count", "7")]).0, 400);
}

#[test]
fn what_is_wrong_with_a_board_is_said_at_its_field_and_nothing_is_written() {
    let (_home, path) = starter();
    let served = serve(&path);
    for (field, to, says) in [
        ("width", "wide", "says-width"),
        ("length", "0", "says-length"),
        ("thickness", "4/3/2", "says-thickness"),
        ("defects", "200..201", "says-defects"),
        ("defects", "7", "says-defects"),
        ("price", "dear", "says-price"),
    ] {
        let page = measure(&served, &[(field, to), ("width_eighths", "0")]);
        assert!(!text_of(&page, says).is_empty(), "{field} {to}: {}", plain(&page));
        assert_eq!(list(&path), "", "{field}");
    }
    // A wood and thickness that the list has no price for.
    let page = measure(&served, &[("thickness", "6/4")]);
    assert!(text_of(&page, "says-price").contains("say what it costs"));
    measure(&served, &[("thickness", "6/4"), ("price", "11.25")]);
    assert!(list(&path).contains(",6/4 rough,6.75,97,,11.25,bf,"));
    // Pressed twice, a board is asked about once.
    let (before, fields) = (list(&path), [&BOARD[..], &[("seen", "0"), ("species", "cherry"), ("per", "bf")]].concat());
    assert_eq!(served.post("yard-measure", &fields).0, 303);
    assert_eq!(list(&path), before);
}

#[test]
fn the_list_of_somebody_who_wrote_it_keeps_its_ways() {
    let (_home, path) = starter();
    let own = "stock,species,thickness,width,length,on_hand,price,per\r\n\"mine, the wide one\", cherry,4/4,7-1/4,8',1,9.85,bf\r\n\r\nnarrow,cherry,4/4,5,96,,9.85,bf\r\n";
    fs::write(path.with_file_name("picked.csv"), own).unwrap();
    let served = serve(&path);
    assert!(plain(&served.get("yard").1).contains("mine, the wide one"));
    decide(&served, "narrow", "0");
    assert_eq!(list(&path), own.replace(",96,,", ",96,0,"));
    measure(&served, &[("defects", "12..15")]);
    let wider = own.replace(",96,,", ",96,0,").replace("per\r", "per,defects\r").replace("bf\r", "bf,\r");
    assert_eq!(list(&path), wider + "yard 3,cherry,4/4 rough,6.75,97,,9.85,bf,12..15\r\n");
}

#[test]
fn a_plan_is_cut_from_the_boards_picked() {
    let (home, path) = starter();
    let served = serve(&path);
    measure(&served, &[]);
    // One in hand is neither taken nor left.
    assert!(plain(&served.post("yard-cut", &[]).1).contains("does not say whether `yard 1` was bought"));
    decide(&served, "yard 1", "1");
    assert!(served.get("saw").1.contains("Cut from the boards picked"));
    assert_eq!(served.post("yard-cut", &[]).0, 303);
    let (plan, command, picked) =
        (home.path().join("cut/plan"), home.path().join("by_command"), path.with_file_name("picked.csv"));
    let job = path.to_str().unwrap();
    slatwright(&["plan", job, "--picked", picked.to_str().unwrap(), "--out", command.to_str().unwrap()]);
    for file in ["rips.csv", "boards.csv", "buy.csv", "summary.csv", "slats.csv"] {
        assert_eq!(fs::read_to_string(plan.join(file)).unwrap(), fs::read_to_string(command.join(file)).unwrap());
    }
    assert!(fs::read_to_string(plan.join("boards.csv")).unwrap().contains("yard 1,"));
    assert!(served.get("saw").1.contains("Board 1 of "));
    let again = served.post("yard-cut", &[]);
    assert_eq!(again.0, 303, "cut anew as long as nothing is counted");
    served.post("saw-count", &[("board", "0"), ("what", "rest")]);
    assert!(plain(&served.post("yard-cut", &[]).1).contains("belongs to a cut that was begun"));
}
