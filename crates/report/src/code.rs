//! A short code for a printed plan, so that a sheet and a record can be matched by eye or by
//! phone: ten characters without look-alikes, the last two being check characters, and the same
//! in three words. It is a mark, not a seal: it does not protect against intent.

/// Letters and digits that cannot be taken for one another on a smudged sheet.
const ALPHABET: &[u8; 32] = b"0123456789ABCDEFGHJKMNPQRSTVWXYZ";

/// Thirty-two short words of the bench and the water, easy to tell apart when spoken.
const WORDS: [&str; 32] = [
    "anchor", "birch", "candle", "delta", "ember", "ferry", "garnet", "harbour", "indigo",
    "jacket", "kettle", "lantern", "magnet", "needle", "orchard", "pepper", "quarry", "ribbon",
    "saddle", "timber", "umbrella", "violet", "walnut", "yellow", "zinc", "basket", "copper",
    "dragon", "feather", "goblet", "hammer", "island",
];

/// The code of a text.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Code {
    /// `XXXX-XXXX-CC`.
    pub(crate) characters: String,
    /// Three words and a fourth that checks them.
    pub(crate) words: String,
}

/// Makes the code of a text. The same text gives the same code on every machine.
pub(crate) fn of(text: &str) -> Code {
    let hash = fnv1a_64(text.as_bytes());
    let digits: Vec<usize> = (0..8)
        .map(|i| usize::try_from((hash >> (5 * i)) & 31).expect("five bits"))
        .collect();
    // Two sums with different weights: one wrong character or two swapped neighbours show.
    let plain = digits.iter().sum::<usize>() % 32;
    let weighted = digits
        .iter()
        .enumerate()
        .map(|(i, d)| (2 * i + 1) * d)
        .sum::<usize>()
        % 32;
    let letter = |d: usize| char::from(ALPHABET[d]);
    let part = |range: &[usize]| range.iter().map(|&d| letter(d)).collect::<String>();
    let check = (digits[0] + 3 * digits[1] + 5 * digits[2]) % 32;
    Code {
        characters: format!(
            "{}-{}-{}{}",
            part(&digits[..4]),
            part(&digits[4..]),
            letter(plain),
            letter(weighted)
        ),
        words: format!(
            "{} {} {} {}",
            WORDS[digits[0]], WORDS[digits[1]], WORDS[digits[2]], WORDS[check]
        ),
    }
}

/// Fowler, Noll and Vo's hash, variant 1a, 64 bits: public domain, a few lines, the same anywhere.
fn fnv1a_64(bytes: &[u8]) -> u64 {
    let hash = bytes.iter().fold(0xcbf2_9ce4_8422_2325_u64, |hash, &byte| {
        (hash ^ u64::from(byte)).wrapping_mul(0x0100_0000_01b3)
    });
    // The low bits of the plain hash mix poorly for short texts; fold the high half in.
    hash ^ (hash >> 32)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn published_vectors_of_the_hash() {
        // Test vectors of the FNV authors: "" and "a"; folded here by the high half.
        let folded = |h: u64| h ^ (h >> 32);
        assert_eq!(fnv1a_64(b""), folded(0xcbf2_9ce4_8422_2325));
        assert_eq!(fnv1a_64(b"a"), folded(0xaf63_dc4c_8601_ec8c));
    }

    #[test]
    fn one_letter_changes_the_code() {
        assert_ne!(of("soak 8 h"), of("soak 9 h"));
        assert_eq!(of("soak 8 h"), of("soak 8 h"));
        assert_eq!(of("soak 8 h").characters.len(), 12);
    }
}
