//! Breaks running text into lines of a width that a terminal and an eye take.

/// Columns of running text.
pub(crate) const WIDTH: usize = 96;

/// The text in lines of at most [`WIDTH`] columns: the first begins with `head`, the others are
/// indented as far. Words longer than a line are left whole.
pub(crate) fn hanging(head: &str, text: &str) -> String {
    let indent = " ".repeat(head.chars().count());
    let mut out = String::new();
    let mut line = head.to_owned();
    let mut empty = true;
    for word in text.split_whitespace() {
        if !empty && line.chars().count() + 1 + word.chars().count() > WIDTH {
            out.push_str(line.trim_end());
            out.push('\n');
            line = indent.clone();
            empty = true;
        }
        if !empty {
            line.push(' ');
        }
        line.push_str(word);
        empty = false;
    }
    out.push_str(line.trim_end());
    out.push('\n');
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_hang_under_their_head_and_lose_no_word() {
        let text = "word ".repeat(60);
        let drawn = hanging("● ", &text);
        assert!(drawn.lines().count() > 2);
        assert!(drawn.lines().all(|line| line.chars().count() <= WIDTH));
        assert!(drawn.lines().skip(1).all(|line| line.starts_with("  word")));
        assert_eq!(drawn.matches("word").count(), 60);
        assert_eq!(hanging("● ", ""), "●\n");
    }
}
