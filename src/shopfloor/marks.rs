//! Marks of texts, stocks and plans, to tell whether they are still the same.

use siphasher::sip::SipHasher24;

use crate::job::Job;

/// Any key would do; this is the one for which the authors of the hash publish values.
const KEY: [u8; 16] = [0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12, 13, 14, 15];

/// A short mark of a text, 16 letters: SipHash-2-4 (Aumasson and Bernstein 2012). It tells a text that changed from one
/// that did not; it is no guard against somebody who forges one.
#[must_use]
pub fn mark(text: &[u8]) -> String {
    format!("{:016x}", SipHasher24::new_with_key(&KEY).hash(text))
}

/// The mark of what a job could be cut from when it was planned: its name, and name, size and count of every board.
#[must_use]
pub fn stock_mark(job: &Job) -> String {
    let mut text = job.name.clone();
    for board in &job.boards {
        let (thickness, defects) = (board.thickness.show(job.units), board.defects_text(job.units));
        let (width, length) = (board.width.nm(), board.length.nm());
        text += &format!(
            "\n{}\t{}\t{thickness}\t{width}\t{length}\t{defects}\t{:?}",
            board.stock,
            board.species.name(),
            board.on_hand
        );
    }
    mark(text.as_bytes())
}

/// The mark of a plan: of its `rips.csv` and of what it was cut from. A second build of one job has another one, since
/// the first took boards off the rack or put offcuts on it.
#[must_use]
pub fn plan_mark(rips: &str, stock: &str) -> String {
    mark(format!("{stock}\n{rips}").as_bytes())
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The example at the end of the paper of Aumasson and Bernstein ("SipHash: a fast short-input PRF", appendix A).
    #[test]
    fn the_mark_of_fifteen_bytes_is_the_published_one() {
        let text: Vec<u8> = (0..15).collect();
        assert_eq!(mark(&text), "a129ca6149be45e5");
    }
}
