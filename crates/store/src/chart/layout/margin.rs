//! What stands beside a table in a column of the page's own ("Technical data") is left out: the head of the table says how
//! far its columns go.

use super::super::text::{Row, plain};
use super::super::words::{is_column_head, listed};
use super::{CHANNEL_HEADS, VALUE_HEADS, cells_at};

/// The rows, each up to where the columns of its table end.
pub(super) fn without(rows: Vec<Row>) -> Vec<Row> {
    let mut rows = rows;
    for head in 0..rows.len() {
        let Some(column) = end_of_heads(&rows[head]) else { continue };
        let apart = |row: &Row| {
            let blank = |at: usize| row.chars.get(at).is_none_or(|c| c.is_whitespace());
            blank(column - 1) && blank(column - 2)
        };
        let starts = |row: &Row| apart(row) && row.chars.get(column).is_some_and(|c| !c.is_whitespace());
        let from = rows[..head].iter().rposition(|row| !apart(row)).map_or(0, |at| at + 1);
        let to = rows[head..].iter().position(|row| !apart(row)).map_or(rows.len(), |at| head + at);
        let beside: Vec<usize> = (from..to).filter(|at| starts(&rows[*at])).collect();
        if beside.len() < 4 || beside.iter().filter(|at| has_values(&rows[**at], column)).count() > 1 {
            continue;
        }
        for row in &mut rows[from..to] {
            row.chars.truncate(column);
            while row.chars.last().is_some_and(|c| c.is_whitespace()) {
                row.chars.pop();
            }
        }
    }
    rows.retain(|row| !row.chars.is_empty());
    rows
}

/// Where the cells of a row begin that are no heads, behind heads of channels and of values.
fn end_of_heads(row: &Row) -> Option<usize> {
    let cells = cells_at(row);
    let heads = cells.iter().take_while(|(_, cell)| is_column_head(cell)).count();
    let has = |list| cells[..heads].iter().any(|(_, cell)| listed(list, &plain(cell)));
    let (at, _) = cells.get(heads)?;
    (heads >= 2 && *at > 2 && has(CHANNEL_HEADS) && has(VALUE_HEADS)).then_some(*at)
}

/// A range from 0, or one up to 255, behind the column.
fn has_values(row: &Row, column: usize) -> bool {
    let text: String = row.chars[column..].iter().collect();
    let numbers: Vec<u32> = plain(&text).split(' ').filter_map(|word| word.parse().ok()).collect();
    numbers.windows(2).any(|pair| pair[0] == 0 && pair[1] <= 255 || pair[1] == 255)
}

#[cfg(test)]
mod tests {
    use super::super::super::text::rows;
    use super::*;

    #[test]
    fn the_weight_beside_a_table_is_no_part_of_it() {
        let text = "DMX channels                     Technical data\nCH  Function     DMX value       Tank     2.5 l\n\
            1   Fog off      0 - 127         Power    1500 W\n    Fog on       128 - 255       Weight   9 kg\n\
            2   Red          0 - 255         Mains    230 V\n";
        let left: Vec<String> = without(rows(text)).iter().map(Row::text).collect();
        assert_eq!(
            left,
            [
                "DMX channels",
                "CH  Function     DMX value",
                "1   Fog off      0 - 127",
                "    Fog on       128 - 255",
                "2   Red          0 - 255"
            ]
        );
        // A second table's values stay, whatever heads them.
        let text = "CH  DMX value     Mode B\n1   0 - 255       0 - 127\n2   0 - 255       128 - 255\n\
            3   0 - 255       0 - 255\n4   0 - 255       0 - 255\n";
        assert_eq!(without(rows(text)), rows(text));
    }
}
