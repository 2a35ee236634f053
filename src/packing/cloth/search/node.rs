//! Open nodes of the tree and the order they are taken in.

use crate::packing::cloth::rows::Row;

/// An open node: ordered so that the least bound, then the deepest, comes first.
#[derive(Debug)]
pub(super) struct Node {
    pub(super) bound: i128,
    pub(super) number: u32,
    pub(super) rows: Vec<Row>,
}

impl Node {
    fn key(&self) -> (std::cmp::Reverse<i128>, usize, u32) {
        (std::cmp::Reverse(self.bound), self.rows.len(), self.number)
    }
}

impl PartialEq for Node {
    fn eq(&self, other: &Self) -> bool {
        self.key() == other.key()
    }
}

impl Eq for Node {}

impl PartialOrd for Node {
    fn partial_cmp(&self, other: &Self) -> Option<std::cmp::Ordering> {
        Some(self.cmp(other))
    }
}

impl Ord for Node {
    fn cmp(&self, other: &Self) -> std::cmp::Ordering {
        self.key().cmp(&other.key())
    }
}
