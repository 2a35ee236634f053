//! A job that holds one word wherever a word of the user's own may stand.

use slatwright::files::Sources;

use crate::floor_support::{ShopFolder, text};

/// A TOML text that stands for exactly this word.
pub(crate) fn quoted(word: &str) -> String {
    let inside: String = word
        .chars()
        .map(|c| if c.is_ascii_alphanumeric() { c.to_string() } else { format!("\\U{:08X}", u32::from(c)) })
        .collect();
    format!("\"{inside}\"")
}

pub(crate) fn csv(rows: &[Vec<&str>]) -> String {
    let mut writer = csv::WriterBuilder::new().flexible(true).from_writer(Vec::new());
    for row in rows {
        writer.write_record(row).unwrap();
    }
    text(&writer.into_inner().unwrap())
}

/// The places of a job where a word of the user's own may stand.
pub(crate) const PLACES: [&str; 23] = [
    "job",
    "client",
    "cabinet",
    "second cabinet",
    "door",
    "track",
    "strip",
    "species",
    "piece",
    "line",
    "group",
    "unit",
    "alternative",
    "currency",
    "labour",
    "consumable",
    "bottle",
    "cutter",
    "stage",
    "due",
    "lead time",
    "stock",
    "bolt",
];

/// The files of a job that holds `word` at the places for which `at` holds, and the place's own name elsewhere.
pub(crate) struct Shop {
    job: String,
    shop: String,
    boards: String,
    cloth: String,
}

pub(crate) fn shop(word: &str, at: impl Fn(&str) -> bool) -> Shop {
    let own = |place: &'static str| if at(place) { word.to_owned() } else { place.to_owned() };
    let q = |place| quoted(&own(place));
    let job = format!(
        "name = {}\nclient = {}\nunits = \"in\"\nshop = \"shop.toml\"\nboards = \"boards.csv\"\ncloth = \"cloth.csv\"\n\
         [spares]\nreject_rate = 0.1\nsetup_strips = 1\nrepair_strips = 0\nconfidence = 0.8\n\
         [slats]\nspecies = \"cherry\"\nwidth = \"5/8\"\nthickness = \"3/8\"\nlead_width = \"1-1/8\"\n\
         rabbet_depth = \"7/32\"\nrabbet_length = \"3/8\"\n\
         [[track]]\nname = {}\ngroove_width = \"1/4\"\ngroove_depth = \"5/16\"\n\
         path = [{{ straight = 16 }}, {{ arc = 4, angle = 90 }}, {{ straight = 24 }}]\n\
         [[cabinet]]\nname = {}\ninside_width = 30\ninside_depth = 16\ninside_height = 24\ndoors = \"left\"\n\
         setback = \"3/4\"\ncorner_radius = 3\ngroove_width = \"1/4\"\ngroove_depth = \"5/16\"\n\
         [[cabinet]]\nname = {}\n[[cabinet.door]]\nname = {}\ntrack = {}\nbetween = 24\ncover = 14\ntravel = 11\n\
         [[strip]]\nname = {}\nspecies = {}\nlength = 20\nwidth = 1\nthickness = \"1/2\"\nquantity = 4\n\
         [[cloth_piece]]\nname = {}\nalong = 12\nacross = 12\nquantity = 1\n\
         [[line]]\nname = {}\ngroup = {}\nquantity = 2\nunit = {}\nprice = 3\n\
         [[alternative]]\nname = {}\nslat_width = \"3/4\"\n",
        q("job"),
        q("client"),
        q("track"),
        q("cabinet"),
        quoted(&own_second(word, &own("second cabinet"))),
        q("door"),
        q("track"),
        q("strip"),
        q("species"),
        q("piece"),
        q("line"),
        q("group"),
        q("unit"),
        q("alternative"),
    );
    let shop = format!(
        "currency = {}\noverhead = 0.1\ntax = 0.1\nhistory = \"history.csv\"\n[[labour]]\nname = {}\nhours = 1\nrate = 40\n\
         per = \"door\"\n[[consumable]]\nname = {}\nunit = {}\nprice = 9\ncovers_square_feet = 30\non = \"show\"\n\
         [[cutter]]\nname = {}\nwidth = \"3/8\"\nheight = \"7/32\"\n[[stage]]\nname = {}\ndue = {}\nshare = 1\n\
         [terms]\nlead_time = {}\n",
        q("currency"),
        q("labour"),
        q("consumable"),
        q("bottle"),
        q("cutter"),
        q("stage"),
        q("due"),
        q("lead time"),
    );
    // In a CSV file the first apostrophe of a formula is the guard: a name of its own there is written with two.
    let cell = |place| if at(place) && word.starts_with("'=") { format!("'{word}") } else { own(place) };
    let (stock, species, bolt) = (cell("stock"), cell("species"), cell("bolt"));
    let sale: String = stock.chars().take(190).chain(" sale".chars()).collect();
    let boards = csv(&[
        "stock,species,thickness,width,length,on_hand,price,per".split(',').collect(),
        vec![&stock, "cherry", "4/4", "7.25", "96", "2", "", ""],
        vec![&sale, "cherry", "4/4", "8", "120", "", "9.85", "bf"],
        vec!["wood", &species, "4/4", "6", "96", "", "8", "bf"],
    ]);
    let cloth = csv(&[
        "bolt,width,selvage,on_hand_length,price,per,increment".split(',').collect(),
        vec![&bolt, "60", "0.5", "", "12", "yard", "4.5"],
    ]);
    Shop { job, shop, boards, cloth }
}

/// Two cabinets of one job have two names.
pub(crate) fn own_second(word: &str, own: &str) -> String {
    if own == word && own.chars().count() <= 200 {
        own.chars().take(190).chain(" two".chars()).collect()
    } else {
        own.to_owned()
    }
}

impl Shop {
    pub(crate) fn sources(&self) -> Sources {
        Sources::in_memory("job.toml", self.job.as_str())
            .with("shop.toml", self.shop.as_str())
            .with("boards.csv", self.boards.as_str())
            .with("cloth.csv", self.cloth.as_str())
    }

    pub(crate) fn in_a_folder(&self) -> ShopFolder {
        let folder = ShopFolder::empty();
        for (name, text) in [
            ("job.toml", &self.job),
            ("shop.toml", &self.shop),
            ("boards.csv", &self.boards),
            ("cloth.csv", &self.cloth),
        ] {
            folder.write(name, text);
        }
        folder
    }
}
