//! Items of a list in the file: one more, one less, another order. What stands between them stays.

use super::Refused;
use super::sheet::{Edit, Sheet};
use crate::tree::{Data, Node};

/// The items of a list that is written in brackets.
pub(super) fn items<'n>(sheet: &Sheet, node: &'n Node) -> Result<&'n [Node], Refused> {
    let headed = |item: &Node| matches!(item.data, Data::Table(_)) && sheet.source(item).starts_with('[');
    match &node.data {
        Data::List(items) if sheet.source(node).starts_with('[') && !items.iter().any(headed) => Ok(items),
        _ => Err(Refused::new("this is no list: write it in [ ]")),
    }
}

/// The edits that take out the items for which that holds.
pub(super) fn without(
    sheet: &Sheet,
    node: &Node,
    gone: impl Fn(usize, &Node) -> bool,
) -> Result<Vec<Edit>, Refused> {
    let items = items(sheet, node)?;
    let stays: Vec<bool> = items.iter().enumerate().map(|(index, item)| !gone(index, item)).collect();
    let Some(last) = stays.iter().rposition(|stays| *stays) else {
        let empty = Edit { from: node.from, to: node.to, with: "[]".to_owned() };
        return Ok(if items.is_empty() { Vec::new() } else { vec![empty] });
    };
    let mut edits = Vec::new();
    for (index, item) in items.iter().enumerate().filter(|(index, _)| !stays[*index]) {
        let (from, to) = match (own_line(sheet, item), items.get(index + 1)) {
            (Some(end), _) => (sheet.line_start(item.from), sheet.line_end(end)),
            (None, Some(next)) if index < last => {
                // The next may go too, with its whole line.
                let line = own_line(sheet, next).filter(|_| !stays[index + 1]);
                (item.from, line.map_or(next.from, |_| sheet.line_start(next.from)))
            }
            _ if sheet.text[sheet.line_start(item.from)..item.from].trim().is_empty() => {
                // The comma before it, and what is remarked there, may stay; its own goes.
                let rest = &sheet.text[item.to..node.to];
                let comma = rest.trim_start().starts_with(',').then(|| rest.find(',')).flatten();
                (item.from, item.to + comma.map_or(0, |comma| comma + 1))
            }
            // Behind the last that stays: the comma before it goes too.
            _ => (items[index - 1].to.max(edits.last().map_or(0, |edit: &Edit| edit.to)), item.to),
        };
        edits.push(Edit { from, to, with: String::new() });
    }
    Ok(edits)
}

/// Where the comma and the remark of an item end that has its line to itself; none where it shares it.
fn own_line(sheet: &Sheet, item: &Node) -> Option<usize> {
    let before = &sheet.text[sheet.line_start(item.from)..item.from];
    let rest = sheet.text[item.to..sheet.line_end(item.to)].trim_end();
    let remark = rest.trim_start().trim_start_matches(',').trim_start();
    let alone = before.trim().is_empty() && (remark.is_empty() || remark.starts_with('#'));
    alone.then_some(item.to + rest.len())
}

/// The edit that sets an item in before that place, or last.
pub(super) fn with(sheet: &Sheet, node: &Node, place: usize, new: &str) -> Result<Edit, Refused> {
    let items = items(sheet, node)?;
    let set_in = |at: usize, with: String| Edit { from: at, to: at, with };
    let text = &sheet.text;
    // Each in a line of its own?
    let line = |item: &Node| {
        let before = &text[sheet.line_start(item.from)..item.from];
        (before.trim().is_empty() && text[node.from..item.from].contains('\n')).then_some(before)
    };
    if let Some(item) = items.get(place) {
        let between = line(item).map_or(" ".to_owned(), |indent| format!("\n{indent}"));
        return Ok(set_in(item.from, format!("{new},{between}")));
    }
    let Some(last) = items.last() else {
        return Ok(Edit { from: node.from, to: node.to, with: format!("[{new}]") });
    };
    let Some(indent) = line(last) else { return Ok(set_in(last.to, format!(", {new}"))) };
    let rest = &text[last.to..node.to];
    if rest.trim_start_matches([' ', '\t']).starts_with(',') && rest.contains('\n') {
        return Ok(set_in(sheet.line_end(last.to), format!("{indent}{new},\n")));
    }
    Ok(set_in(last.to, format!(",\n{indent}{new}")))
}

/// The edits that give items another order: `order[i]` is which one stands in the place of item `i`.
pub(super) fn reorder(sheet: &Sheet, node: &Node, order: &[usize]) -> Result<Vec<Edit>, Refused> {
    let items = items(sheet, node)?;
    // With their remarks, where each has a line to itself.
    let ends: Option<Vec<usize>> = items.iter().map(|item| own_line(sheet, item)).collect();
    let whole = |index: usize| {
        let (item, end) = (items.get(index)?, ends.as_ref()?.get(index)?);
        let rest = &sheet.text[item.to..*end];
        let comma = if rest.trim_start().starts_with(',') { "" } else { "," };
        Some((item.from, *end, format!("{}{comma}{rest}", sheet.source(item))))
    };
    let bare =
        |index: usize| items.get(index).map(|item| (item.from, item.to, sheet.source(item).to_owned()));
    let mut edits = Vec::new();
    for (place, other) in order.iter().enumerate().filter(|(place, other)| place != *other) {
        let pair = whole(place).zip(whole(*other)).or_else(|| bare(place).zip(bare(*other)));
        edits.extend(pair.map(|((from, to, _), (_, _, with))| Edit { from, to, with }));
    }
    Ok(edits)
}

/// Where a new one stands, from 1: at that place, or last (none).
pub(super) fn new_place(count: usize, at: Option<usize>, what: &str) -> Result<usize, Refused> {
    let last = count + 1;
    let at = at.unwrap_or(last);
    if (1..=last).contains(&at) {
        return Ok(at);
    }
    Err(Refused::new(format!("{what} {at} can be none: places run from 1 to {last}")))
}

/// The order in which the one at `from` stands at `to`, both from 1.
pub(super) fn moved(count: usize, from: usize, to: usize, what: &str) -> Result<Vec<usize>, Refused> {
    let place = |number: usize| {
        if (1..=count).contains(&number) {
            return Ok(number - 1);
        }
        Err(Refused::new(match count {
            0 => format!("there is no {what} yet: add one first"),
            count => format!("{what} {number} is none: they are counted from 1 to {count}"),
        }))
    };
    let (from, to) = (place(from)?, place(to)?);
    let mut order: Vec<usize> = (0..count).collect();
    let taken = order.remove(from);
    order.insert(to, taken);
    Ok(order)
}
