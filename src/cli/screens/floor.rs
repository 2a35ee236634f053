//! What the yard, the count, the rack and planning together print.

use std::fmt::Write;
use std::path::Path;

use super::{buy, marked, money, plan, rip, title, wrapped};
use crate::cli::width::table;
use crate::demand::Part;
use crate::job::{BoardStock, Job};
use crate::measure::Cents;
use crate::report::pages::ranges;
use crate::report::{self, printable};
use crate::shopfloor::{Crosscut, Joint, Offer, Passed, Pile, RackChange, Salvage, Standing, Verdict, Yard};

/// `yard`: what the picked boards cover, the verdicts, the cheapest finish.
pub(in crate::cli) fn yard(job: &Job, parts: &[Part], yard: &Yard) -> String {
    let money = printable(&job.shop.currency);
    let mut out = title(job, &format!("at the yard, lengths in {}", job.units.plural()));
    for offer in &yard.offers {
        out += &verdict(&money, offer);
    }
    let boards = if yard.picked == 1 { "board" } else { "boards" };
    let _ = writeln!(out, "Picked: {} {boards}, {} at their prices.\n", yard.picked, self::money(job, yard.spent));
    out += &table(
        &report::yard(parts, yard),
        job,
        &[
            ("part", "part"),
            ("species", "wood"),
            ("width", "width"),
            ("length", "length"),
            ("wanted", "wanted"),
            ("from_picked", "picked"),
            ("from_rack", "rack"),
            ("short", "short"),
        ],
    );
    let short: u32 = yard.short.iter().sum();
    let wood = yard.short_wood.show(job.units, 2);
    let _ = writeln!(out, "\nShort: {short} strips, {wood} of finished wood.");
    if !yard.to_go_back.is_empty() {
        out += &wrapped(&format!("Cheaper without these, they can go back: {}.", yard.to_go_back.join(", ")), 2);
    }
    let boards = &yard.finish.plan.boards;
    if boards.optimal {
        let _ = writeln!(out, "Cheapest finish: {}, proven.\n", self::money(job, boards.cost));
    } else {
        let (cost, bound) = (self::money(job, boards.cost), marked(job, boards.bound));
        let _ = writeln!(out, "Cheapest finish found: {cost}; nothing can cost less than {bound}.\n");
    }
    out + &buy(&yard.finish.job, &yard.finish.plan)
}

fn verdict(money: &str, offer: &Offer) -> String {
    let word = match offer.verdict() {
        Verdict::Take => "Take it",
        Verdict::Leave => "Leave it",
        Verdict::TossUp => "Toss-up",
    };
    let Offer { stock, price, worth, at_least, at_most } = offer;
    let proven =
        if at_least == at_most { "proven".to_owned() } else { format!("proven: from {at_least} to {at_most}") };
    wrapped(&format!("{word}: {stock}, price {money} {price}, worth {worth} for what is missing ({proven})."), 2)
}

/// `yard --pile`: which of all that lie there to take, and what is then still to be bought.
pub(in crate::cli) fn pile(job: &Job, lying: &[BoardStock], pile: &Pile) -> String {
    let money = printable(&job.shop.currency);
    let mut out = title(job, &format!("the best of the pile, lengths in {}", job.units.plural()));
    let there: u64 = lying.iter().map(|row| u64::from(row.on_hand.unwrap_or(1))).sum();
    let taken: u64 = pile.take.iter().map(|(_, count)| u64::from(*count)).sum();
    if taken == 0 {
        let _ = writeln!(out, "Take none of the {there} boards in the pile.");
    } else {
        let _ = writeln!(out, "Take {taken} of the {there} boards in the pile:\n");
        out += &table(
            &report::picked(job, &pile.take),
            job,
            &[
                ("stock", "board"),
                ("species", "wood"),
                ("thickness", "thick"),
                ("width", "width"),
                ("length", "length"),
                ("on_hand", "take"),
                ("price", "price"),
                ("per", "per"),
            ],
        );
    }
    let boards = &pile.finish.plan.boards;
    let for_them: Cents = pile.take.iter().map(|(row, count)| row.unit_cost * i64::from(*count)).sum();
    let rest = boards.cost - for_them;
    let proof = if boards.optimal {
        "no choice costs less, proven".to_owned()
    } else {
        format!("no choice costs less than {}", boards.bound)
    };
    out.push('\n');
    let sum = boards.cost;
    out += &wrapped(&format!("{money} {for_them} for these, {rest} for the rest: {sum} in all; {proof}."), 2);
    out += &match &pile.list_alone {
        Some(list) => wrapped(&format!("From the yard's list alone: {}.", list.plan.boards.cost), 2),
        None => wrapped("The yard's list alone is not enough for the job.", 2),
    };
    out.push('\n');
    out + &buy(&pile.finish.job, &pile.finish.plan)
}

/// What was paid for picked boards already: it is in no figure of the plan.
pub(in crate::cli) fn paid_for(job: &Job, boards: u64, cost: Cents) -> String {
    let word = if boards == 1 { "board" } else { "boards" };
    let cost = money(job, cost);
    let said =
        format!("Planned for the {boards} {word} picked, {cost} at their prices; the costs shown here leave them out.");
    format!("\n{}", wrapped(&said, 2))
}

/// `count`: enough or not, and the extra cutting.
pub(in crate::cli) fn count(job: &Job, parts: &[Part], standing: &Standing) -> String {
    let mut out = title(job, &format!("at the saw, lengths in {}", job.units.plural()));
    let _ = writeln!(out, "Boards done: {} of {}.\n", standing.boards.0, standing.boards.1);
    out += &table(
        &report::at_saw(parts, standing),
        job,
        &[
            ("part", "part"),
            ("species", "wood"),
            ("length", "length"),
            ("wanted", "wanted"),
            ("straight", "good"),
            ("rejected", "rejects"),
            ("to_come", "to come"),
            ("reject_rate", "rate"),
            ("by_board", "by board"),
            ("extra", "extra"),
        ],
    );
    out.push('\n');
    let percent = |share: f64| format!("{:.1} %", share * 100.0);
    let (chance, asked) = (percent(standing.chance), percent(standing.confidence));
    if standing.enough() {
        out += &wrapped(
            &format!("Enough: the chance that nothing more needs cutting is {chance}; the job asks for {asked}."),
            2,
        );
    } else {
        out += &wrapped(&format!("Not enough: the chance of having enough is {chance}; the job asks for {asked}."), 2);
    }
    out += &rule(standing);
    for salvage in standing.surplus.iter().chain(&standing.salvage) {
        out += &salvaged(parts, salvage);
    }
    if !standing.salvage.is_empty() {
        let strips: u32 = standing.extra.iter().sum();
        out += &wrapped(&format!("That leaves {strips} extra strips to cut instead of {}.", standing.extra_without), 2);
    }
    for line in planned_anew(standing) {
        out += &line;
    }
    if let Some(finish) = &standing.finish {
        let cost: Cents = finish.plan.bill.buy.iter().map(|line| line.cost).sum();
        let _ = writeln!(out, "\nExtra cutting: to buy {} {cost}.\n", printable(&job.shop.currency));
        out += &rip(&finish.job, &finish.plan);
        if !finish.plan.bill.buy.is_empty() {
            out.push('\n');
            out += &buy(&finish.job, &finish.plan);
        }
    }
    out
}

/// Boards whose lists are void: a new plan takes them over.
fn planned_anew(standing: &Standing) -> Vec<String> {
    let mut cuts: Vec<usize> = standing.anew.iter().map(|(cut, _)| *cut).collect();
    cuts.dedup();
    let line = |cut: usize| {
        let boards: Vec<usize> =
            standing.anew.iter().filter(|(of, _)| *of == cut).map(|(_, board)| board + 1).collect();
        let word = if boards.len() == 1 { "Board" } else { "Boards" };
        let said = format!(
            "{word} {} of cut {} and the extra strips are planned anew together: cut by the new lists, not by the old.",
            ranges(&boards),
            cut + 1
        );
        wrapped(&said, 2)
    };
    cuts.into_iter().map(line).collect()
}

/// The rule behind the rate, and what clustering does to it.
fn rule(standing: &Standing) -> String {
    let mut out = wrapped(
        "Rate: what the plan began with, and what was cut since: (rejects before + rejects) / (strips before + strips), \
         section by section. `slatwright check` says where the plan's rates come from. A longer straight strip counts \
         for a shorter one of its section.",
        2,
    );
    if standing.rates.iter().any(|rate| rate.by_board() > 1.05) {
        out += &wrapped(
            "Rejects cluster in boards: they spread `by board` times as widely as those of independent strips. Each strip \
             seen counts for that much less, and more extra strips are called for.",
            2,
        );
    }
    out
}

fn salvaged(parts: &[Part], salvage: &Salvage) -> String {
    let (from, to) = (&parts[salvage.from].name, &parts[salvage.to].name);
    let Salvage { used, strips, .. } = salvage;
    let what = match (salvage.what, used) {
        (Crosscut::Straight, 1) => "straight strip",
        (Crosscut::Straight, _) => "straight strips",
        (Crosscut::Rejects, 1) => "reject",
        (Crosscut::Rejects, _) => "rejects",
    };
    let into = if *strips == 1 { "a straight strip".to_owned() } else { format!("{strips} straight strips") };
    let said = format!(
        "Crosscut {used} {what} of {from} into {into} for {to} first, and write `{strips} {to}` under `crosscut_to` of a \
         row of {from} in the count, or `crosscut {from} to {strips} {to}` behind its board."
    );
    wrapped(&said, 2)
}

/// `rack`: what comes off, what goes on.
pub(in crate::cli) fn rack(job: &Job, change: &RackChange, file: &Path, mark: &str, written: bool) -> String {
    let mut out = title(job, &format!("the rack, lengths in {}", job.units.plural()));
    let file = printable(&file.display().to_string());
    if change.used.is_empty() && change.kept.is_empty() {
        return out + "Nothing to change.\n" + &passed_over(change);
    }
    out += &table(
        &report::rack(&RackChange { passed: Vec::new(), ..change.clone() }),
        job,
        &[
            ("change", "change"),
            ("stock", "board"),
            ("species", "wood"),
            ("thickness", "thick"),
            ("width", "width"),
            ("length", "length"),
            ("boards", "count"),
        ],
    );
    if !change.kept.is_empty() {
        let marks: Vec<&str> = change.kept.iter().map(|kept| kept.mark.as_str()).collect();
        out.push('\n');
        out += &wrapped(&format!("Pencil these marks on the offcuts: {}.", marks.join(", ")), 2);
    }
    out += &passed_over(change);
    out + &if written {
        format!("\nWritten to {file}; the old file is kept as {file}.bak.\n")
    } else {
        format!("\nNothing has been written yet: add --update (or --update --seen {mark}) to put\nit into {file}.\n")
    }
}

/// Boards that change nothing, those of one reason together.
fn passed_over(change: &RackChange) -> String {
    let mut reasons: Vec<Passed> = change.passed.iter().map(|(_, why)| *why).collect();
    reasons.sort_unstable();
    reasons.dedup();
    let line = |why: Passed| {
        let boards: Vec<usize> = change.passed.iter().filter(|(_, w)| *w == why).map(|(board, _)| *board).collect();
        let word = if boards.len() == 1 { "Board" } else { "Boards" };
        wrapped(&format!("{word} {}: {}.", ranges(&boards), why.word()), 2)
    };
    reasons.into_iter().map(line).collect()
}

/// `plan` of several jobs: who pays what, and what planning together saved.
pub(in crate::cli) fn together(joint: &Joint, folder: &Path, files: usize) -> String {
    let mut out = plan(&joint.job, &joint.plan, folder, files);
    out.push('\n');
    let columns = ["job", "group", "apart", "together", "saved"].map(|name| (name, name));
    out += &table(&report::jobs(joint), &joint.job, &columns);
    let total = joint.plan.bill.total;
    let said = |amount| marked(&joint.job, amount);
    let (apart, saved) = (money(&joint.job, joint.apart), said(joint.apart - total));
    let _ = writeln!(out, "\nApart {apart}, together {}: saved {saved}.", said(total));
    out
}
