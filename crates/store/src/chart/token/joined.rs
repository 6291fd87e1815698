//! Pieces of a row that belong together: labels of several channels, ranges written twice, conditions.

use super::super::text::plain;
use super::super::words::listed;
use super::{CHANNEL_WORDS, Token, What};

/// "De 0 à 255", "von 0 bis 255": the word before the range is part of it.
pub(super) fn from_to(tokens: Vec<Token>) -> Vec<Token> {
    const FROM: &str = "de|du|von|from|da|dal|del|desde|van|vanaf";
    let mut out: Vec<Token> = Vec::with_capacity(tokens.len());
    for token in tokens {
        let begins = match out.as_slice() {
            [.., before, last] => last.apart || matches!(before.what, What::Label(..)),
            _ => true,
        };
        let word = out.last().is_some_and(|last| last.what == What::Word && listed(FROM, &plain(&last.text)));
        if begins && word && matches!(token.what, What::Span(..)) {
            out.pop();
        }
        out.push(token);
    }
    out
}

/// "CH5 CH8 0-255": one row for the channels from 5 to 8.
pub(super) fn spread(mut tokens: Vec<Token>) -> Vec<Token> {
    // "Kanal 1 / Channel 1".
    if let [first, middle @ .., last] = tokens.as_slice()
        && matches!((&first.what, &last.what), (What::Label(a, None), What::Label(b, None)) if a == b)
        && middle
            .iter()
            .all(|token| matches!(token.what, What::Dash | What::Word) && token.text.chars().count() <= 1)
    {
        tokens.truncate(1);
        return tokens;
    }
    if let [first, second, rest @ ..] = tokens.as_slice()
        && let (What::Label(from, None), What::Label(to, None)) = (&first.what, &second.what)
        && to > from
        && !rest.iter().any(|token| matches!(token.what, What::Label(..)))
    {
        tokens[0].what = What::Label(*from, Some(*to));
        tokens.remove(1);
    }
    tokens
}

/// "150 | ...", "16-": a range that ends nowhere is no value.
pub(super) fn unfinished(mut tokens: Vec<Token>) -> Vec<Token> {
    let dots = |token: &&Token| matches!(token.what, What::Dots | What::Dash) && token.text != "/";
    let loose = tokens.iter().rev().take_while(dots).count();
    let last = tokens.len() - loose;
    if loose > 0
        && let Some(Token { what: what @ What::Number(_), .. }) =
            last.checked_sub(1).and_then(|at| tokens.get_mut(at))
    {
        *what = What::Word;
    }
    if let [.., Token { what: what @ What::Number(_), text, .. }] = tokens.as_mut_slice()
        && text.ends_with(['-', '~'])
    {
        *what = What::Word;
    }
    tokens
}

/// Takes out the same range written once more in hexadecimal digits.
pub(super) fn hex_twins(tokens: Vec<Token>) -> Vec<Token> {
    let mut out: Vec<Token> = Vec::with_capacity(tokens.len());
    let mut skip = 0;
    for (index, token) in tokens.iter().enumerate() {
        if skip > 0 {
            skip -= 1;
            continue;
        }
        let last = out.iter().rev().find(|token| matches!(token.what, What::Span(..))).filter(|_| index > 0);
        if let Some(What::Span(from, to)) = last.map(|token| &token.what)
            && out.last().is_some_and(|last| matches!(last.what, What::Span(..)))
            && let Some(taken) = hex_of(&tokens[index..], *from, *to)
        {
            skip = taken - 1;
            continue;
        }
        // Hexadecimal first, decimal behind it.
        let next = tokens[index..].iter().skip(1).take(3).find_map(|token| match token.what {
            What::Span(from, to) => Some((from, to)),
            _ => None,
        });
        if let Some((from, to)) = next
            && let Some(taken) = hex_of(&tokens[index..], from, to)
            && matches!(tokens.get(index + taken).map(|token| &token.what), Some(What::Span(a, b)) if (*a, *b) == (from, to))
            && token.text.chars().any(|c| c.is_ascii_alphabetic())
        {
            skip = taken - 1;
            continue;
        }
        out.push(token.clone());
    }
    out
}

/// How many of the first tokens spell `from` to `to` in hexadecimal digits ("00-FF", "00h - 07h"); none otherwise.
fn hex_of(tokens: &[Token], from: u32, to: u32) -> Option<usize> {
    let mut text = String::new();
    for (index, token) in tokens.iter().take(5).enumerate() {
        text.push_str(&token.text.to_lowercase());
        let clean = text.trim_matches(|c| matches!(c, '(' | ')' | '[' | ']' | '$')).replace("0x", "");
        let parts: Vec<&str> =
            clean.split(['-', '~']).map(|part| part.trim_matches(['h', '(', ')', '$', ' '])).collect();
        if let [a, b] = parts[..]
            && a.len() == 2
            && b.len() == 2
            && u32::from_str_radix(a, 16) == Ok(from)
            && u32::from_str_radix(b, 16) == Ok(to)
        {
            return Some(index + 1);
        }
    }
    None
}

/// Words that begin a condition, plain.
pub(in crate::chart) const CONDITION_WORDS: &str = "when|if|while|only|wenn|falls|bei|nur|si|quand|lorsque|seulement|solo|cuando|se|quando|against|with|\
    requires|needs|unless|provided|sofern|depends|depending|refer|see";

/// Words between a channel of a condition and its values.
const IS: &str = "is|ist|est|es|e|stands|set|between|zwischen|entre|tra|auf|steht|equals|at|has|shows|staat|sur|en|in|su|lies";

/// Joins "only if CH6 is 32-223" and "see channel 6" into one piece each.
pub(super) fn conditions(tokens: Vec<Token>) -> Vec<Token> {
    let tokens = labels_on_two_rows(tokens);
    let mut out: Vec<Token> = Vec::with_capacity(tokens.len());
    let mut index = 0;
    while index < tokens.len() {
        let token = &tokens[index];
        let What::Label(channel, None) = token.what else {
            out.push(token.clone());
            index += 1;
            continue;
        };
        let start = start_of(&out, &tokens[index..]);
        let Some(start) = start else {
            out.push(token.clone());
            index += 1;
            continue;
        };
        // Up to three words ("is", "is set between", "=") and then its values.
        let values = tokens[index + 1..]
            .iter()
            .take(5)
            .position(|t| matches!(t.what, What::Span(..) | What::Number(_)));
        let joined = values.and_then(|ahead| {
            let between = &tokens[index + 1..index + 1 + ahead];
            // On the next row only behind a sign of its own: "channel 6" / "= 32-223".
            let last = &tokens[index + 1 + ahead];
            let near = between
                .iter()
                .all(|t| matches!(t.what, What::Word | What::Dash) && t.text.chars().count() <= 9)
                && (last.row == token.row
                    || last.row == token.row + 1
                        && between
                            .first()
                            .is_some_and(|t| t.text.starts_with('=') || listed(IS, &plain(&t.text))));
            let (from, to, used) = match tokens[index + 1 + ahead].what {
                What::Span(from, to) => (from, to, ahead + 2),
                What::Number(value) => match tokens.get(index + 2 + ahead).map(|t| &t.what) {
                    Some(What::Number(to)) if *to > value => (value, *to, ahead + 3),
                    // "Between 0 and 9".
                    Some(What::Word)
                        if listed("and|und|et|y|e|en", &plain(&tokens[index + 2 + ahead].text)) =>
                    {
                        match tokens.get(index + 3 + ahead).map(|t| &t.what) {
                            Some(What::Number(to)) if *to > value => (value, *to, ahead + 4),
                            _ => (value, value, ahead + 2),
                        }
                    }
                    _ => (value, value, ahead + 2),
                },
                _ => return None,
            };
            (near && from <= to && to <= 255).then_some((from, to, used))
        });
        let kept = out.split_off(start);
        let (what, used) = match joined {
            Some((from, to, used)) => (What::While(channel, from, to), used),
            None => (What::Mention(channel), 1),
        };
        let last = &tokens[index + used - 1];
        let mut text: Vec<&str> = kept.iter().map(|token| token.text.as_str()).collect();
        text.extend(tokens[index..index + used].iter().map(|token| token.text.as_str()));
        let first = kept.first().unwrap_or(token);
        out.push(Token {
            what,
            row: token.row,
            at: first.at,
            end: last.end,
            text: text.join(" "),
            apart: first.apart,
        });
        index += used;
    }
    notes(out)
}

/// "(only when channel" at the end of a row and "24 is at 16-195)" below it: the number is the channel's.
fn labels_on_two_rows(tokens: Vec<Token>) -> Vec<Token> {
    let mut out: Vec<Token> = Vec::with_capacity(tokens.len());
    for mut token in tokens {
        if let [.., before, last] = out.as_slice()
            && let What::Number(number @ 1..=512) = token.what
            && token.row == last.row + 1
            && last.what == What::Word
            && listed(CHANNEL_WORDS, &plain(&last.text))
            && before.row == last.row
            && listed(CONDITION_WORDS, &plain(&before.text))
        {
            token.what = What::Label(number, None);
            out.pop();
        }
        out.push(token);
    }
    out
}

/// "CH32 works only while CH31 is 10-239": a sentence about a channel begins none.
fn notes(mut tokens: Vec<Token>) -> Vec<Token> {
    for of_row in tokens.chunk_by_mut(|one, next| one.row == next.row) {
        let words = of_row.iter().skip(1).take_while(|token| token.what == What::Word).count();
        let whole = of_row.iter().skip(1).all(|token| matches!(token.what, What::Word | What::While(..)));
        let held =
            of_row.get(words + 1).is_some_and(|token| matches!(token.what, What::While(..)) && !token.apart);
        if matches!(of_row[0].what, What::Label(_, None)) && words >= 1 && whole && held {
            of_row[0].what = What::Word;
        }
    }
    tokens
}

/// Where a condition begins whose channel is the first of `ahead`, in what was before it; none when it is no condition.
fn start_of(before: &[Token], ahead: &[Token]) -> Option<usize> {
    let token = ahead.first()?;
    let mut behind = ahead[1..].iter().take_while(|next| next.row == token.row);
    let next = behind.clone().next();
    let equals = next.is_some_and(|next| next.text.starts_with('='));
    let bracket = before.last().is_some_and(|last| last.row == token.row && last.text == "(");
    if bracket && (equals || closes_with_values(&ahead[1..], token.row)) {
        return Some(before.len() - 1);
    }
    // "CH1 = 000-009:" and no word behind it: what holds then is below.
    let last = behind.clone().last();
    if equals
        && behind.clone().count() == 2
        && last.is_some_and(|last| matches!(last.what, What::Span(..)) && last.text.ends_with(':'))
    {
        return Some(before.len());
    }
    // "Channel 1 between 000 and 009" and no more.
    let between = next.is_some_and(|next| listed("between|zwischen|entre|tra", &plain(&next.text)));
    if between && behind.clone().count() <= 4 && before.last().is_none_or(|last| last.row != token.row) {
        return Some(before.len());
    }
    // "CH6 = 10-189 only", "channel 12 must be at 16-195".
    let only = behind
        .by_ref()
        .take(4)
        .skip(1)
        .any(|next| listed("only|nur|solo|seulement|alleen|soltanto|solamente", &plain(&next.text)));
    let must = next.is_some_and(|next| listed("must|muss|doit|debe|deve|moet|needs|has", &plain(&next.text)));
    condition_start(before, token.row).or_else(|| (must || equals && only).then_some(before.len()))
}

/// Behind "(CH1": values that the bracket closes with, of which the mark may be lost ("(CH1: 0-15)", "(CH7 at 20 199)").
fn closes_with_values(behind: &[Token], row: usize) -> bool {
    let words = behind.iter().take_while(|t| t.row == row && listed(IS, &plain(&t.text))).count();
    let values: Vec<&Token> = behind[words..].iter().take_while(|t| t.row == row).take(2).collect();
    // Few words may stand behind them: "(CH9 at 61-210 is effective)".
    let closes =
        |at: usize| behind[at..].iter().take_while(|t| t.row == row).take(4).any(|t| t.text.ends_with(')'));
    match values[..] {
        [Token { what: What::Span(..), .. }, ..] => closes(words),
        [Token { what: What::Number(from), .. }, Token { what: What::Number(to), .. }] => {
            to > from && closes(words + 1)
        }
        _ => false,
    }
}

/// A cell of the row ends with "(only if", and goes on in the next row.
fn left_open(tokens: &[Token], row: usize) -> bool {
    let of_row = super::of_row(tokens, row);
    let mut open = false;
    of_row.iter().enumerate().any(|(index, token)| {
        if token.apart {
            open = false;
        }
        open |= token.text.starts_with('(');
        open &= !token.text.contains(')');
        let ends = of_row.get(index + 1).is_none_or(|next| next.apart);
        open && ends && token.what == What::Word && listed(CONDITION_WORDS, &plain(&token.text))
    })
}

/// Where the words that lead to a condition begin, at most five tokens before the end.
fn condition_start(tokens: &[Token], row: usize) -> Option<usize> {
    let from = tokens.len().saturating_sub(5);
    // Behind "(only if" at the end of a cell in the row above, or above one with nothing but a channel's number.
    let above = tokens.iter().rev().find(|token| !matches!(token.what, What::Number(_) | What::Label(..)));
    let fresh = tokens.last().is_none_or(|last| last.row < row);
    if let Some(above) = above.filter(|above| fresh && above.row + 2 >= row)
        && left_open(tokens, above.row)
    {
        return Some(tokens.len());
    }
    (from..tokens.len()).filter(|index| tokens[*index].row == row).find(|index| {
        matches!(tokens[*index].what, What::Word)
            && listed(CONDITION_WORDS, &plain(&tokens[*index].text))
            && tokens[*index + 1..].iter().all(|token| token.what == What::Word || token.text == "/")
    })
}
