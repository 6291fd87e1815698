//! What a page break puts into the middle of a table: the same line on each page but for its number, and the heads of the
//! columns once more.

use super::text::{Row, plain};
use super::words::Said;

/// Takes the breaks out: of each line that comes on every page all but the first, and the row below it where that has been
/// printed before.
pub(super) fn without_breaks(rows: &mut Vec<Row>) {
    let numbered: Vec<Option<String>> = rows.iter().map(page_line).collect();
    let mut drop = vec![false; rows.len()];
    for at in 1..rows.len() {
        let Some(text) = &numbered[at] else { continue };
        if !numbered[..at].iter().flatten().any(|before| before == text) {
            continue;
        }
        drop[at] = true;
        let below = (at + 1..rows.len()).find(|below| !rows[*below].text().trim().is_empty());
        let Some(below) = below else { continue };
        let text = plain(&rows[below].text());
        let words = text.split(' ').filter(|word| word.chars().any(char::is_alphabetic)).count();
        // Rows of a table can be alike: heads have words, and no values.
        if words >= 2 && rows[..at].iter().any(|row| plain(&row.text()) == text) && !has_values(&rows[below])
        {
            drop[below] = true;
        }
    }
    let mut at = 0;
    rows.retain(|_| {
        at += 1;
        !drop[at - 1]
    });
}

/// The text of a line that says which page it is, without the number; none for any other.
fn page_line(row: &Row) -> Option<String> {
    let text = plain(&row.text());
    let words: Vec<&str> = text.split(' ').collect();
    let last_is_number = words.last().is_some_and(|word| word.parse::<u16>().is_ok());
    let said = Said::new(&row.text());
    let page = said.has("page|seite|pag|pagina|side|strona|blz|p");
    (page
        && words.len() >= 2
        && words.len() <= 14
        && (last_is_number || words.iter().any(|word| word.parse::<u16>().is_ok())))
    .then(|| words.iter().filter(|word| word.parse::<u32>().is_err()).copied().collect::<Vec<_>>().join(" "))
}

/// Numbers with a dash or the like between them.
fn has_values(row: &Row) -> bool {
    let text = row.text();
    let chars: Vec<char> = text.chars().collect();
    chars.windows(3).any(|three| {
        three[0].is_ascii_digit()
            && matches!(three[1], '-' | '–' | '—' | '~' | '…')
            && three[2].is_ascii_digit()
    })
}

#[cfg(test)]
mod tests {
    use super::super::text;
    use super::*;

    #[test]
    fn a_page_break_in_a_table_leaves_only_its_rows() {
        let text = "Wash light – manual   Page 3\nFunction  Value  Meaning  CH\nShutter  0-9  closed  5\n10-255  open\n\
            Wash light – manual   Page 4\n\nFunction  Value  Meaning  CH\n\n10-19  open\nRed  0-255  0-100 %  6\n";
        let mut rows = text::rows(text);
        without_breaks(&mut rows);
        let left: Vec<String> =
            rows.iter().map(|row| row.text().trim().to_owned()).filter(|text| !text.is_empty()).collect();
        assert_eq!(
            left,
            [
                "Wash light - manual   Page 3",
                "Function  Value  Meaning  CH",
                "Shutter  0-9  closed  5",
                "10-255  open",
                "10-19  open",
                "Red  0-255  0-100 %  6"
            ]
        );
        // A table's own rows that are alike stay.
        let mut rows = text::rows("CH1  Red\n0-255  0-100 %\nCH2  Green\n0-255  0-100 %\n");
        let before = rows.len();
        without_breaks(&mut rows);
        assert_eq!(rows.len(), before);
    }
}
