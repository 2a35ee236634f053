//! Boards, bolts and spares.

use slatwright::files::Sources;
use slatwright::job::{self, SpareRate};
use slatwright::measure::{Length, Ratio};

use crate::job_files::texts::{BOARDS, CASE, SLATS, STRIP, read, sixty_fourths, sources};

#[test]
fn doors_alone_need_bolts_to_cut_from() {
    let text = format!("units = \"in\"\nboards = \"boards.csv\"\ncloth = \"c\"\n{SLATS}{CASE}doors = \"pair\"\n");
    let empty = "bolt,width,selvage,on_hand_length,price,per,increment\n";
    let problems = job::parse(&sources(&text).with("jobs/c", empty)).unwrap_err();
    assert_eq!(problems.count(), 1);
    assert!(problems.to_string().contains("the cloth file has no rows"), "{problems}");
    let strips = format!("units = \"in\"\nboards = \"boards.csv\"\ncloth = \"c\"\n{STRIP}");
    assert!(job::parse(&sources(&strips).with("jobs/c", empty)).is_ok());
}

#[test]
fn spares_are_given_in_one_of_three_ways() {
    let rule = |text: &str| read(&[STRIP, text]).spares;
    let percent = |n: i64| Ratio::percent(n.into()).unwrap();
    assert_eq!(rule("[spares]\npercent = 25\n").rate, SpareRate::Percent(percent(25)));
    assert_eq!(rule("[spares]\nreject_rate = 0.08\n").rate, SpareRate::RejectRate(percent(8)));
    let none = rule("[spares]\nnone = true\n");
    assert_eq!((none.rate, none.setup_strips, none.repair_strips), (SpareRate::None, 0, 0));
    let setup = rule("[spares]\nnone = true\nsetup_strips = 3\n");
    assert_eq!((setup.rate, setup.setup_strips, setup.repair_strips), (SpareRate::None, 3, 0));
    assert_eq!(rule("[spares]\nrepair_strips = 2\n").repair_strips, 2);
    let own = |text: &str| read(&[STRIP, text]).strips[0].spares;
    assert_eq!(own(""), Some(SpareRate::None), "a loose strip has none unless it asks");
    assert_eq!(own("spares = \"none\"\n"), Some(SpareRate::None));
    assert_eq!(own("spares = { reject_rate = 0.1 }\n"), Some(SpareRate::RejectRate(percent(10))));
    assert_eq!(own("spares = { percent = 10 }\n"), Some(SpareRate::Percent(percent(10))));
}

#[test]
fn bolts_for_sale_and_remnants_are_told_apart() {
    let cloth = "bolt,width,selvage,on_hand_length,price,per,increment,shrink_along,shrink_across\n\
        sold,60,0.5,,11.90,yard,4.5,10,\nfree,36,0,52,,,,,\npaid,36,0.5,52,4,metre,1,,\n";
    let piece =
        "name = \"x\"\ncloth = \"c.csv\"\n[[cloth_piece]]\nname = \"p\"\nalong = 20\nacross = 14\nquantity = 1\n";
    let job = job::parse(&Sources::in_memory("hall.toml", piece).with("c.csv", cloth)).unwrap();
    let [sold, free, paid] = job.bolts.as_slice() else { panic!() };
    assert_eq!((sold.on_hand, sold.increment), (None, sixty_fourths(288)));
    assert_eq!((sold.shrink_along, sold.shrink_across), (Ratio::percent(10.into()).unwrap(), Ratio::ZERO));
    assert_eq!([sold.taken_as_washed, free.taken_as_washed], [false, true]);
    assert_eq!((free.on_hand, free.price, free.increment), (Some(Length::from_inches(52)), None, Length::ZERO));
    assert_eq!(paid.price.unwrap().1.word(), "metre");
}

/// The same rows as a spreadsheet of another country writes them: semicolons, decimal commas, and commas left over from
/// a column that once was there.
#[test]
fn semicolons_with_decimal_commas_and_empty_columns_give_the_same_stock() {
    let plain = "stock,species,thickness,width,length,on_hand,price,per\n\
        a,cherry,4/4 rough,7.25,96,3,,\nb,cherry,4/4 s2s 13/16,8.5,120,,10.40,bf\nc,cherry,0.75,8,120,,1234.5,m3\n";
    let read = |boards: &str| {
        let sources = sources(&format!("boards = \"own.csv\"\n{STRIP}")).with("jobs/own.csv", boards);
        let job = job::parse(&sources).unwrap_or_else(|problems| panic!("{problems}"));
        job.boards
    };
    let wanted = read(plain);
    let semicolons = plain.replace(',', ";").replace('.', ",");
    assert_eq!(read(&semicolons), wanted);
    let trailing: String = plain.lines().map(|line| format!("{line},,,\n")).collect();
    assert_eq!(read(&trailing), wanted);
    let after_the_header: String = plain
        .lines()
        .enumerate()
        .map(|(at, line)| if at == 0 { format!("{line}\n") } else { format!("{line}, ,\n") })
        .collect();
    assert_eq!(read(&after_the_header), wanted);
}

/// Values that the rules allow and nobody means are asked about, each with its file and line, and taken as they stand.
#[test]
fn odd_values_are_questioned_with_their_place_and_taken() {
    let boards = format!("{BOARDS}c,cherry,4/4,1/64,96,,9.85,bf\n");
    let shop = "[cutting]\nrip_kerf = \"3/4 in\"\ncrosscut_kerf = \"1/2\"\n";
    let text = format!("shop = \"shop.toml\"\nboards = \"own.csv\"\n{STRIP}[spares]\nconfidence = 0\n");
    let sources = sources(&text).with("jobs/own.csv", boards).with("jobs/shop.toml", shop);
    let job = job::parse(&sources).unwrap_or_else(|problems| panic!("{problems}"));
    assert_eq!(
        job.written.questions,
        [
            "jobs/shop.toml:2: `rip_kerf` is 3/4 in, and most blades take 1/16 to 1/4 in",
            "jobs/hall.toml:11: `confidence` is 0, so no strip is added for those that fail; 0.95 is usual",
            "jobs/own.csv:4: a board 1/64 in wide: check the unit",
        ]
    );
    assert!(read(&[STRIP]).written.questions.is_empty());
}
