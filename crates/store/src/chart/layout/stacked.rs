//! Modes side by side in a table that was copied cell by cell: their names stand one below the other, and so do the channel's
//! numbers in each of them. Names, and numbers, come beside each other again.

use super::super::heads;
use super::super::text::Row;

/// The rows, with the names of modes in one row and the numbers of each channel in one.
pub(super) fn beside(rows: Vec<Row>) -> Vec<Row> {
    let mut out: Vec<Row> = Vec::with_capacity(rows.len());
    let mut most = 0;
    let mut at = 0;
    while at < rows.len() {
        let counts: Vec<u32> = rows[at..].iter().map_while(heads::lone_count).collect();
        let names = counts.len();
        if names >= 2 && counts.windows(2).all(|pair| pair[0] != pair[1]) {
            out.push(joined(&rows[at..at + names]));
            most = names;
            at += names;
            continue;
        }
        let numbers = rows[at..].iter().take(most).take_while(|row| is_cell(row)).count();
        if numbers >= 2 {
            out.push(joined(&rows[at..at + numbers]));
            at += numbers;
            continue;
        }
        if heads::counts_only(&rows[at]) {
            most = heads::modes_of(&rows[at]);
        }
        out.push(rows[at].clone());
        at += 1;
    }
    out
}

/// A row of nothing but a channel's number, or the dash of a mode that lacks it.
fn is_cell(row: &Row) -> bool {
    let text = row.text();
    let text = text.trim();
    let number =
        !text.starts_with('0') && text.parse::<u32>().is_ok_and(|number| (1..=512).contains(&number));
    number || matches!(text, "-" | "--" | "/" | "x" | "X")
}

/// Rows as the cells of one, at the first of their lines. A dash behind a number would be a range that ends nowhere.
fn joined(rows: &[Row]) -> Row {
    let cell = |row: &Row| match row.text().trim() {
        "-" | "--" => "/".to_owned(),
        text => text.to_owned(),
    };
    let cells: Vec<String> = rows.iter().map(cell).collect();
    Row { line: rows[0].line, chars: cells.join("  ").chars().collect() }
}

#[cfg(test)]
mod tests {
    use super::super::super::text::rows;
    use super::*;

    #[test]
    fn names_and_numbers_of_modes_come_beside_each_other() {
        let text =
            "9CH\n5CH\nFunction\nValue\n1\n1\nPan\n000-255\n2\n-\nPan fine\n000-255\n3\nTilt\n000\n255\n";
        let read: Vec<String> = beside(rows(text)).iter().map(Row::text).collect();
        assert_eq!(
            read,
            [
                "9CH  5CH", "Function", "Value", "1  1", "Pan", "000-255", "2  /", "Pan fine", "000-255",
                "3", "Tilt", "000", "255"
            ]
        );
        let text = "5CH\n1\nRed\n2\n2\n";
        assert_eq!(beside(rows(text)), rows(text));
    }
}
