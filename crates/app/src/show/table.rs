//! Tables of text whose numbers line up on the decimal mark.

/// One column: its head and whether it holds numbers.
pub(crate) struct Column {
    head: &'static str,
    numbers: bool,
}

/// A column of words.
pub(crate) const fn words(head: &'static str) -> Column {
    Column {
        head,
        numbers: false,
    }
}

/// A column of numbers, lined up on the decimal mark.
pub(crate) const fn numbers(head: &'static str) -> Column {
    Column {
        head,
        numbers: true,
    }
}

/// The table with a head line and one line per row; two blanks between columns, none at line ends.
///
/// # Panics
/// When a row has another number of cells than there are columns.
pub(crate) fn text(columns: &[Column], rows: &[Vec<String>]) -> String {
    let mut drawn: Vec<Vec<String>> = vec![columns.iter().map(|c| c.head.to_owned()).collect()];
    for row in rows {
        assert_eq!(row.len(), columns.len(), "cells in the row {row:?}");
        drawn.push(row.clone());
    }
    for (index, column) in columns.iter().enumerate() {
        if column.numbers {
            line_up(&mut drawn, index);
        }
        let width = drawn.iter().map(|row| wide(&row[index])).max().unwrap_or(0);
        for row in &mut drawn {
            let gap = " ".repeat(width - wide(&row[index]));
            row[index] = if column.numbers {
                format!("{gap}{}", row[index])
            } else {
                format!("{}{gap}", row[index])
            };
        }
    }
    drawn
        .iter()
        .map(|row| format!("{}\n", row.join("  ").trim_end()))
        .collect()
}

/// Fills up behind the decimal mark, so that right-aligned numbers have their marks in one column.
fn line_up(drawn: &mut [Vec<String>], index: usize) {
    let behind = |cell: &str| cell.find('.').map_or(0, |at| wide(&cell[at..]));
    let most = drawn[1..]
        .iter()
        .map(|row| behind(&row[index]))
        .max()
        .unwrap_or(0);
    for row in &mut drawn[1..] {
        let missing = most - behind(&row[index]);
        row[index].push_str(&" ".repeat(missing));
    }
}

fn wide(text: &str) -> usize {
    text.chars().count()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_line_up_on_the_decimal_mark() {
        let drawn = text(
            &[words("what"), numbers("value")],
            &[
                vec!["a".into(), "1.25".into()],
                vec!["bb".into(), "10".into()],
                vec!["c".into(), "–".into()],
            ],
        );
        assert_eq!(drawn, "what  value\na      1.25\nbb    10\nc      –\n");
    }
}
