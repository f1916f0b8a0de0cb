//! Rust source without its comments and the insides of its strings, so that a word in a sentence
//! is not taken for code. Line and column of what remains are unchanged.

/// The text with comments and the insides of literals blanked out.
#[must_use]
pub fn only(text: &str) -> String {
    blank(text).0
}

/// The string literals of the text, in order, each with its line from 1.
#[must_use]
pub fn strings(text: &str) -> Vec<(usize, String)> {
    blank(text).1
}

fn blank(text: &str) -> (String, Vec<(usize, String)>) {
    let marks: Vec<char> = text.chars().collect();
    let mut out = String::with_capacity(text.len());
    let mut found = Vec::new();
    let mut line = 1;
    let mut at = 0;
    while at < marks.len() {
        let end = match literal_at(&marks, at) {
            Some(Literal::Comment(end) | Literal::Char(end)) => end,
            Some(Literal::Text(from, to, end)) => {
                found.push((line, marks[from..to].iter().collect()));
                end
            }
            None => {
                line += usize::from(marks[at] == '\n');
                out.push(marks[at]);
                at += 1;
                continue;
            }
        };
        for mark in &marks[at..end] {
            line += usize::from(*mark == '\n');
            out.push(if *mark == '\n' { '\n' } else { ' ' });
        }
        at = end;
    }
    (out, found)
}

/// What begins at a place: a comment, a text with its inside, or a character; each with its end.
enum Literal {
    Comment(usize),
    Text(usize, usize, usize),
    Char(usize),
}

fn literal_at(marks: &[char], at: usize) -> Option<Literal> {
    let next = |ahead: usize| marks.get(at + ahead).copied();
    let in_word = at > 0 && (marks[at - 1].is_alphanumeric() || marks[at - 1] == '_');
    match marks[at] {
        '/' if next(1) == Some('/') => {
            let end = (at..marks.len()).find(|i| marks[*i] == '\n');
            Some(Literal::Comment(end.unwrap_or(marks.len())))
        }
        '/' if next(1) == Some('*') => Some(Literal::Comment(block_comment_end(marks, at))),
        '"' => Some(quoted(marks, at)),
        'r' if !in_word => raw(marks, at),
        'b' if !in_word && next(1) == Some('r') => raw(marks, at + 1),
        '\'' => character_end(marks, at).map(Literal::Char),
        _ => None,
    }
}

fn block_comment_end(marks: &[char], from: usize) -> usize {
    let mut depth = 0;
    let mut at = from;
    while at + 1 < marks.len() {
        match (marks[at], marks[at + 1]) {
            ('/', '*') => depth += 1,
            ('*', '/') => depth -= 1,
            _ => {
                at += 1;
                continue;
            }
        }
        at += 2;
        if depth == 0 {
            return at;
        }
    }
    marks.len()
}

fn quoted(marks: &[char], from: usize) -> Literal {
    let mut at = from + 1;
    while at < marks.len() && marks[at] != '"' {
        at += if marks[at] == '\\' { 2 } else { 1 };
    }
    let close = at.min(marks.len());
    Literal::Text(from + 1, close, (close + 1).min(marks.len()))
}

fn raw(marks: &[char], from: usize) -> Option<Literal> {
    let hashes = marks[from + 1..]
        .iter()
        .take_while(|mark| **mark == '#')
        .count();
    let open = from + 1 + hashes;
    if marks.get(open) != Some(&'"') {
        return None;
    }
    let closes = |at: usize| {
        marks[at] == '"' && (1..=hashes).all(|ahead| marks.get(at + ahead) == Some(&'#'))
    };
    let close = (open + 1..marks.len())
        .find(|at| closes(*at))
        .unwrap_or(marks.len());
    Some(Literal::Text(
        open + 1,
        close,
        (close + 1 + hashes).min(marks.len()),
    ))
}

/// End of a character literal; `None` for a lifetime.
fn character_end(marks: &[char], from: usize) -> Option<usize> {
    match (marks.get(from + 1)?, marks.get(from + 2)?) {
        ('\\', _) => (from + 3..marks.len().min(from + 14))
            .find(|at| marks[*at] == '\'')
            .map(|at| at + 1),
        (_, '\'') => Some(from + 3),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn comments_and_insides_of_literals_go_and_lines_stay() {
        let text = "a // x \"y\n/* b /* c */ d */ e \"f \\\" g\" 'h' r#\"i \" j\"# k<'l> '\\'' m\n";
        let code = only(text);
        assert_eq!(code.chars().count(), text.chars().count());
        assert_eq!(code.lines().count(), text.lines().count());
        assert_eq!(code.split_whitespace().collect::<String>(), "aek<'l>m");
    }

    #[test]
    fn strings_come_with_their_line() {
        let text = "// \"no\"\nlet a = \"one\";\nlet b = r\"two\";";
        assert_eq!(
            strings(text),
            [(2, "one".to_owned()), (3, "two".to_owned())]
        );
    }

    #[test]
    fn unfinished_text_does_no_harm() {
        for text in ["\"abc", "r#\"abc", "/* abc", "'", "'\\", "\"\\", "b", "r"] {
            let _ = only(text);
        }
    }
}
