//! What is pencilled on a bundle: the cabinet's initials, its number and the side (`CP1-L`), or a loose strip's
//! initials and a number. No letter that reads as a figure in a hurried hand (I, O, Q, S, Z) and no lone letter.

use std::collections::{BTreeMap, BTreeSet};

use crate::doors::Door;
use crate::job::{DoorTrack, Hand, Job};

/// As many initials as a mark takes.
const INITIALS: usize = 3;

/// The marks of one job; every mark given is another one.
pub(super) struct Marks {
    /// By cabinet: its initials and the number of its first copy.
    cabinets: Vec<(String, u32)>,
    /// By cabinet and door: the side.
    sides: BTreeMap<(usize, usize), String>,
    /// How many cabinets and loose strips have these initials so far.
    numbers: BTreeMap<String, u32>,
}

impl Marks {
    pub(super) fn new(job: &Job) -> Self {
        let mut marks = Self { cabinets: Vec::new(), sides: BTreeMap::new(), numbers: BTreeMap::new() };
        for (at, cabinet) in job.cabinets.iter().enumerate() {
            let initials = initials(&cabinet.name, "CB");
            let before = marks.numbers.entry(initials.clone()).or_default();
            marks.cabinets.push((initials, *before));
            *before += cabinet.count;
            let mut taken = BTreeSet::new();
            for (door, spec) in cabinet.doors.iter().enumerate() {
                let own = spec.name.strip_prefix(&cabinet.name).unwrap_or(&spec.name);
                let side = free_side(&taken, &sides(&spec.track, own));
                taken.insert(side.clone());
                marks.sides.insert((at, door), side);
            }
        }
        marks
    }

    /// Of the `copy`-th door built, from 1.
    pub(super) fn door(&self, door: &Door, copy: u32) -> String {
        let (initials, before) = &self.cabinets[door.cabinet];
        format!("{initials}{}-{}", before + copy, self.sides[&(door.cabinet, door.index)])
    }

    /// Of the loose strips of the next name.
    pub(super) fn strip(&mut self, name: &str) -> String {
        let initials = initials(name, "LT");
        let number = self.numbers.entry(initials.clone()).or_default();
        *number += 1;
        format!("{initials}{number}")
    }
}

/// The letters of a word that no one takes for a figure, as capitals.
fn letters(word: &str) -> impl Iterator<Item = char> + '_ {
    word.chars().map(|letter| letter.to_ascii_uppercase()).filter(|letter| legible(*letter))
}

const fn legible(letter: char) -> bool {
    letter.is_ascii_uppercase() && !matches!(letter, 'I' | 'O' | 'Q' | 'S' | 'Z')
}

/// The first legible letter of each word, two letters where there is one word; `none` for a name without any.
fn initials(name: &str, none: &str) -> String {
    let words = || name.split(|letter: char| !letter.is_alphanumeric());
    let firsts: String = words().filter_map(|word| letters(word).next()).take(INITIALS).collect();
    match firsts.len() {
        0 => none.to_owned(),
        1 => letters(name).chain(none.chars()).take(2).collect(),
        _ => firsts,
    }
}

/// Letters for the side of a door, the best first.
fn sides(track: &DoorTrack, name: &str) -> Vec<char> {
    match track {
        DoorTrack::Case { hand: Hand::Left | Hand::PairLeft, .. } => vec!['L'],
        DoorTrack::Case { hand: Hand::Right | Hand::PairRight, .. } => vec!['R'],
        DoorTrack::Case { hand: Hand::Up, .. } => vec!['U'],
        DoorTrack::Path { .. } => letters(name).chain(('A'..='Z').filter(|letter| legible(*letter))).collect(),
    }
}

/// The first letter that no other door of the cabinet has; with a number where all are taken.
fn free_side(taken: &BTreeSet<String>, wanted: &[char]) -> String {
    let numbered = (1u32..).flat_map(|number| {
        wanted.iter().map(move |letter| if number == 1 { letter.to_string() } else { format!("{letter}{number}") })
    });
    let mut free = numbered.filter(|side| !taken.contains(side));
    free.next().expect("numbers go on for ever")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn initials_leave_out_letters_that_read_as_figures() {
        for (name, expected) in [
            ("chart press", "CP"),
            ("press", "PR"),
            ("small press", "MP"),
            ("Silo", "LC"),
            ("zigzag oso", "GA"),
            ("the long low north press", "TLL"),
            ("é", "CB"),
            ("407", "CB"),
        ] {
            assert_eq!(initials(name, "CB"), expected, "{name}");
        }
    }

    #[test]
    fn a_side_that_is_taken_goes_to_the_next_letter_and_then_to_a_number() {
        let mut taken = BTreeSet::new();
        let wanted: Vec<char> = letters("low").collect();
        for expected in ["L", "W", "L2", "W2", "L3"] {
            let side = free_side(&taken, &wanted);
            assert_eq!(side, expected);
            taken.insert(side);
        }
    }
}
