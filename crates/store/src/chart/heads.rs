//! Headings: where the table of a mode begins, what the mode is called and how many channels it is said to have.

use super::text::{Row, plain};
use super::token::{Token, What};
use super::words::{is_column_head, listed};

/// One mode in a heading.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Named {
    pub(super) name: String,
    /// How many channels it is said to have.
    pub(super) count: Option<u32>,
    /// Where its word stands in the row.
    pub(super) at: usize,
}

/// A part of the text under one heading.
#[derive(Clone, Debug, Default)]
pub(super) struct Section {
    /// One mode, or several side by side.
    pub(super) modes: Vec<Named>,
    /// Line of the heading; none for what comes before any.
    pub(super) line: Option<u32>,
    /// The rows below it, first and one behind the last.
    pub(super) from: usize,
    pub(super) to: usize,
    /// "As 11-channel mode, with": the channels of that mode, and these.
    pub(super) like: Option<u32>,
    /// Rows below it in which the heading is printed again.
    pub(super) again: Vec<usize>,
}

/// Words for "channels" behind a count, plain.
const COUNTED: &str = "ch|chs|can|kan|passage|passages|channel|channels|chanel|chanels|channnel|kanal|kanale|kanaele|canal|canaux|canales|canale|canali|\
    voies|voie|chan|kanalen|kanaals|chn|kan|slot|slots|kanaal";
/// Words that a heading may have beside the count.
const HEADING_WORDS: &str = "mode|modus|modes|modo|dmx|dmx512|512|operation|betrieb|betriebsart|chart|table|tabelle|protocol|protokoll|\
    personality|standard|basic|extended|advanced|simple|full|short|long|the|in|for|of|and|values|value|function|\
    traits|control|channel|setting|assignment|belegung|steuerung|way|stand|settings|bedrijf|compact|studio|\
    fonctionnement|funzionamento|funcionamiento";

/// Divides the rows by their headings.
pub(super) fn sections(rows: &[Row], tokens: &[Token]) -> Vec<Section> {
    let mut found: Vec<Section> = vec![Section { to: rows.len(), ..Section::default() }];
    let mut start = 0;
    for (index, row) in rows.iter().enumerate() {
        while tokens.get(start).is_some_and(|token| token.row < index) {
            start += 1;
        }
        let of_row: Vec<&Token> = tokens[start..].iter().take_while(|token| token.row == index).collect();
        let above_is_empty = index == 0 || row.line > rows[index - 1].line + 1;
        let Some(modes) = heading(row, &of_row, &tokens[start..], index, above_is_empty) else { continue };
        if refers(row) {
            if let Some(last) = found.last_mut().filter(|last| last.line.is_some()) {
                last.like = modes.first().and_then(|named| named.count);
                last.from = index + 1;
            }
            continue;
        }
        let several = modes.len() > 1;
        if several
            && !has_columns(tokens, start, index, modes.len())
            && !has_last_columns(tokens, start, index, &modes)
        {
            continue;
        }
        if let Some(last) = found.last_mut() {
            let end = if titled(rows, tokens, index) { index - 1 } else { index };
            last.to = end.max(last.from);
        }
        let (line, from, to) = (Some(row.line), index + 1, rows.len());
        found.push(Section { modes, line, from, to, ..Section::default() });
    }
    merge(found)
}

/// "As 11-channel mode, with": no heading of its own.
fn refers(row: &Row) -> bool {
    let text = plain(&row.text());
    [
        "as ",
        "like ",
        "same as ",
        "the same as ",
        "wie ",
        "comme ",
        "identical to ",
        "como ",
        "come ",
        "all channels of ",
        "as in ",
    ]
    .iter()
    .any(|begin| text.starts_with(begin))
}

/// A heading that is printed again ("continued") goes on with the same table; a mode's bare name and, below it, its
/// count are one heading.
fn merge(found: Vec<Section>) -> Vec<Section> {
    let mut out: Vec<Section> = Vec::new();
    for section in found {
        let again = out.last().is_some_and(|last| {
            let same =
                last.modes.iter().map(|mode| mode.count).eq(section.modes.iter().map(|mode| mode.count));
            let bare =
                |name: &str| plain(name).replace("continued", "").replace("cont", "").trim().to_owned();
            let named = last
                .modes
                .iter()
                .map(|mode| bare(&mode.name))
                .eq(section.modes.iter().map(|mode| bare(&mode.name)));
            !section.modes.is_empty() && named && (same || section.modes.len() > 1)
        });
        // "Mode 2" above "9 channels".
        let above = out.last().is_some_and(|last| {
            last.from == last.to
                && last.modes.len() == 1
                && section.modes.len() == 1
                && (last.modes[0].count.is_none() || last.modes[0].count == section.modes[0].count)
        });
        match out.last_mut() {
            Some(last) if again => {
                // Right below it the columns' own heads say where they stand.
                if section.from <= last.from + 2 && last.again.is_empty() {
                    last.modes = section.modes;
                }
                last.again.extend(section.from.checked_sub(1));
                last.to = section.to;
            }
            Some(last) if above => {
                let first = last.modes.remove(0);
                let mut second = section.modes[0].clone();
                if first.count.is_none() && !plain(&second.name).contains("mod") {
                    second.name = format!("{} ({})", first.name, second.name);
                }
                *last = Section { modes: vec![second], ..section };
            }
            _ => out.push(section),
        }
    }
    out
}

/// The modes that a row names, when it is a heading.
fn heading(
    row: &Row,
    tokens: &[&Token],
    rest: &[Token],
    row_index: usize,
    above_is_empty: bool,
) -> Option<Vec<Named>> {
    let counts = counts(row);
    // "Mode 1 - 10 channels" is no range from 1 to 10.
    let has_values = tokens.iter().any(|token| {
        matches!(token.what, What::Span(..))
            && !counts.iter().any(|named| token.at < named.at && named.at < token.end)
    });
    if let Some(count) = count_behind(row) {
        return Some(vec![Named { name: title(&row.text()), count: Some(count), at: 0 }]);
    }
    let begins_label = tokens.first().is_some_and(|token| matches!(token.what, What::Label(..)));
    if begins_label {
        return None;
    }
    if counts.is_empty()
        && let Some(modes) = mode_columns(row, rest, row_index)
    {
        return Some(modes);
    }
    // "6-Kanal-Modus / 6 channel mode" is one.
    let same = counts.iter().all(|named| named.count == counts[0].count);
    if counts.len() >= 2 && !same {
        return (!has_values).then_some(counts);
    }
    if let Some(one) = counts.first() {
        return counted(row, one).filter(|_| !has_values).map(|named| vec![named]);
    }
    // "Mode 2", "Modus B" without a count.
    let text = plain(&row.text());
    let words: Vec<&str> = text.split(' ').collect();
    let mode_word = |word: &str| matches!(word, "mode" | "modus" | "modo" | "personality" | "betriebsart");
    // "Mode 2", and in two languages "Mode 2 / Modus 2".
    let named = matches!(words.len(), 2 | 4)
        && words.chunks(2).all(|pair| matches!(pair, [word, which] if mode_word(word) && which.len() <= 2))
        && words.chunks(2).all(|pair| pair.get(1) == words.get(1));
    let kinds = words.len() == 2
        && matches!(words.last(), Some(&("mode" | "modus")))
        && matches!(
            words.first(),
            Some(&("basic" | "standard" | "extended" | "advanced" | "simple" | "full" | "short" | "long"))
        );
    // "Switch mode (switch 10 = ON)", where the channel numbers begin anew below.
    let said =
        words.iter().any(|word| matches!(*word, "mode" | "modus" | "modo" | "personality" | "betriebsart"));
    let begins = words.len() <= 8
        && !has_values
        && tokens.iter().all(|token| !matches!(token.what, What::Label(..)))
        && !matches!(tokens.first().map(|token| &token.what), Some(What::Number(_)))
        && !is_column_head(&text)
        && (said || words.len() >= 2 && above_is_empty && super::subject::subject(&text).is_none())
        && starts_anew(rest, row_index);
    (named || kinds || begins).then(|| vec![Named { name: title(&row.text()), count: None, at: 0 }])
}

/// "Channels: 8", "number of channels 8": a row of nothing else.
fn count_behind(row: &Row) -> Option<u32> {
    const MANY: &str = "channels|dmx channels|number of channels|number of dmx channels|kanale|anzahl kanale|anzahl der kanale|kanalzahl|\
        canaux|nombre de canaux|canales|numero de canales|canali|numero di canali|kanalen|aantal kanalen|channel number";
    let text = plain(&row.text());
    let (words, number) = text.rsplit_once(' ')?;
    let count = number.parse().ok().filter(|count| (1..=512).contains(count))?;
    listed(MANY, words).then_some(count)
}

/// A row that counts channels, when it is a heading and no sentence.
fn counted(row: &Row, one: &Named) -> Option<Named> {
    const MODES: &str = "mode|modus|modo|modes|personality|operation|betrieb|stand|betriebsart|fonctionnement|funzionamento|\
        funcionamiento|version|setting|way";
    let text = row.text();
    let words: Vec<String> = plain(&without_brackets(&text)).split(' ').map(str::to_owned).collect();
    let others = words.iter().filter(|word| {
        !word.chars().any(|c| c.is_ascii_digit()) && !listed(COUNTED, word) && !listed(HEADING_WORDS, word)
    });
    let others = others.count();
    let sentence = text.trim_end().ends_with('.') && others > 2;
    let said = words.iter().any(|word| listed(MODES, word));
    let leads = one.at == 0 && text.trim_end().ends_with(':');
    let most = if said || leads { 6 } else { 3 };
    (!sentence && others <= most).then(|| Named { name: title(&text), count: one.count, at: one.at })
}

/// What is in brackets explains.
fn without_brackets(text: &str) -> String {
    let mut depth = 0_u32;
    let outside = text.chars().filter(|c| {
        match c {
            '(' | '[' => depth += 1,
            ')' | ']' => depth = depth.saturating_sub(1),
            _ => return depth == 0,
        }
        false
    });
    let outside: String = outside.collect();
    if outside.trim().is_empty() { text.to_owned() } else { outside }
}

/// Modes that are named in the head of a table above the columns of their channels' numbers ("Full  Basic  Function  DMX",
/// "C4  C7  Paramètre  Valeurs"): below each a number counts up from 1.
fn mode_columns(row: &Row, rest: &[Token], row_index: usize) -> Option<Vec<Named>> {
    let header = |cell: &str| is_column_head(cell);
    let cells = super::layout::cells_at(row);
    if let Some(modes) = apart(row).filter(|_| cells.len() == 1) {
        return Some(modes);
    }
    let first = cells.iter().position(|(_, cell)| !header(cell))?;
    let named = cells[first..].iter().take_while(|(_, cell)| !header(cell)).count();
    if named < 2
        || cells.len() < named + 1
        || cells[..first].iter().any(|(_, cell)| header(cell)) && first + named < cells.len()
    {
        return None;
    }
    let mut modes = Vec::new();
    for (at, cell) in &cells[first..first + named] {
        let end = at + cell.chars().count();
        let numbers: Vec<u32> = rest
            .iter()
            .filter(|token| token.row > row_index && token.row <= row_index + 80)
            .filter(|token| token.at <= end && token.end + 1 > *at && (token.apart || token.at == 0))
            .filter_map(|token| match token.what {
                What::Number(number) => Some(number),
                What::Label(number, None) => Some(number),
                _ => None,
            })
            .collect();
        let rises = numbers.windows(2).filter(|pair| pair[1] == pair[0] + 1).count();
        if numbers.len() < 2 || rises * 4 < (numbers.len() - 1) * 3 {
            return None;
        }
        let digits: String = cell.chars().filter(char::is_ascii_digit).collect();
        let count = digits.parse().ok().filter(|count| numbers.contains(count));
        modes.push(Named { name: title(cell), count, at: *at });
    }
    Some(modes)
}

/// "C4 C7 C10 Parameter Value": a row whose gaps were lost, where modes are named by their counts.
fn apart(row: &Row) -> Option<Vec<Named>> {
    let words = super::layout::words_at(row);
    let mode = |(at, word): &(usize, String)| {
        let number = word.trim_start_matches(char::is_alphabetic);
        let count = number.parse().ok().filter(|count| (1..=512).contains(count))?;
        let short = (1..=2).contains(&(word.len() - number.len()));
        short.then(|| Named { name: word.clone(), count: Some(count), at: *at })
    };
    let modes: Vec<Named> = words.iter().map_while(mode).collect();
    let heads = words[modes.len()..].iter().all(|(_, word)| is_column_head(word));
    let rises = modes.windows(2).all(|pair| pair[0].count != pair[1].count);
    (modes.len() >= 2 && heads && rises && words.len() > modes.len()).then_some(modes)
}

/// The row right above a heading is a title: words alone, with an empty line before them.
fn titled(rows: &[Row], tokens: &[Token], heading: usize) -> bool {
    let Some(above) = heading.checked_sub(1) else { return false };
    let words = tokens
        .iter()
        .filter(|token| token.row == above)
        .all(|token| matches!(token.what, What::Word | What::Number(_) | What::Dash));
    let near = rows[heading].line == rows[above].line + 1;
    let apart = above == 0 || rows[above].line > rows[above - 1].line + 1;
    words && near && apart
}

/// The first channel number below a row, within four rows, is 1.
fn starts_anew(rest: &[Token], row: usize) -> bool {
    let mut last = row;
    for token in rest.iter().filter(|token| token.row > row && token.row <= row + 4) {
        let first = token.row != last;
        last = token.row;
        match token.what {
            What::Label(number, _) if first => return number == 1,
            What::Number(number) if first => return number == 1,
            What::Span(..) => return false,
            _ => {}
        }
    }
    false
}

/// A row with a count of channels and hardly a word beside it.
pub(super) fn counts_only(row: &Row) -> bool {
    !counts(row).is_empty() && plain(&row.text()).split(' ').count() <= 6
}

/// The count of channels that a row holds, and nothing else: "16CH".
pub(super) fn lone_count(row: &Row) -> Option<u32> {
    match counts(row).as_slice() {
        [one] if plain(&one.name) == plain(&row.text()) => one.count,
        _ => None,
    }
}

/// How many modes a row counts channels of, where they are several.
pub(super) fn modes_of(row: &Row) -> usize {
    let counts = counts(row);
    if counts.windows(2).any(|pair| pair[0].count != pair[1].count) { counts.len() } else { 0 }
}

/// Every count of channels in a row: "5CH", "13-Kanal", "9 channels".
fn counts(row: &Row) -> Vec<Named> {
    let chars = &row.chars;
    let mut found = Vec::new();
    let mut at = 0;
    while at < chars.len() {
        let begins = chars[at].is_ascii_digit() && (at == 0 || !chars[at - 1].is_alphanumeric());
        if !begins {
            at += 1;
            continue;
        }
        let mut end = at;
        while chars.get(end).is_some_and(char::is_ascii_digit) {
            end += 1;
        }
        let number: Option<u32> = chars[at..end].iter().collect::<String>().parse().ok();
        let mut word = end;
        while chars.get(word).is_some_and(|c| matches!(c, ' ' | '-')) && word < end + 3 {
            word += 1;
        }
        // "1 DMX channel".
        let dmx: String = chars[word..].iter().take(4).collect();
        if dmx.eq_ignore_ascii_case("dmx ") || dmx.eq_ignore_ascii_case("dmx-") {
            word += 4;
        }
        let text: String = chars[word..].iter().take_while(|c| c.is_alphabetic()).collect();
        let behind = word + text.chars().count();
        // "1 channel 4" counts nothing: a number follows, which is no count ("3 ch 5 ch").
        let numbered = chars[behind.min(chars.len())..]
            .iter()
            .take(3)
            .find(|c| !matches!(c, ' ' | '.' | ':'))
            .is_some_and(char::is_ascii_digit)
            && chars.get(behind + 1) != Some(&' ')
            && word > end
            && chars[end..word].iter().all(|c| *c == ' ')
            && !plain(&text).ends_with('s')
            && !is_count(&chars[behind..]);
        // "3 CH1" is a channel's number before another's.
        let numbered = numbered || word > end && chars.get(behind).is_some_and(char::is_ascii_digit);
        if let Some(number @ 1..=512) = number
            && listed(COUNTED, &plain(&text))
            && !numbered
        {
            let name: String = chars[at..behind].iter().collect();
            found.push(Named { name: name.trim().to_owned(), count: Some(number), at });
            at = behind;
        } else {
            at = end;
        }
    }
    found
}

/// Text that begins with a count: " 5 ch".
fn is_count(chars: &[char]) -> bool {
    let text: String = chars.iter().take(24).collect();
    let rest = text.trim_start().trim_start_matches(|c: char| c.is_ascii_digit());
    let word: String =
        rest.trim_start_matches(['-', ' ']).chars().take_while(|c| c.is_alphabetic()).collect();
    text.trim_start().starts_with(|c: char| c.is_ascii_digit()) && listed(COUNTED, &plain(&word))
}

/// `true` when below the row others begin with as many numbers or dashes as it names modes, or many with two.
fn has_columns(tokens: &[Token], start: usize, row: usize, modes: usize) -> bool {
    let (mut rows, mut pairs) = (0, 0);
    let mut of_row = 0;
    let mut last = usize::MAX;
    let mut leading = true;
    for token in tokens[start..].iter().filter(|token| token.row > row && token.row <= row + 60) {
        if token.row != last {
            (last, of_row, leading) = (token.row, 0, true);
        }
        leading &= matches!(token.what, What::Number(_) | What::Dash | What::Label(..));
        if leading {
            of_row += 1;
            rows += usize::from(of_row == modes);
            pairs += usize::from(of_row == 2);
        }
    }
    rows >= 2 || pairs >= 3
}

/// `true` when rows below have numbers right behind their values, or end with some that stand under the words of the modes.
fn has_last_columns(tokens: &[Token], start: usize, row: usize, modes: &[Named]) -> bool {
    let below = &tokens[start..];
    let under = |token: &Token| {
        modes.iter().any(|mode| token.at + 1 >= mode.at && token.at <= mode.at + mode.name.chars().count())
    };
    let near = below.partition_point(|token| token.row <= row + 60);
    let behind = below[..near].windows(2).filter(|two| {
        let [values, next] = two else { return false };
        let same = values.row == next.row && values.row > row;
        same && matches!(values.what, What::Span(0, _)) && matches!(next.what, What::Number(1..=512))
    });
    if behind.count() >= 4 {
        return true;
    }
    let found = below.iter().filter(|token| {
        token.row > row
            && token.row <= row + 60
            && token.apart
            && token.at > 0
            && matches!(token.what, What::Number(_))
            && under(token)
    });
    found.count() >= 2
}

/// A heading as a name: single blanks, nothing at its ends that is no part of it.
fn title(text: &str) -> String {
    let words: Vec<&str> = text.split_whitespace().collect();
    let text = words.join(" ");
    text.trim_matches(|c: char| matches!(c, ':' | '-' | '=' | '*' | '#' | '.' | ';' | ','))
        .trim()
        .chars()
        .take(60)
        .collect()
}

#[cfg(test)]
mod tests {
    use super::super::text::rows;
    use super::super::token::tokens;
    use super::*;

    type Modes = Vec<(String, Option<u32>)>;

    fn heads(text: &str) -> Vec<(Modes, usize)> {
        let rows = rows(text);
        sections(&rows, &tokens(&rows))
            .into_iter()
            .filter(|section| section.line.is_some())
            .map(|s| (s.modes.into_iter().map(|mode| (mode.name, mode.count)).collect(), s.to - s.from))
            .collect()
    }

    #[test]
    fn headings_are_told_from_prose_and_from_labels() {
        let text = "Set the unit to 1, 2 or 3 channels with the MODE key.\n5-CH mode:\nCH1 0-255 Red\n16-Kanal-Modus\n1 0-255 Pan";
        assert_eq!(
            heads(text),
            [
                (vec![("5-CH mode".to_owned(), Some(5))], 1),
                (vec![("16-Kanal-Modus".to_owned(), Some(16))], 1)
            ]
        );
    }

    #[test]
    fn modes_side_by_side_are_one_heading() {
        let text = "3CH  5CH VALUE\n1 1 0-255 Red\n2 2 0-255 Green\n3 3 0-255 Blue\n- 4 0-255 Dimmer";
        let named = vec![("3CH".to_owned(), Some(3)), ("5CH".to_owned(), Some(5))];
        assert_eq!(heads(text), [(named, 4)]);
    }
}
