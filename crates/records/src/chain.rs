//! The chain of hashes. The hash of an entry is SHA-256 over the hash before it in hexadecimal, a
//! line feed, and the entry's text as it stands in the file: any shell can reckon it again. The
//! chain proves that nothing inside was changed; that the whole of it was not written anew only a
//! hash kept elsewhere can prove.

use std::fmt;

use serde::{Deserialize, Serialize};
use sha2::{Digest, Sha256};

/// A SHA-256 hash; hexadecimal in text.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(try_from = "String", into = "String")]
pub struct Hash([u8; 32]);

impl Hash {
    /// What stands before the first entry.
    pub const NONE: Self = Self([0; 32]);

    /// Of some bytes.
    #[must_use]
    pub fn of(bytes: &[u8]) -> Self {
        Self(Sha256::digest(bytes).into())
    }

    /// Of an entry with that text behind the entry with the hash `before`.
    #[must_use]
    pub fn link(before: Self, body: &str) -> Self {
        let mut hasher = Sha256::new();
        hasher.update(before.to_string().as_bytes());
        hasher.update(b"\n");
        hasher.update(body.as_bytes());
        Self(hasher.finalize().into())
    }

    /// From stored bytes.
    #[must_use]
    pub fn from_bytes(bytes: &[u8]) -> Option<Self> {
        bytes.try_into().ok().map(Self)
    }

    /// As bytes.
    #[must_use]
    pub const fn bytes(&self) -> &[u8; 32] {
        &self.0
    }

    /// From 64 hexadecimal digits.
    #[must_use]
    pub fn from_hex(text: &str) -> Option<Self> {
        let digits = text.as_bytes();
        let plain = |byte: &u8| byte.is_ascii_digit() || (b'a'..=b'f').contains(byte);
        if digits.len() != 64 || !digits.iter().all(plain) {
            return None;
        }
        let mut bytes = [0; 32];
        for (byte, pair) in bytes.iter_mut().zip(text.as_bytes().chunks_exact(2)) {
            let pair = std::str::from_utf8(pair).ok()?;
            *byte = u8::from_str_radix(pair, 16).ok()?;
        }
        Some(Self(bytes))
    }
}

impl fmt::Display for Hash {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.iter().try_for_each(|byte| write!(f, "{byte:02x}"))
    }
}

impl fmt::Debug for Hash {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "Hash({self})")
    }
}

/// Text that is no hash.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("\"{0}\" is no hash of 64 hexadecimal digits")]
pub struct NotAHash(String);

impl TryFrom<String> for Hash {
    type Error = NotAHash;

    fn try_from(text: String) -> Result<Self, NotAHash> {
        Self::from_hex(&text).ok_or(NotAHash(text))
    }
}

impl From<Hash> for String {
    fn from(hash: Hash) -> Self {
        hash.to_string()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The values are those of `sha256sum` on the same bytes: the standard's own example for
    /// "abc", and the chain's rule written out by hand.
    #[test]
    fn the_hash_is_the_standard_one_and_the_link_is_as_described() {
        assert_eq!(
            Hash::of(b"abc").to_string(),
            "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
        );
        let by_hand = format!("{}\n{{}}", "0".repeat(64));
        assert_eq!(Hash::link(Hash::NONE, "{}"), Hash::of(by_hand.as_bytes()));
        let hash = Hash::of(b"x");
        assert_eq!(Hash::from_hex(&hash.to_string()), Some(hash));
        assert_eq!(Hash::from_hex("Ab"), None);
    }
}
