//! A patch list as a table (RFC 4180), read back: what differs from the rig, and the changes that make it so.

use std::collections::BTreeSet;

use lanthorn_dmx::Address;
use lanthorn_rig::{Rig, Run, Unit};

use crate::change::{Change, LightField, Value};

/// Bytes of a table.
pub const MOST_BYTES: usize = 4 << 20;
/// Lines of a table, and fields of a line.
const MOST: usize = 10_000;

/// What a table would change about one light.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Difference {
    /// The light.
    pub number: u32,
    /// "mode" or "address".
    pub what: &'static str,
    /// As it is; empty where it has none.
    pub from: String,
    /// As the table has it; empty: none.
    pub to: String,
}

/// What a table says about a rig.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Compared {
    /// What differs, in the order of the table.
    pub differences: Vec<Difference>,
    /// What would make the rig as the table has it.
    pub changes: Vec<Change>,
    /// Lights of the rig that the table does not name.
    pub not_named: Vec<u32>,
}

/// Reads a table and compares it with a rig. The columns are found by their names in the first line: `number`, and as many of
/// `universe`, `address` and `mode` as there are; others are not looked at.
///
/// # Errors
///
/// A sentence with the line of the table.
pub fn compare(text: &str, rig: &Rig) -> Result<Compared, String> {
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    let rows = rows(text)?;
    let Some((_, head)) = rows.first() else {
        return Err("line 1: the table is empty: export one to see its form".to_owned());
    };
    let column = |name: &str| head.iter().position(|own| own.trim().eq_ignore_ascii_case(name));
    let number =
        column("number").ok_or("line 1: there is no column \"number\": export a table to see its form")?;
    let (universe, address, mode) = (column("universe"), column("address"), column("mode"));
    if universe.is_some() != address.is_some() {
        return Err(
            "line 1: an address has two columns, \"universe\" and \"address\": give both or none".to_owned()
        );
    }
    if address.or(mode).is_none() {
        return Err(
            "line 1: there is neither \"universe\" and \"address\" nor \"mode\": nothing is to be done"
                .to_owned(),
        );
    }
    let mut compared = Compared::default();
    let mut named = BTreeSet::new();
    for (line, row) in rows.iter().skip(1) {
        let field = |column: Option<usize>| column.map(|at| row.get(at).map_or("", |text| text.trim()));
        let text = field(Some(number)).unwrap_or("");
        let wrong = |what: &str| format!("line {line}: {what}");
        let unit: u32 = text.parse().map_err(|_| wrong(&format!("\"{text}\" is no number of a light")))?;
        let unit = rig
            .unit(unit)
            .ok_or_else(|| wrong(&format!("there is no light {unit} in the show: add it first")))?;
        if !named.insert(unit.number) {
            return Err(wrong(&format!(
                "light {} stands in the table twice: keep one of the two",
                unit.number
            )));
        }
        if let Some(mode) = field(mode).filter(|mode| !mode.is_empty()) {
            let known = unit.profile.mode(mode).is_some();
            if !known {
                let names: Vec<&str> = unit.profile.modes.iter().map(|mode| mode.name.as_str()).collect();
                return Err(wrong(&format!(
                    "light {} has no mode \"{mode}\": it has {}",
                    unit.number,
                    names.join(", ")
                )));
            }
            compared.mode(unit, mode);
        }
        if let Some((universe, slot)) = field(universe).zip(field(address)) {
            compared.address(unit, universe, slot).map_err(|what| wrong(&what))?;
        }
    }
    compared.not_named =
        rig.units.iter().map(|unit| unit.number).filter(|number| !named.contains(number)).collect();
    Ok(compared)
}

impl Compared {
    fn mode(&mut self, unit: &Unit, mode: &str) {
        if unit.mode().name == mode {
            return;
        }
        let (from, to) = (unit.mode().name.clone(), mode.to_owned());
        self.set(unit.number, LightField::Mode, Some(Value::from(mode)));
        self.differences.push(Difference { number: unit.number, what: "mode", from, to });
    }

    fn address(&mut self, unit: &Unit, universe: &str, slot: &str) -> Result<(), String> {
        let wanted = match (universe, slot) {
            ("", "") => None,
            (universe, slot) => {
                let numbers = universe.parse().ok().zip(slot.parse().ok());
                let address = numbers.and_then(|(universe, slot)| Address::new(universe, slot).ok());
                Some(address.ok_or(format!(
                    "universe \"{universe}\", address \"{slot}\" is no address: both count from 1, to 512"
                ))?)
            }
        };
        let own = unit.address();
        if own == wanted {
            return Ok(());
        }
        let Run::Driven { shares, .. } = unit.run else {
            return Err(format!(
                "light {} is not driven and has no address: say how it runs first",
                unit.number
            ));
        };
        if let Some(shares) = shares {
            return Err(format!(
                "light {} shares the address of light {shares}: change that one",
                unit.number
            ));
        }
        let words =
            |address: Option<Address>| address.map_or_else(String::new, |address| address.to_string());
        let value = wanted.map(|address| Value::from(address.to_string().as_str()));
        self.set(unit.number, LightField::Address, value);
        self.differences.push(Difference {
            number: unit.number,
            what: "address",
            from: words(own),
            to: words(wanted),
        });
        Ok(())
    }

    fn set(&mut self, number: u32, field: LightField, value: Option<Value>) {
        self.changes.push(Change::LightSet { lights: vec![number], field, value });
    }
}

/// Fields of each line, with the line of the text that each begins on. Empty lines are left out.
fn rows(text: &str) -> Result<Vec<(usize, Vec<String>)>, String> {
    let mut rows = Vec::new();
    let (mut row, mut field, mut quoted) = (Vec::new(), String::new(), false);
    let (mut line, mut began) = (1, 1);
    let mut letters = text.chars().peekable();
    // Spreadsheets of some countries part fields by semicolons.
    let first = text.lines().next().unwrap_or("");
    let comma = if first.contains(';') && !first.contains(',') { ';' } else { ',' };
    while let Some(letter) = letters.next() {
        match letter {
            '"' if quoted && letters.peek() == Some(&'"') => {
                letters.next();
                field.push('"');
            }
            '"' if quoted => quoted = false,
            '"' if field.is_empty() => quoted = true,
            '\n' if quoted => {
                line += 1;
                field.push('\n');
            }
            letter if quoted => field.push(letter),
            letter if letter == comma => row.push(std::mem::take(&mut field)),
            '\r' if letters.peek() == Some(&'\n') => {}
            '\n' | '\r' => {
                row.push(std::mem::take(&mut field));
                finish(&mut rows, &mut row, began)?;
                line += 1;
                began = line;
            }
            letter => field.push(letter),
        }
        if row.len() > MOST {
            return Err(format!("line {began}: a line has more than {MOST} fields"));
        }
    }
    if quoted {
        return Err(format!("line {began}: a quotation mark is opened and never closed"));
    }
    row.push(field);
    finish(&mut rows, &mut row, began)?;
    Ok(rows)
}

fn finish(rows: &mut Vec<(usize, Vec<String>)>, row: &mut Vec<String>, line: usize) -> Result<(), String> {
    let row = std::mem::take(row);
    if rows.len() >= MOST {
        return Err(format!("line {line}: a table has at most {MOST} lines"));
    }
    if row.iter().any(|field| !field.trim().is_empty()) {
        rows.push((line, row));
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::change::apply;
    use crate::{DEMO_TEXT, read_show};

    fn rig() -> Rig {
        read_show(DEMO_TEXT).0.unwrap().rig
    }

    #[test]
    fn quotes_and_line_ends_are_those_of_rfc_4180() {
        let text = "a,\"b \"\"c\"\", d\"\r\n\"two\nlines\",\r\n\r\nx,y";
        let rows: Vec<(usize, Vec<String>)> = rows(text).unwrap();
        let plain: Vec<(usize, Vec<&str>)> =
            rows.iter().map(|(line, row)| (*line, row.iter().map(String::as_str).collect())).collect();
        assert_eq!(plain, [(1, vec!["a", "b \"c\", d"]), (2, vec!["two\nlines", ""]), (5, vec!["x", "y"])]);
    }

    #[test]
    fn what_differs_is_told_and_made() {
        let rig = rig();
        let first = &rig.units[0];
        let table = format!(
            "\u{feff}number;universe;address;mode\r\n{};7;33;{}\r\n",
            first.number,
            first.mode().name
        );
        let compared = compare(&table, &rig).unwrap();
        let from = first.address().unwrap().to_string();
        assert_eq!(
            compared.differences,
            [Difference { number: first.number, what: "address", from, to: "7.033".to_owned() }]
        );
        assert_eq!(compared.not_named.len(), rig.units.len() - 1);
        let changed = apply(DEMO_TEXT, &Change::Many { changes: compared.changes }).unwrap();
        let (file, _) = read_show(&changed.text);
        assert_eq!(compare(&table, &file.unwrap().rig).unwrap().differences, []);
    }

    #[test]
    fn what_cannot_be_is_said_with_its_line() {
        let rig = rig();
        for (table, said) in [
            ("", "line 1: the table is empty"),
            ("light,address\n", "line 1: there is no column \"number\""),
            ("number,address\n", "line 1: an address has two columns"),
            ("number\n1\n", "line 1: there is neither"),
            ("number,mode\nx,\n", "line 2: \"x\" is no number of a light"),
            ("number,mode\n\n9999,\n", "line 3: there is no light 9999"),
            ("number,mode\n1,\n1,\n", "line 3: light 1 stands in the table twice"),
            ("number,mode\n1,nothing\n", "line 2: light 1 has no mode \"nothing\""),
            ("number,universe,address\n1,1,513\n", "line 2: universe \"1\", address \"513\" is no address"),
            ("number,mode\n\"1,", "line 2: a quotation mark is opened"),
        ] {
            let error = compare(table, &rig).unwrap_err();
            assert!(error.starts_with(said), "{error}");
        }
    }
}
