//! Digests of texts: whether a file is still the one that was read.

use std::fmt::Write as _;

use sha2::{Digest, Sha256};

/// The SHA-256 digest (FIPS 180-4), as 64 hexadecimal figures.
#[must_use]
pub fn digest(bytes: &[u8]) -> String {
    Sha256::digest(bytes).iter().fold(String::new(), |mut text, byte| {
        // Writing to a string cannot fail.
        let _ = write!(text, "{byte:02x}");
        text
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The one-block example that NIST publishes for SHA-256.
    #[test]
    fn the_published_example_comes_out() {
        assert_eq!(digest(b"abc"), "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
        assert_ne!(digest(b"stock"), digest(b"stocK"));
    }
}
