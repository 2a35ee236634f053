//! The figures of the shop, the boards and the cloth as fields of the page, each with its address in its file.

use toml_edit::{DocumentMut, Item};

use super::address::{Address, Of};
use super::edit::{open, written, written_cell};
use super::fields::{Field, Places};
use super::rows;
use super::session::Laid;
use crate::files::Problems;
use crate::job::{Job, OrderRule, Overlap};
use crate::measure::{Length, Units};

/// Figures that belong together.
#[derive(Debug, Clone)]
pub(crate) struct Sheaf {
    pub(crate) title: String,
    pub(crate) fields: Vec<Field>,
    /// Seldom changed: folded away until asked for.
    pub(crate) folded: bool,
    /// The row of a table that they are.
    pub(crate) row: Option<(Of, usize)>,
}

/// All of one file.
#[derive(Debug, Clone)]
pub(crate) struct Shelf {
    pub(crate) of: Of,
    /// As the job names it; empty where it names none.
    pub(crate) name: String,
    pub(crate) sheaves: Vec<Sheaf>,
}

/// What the page of the shop shows.
#[derive(Debug)]
pub(crate) struct Shelves {
    pub(crate) shelves: Vec<Shelf>,
    /// What is wrong and belongs to no field.
    pub(crate) elsewhere: Vec<String>,
}

/// Label and address within the shop file.
type Named = (&'static str, &'static str);

const PRICE: [Named; 7] = [
    ("margin, of the price (0.18 is 18 %)", "margin"),
    ("markup, of the cost, instead", "markup"),
    ("overhead, of all costs", "overhead"),
    ("overhead, an hour of labour", "overhead_per_hour"),
    ("for the unforeseen, of all costs", "contingency"),
    ("rounded up to a multiple of", "round_to"),
    ("no job is done for less than", "least_charge"),
];
const TAX: [Named; 3] = [("tax rate (0.07 is 7 %)", "tax"), ("tax is on", "tax_on"), ("currency", "currency")];
const RATES: [Named; 6] = [
    ("the maker, an hour", "rates.maker"),
    ("the helper, an hour", "rates.helper"),
    ("on top of wages (0.14 is 14 %)", "rates.burden"),
    ("free boards of the rack count as", "rates.rack"),
    ("leftovers are worth, at the yard, a bf or m3", "rates.offcut_value"),
    ("hours may be off by (0.25 is 25 %)", "rates.spread"),
];
const SAW: [Named; 7] = [
    ("rip kerf", "cutting.rip_kerf"),
    ("crosscut kerf", "cutting.crosscut_kerf"),
    ("off each board end", "cutting.end_trim"),
    ("held beside the last cut", "cutting.hold_width"),
    ("added to a strip's length", "cutting.length_trim"),
    ("shortest blank", "cutting.min_blank"),
    ("which cut comes first", "cutting.order"),
];
const SAW_MORE: [Named; 6] = [
    ("longest blank", "cutting.max_blank"),
    ("off both edges of a board", "cutting.edge_trim"),
    ("off a planed face", "cutting.face_trim"),
    ("added to a rip", "cutting.rip_trim"),
    ("added to a rip on edge", "cutting.edge_clean"),
    ("one pass of the planer", "pass_depth"),
];
const CLEARANCE: [Named; 6] = [
    ("groove over what the door needs", "clearance.running"),
    ("slat short of both grooves", "clearance.end_play"),
    ("rabbet beyond the groove", "clearance.shoulder"),
    ("tail past the opening", "clearance.overlap"),
    ("lead slat ripped over", "clearance.lead_trim"),
    ("wood before the groove", "clearance.front_wall"),
];
const CLOTH_RULES: [Named; 4] = [
    ("slat ends bare of cloth", "cloth.end_clear"),
    ("tail bare of cloth", "cloth.tail_clear"),
    ("on the lead slat", "cloth.lead_lap"),
    ("each edge, cut off after", "cloth.trim"),
];
const OFFER: [Named; 6] = [
    ("name of the shop", "shop.name"),
    ("how it is reached", "shop.contact"),
    ("days the offer stands", "terms.valid_days"),
    ("when it is delivered", "terms.lead_time"),
    ("what it leaves out", "terms.exclusions"),
    ("an hour of changed work", "terms.change_rate"),
];
/// Label and column.
const BOARD: [Named; 9] = [
    ("price", "price"),
    ("per", "per"),
    ("on hand (empty: for sale)", "on_hand"),
    ("width", "width"),
    ("length", "length"),
    ("thickness", "thickness"),
    ("wood", "species"),
    ("to be cut out", "defects"),
    ("name", "stock"),
];
const BOLT: [Named; 9] = [
    ("price", "price"),
    ("per", "per"),
    ("length on hand (empty: for sale)", "on_hand_length"),
    ("width", "width"),
    ("selvage", "selvage"),
    ("cut to a multiple of", "increment"),
    ("shrinks along, percent", "shrink_along"),
    ("shrinks across, percent", "shrink_across"),
    ("name", "bolt"),
];

/// The texts that the page is made of.
pub(crate) struct Texts<'a> {
    /// Text and name of a file; `None` where the job names none.
    pub(crate) of: &'a dyn Fn(Of) -> Option<(&'a str, &'a std::path::Path)>,
    pub(crate) laid: Option<&'a Laid>,
    pub(crate) problems: Option<&'a Problems>,
    /// What is typed and not written.
    pub(crate) typed: Option<(&'a Address, &'a str)>,
    pub(crate) units: Units,
}

/// Reads the fields out of the texts.
pub(crate) fn shelves(texts: &Texts<'_>) -> Shelves {
    let mut met = Vec::new();
    let mut shelves = Vec::new();
    for of in Of::OTHERS {
        let Some((text, path)) = (texts.of)(of) else {
            shelves.push(Shelf { of, name: String::new(), sheaves: Vec::new() });
            continue;
        };
        let document = if of.is_table() { DocumentMut::new() } else { open(text).unwrap_or_default() };
        let places = Places::of(of, text, texts.problems, path);
        let mut found = Found { texts, of, text, document, places, met: Vec::new() };
        let sheaves = if of.is_table() { found.rows() } else { found.shop() };
        met.append(&mut found.met);
        let name = path.file_name().map(|name| name.to_string_lossy().into_owned()).unwrap_or_default();
        shelves.push(Shelf { of, name, sheaves });
    }
    let elsewhere = super::fields::elsewhere(texts.problems, &met);
    Shelves { shelves, elsewhere }
}

/// What is looked up while the fields of a file are put together.
struct Found<'a, 't> {
    texts: &'a Texts<'t>,
    of: Of,
    text: &'a str,
    document: DocumentMut,
    places: Places<'a>,
    /// Problems that have a field.
    met: Vec<usize>,
}

impl Found<'_, '_> {
    fn value(&self, at: &Address) -> Option<String> {
        if self.of.is_table() { written_cell(self.text, at, self.texts.units) } else { written(&self.document, at) }
    }

    fn one(&mut self, label: &str, at: &str) -> Option<Field> {
        let key = at;
        let at = Address::read(&format!("{}:{at}", self.of.key()))?;
        let typed = self.texts.typed.filter(|(address, _)| **address == at).map(|(_, text)| text.to_owned());
        let value = typed.or_else(|| self.value(&at)).unwrap_or_default();
        let usual = match (value.is_empty(), self.texts.laid) {
            (true, Some(laid)) if self.of == Of::Shop => usual(&laid.job, key),
            _ => String::new(),
        };
        let met = self.places.at(&at);
        let wrong = met.first().map(|(_, words)| words.clone());
        self.met.extend(met.iter().map(|(number, _)| *number));
        Some(Field { at, label: label.to_owned(), value, usual, wrong })
    }

    fn sheaf(&mut self, title: &str, keys: &[Named], folded: bool) -> Sheaf {
        let fields = keys.iter().filter_map(|(label, key)| self.one(label, key)).collect();
        Sheaf { title: title.to_owned(), fields, folded, row: None }
    }

    fn shop(&mut self) -> Vec<Sheaf> {
        let mut sheaves = vec![
            self.sheaf("From cost to price", &PRICE, false),
            self.sheaf("What an hour costs", &RATES, false),
            self.sheaf("At the saw", &SAW, false),
            self.sheaf("More of the saw", &SAW_MORE, true),
            self.sheaf("Clearances", &CLEARANCE, true),
            self.sheaf("Cloth on the slats", &CLOTH_RULES, true),
            self.sheaf("Tax and money", &TAX, true),
            self.sheaf("On the offer", &OFFER, true),
        ];
        sheaves.push(self.listed(
            "Minutes of work",
            "operation",
            &[("minutes", ""), ("slat_minutes", ", a slat"), ("setup", ", to set up")],
        ));
        sheaves.push(self.listed("Other work", "labour", &[("hours", ", hours"), ("rate", ", an hour")]));
        sheaves.push(self.listed(
            "What is used up",
            "consumable",
            &[("price", ", price"), ("covers_square_feet", ", square feet")],
        ));
        sheaves.retain(|sheaf| !sheaf.fields.is_empty());
        sheaves
    }

    /// A list of tables, each entry by its name; only keys that are written.
    fn listed(&mut self, title: &str, list: &str, keys: &[(&str, &str)]) -> Sheaf {
        let names: Vec<String> = super::edit::listed(&self.document, list)
            .iter()
            .map(|table| table.get("name").and_then(Item::as_str).unwrap_or(list).to_owned())
            .collect();
        let mut fields = Vec::new();
        for (n, name) in names.iter().enumerate() {
            for (key, words) in keys {
                let field = self.one(&format!("{name}{words}"), &format!("{list}.{n}.{key}"));
                fields.extend(field.filter(|field| !field.value.is_empty()));
            }
        }
        Sheaf { title: title.to_owned(), fields, folded: true, row: None }
    }

    /// A table row by row.
    fn rows(&mut self) -> Vec<Sheaf> {
        let (of, keys) = (self.of, if self.of == Of::Boards { BOARD } else { BOLT });
        let name = keys[keys.len() - 1].1;
        let mut sheaves = Vec::new();
        for row in 0..rows::count(self.text).min(MOST_ROWS) {
            let title = rows::cell(self.text, row, name).unwrap_or_default();
            let fields =
                keys.iter().filter_map(|(label, column)| self.one(label, &format!("{row}.{column}"))).collect();
            sheaves.push(Sheaf { title, fields, folded: false, row: Some((of, row)) });
        }
        sheaves
    }
}

/// Rows of a table that are shown.
const MOST_ROWS: usize = 300;

/// What is taken where the shop file says nothing.
fn usual(job: &Job, key: &str) -> String {
    let show = |length: Length| length.show_nearest(job.units);
    let (cutting, clearance, canvas) = (&job.shop.cutting, &job.shop.clearance, &job.shop.canvas);
    let length = match key {
        "cutting.rip_kerf" => cutting.rip_kerf,
        "cutting.crosscut_kerf" => cutting.crosscut_kerf,
        "cutting.end_trim" => cutting.end_trim,
        "cutting.edge_trim" => cutting.edge_trim_crosscut,
        "cutting.hold_width" => cutting.hold_width,
        "cutting.length_trim" => cutting.length_trim,
        "cutting.rip_trim" => cutting.rip_trim,
        "cutting.edge_clean" => cutting.edge_clean,
        "cutting.face_trim" => cutting.face_trim_thin,
        "cutting.min_blank" => cutting.min_blank,
        "clearance.running" => clearance.running,
        "clearance.end_play" => clearance.end_play,
        "clearance.shoulder" => clearance.shoulder,
        "clearance.lead_trim" => clearance.lead_trim,
        "clearance.front_wall" => clearance.front_wall,
        "clearance.overlap" => match clearance.overlap {
            Overlap::Slats(slats) => return format!("{slats} slats"),
            Overlap::Length(length) => length,
        },
        "cloth.tail_clear" => canvas.tail_clear,
        "cloth.lead_lap" => canvas.lead_lap,
        "cloth.trim" => canvas.trim,
        "cutting.order" => {
            return match job.shop.cutting.order {
                OrderRule::Only(order) => order.word().to_owned(),
                OrderRule::Any => "any".to_owned(),
            };
        }
        "currency" => return job.shop.currency.clone(),
        "tax_on" => return "materials".to_owned(),
        "rates.rack" => return "free".to_owned(),
        "rates.spread" => return "0.25".to_owned(),
        "margin" | "markup" | "overhead" | "contingency" | "tax" | "rates.burden" | "rates.offcut_value" => {
            return "0".to_owned();
        }
        _ => return String::new(),
    };
    show(length)
}
