//! What a page has that is no part of its table: the title printed again and the page's number at a break, the heads of the
//! columns once more, and the weights of address switches.

use super::text::{Row, plain};
use super::words::{Said, is_number, listed};

/// Takes out the title of the text where it is printed again at the head of a page, and the number of the page that stands
/// above or below it, apart from the table.
pub(super) fn without_titles(rows: &mut Vec<Row>) {
    let Some(title) =
        rows.first().map(|row| plain(&row.text())).filter(|title| title.split(' ').count() >= 2)
    else {
        return;
    };
    let again: Vec<bool> = rows
        .iter()
        .enumerate()
        .map(|(at, row)| {
            let text = plain(&row.text());
            let same =
                text == title || text.split(' ').count() >= 3 && title.starts_with(&format!("{text} "));
            let same = same || goes_on_as(&text, &title) && !has_values(row);
            same && at > 0
        })
        .collect();
    let is_again = |at: usize| again.get(at) == Some(&true);
    let apart = |at: usize, other: usize| match (rows.get(at), rows.get(other)) {
        (Some(row), Some(other)) => row.line.abs_diff(other.line) > 1,
        _ => true,
    };
    let is_number = |at: usize| plain(&rows[at].text()).parse::<u16>().is_ok();
    let page_number = |at: usize| {
        is_number(at)
            && (is_again(at + 1) && at > 0 && apart(at, at - 1)
                || at > 0 && is_again(at - 1) && apart(at, at + 1)
                || at + 1 == rows.len() && at > 3 && apart(at, at - 1) && !is_number(at - 1))
    };
    let drop: Vec<bool> = (0..rows.len()).map(|at| is_again(at) || page_number(at)).collect();
    let mut drop = drop.into_iter();
    rows.retain(|_| !drop.next().unwrap_or(false));
}

/// The same words to begin with, and nothing behind them in either but what is of a page.
fn goes_on_as(text: &str, title: &str) -> bool {
    // The page's number may stand first.
    let text = text.trim_start_matches(|c: char| c.is_ascii_digit() || c == ' ');
    let alike = text.split(' ').zip(title.split(' ')).take_while(|(one, other)| one == other).count();
    let rest = |text: &str| text.split(' ').skip(alike).collect::<Vec<_>>().join(" ");
    let (of_text, of_title) = (rest(text), rest(title));
    let paper = |words: &str| words.is_empty() || words.split(' ').all(is_paper);
    alike >= 2 && paper(&of_title) && (of_text.is_empty() || is_of_page(&of_text))
}

/// What may stand behind a title at the head or foot of a page: numbers, a language, what the paper is.
fn is_of_page(words: &str) -> bool {
    words.split(' ').all(|word| is_number(word) || is_paper(word)) && words.split(' ').any(is_number)
}

fn is_paper(word: &str) -> bool {
    const PAPER: &str = "page|p|seite|pag|pagina|rev|version|v|manual|user|users|owner|guide|en|de|fr|es|it|nl|art|nr|no|ed|\
        bedienungsanleitung|anleitung|manuel|manuale|instructions|operating|operation|mode|emploi|d|istruzioni|instrucciones";
    listed(PAPER, word)
}

/// Takes the breaks out: of each line that comes on every page all but the first, and the row below it where that has been
/// printed before.
pub(super) fn without_breaks(rows: &mut Vec<Row>) {
    let numbered: Vec<Option<String>> = rows.iter().map(page_line).collect();
    let mut drop = vec![false; rows.len()];
    for at in 1..rows.len() {
        let Some(text) = &numbered[at] else { continue };
        for near in [at - 1, at + 1] {
            if rows.get(near).is_some_and(|row| near > 0 && is_title(row, &rows[0])) {
                drop[near] = true;
            }
        }
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

/// A row that begins as the title of the text does, and holds no values.
fn is_title(row: &Row, title: &Row) -> bool {
    let (row_text, title_text) = (plain(&row.text()), plain(&title.text()));
    let same = row_text.split(' ').zip(title_text.split(' ')).take_while(|(a, b)| a == b).count();
    same >= 2 && same * 2 >= row_text.split(' ').count() && !has_values(row)
}

/// Takes out the weights of address switches ("1 2 4 8 16 32 …"), and the row of the switches' numbers above or below.
pub(super) fn without_switches(rows: &mut Vec<Row>) {
    let numbers: Vec<Vec<u32>> = rows
        .iter()
        .map(|row| plain(&row.text()).split(' ').filter_map(|word| word.parse().ok()).collect())
        .collect();
    let run = |of_row: &Vec<u32>, next: fn(u32) -> u32| {
        of_row.len() >= 5 && of_row.windows(2).all(|pair| pair[1] == next(pair[0]))
    };
    let weights: Vec<bool> = numbers
        .iter()
        .map(|of_row| {
            run(of_row, |n| n.saturating_mul(2)) || run(of_row, |n| n / 2) && of_row.last() == Some(&1)
        })
        .collect();
    let near = |at: usize| at > 0 && weights[at - 1] || weights.get(at + 1) == Some(&true);
    let counted =
        |at: usize| run(&numbers[at], |n| n.saturating_add(1)) || run(&numbers[at], |n| n.saturating_sub(1));
    let drop: Vec<bool> = (0..rows.len()).map(|at| weights[at] || near(at) && counted(at)).collect();
    let mut drop = drop.into_iter();
    rows.retain(|_| !drop.next().unwrap_or(false));
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

    #[test]
    fn the_weights_of_address_switches_are_no_values() {
        let mut rows = text::rows(
            "Channel 1  0-127  Output 1 off\n128-255  Output 1 on\nSwitch 1 2 3 4 5 6 7 8 9\n\
            Value 1 2 4 8 16 32 64 128 256\n",
        );
        without_switches(&mut rows);
        assert_eq!(rows.len(), 2);
        // Channel numbers in a row, with nothing that doubles beside them, stay.
        let mut rows = text::rows("Channel 1 2 3 4 5 6\nRed Green Blue White Amber UV\n");
        without_switches(&mut rows);
        assert_eq!(rows.len(), 2);
        // Numbers beyond all reason are no switches either.
        let mut rows = text::rows("4294967295 1 2 3 4\n1 2 4 8 16\n");
        without_switches(&mut rows);
        assert_eq!(rows.len(), 1);
    }
}
