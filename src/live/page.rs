//! The page of a job's doors: a drawing on a bench, its sizes pencilled beside it, the price on a card.

use maud::{DOCTYPE, Markup, html};

use super::address::Kind;
use super::card::{card, ways};
use super::drawing::drawing;
use super::fields::{Field, Fields, Group};
use super::plans::Price;
use super::session::Laid;
use crate::doors::Door;
use crate::job::Job;
use crate::measure::Units;
use crate::plan::Plan;
use crate::report::bench::{POSITIONS, bench};
use crate::report::{Sheet, buy, fit};

/// All that a page shows.
pub(super) struct View<'a> {
    /// The job that is drawn: the file's, a tried one, or the last sound one.
    pub(super) laid: Option<&'a Laid>,
    /// By which number its positions are asked for.
    pub(super) number: u64,
    /// It is not the job of the files as they are: these have problems.
    pub(super) old: bool,
    pub(super) fields: Fields,
    /// Which cabinet lies on the bench.
    pub(super) cabinet: usize,
    /// How far its doors are open, of the drawing's positions.
    pub(super) position: usize,
    pub(super) mark: &'a str,
    pub(super) notice: &'a str,
    pub(super) ways: (Option<&'a str>, Option<&'a str>),
    pub(super) price: &'a Price,
    /// Names of other job files in the folder, from which cabinets can be brought, each with its cabinets.
    pub(super) others: &'a [(String, Vec<String>)],
    /// Frozen revisions, as words and where they are read.
    pub(super) frozen: &'a [(String, String)],
    /// The unit of bare figures.
    pub(super) unit: &'static str,
    /// Phones and tablets that ask to be let in, where they may.
    pub(super) devices: Option<Markup>,
}

/// The head of every page: title, style, script.
pub(super) fn document(title: &str, script: Option<&str>, class: &str, body: &Markup) -> String {
    let page = html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                meta name="color-scheme" content="light dark";
                title { (title) " - slatwright" }
                link rel="icon" href="icon.svg" type="image/svg+xml";
                link rel="stylesheet" href="look.css";
                @if let Some(script) = script { script src=(script) defer {} }
            }
            body class=(class) { (body) }
        }
    };
    page.into_string()
}

/// Where the other pages are.
pub(super) fn turn(here: &str) -> Markup {
    html! {
        nav aria-label="pages" {
            @for (name, at) in [("Doors", "./"), ("Shop", "shop"), ("Yard", "yard"), ("Saw", "saw")] {
                @if name == here { b aria-current="page" { (name) } } @else { a href=(at) { (name) } }
                " "
            }
        }
    }
}

/// The whole page.
pub(super) fn page(view: &View<'_>) -> String {
    let title = view.laid.map_or("job", |laid| laid.job.name.as_str());
    let body = html! {
        header { h1.hidden { (title) } (turn("Doors")) }
        main { (parts(view)) }
        noscript { p { "This page needs its script, which comes from slatwright itself." } }
    };
    document(title, Some("page.js"), "door", &body)
}

/// Everything on it that may change, each part with the name it is replaced by.
pub(super) fn parts(view: &View<'_>) -> Markup {
    html! {
        (steps(&Steps {
            view: "",
            mark: view.mark,
            cabinet: view.cabinet,
            notice: view.notice,
            ways: view.ways,
            devices: view.devices.clone(),
        }))
        (head(view))
        (cabinets(view))
        section.paper aria-label="the cabinet on the bench" {
            (on_the_bench(view))
            (opening(view))
            (said(view))
            (ways(view.price, view.laid.map(|laid| &laid.job)))
            (card(view.price, view.frozen))
            (sizes(view))
        }
    }
}

/// What every page with fields has at its head.
pub(super) struct Steps<'a> {
    /// Which page it is, where it is not that of the doors.
    pub(super) view: &'static str,
    pub(super) mark: &'a str,
    pub(super) cabinet: usize,
    pub(super) notice: &'a str,
    pub(super) ways: (Option<&'a str>, Option<&'a str>),
    /// Phones and tablets that ask to be let in, where they may.
    pub(super) devices: Option<Markup>,
}

/// What happened last, and the way back.
pub(super) fn steps(steps: &Steps<'_>) -> Markup {
    html! {
        section #steps data-seen=(steps.mark) data-view=(steps.view) data-cabinet=(steps.cabinet) aria-label="changes" {
            p #notice role="status" { (steps.notice) }
            p.back {
                @for (what, word, of) in [("undo", "Undo", steps.ways.0), ("redo", "Redo", steps.ways.1)] {
                    button type="button" #(what) data-what=(what) disabled[of.is_none()] {
                        (word) @if let Some(of) = of { span { ": " (of) } }
                    }
                }
            }
        }
        @if let Some(devices) = &steps.devices { (devices) }
    }
}

fn head(view: &View<'_>) -> Markup {
    html! {
        section #head aria-label="the job" { @for field in &view.fields.head { (size(field, "")) } }
    }
}

/// The cabinets of the job in a line of words, the one on the bench marked.
fn cabinets(view: &View<'_>) -> Markup {
    html! {
        section #cabinets aria-label="cabinets" {
            p.list { @for (number, name) in view.fields.cabinets.iter().enumerate() { (named(view, number, name)) } }
            details {
                summary { "Another cabinet" }
                p { button type="button" data-what="add" { "A new one" } }
                @if !view.fields.cabinets.is_empty() {
                    p { button type="button" data-what="copy" { "One like this" } }
                    p { button type="button" data-what="remove" { "Remove this one" } }
                }
                @for (file, cabinets) in view.others {
                    @for (at, name) in cabinets.iter().enumerate() {
                        p { button type="button" data-what="bring" data-file=(file) data-from=(at) {
                            (name) ", from " (file)
                        } }
                    }
                }
            }
        }
    }
}

fn named(view: &View<'_>, number: usize, name: &str) -> Markup {
    let here = number == view.cabinet;
    let count = view.laid.and_then(|laid| laid.job.cabinets.get(number)).map_or(1, |cabinet| cabinet.count);
    let fits = view.laid.is_none_or(|laid| own(&laid.doors, number).iter().all(|door| door.fits()));
    html! {
        a href=(format!("?cabinet={number}")) aria-current=[here.then_some("true")] {
            @if count > 1 { (count) " x " } (name)
            @if !fits { strong { " does not fit" } }
        }
        " "
    }
}

/// A table of the commands, as it is on their screens.
pub(super) fn table(sheet: &Sheet, units: Units, caption: &str) -> Markup {
    html! {
        div.wide tabindex="0" role="group" aria-label=(caption) {
            table {
                caption.hidden { (caption) }
                thead { tr { @for column in &sheet.columns { th scope="col" { (column.replace('_', " ")) } } } }
                tbody { @for row in &sheet.rows { tr { @for cell in row { td { (cell.screen(units)) } } } } }
            }
        }
    }
}

/// The shopping list as it is said at the counter.
pub(super) fn spoken(plan: &Plan, units: Units) -> Markup {
    let sheet = buy(plan);
    let column = |name: &str| sheet.columns.iter().position(|column| *column == name);
    let (Some(say), Some(cost)) = (column("say"), column("cost")) else { return html! {} };
    html! { ul.buy { @for row in &sheet.rows { li { (row[say].screen(units)) " (" (row[cost].screen(units)) ")" } } } }
}

fn own(doors: &[Door], cabinet: usize) -> Vec<&Door> {
    doors.iter().filter(|door| door.cabinet == cabinet).collect()
}

fn on_the_bench(view: &View<'_>) -> Markup {
    let drawn = view.laid.and_then(|laid| {
        let name = &laid.job.cabinets.get(view.cabinet)?.name;
        Some(drawing(&bench(&laid.job, view.cabinet, &laid.doors)?, name, view.position))
    });
    html! {
        figure #drawing data-of=(view.number) {
            @if let Some(drawn) = drawn { (drawn) } @else { p { "Nothing can be drawn yet." } }
            @if view.old { figcaption { "Drawn as the job was before: what it says now cannot be built." } }
        }
    }
}

/// By hand on the drawing, or here.
fn opening(view: &View<'_>) -> Markup {
    html! {
        p #opening {
            label for="open" { "Open the doors" }
            span { "closed" }
            input #open type="range" min="0" max=(POSITIONS - 1) value=(view.position) autocomplete="off";
            span { "open" }
        }
    }
}

/// What the checks say, and what would fix it.
fn said(view: &View<'_>) -> Markup {
    html! {
        section #said aria-live="polite" aria-label="what the checks say" {
            @for problem in &view.fields.elsewhere { p.wrong { (problem) } }
            @if let Some(laid) = view.laid {
                @for (at, door) in laid.doors.iter().enumerate() {
                    @if door.cabinet == view.cabinet && !same_as_before(&laid.doors, at) {
                        (verdict(&laid.job, at, door, &names(&laid.doors, at)))
                    }
                }
                (every_check(&laid.job, &laid.doors, view.cabinet))
            }
        }
    }
}

/// The table that `check` prints.
fn every_check(job: &Job, doors: &[Door], cabinet: usize) -> Markup {
    let own: Vec<Door> = doors.iter().filter(|door| door.cabinet == cabinet).cloned().collect();
    html! {
        details #checks {
            summary { "Every check" }
            (table(&fit(job, &own), job.units, "every check of these doors"))
        }
    }
}

/// Doors that check alike are said once, with the first of them.
fn same_as_before(doors: &[Door], at: usize) -> bool {
    doors[..at].iter().any(|door| alike(door, &doors[at]))
}

fn alike(one: &Door, other: &Door) -> bool {
    one.cabinet == other.cabinet && one.checks == other.checks && one.notes == other.notes
}

fn names(doors: &[Door], at: usize) -> String {
    let names: Vec<&str> = doors.iter().filter(|door| alike(door, &doors[at])).map(|door| door.name.as_str()).collect();
    match names.as_slice() {
        [all @ .., last] if !all.is_empty() => format!("{} and {last}", all.join(", ")),
        all => all.concat(),
    }
}

fn verdict(job: &Job, at: usize, door: &Door, names: &str) -> Markup {
    let advised = door.checks.iter().filter_map(|check| Some((check, check.said(&door.fixes)?)));
    let (slats, length) = (door.slats, door.slat_length.show_nearest(job.units));
    let verb = if names.contains(" and ") { ("fit", "do not fit") } else { ("fits", "does not fit") };
    html! {
        p.verdict { b { (names) } " " @if door.fits() { (verb.0) } @else { strong { (verb.1) } }
            ": lead slat and " (slats) " slats, " (length) " " (job.units.word()) " long" }
        @let listed: Vec<_> = advised.collect();
        @if !listed.is_empty() {
            ul { @for (check, said) in listed {
                li .wrong[!check.holds()] { (check.check.word().replace('_', " ")) " of the " (check.item.word()) ": " (said) }
            } }
        }
        @if !door.fixes.is_empty() {
            p.cures { "To fix it: "
                @for (number, fix) in door.fixes.iter().enumerate() {
                    button type="button" data-what="cure" data-door=(at) data-fix=(number) { (fix.text) }
                }
            }
        }
        @for note in &door.notes { p.note { (note) } }
    }
}

fn sizes(view: &View<'_>) -> Markup {
    html! {
        form #sizes autocomplete="off" aria-label="sizes" {
            @for group in &view.fields.groups { (sizes_of(group, view.unit)) }
            (woods(view.laid))
        }
    }
}

fn sizes_of(group: &Group, unit: &str) -> Markup {
    let wrong = group.fields.iter().any(|field| field.wrong.is_some());
    html! {
        @if group.folded {
            details open[wrong] {
                summary { (group.title) }
                @for field in &group.fields { (size(field, unit)) }
            }
        } @else {
            fieldset {
                legend { (group.title) }
                @for field in &group.fields { (size(field, unit)) }
            }
        }
    }
}

/// The woods that there are boards of.
pub(super) fn woods(laid: Option<&Laid>) -> Markup {
    let mut woods: Vec<String> =
        laid.into_iter().flat_map(|laid| &laid.job.boards).map(|board| board.species.to_string()).collect();
    woods.sort();
    woods.dedup();
    html! { datalist #woods { @for wood in woods { option value=(wood) {} } } }
}

/// One size, pencilled: a line to write on.
pub(super) fn size(field: &Field, unit: &str) -> Markup {
    let at = field.at.to_string();
    let id = at.replace(['.', ':'], "-");
    let says = format!("says-{id}");
    let kind = field.at.kind();
    let unit = if kind == Kind::Length { unit } else { "" };
    let steps = matches!(kind, Kind::Length | Kind::Count | Kind::Figure);
    let wrong = field.wrong.is_some();
    html! {
        div.size .wrong[wrong] {
            label for=(id) { (field.label) }
            span.line {
                @if steps { (step(&at, &field.label, "down", "-")) }
                @match kind {
                    Kind::Word(words) => {
                        select #(id) data-at=(at) aria-describedby=(says) {
                            @if !words.contains(&field.value.as_str()) {
                                option value=(field.value) selected { (if field.value.is_empty() { &field.usual } else { &field.value }) }
                            }
                            @for word in words { option value=(word) selected[*word == field.value] { (word) } }
                        }
                    }
                    _ => input #(id) data-at=(at) value=(field.value) placeholder=(field.usual) spellcheck="false"
                        list=[(field.at.parted().1 == "species").then_some("woods")]
                        aria-describedby=(says) aria-invalid=[wrong.then_some("true")];
                }
                @if !unit.is_empty() || steps { span.unit { (unit) } }
                @if steps { (step(&at, &field.label, "up", "+")) }
            }
            p.says #(says) { (field.wrong.as_deref().unwrap_or_default()) }
        }
    }
}

/// Up and down keys do the same, so that these are not in the way of the tab key.
fn step(at: &str, label: &str, by: &str, sign: &str) -> Markup {
    html! {
        button.step type="button" tabindex="-1" data-what="step" data-at=(at) data-by=(by)
            aria-label=(format!("{label}, a step {by}")) { (sign) }
    }
}
