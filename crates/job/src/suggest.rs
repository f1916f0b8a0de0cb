//! The nearest spelling, for hints.

/// The candidate that `word` was most likely meant to be, if any is near enough.
///
/// Near enough is one slip in a short word and one in three letters of a long one.
pub(crate) fn nearest<'c>(
    word: &str,
    candidates: impl IntoIterator<Item = &'c str>,
) -> Option<&'c str> {
    let word = folded(word);
    let allowed = (word.len() / 3).max(1);
    if word.is_empty() || word.len() > 64 {
        return None;
    }
    // Lengths that differ by more can be told apart without looking at the letters.
    let like_long = |candidate: &&str| {
        candidate.len() <= 4 * (word.len() + allowed)
            && candidate.chars().count().abs_diff(word.len()) <= allowed
    };
    candidates
        .into_iter()
        .filter(like_long)
        .map(|candidate| (distance(&word, &folded(candidate)), candidate))
        .filter(|&(distance, _)| distance <= allowed && distance < word.len())
        .min_by_key(|&(distance, _)| distance)
        .map(|(_, candidate)| candidate)
}

/// Lower case, with blanks, hyphens and underscores alike.
fn folded(text: &str) -> Vec<char> {
    text.trim()
        .chars()
        .flat_map(char::to_lowercase)
        .map(|c| if c == '-' || c == ' ' { '_' } else { c })
        .collect()
}

/// Edits between two words: insert, drop, change, or swap of neighbours.
fn distance(a: &[char], b: &[char]) -> usize {
    let mut before: Vec<usize> = Vec::new();
    let mut last: Vec<usize> = (0..=b.len()).collect();
    for i in 1..=a.len() {
        let mut row = vec![i];
        for j in 1..=b.len() {
            let change = last[j - 1] + usize::from(a[i - 1] != b[j - 1]);
            let mut best = change.min(last[j] + 1).min(row[j - 1] + 1);
            if i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1] {
                best = best.min(before[j - 2] + 1);
            }
            row.push(best);
        }
        before = std::mem::replace(&mut last, row);
    }
    last[b.len()]
}

#[cfg(test)]
mod tests {
    use super::nearest;

    #[test]
    fn slips_of_the_finger_are_found_and_other_words_are_not() {
        let keys = ["thickness", "width", "length"];
        assert_eq!(nearest("thikness", keys), Some("thickness"));
        assert_eq!(nearest("widht", keys), Some("width"));
        assert_eq!(nearest("Length", keys), Some("length"));
        assert_eq!(nearest("colour", keys), None);
        assert_eq!(nearest("", keys), None);
        assert_eq!(nearest("x", ["y"]), None);
    }
}
