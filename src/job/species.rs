//! [`Species`]: the wood of a strip or a board.

use std::fmt;

/// A wood by one settled name: the handbook's, in lower case, where the alias table knows it
/// (`cherry` becomes `black cherry`), else the name as written, in lower case.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Species(String);

impl Species {
    /// A species by its settled name. Files go through the alias table first.
    #[must_use]
    pub fn settled(name: &str) -> Self {
        Self(name.to_owned())
    }

    /// The settled name.
    #[must_use]
    pub fn name(&self) -> &str {
        &self.0
    }
}

impl fmt::Display for Species {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}
