//! `[case]`: the job's defaults with each cabinet's own over them; the sheets file; how panels are cut.

use super::defaults::{self, Standard, or};
use super::names::Names;
use super::woods::species;
use super::{COMMON_PRACTICE, Check, all, optional};
use crate::files::{
    At, BackFile, CabinetFile, CaseFile, EdgingFile, Entry, Head, JobFile, Kind, LiningFile, PanelsFile, Problem,
    SheetRow, ShelvesFile, Tables,
};
use crate::job::{BackSpec, CaseJoint, CaseSpec, EdgingSpec, LiningSpec, Material, PanelRules, SheetStock, ShelfSpec};
use crate::measure::{Cents, Length, Ratio};

/// The edges that may be edged, by their words.
const EDGES: [&str; 3] = ["case front", "shelf front", "top ends"];

/// True when some cabinet given by its inside sizes may have panels.
pub(super) fn asked(written: &JobFile) -> bool {
    let own = |cabinet: &CabinetFile| match &cabinet.case {
        Entry::Missing => !written.case.is_missing(),
        Entry::Faulty => true,
        Entry::Given(at) => at.value.is_some(),
    };
    written.cabinets.list.iter().any(|cabinet| !cabinet.door.given && own(cabinet))
}

/// What the case of a cabinet says with the job's `[case]` under it: `Some(None)` where no panels are asked for.
pub(super) fn written(job: &Entry<CaseFile>, cabinet: &CabinetFile) -> Option<Option<CaseFile>> {
    let base = match job {
        Entry::Missing => None,
        Entry::Faulty => return None,
        Entry::Given(at) => Some(&at.value),
    };
    match &cabinet.case {
        Entry::Faulty => None,
        Entry::Missing => Some(base.cloned()),
        Entry::Given(At { value: None, .. }) => Some(None),
        Entry::Given(At { value: Some(own), .. }) => Some(Some(own.over(base.unwrap_or(&CaseFile::default())))),
    }
}

/// A cabinet whose doors run on tracks of their own has no inside sizes to make panels from.
pub(super) fn refuse_on_tracks(check: &Check, cabinet: &CabinetFile) {
    if let Entry::Given(At { value: Some(_), place }) = &cabinet.case {
        let what = "a case without inside sizes: the doors of this cabinet are given one by one";
        let help = "take `case` out, or give inside sizes and `doors` in place of the `[[cabinet.door]]` tables";
        check.note(Problem::new(Kind::Conflict, *place, what).help(help));
    }
}

/// The panel that carries the grooves is the case's own.
pub(super) fn panel(check: &Check, case: Option<&CaseFile>, own: &Entry<Length>) -> Entry<Length> {
    let Some(case) = case else { return *own };
    if let (Some(own), Some(thick)) = (own.given(), case.thickness.given())
        && own.value != thick.value
    {
        let what = format!(
            "`panel_thickness` is {}, but the case's panels are {} thick",
            check.said(own.value, own.place),
            check.said(thick.value, thick.place)
        );
        let problem = Problem::new(Kind::Conflict, own.place, what).also(thick.place, "the case's thickness");
        check.note(
            problem.help("take `panel_thickness` out: the case's thickness holds for the panels with the grooves"),
        );
    }
    case.thickness.or(own)
}

/// The case of one cabinet; `None` when a value is missing or faulty (noted).
pub(super) fn settle(check: &Check, file: &CaseFile) -> Option<CaseSpec> {
    let head = &file.head;
    let own = material(check, head, &file.material, &file.solid, None);
    let thickness = file.thickness.need(check.desk, head, "thickness", "\"3/4\"");
    let joint = joint(check, file, thickness.as_ref());
    let back = part(&file.back, |back| settled_back(check, back, own.as_ref(), thickness.as_ref()));
    let lining = part(&file.lining, |lining| settled_lining(check, lining, own.as_ref()));
    let shelves = part(&file.shelves, |shelves| settled_shelves(check, shelves, own.as_ref(), thickness.as_ref()));
    let edging = part(&file.edging, |edging| settled_edging(check, edging, file));
    Some(CaseSpec {
        material: own?,
        thickness: thickness?.value,
        joint: joint?,
        back: back?,
        lining: lining?,
        shelves: shelves?,
        edging: edging?,
    })
}

/// A part that may be left out.
fn part<F, T>(entry: &Entry<Option<F>>, settle: impl FnOnce(&F) -> Option<T>) -> Option<Option<T>> {
    match entry {
        Entry::Missing | Entry::Given(At { value: None, .. }) => Some(None),
        Entry::Faulty => None,
        Entry::Given(At { value: Some(file), .. }) => settle(file).map(Some),
    }
}

/// What a panel is made of: its own material, else the case's.
fn material(
    check: &Check,
    head: &Head,
    name: &Entry<String>,
    solid: &Entry<bool>,
    base: Option<&Material>,
) -> Option<Material> {
    if let (Entry::Missing, Some(base)) = (name, base) {
        if let Some(place) = solid.place() {
            let problem = Problem::new(Kind::Conflict, place, "`solid` without a `material` of its own");
            check.note(problem.help("name the wood in `material` beside it, or take `solid` out"));
            return None;
        }
        return Some(base.clone());
    }
    let at = name.need(check.desk, head, "material", "\"birch plywood\"")?;
    let solid = or(solid, false)?;
    let wood = if solid { Some(species(check, &at)?) } else { None };
    Some(Material { name: at.value, solid: wood })
}

fn joint(check: &Check, file: &CaseFile, thickness: Option<&At<Length>>) -> Option<CaseJoint> {
    let word = check.defaults.other(&file.joint, "[case] joint", "sides over top", "sides over top");
    if word? != "dado" {
        if let Some(place) = file.dado_depth.place() {
            let problem = Problem::new(Kind::Conflict, place, "`dado_depth` is only used with a dado");
            check.note(problem.help("write `joint = \"dado\"`, or take it out"));
        }
        return Some(if word? == "top over sides" { CaseJoint::TopOverSides } else { CaseJoint::SidesOverTop });
    }
    let depth = file.dado_depth.need(check.desk, &file.head, "dado_depth", "\"1/4\"")?;
    refuse_deep(check, &depth, thickness, "dado", "the side");
    Some(CaseJoint::Dado(depth.value))
}

/// Half of a panel at the least stays behind what is cut into it.
fn refuse_deep(check: &Check, depth: &At<Length>, thickness: Option<&At<Length>>, cut: &str, panel: &str) {
    let Some(thickness) = thickness.filter(|thickness| depth.value * 2 > thickness.value) else { return };
    let show = |length: Length| format!("{} {}", length.show_nearest(check.units), check.units);
    let most = Length::from_nm(thickness.value.nm() / 2);
    let what = format!(
        "a {cut} {} deep leaves less than half of {panel}, which is {} thick",
        check.said(depth.value, depth.place),
        check.said(thickness.value, thickness.place)
    );
    let problem = Problem::new(Kind::Conflict, depth.place, what).also(thickness.place, "the case's thickness");
    check.note(problem.help(format!("at most {} deep: {} less", show(most), show(depth.value - most))));
}

fn settled_back(
    check: &Check,
    file: &BackFile,
    base: Option<&Material>,
    case: Option<&At<Length>>,
) -> Option<BackSpec> {
    let material = material(check, &file.head, &file.material, &file.solid, base);
    let thickness = file.thickness.need(check.desk, &file.head, "thickness", "\"1/4\"");
    let fitted = check.defaults.other(&file.fitted, "[case] back.fitted", "let in", "let in")?;
    let rabbet = match (&file.rabbet, fitted) {
        (Entry::Faulty, _) => return None,
        (Entry::Missing, "let in") => {
            check.defaults.note("[case] back.rabbet", "half of `thickness`".to_owned(), COMMON_PRACTICE);
            case.map(|case| Length::from_nm(case.value.nm() / 2))
        }
        (Entry::Missing, _) => None,
        (Entry::Given(at), "let in") => {
            refuse_deep(check, at, case, "rabbet for the back", "the panel");
            Some(at.value)
        }
        (Entry::Given(at), _) => {
            let problem = Problem::new(Kind::Conflict, at.place, "a back that is laid on needs no rabbet");
            check.note(problem.help("write `fitted = \"let in\"`, or take `rabbet` out"));
            None
        }
    };
    Some(BackSpec { material: material?, thickness: thickness?.value, rabbet })
}

fn settled_lining(check: &Check, file: &LiningFile, base: Option<&Material>) -> Option<LiningSpec> {
    let material = material(check, &file.head, &file.material, &file.solid, base);
    let thickness = file.thickness.need(check.desk, &file.head, "thickness", "\"1/4\"");
    Some(LiningSpec { material: material?, thickness: thickness?.value, inset: optional(&file.inset)? })
}

fn settled_shelves(
    check: &Check,
    file: &ShelvesFile,
    base: Option<&Material>,
    case: Option<&At<Length>>,
) -> Option<ShelfSpec> {
    let material = material(check, &file.head, &file.material, &file.solid, base);
    let count = file.count.need(check.desk, &file.head, "count", "2");
    let gap = check.defaults.length(true, &file.gap, &SHELF_GAP);
    let thickness = match &file.thickness {
        Entry::Missing => {
            check.defaults.note("[case] shelves.thickness", "as `thickness`".to_owned(), COMMON_PRACTICE);
            case.map(|at| at.value)
        }
        other => or(other, Length::ZERO),
    };
    Some(ShelfSpec {
        material: material?,
        thickness: thickness?,
        count: count?.value,
        gap: gap?,
        width: optional(&file.width)?,
        depth: optional(&file.depth)?,
    })
}

fn settled_edging(check: &Check, file: &EdgingFile, case: &CaseFile) -> Option<EdgingSpec> {
    let thickness = file.thickness.need(check.desk, &file.head, "thickness", "\"1/8\"");
    let usual = vec![EDGES[0].to_owned(), EDGES[1].to_owned()];
    let words = check.defaults.other(&file.edges, "[case] edging.edges", usual, "case front, shelf front")?;
    let place = file.edges.place().unwrap_or(file.head.place);
    if let Some(word) = words.iter().find(|word| !EDGES.contains(&word.as_str())) {
        let problem = Problem::new(Kind::BadValue, place, format!("`edges`: there is no edge `{word}`"));
        check.note(problem.help("any of \"case front\", \"shelf front\", \"top ends\""));
        return None;
    }
    let has = |edge: &str| words.iter().any(|word| word == edge);
    if has("top ends") && case.joint.given().is_none_or(|joint| joint.value != "top over sides") {
        let what = "the ends of top and bottom do not show: they meet the sides";
        let problem = Problem::new(Kind::Conflict, place, what);
        check.note(problem.help("take \"top ends\" out, or write `joint = \"top over sides\"`"));
    }
    Some(EdgingSpec {
        thickness: thickness?.value,
        case_front: has("case front"),
        shelf_front: has("shelf front"),
        top_ends: has("top ends"),
    })
}

const SHELF_GAP: Standard = defaults::usual("[case] shelves.gap", 4, 1_500);
const KERF: Standard = defaults::usual("[panels] kerf", 8, 3_200);
const TRIM: Standard = defaults::usual("[panels] trim", 16, 6_000);

/// How panels are cut; defaults are listed where the job has cases.
pub(super) fn rules(check: &Check, file: &PanelsFile, cases: bool) -> Option<PanelRules> {
    let solid_waste = match &file.solid_waste {
        Entry::Missing => {
            if cases {
                check.defaults.note("[panels] solid_waste", "0.3".to_owned(), COMMON_PRACTICE);
            }
            Ratio::percent(30.into()).ok()
        }
        other => or(other, Ratio::ZERO),
    };
    Some(PanelRules {
        kerf: check.defaults.length(cases, &file.kerf, &KERF)?,
        trim: check.defaults.length(cases, &file.trim, &TRIM)?,
        solid_waste: solid_waste?,
    })
}

/// All sheets in file order; `None` when one is faulty (noted).
pub(super) fn sheets(check: &Check, rows: &Tables<SheetRow>) -> Option<Vec<SheetStock>> {
    let mut names = Names::of("sheet");
    let sheets = all(rows.list.iter().map(|row| sheet(check, &mut names, row)).collect());
    sheets.filter(|_| !rows.faulty)
}

fn sheet(check: &Check, names: &mut Names, row: &SheetRow) -> Option<SheetStock> {
    fn cell<T: Clone>(check: &Check, row: &SheetRow, entry: &Entry<T>, column: &str) -> Option<T> {
        if entry.is_missing() {
            let problem = Problem::new(Kind::Missing, row.place, format!("`{column}` is empty in this row"));
            check.note(problem.help("every row needs one"));
        }
        entry.given().map(|at| at.value.clone())
    }
    if let Some(at) = row.sheet.given() {
        names.take(check, &at.value, at.place);
    }
    let sheet = cell(check, row, &row.sheet, "sheet");
    let material = cell(check, row, &row.material, "material");
    let thickness = cell(check, row, &row.thickness, "thickness");
    let width = cell(check, row, &row.width, "width");
    let length = cell(check, row, &row.length, "length");
    let on_hand = optional(&row.on_hand)?;
    if row.price.is_missing() && on_hand.is_none() {
        let problem = Problem::new(Kind::Missing, row.price_place, "the price is missing: this row is for sale");
        check.note(problem.help("write the price of one sheet; only what is on hand may be free"));
        return None;
    }
    let price = optional(&row.price)?;
    Some(SheetStock {
        sheet: sheet?,
        material: material?,
        thickness: thickness?,
        width: width?,
        length: length?,
        on_hand,
        price,
        unit_cost: price.map_or(Some(Cents::ZERO), |price| Cents::nearest(price.decimal()))?,
    })
}
