//! A random job from bytes: sizes mostly such as a shop might ask for, now and then absurd ones.

use std::fmt::Write;

use slatwright::files::Sources;

/// Bytes taken one by one as choices; when they run out, every choice is the first.
pub(crate) struct Bytes<'a> {
    left: &'a [u8],
}

impl<'a> Bytes<'a> {
    pub(crate) fn new(left: &'a [u8]) -> Self {
        Self { left }
    }

    fn byte(&mut self) -> u8 {
        let Some((first, rest)) = self.left.split_first() else { return 0 };
        self.left = rest;
        *first
    }

    /// A number below `n`, which is at most 65 536.
    pub(crate) fn below(&mut self, n: u32) -> u32 {
        let low = u32::from(self.byte());
        if n <= 256 { low % n } else { (low << 8 | u32::from(self.byte())) % n }
    }

    fn pick<'t>(&mut self, list: &[&'t str]) -> &'t str {
        list[self.below(u32::try_from(list.len()).unwrap()) as usize]
    }

    /// True once in `n` times.
    fn once_in(&mut self, n: u32) -> bool {
        self.below(n) == n - 1
    }

    /// A length of so many 64ths of an inch, low to high, as a TOML text; rarely an absurd one.
    fn length(&mut self, low: u32, high: u32) -> String {
        if self.once_in(128) {
            return self.pick(&["0", "0.5 mm", "0.51 mm", "1/1000", "3 m", "19 m", "99 m"]).to_owned();
        }
        format!("{}/64 in", low + self.below(high - low + 1))
    }
}

/// The files of a random job.
#[derive(Debug, Clone)]
pub(crate) struct Written {
    pub(crate) job: String,
    pub(crate) shop: String,
    pub(crate) boards: String,
    pub(crate) cloth: String,
}

impl Written {
    pub(crate) fn sources(&self) -> Sources {
        Sources::in_memory("job.toml", self.job.as_str())
            .with("shop.toml", self.shop.as_str())
            .with("boards.csv", self.boards.as_str())
            .with("cloth.csv", self.cloth.as_str())
            .with("sheets.csv", SHEETS)
    }

    /// All of it, for whoever has to find the fault.
    pub(crate) fn show(&self) -> String {
        format!("--- job\n{}--- shop\n{}--- boards\n{}--- cloth\n{}", self.job, self.shop, self.boards, self.cloth)
    }
}

const WOODS: [&str; 3] = ["cherry", "walnut", "jatoba"];
const MILLINGS: [&str; 5] = ["flat", "flat", "flat", "edge", "any"];

pub(crate) fn write(b: &mut Bytes) -> Written {
    let units = b.pick(&["in", "in", "mm"]);
    let (shop, boards, cloth) = (shop(b), boards(b), cloth(b));
    Written { job: job(b, units), shop, boards, cloth }
}

fn job(b: &mut Bytes, units: &str) -> String {
    let mut out = format!(
        "name = \"random\"\nunits = \"{units}\"\nshop = \"shop.toml\"\nboards = \"boards.csv\"\ncloth = \"cloth.csv\"\n\
         sheets = \"sheets.csv\"\n"
    );
    let kinds = 1 + b.below(7);
    slats(b, &mut out);
    spares(b, &mut out);
    if kinds & 1 != 0 {
        for number in 0..1 + b.below(4) {
            strip(b, number, &mut out);
        }
    }
    if kinds & 2 != 0 {
        for number in 0..1 + b.below(3) {
            cloth_piece(b, number, &mut out);
        }
    }
    if kinds & 4 != 0 {
        for number in 0..1 + b.below(3) {
            cabinet(b, number, &mut out);
        }
    }
    for number in 0..b.below(3) {
        let quantity = b.pick(&["1", "2.5", "0.0001", "99999"]);
        let price = b.pick(&["84.00", "0", "0.0001", "6.40"]);
        let taxed = b.pick(&["true", "false"]);
        let _ = write!(
            out,
            "[[line]]\nname = \"line {number}\"\nquantity = {quantity}\nprice = {price}\ntaxed = {taxed}\n"
        );
    }
    // Last, so that what came before is of the same bytes as ever.
    if kinds & 4 != 0 && b.once_in(2) {
        case(b, &mut out);
    }
    out
}

pub(crate) const SHEETS: &str = "sheet,material,thickness,width,length,on_hand,price\nply,ply,3/4 in,48 in,96 in,,84\n\
    half,ply,3/4 in,48 in,48 in,2,\nthin,ply,1/4 in,49 in,97 in,,38\n";

fn case(b: &mut Bytes, out: &mut String) {
    let material = b.pick(&["material = \"ply\"", "material = \"cherry\"\nsolid = true", "material = \"board\""]);
    let joint = b.pick(&["top over sides", "sides over top", "dado\"\ndado_depth = \"1/4 in"]);
    let _ = writeln!(out, "[case]\n{material}\nthickness = \"3/4 in\"\njoint = \"{joint}\"");
    if b.once_in(2) {
        let fitted = b.pick(&["let in", "laid on"]);
        let _ = writeln!(out, "back = {{ material = \"ply\", thickness = \"1/4 in\", fitted = \"{fitted}\" }}");
    }
    if b.once_in(2) {
        let inset = if b.once_in(4) { format!(", inset = \"{}\"", b.length(40, 200)) } else { String::new() };
        let _ = writeln!(out, "lining = {{ material = \"ply\", thickness = \"1/4 in\"{inset} }}");
    }
    if b.once_in(2) {
        let count = 1 + b.below(5);
        let size = if b.once_in(3) { format!(", width = \"{}\"", b.length(64 * 8, 64 * 40)) } else { String::new() };
        let _ = writeln!(out, "shelves = {{ count = {count}, gap = \"{}\"{size} }}", b.length(0, 12));
    }
    if b.once_in(3) {
        let _ = writeln!(out, "edging = {{ thickness = \"{}\" }}", b.length(4, 20));
    }
}

fn slats(b: &mut Bytes, out: &mut String) {
    let _ = write!(
        out,
        "[slats]\nspecies = \"{}\"\nwidth = \"{}\"\nthickness = \"{}\"\nlead_width = \"{}\"\nrabbet_depth = \"{}\"\n\
         rabbet_length = \"{}\"\nrabbet_face = \"{}\"\nmilling = \"{}\"\nedge_bevel = {}\n{}\n",
        b.pick(&WOODS),
        b.length(24, 60),
        b.length(20, 28),
        b.length(40, 90),
        b.length(10, 12),
        b.length(22, 30),
        b.pick(&["show", "show", "back"]),
        b.pick(&MILLINGS),
        b.pick(&["0", "0", "0", "4", "7.5"]),
        b.pick(&["lead_fitted = \"before\"", "lead_fitted = \"after\"\nlead_entry = \"notch\""]),
    );
}

fn spares(b: &mut Bytes, out: &mut String) {
    match b.below(5) {
        0 => {}
        1 => out.push_str("[spares]\nnone = true\n"),
        2 => {
            let _ = writeln!(out, "[spares]\npercent = {}", b.below(101));
        }
        _ => {
            let rate = b.pick(&["0", "0.05", "0.12", "0.3", "0.5", "0.9"]);
            let confidence = b.pick(&["0", "0.5", "0.95", "0.999"]);
            let (setup, repair) = (b.below(4), b.below(3));
            let _ = write!(
                out,
                "[spares]\nreject_rate = {rate}\nconfidence = {confidence}\nsetup_strips = {setup}\n\
                 repair_strips = {repair}\n"
            );
        }
    }
}

fn strip(b: &mut Bytes, number: u32, out: &mut String) {
    let quantity = if b.once_in(40) { b.below(3_000) + 1 } else { b.below(40) + 1 };
    let _ = write!(
        out,
        "[[strip]]\nname = \"strip {number}\"\nspecies = \"{}\"\nlength = \"{}\"\nwidth = \"{}\"\nthickness = \"{}\"\n\
         quantity = {quantity}\nmilling = \"{}\"\n{}",
        b.pick(&WOODS),
        b.length(64 * 4, 64 * 90),
        b.length(12, 180),
        b.length(8, 90),
        b.pick(&MILLINGS),
        b.pick(&["", "", "spares = \"none\"\n", "spares = { percent = 30 }\n", "spares = { reject_rate = 0.2 }\n"]),
    );
}

fn cloth_piece(b: &mut Bytes, number: u32, out: &mut String) {
    let quantity = if b.once_in(40) { b.below(400) + 1 } else { b.below(9) + 1 };
    let _ = write!(
        out,
        "[[cloth_piece]]\nname = \"piece {number}\"\nalong = \"{}\"\nacross = \"{}\"\nquantity = {quantity}\nturn = {}\n",
        b.length(64 * 3, 64 * 50),
        b.length(64 * 3, 64 * 58),
        b.pick(&["true", "false"]),
    );
}

fn cabinet(b: &mut Bytes, number: u32, out: &mut String) {
    let count = b.below(3) + 1;
    let drawn = b.once_in(3);
    let path = if drawn { track(b, number, out) } else { 0 };
    let _ = writeln!(out, "[[cabinet]]\nname = \"case {number}\"\ncount = {count}");
    if number % 3 == 1 {
        let _ = writeln!(out, "seam = true\nturn = {}", number.is_multiple_of(2));
    }
    if drawn {
        let cover = 64 * 6 + b.below(64 * 20);
        let travel = 64 * 4 + b.below(64 * 16);
        let _ = path;
        let _ = write!(
            out,
            "[[cabinet.door]]\nname = \"front\"\ntrack = \"track {number}\"\nbetween = \"{}\"\ncover = \"{cover}/64 in\"\n\
             travel = \"{travel}/64 in\"\n",
            b.length(64 * 10, 64 * 50),
        );
        return;
    }
    let _ = write!(
        out,
        "doors = \"{}\"\ninside_width = \"{}\"\ninside_depth = \"{}\"\ninside_height = \"{}\"\nsetback = \"{}\"\n\
         corner_radius = \"{}\"\ngroove_width = \"{}\"\ngroove_depth = \"{}\"\n",
        b.pick(&["pair", "left", "right", "up"]),
        b.length(64 * 16, 64 * 60),
        b.length(64 * 12, 64 * 26),
        b.length(64 * 12, 64 * 60),
        b.length(40, 70),
        b.length(64 * 2, 64 * 5),
        b.length(15, 22),
        b.length(14, 22),
    );
}

/// A track of straight runs and arcs; its number of pieces.
fn track(b: &mut Bytes, number: u32, out: &mut String) -> u32 {
    let mut path = format!("{{ straight = \"{}\" }}", b.length(64 * 8, 64 * 24));
    let bends = b.below(4);
    for _ in 0..bends {
        let (radius, straight) = (b.length(64 * 2, 64 * 7), b.length(64, 64 * 30));
        let (angle, side) = (b.below(120) + 1, b.pick(&["inside", "inside", "inside", "outside"]));
        let _ = write!(
            path,
            ", {{ arc = \"{radius}\", angle = {angle}, canvas = \"{side}\" }}, {{ straight = \"{straight}\" }}"
        );
    }
    let _ = write!(
        out,
        "[[track]]\nname = \"track {number}\"\ngroove_width = \"{}\"\ngroove_depth = \"{}\"\npath = [{path}]\n",
        b.length(15, 22),
        b.length(14, 22),
    );
    bends
}

fn shop(b: &mut Bytes) -> String {
    let mut out = String::new();
    if b.once_in(2) {
        let _ = write!(
            out,
            "overhead = 0.12\ntax = 0.07\ncontingency = 0.05\n{}",
            b.pick(&["", "margin = 0.2\n", "markup = 0.3\n"])
        );
    }
    out.push_str("[cutting]\n");
    for (key, low, high) in [
        ("rip_kerf", 0, 12),
        ("crosscut_kerf", 0, 12),
        ("resaw_kerf", 0, 12),
        ("end_trim", 0, 128),
        ("edge_trim", 0, 64),
        ("hold_width", 0, 64),
        ("length_trim", 0, 64),
        ("rip_trim", 0, 8),
        ("edge_clean", 0, 4),
        ("face_trim", 0, 10),
        ("leaf_trim", 0, 8),
        ("min_blank", 0, 64 * 20),
    ] {
        if b.once_in(3) {
            let _ = writeln!(out, "{key} = \"{}\"", b.length(low, high));
        }
    }
    if b.once_in(6) {
        let _ = writeln!(out, "max_blank = \"{}\"", b.length(64 * 20, 64 * 60));
    }
    let _ = writeln!(out, "resaw = {}", b.pick(&["false", "true"]));
    let _ = writeln!(out, "order = \"{}\"", b.pick(&["crosscut-first", "rip-first", "any"]));
    if b.once_in(4) {
        let _ = writeln!(out, "[cloth]\nturn = true\ntrim = \"{}\"", b.length(0, 64));
    }
    for number in 0..b.below(3) {
        let per = b.pick(&["door", "job", "cabinet", "board", "strip"]);
        let _ = write!(out, "[[labour]]\nname = \"work {number}\"\nhours = 1.5\nrate = 58.00\nper = \"{per}\"\n");
    }
    if b.once_in(4) {
        let on = b.pick(&["glued", "show"]);
        let _ = write!(
            out,
            "[[consumable]]\nname = \"glue\"\nprice = 18.50\nunit = \"bottle\"\ncovers_square_feet = 25\non = \"{on}\"\n"
        );
    }
    out
}

fn boards(b: &mut Bytes) -> String {
    let mut out = "stock,species,thickness,width,length,on_hand,price,per,random,defects\n".to_owned();
    for number in 0..2 + b.below(5) {
        let wood = b.pick(&WOODS);
        let thickness = b.pick(&[
            "4/4",
            "4/4",
            "4/4",
            "5/4",
            "6/4",
            "8/4",
            "4/4 s2s 13/16",
            "3/4 in",
            "19 mm",
            "12/4",
            "8/4 s2s 1-3/4",
        ]);
        let (width, length) = (b.length(64 * 3, 64 * 14), b.length(64 * 30, 64 * 150));
        let (on_hand, price) = match b.below(6) {
            0 => ("3", ",".to_owned()),
            1 => (b.pick(&["0", "1", "20"]), "4.25,each".to_owned()),
            _ => ("", format!("{}.{:02},{}", b.below(20), b.below(100), b.pick(&["bf", "bf", "each", "lf", "m3"]))),
        };
        let random = b.pick(&["", "", "", "yes"]);
        let defects = if on_hand.is_empty() { String::new() } else { defects(b) };
        let _ =
            writeln!(out, "board {number},{wood},{thickness},{width},{length},{on_hand},{price},{random},{defects}");
    }
    // What is always for sale, so that most jobs can be planned.
    for wood in WOODS {
        let _ = writeln!(out, "{wood} 8/4,{wood},8/4,10 in,120 in,,12.60,bf,,");
    }
    out
}

/// None to two spans along a board that is owned.
fn defects(b: &mut Bytes) -> String {
    let first = 3 + b.below(40);
    let second = first + 8 + b.below(40);
    let (short, long) = (b.below(8) * 8 + 1, b.below(7) + 1);
    match b.below(4) {
        0 => format!("{first} in..{first}-{short}/64 in"),
        1 => format!("{second} in..{} in;{first} in..{} in", second + long, first + long),
        _ => String::new(),
    }
}

fn cloth(b: &mut Bytes) -> String {
    let mut out = "bolt,width,selvage,on_hand_length,price,per,increment,shrink_along,shrink_across\n".to_owned();
    for number in 0..1 + b.below(3) {
        let (width, selvage) = (b.length(64 * 36, 64 * 72), b.length(0, 64));
        let (along, across) = (b.pick(&["", "0", "10", "3.5"]), b.pick(&["", "0", "5"]));
        let rest = match b.below(4) {
            0 => format!("{},,,", b.length(64 * 10, 64 * 90)),
            _ => {
                let price = format!("{}.{:02}", b.below(30), b.below(100));
                format!(
                    ",{price},{},{}",
                    b.pick(&["yard", "metre"]),
                    b.pick(&["4.5 in", "100 mm", "1 mm", "36 in", "0"])
                )
            }
        };
        let _ = writeln!(out, "bolt {number},{width},{selvage},{rest},{along},{across}");
    }
    let _ = writeln!(out, "duck,62 in,1/2 in,,11.90,yard,4-1/2 in,,");
    out
}
