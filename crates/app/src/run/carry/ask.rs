//! Questions at a terminal: a numbered list, the likeliest first.

use std::io::{BufRead, Write};

use lanthorn_rig::Rig;
use lanthorn_show::carry::{LightsFor, Name, Names, PlaceFor, Question};

use super::names;
use crate::run::Failure;

/// So many likely answers are offered by number; any other may be typed.
const MOST_OFFERED: usize = 8;

/// Asks each question until it is answered. At the end of the input the rest stays open.
pub(super) fn ask(
    questions: &[Question],
    there: &Rig,
    input: &mut impl BufRead,
    out: &mut impl Write,
    names: &mut Names,
) -> Result<(), Failure> {
    for question in questions {
        let offered = &question.near[..question.near.len().min(MOST_OFFERED)];
        writeln!(
            out,
            "\nThe {} is not in {}. Used by: {}.",
            question.name,
            there.room.name,
            question.looks.join(", ")
        )?;
        for (place, name) in offered.iter().enumerate() {
            writeln!(out, "  {:2}  {}", place + 1, answer_words(&question.name, name))?;
        }
        writeln!(out, "  {:2}  leave it out", 0)?;
        let or = match question.name {
            Name::Mark(_) => ", or a point: x y z in metres",
            Name::Group(_) | Name::Light(_) => ", or the name of a group",
        };
        loop {
            write!(out, "A number from the list{or}: ")?;
            out.flush()?;
            let mut line = String::new();
            if input.read_line(&mut line)? == 0 {
                writeln!(out)?;
                return Ok(());
            }
            match take(question, offered, line.trim(), there, names) {
                Ok(()) => break,
                Err(why) => writeln!(out, "{why}")?,
            }
        }
    }
    Ok(())
}

fn answer_words(name: &Name, answer: &str) -> String {
    match (name, answer.parse::<u32>()) {
        (Name::Light(_), Ok(number)) => format!("light {number}"),
        _ => answer.to_owned(),
    }
}

fn take(
    question: &Question,
    offered: &[String],
    line: &str,
    there: &Rig,
    names: &mut Names,
) -> Result<(), String> {
    let chosen = match line.parse::<usize>() {
        Ok(0) => names::NONE,
        Ok(place) => match offered.get(place - 1) {
            Some(name) => name,
            None => return Err(format!("there is no {place} in the list")),
        },
        Err(_) if line.is_empty() => return Err("write one of the numbers".to_owned()),
        Err(_) => line,
    };
    match &question.name {
        Name::Mark(name) => {
            let answer = if line == "0" { PlaceFor::Nothing } else { names::place(chosen, there)? };
            if let PlaceFor::Mark(mark) = &answer
                && there.room.mark(mark).is_none()
            {
                return Err(format!("there is no mark \"{mark}\" in {}", there.room.name));
            }
            names.marks.push((name.clone(), answer));
        }
        Name::Group(name) => names.groups.push((name.clone(), lights(chosen, line, there)?)),
        Name::Light(number) => names.lights.push((*number, lights(chosen, line, there)?)),
    }
    Ok(())
}

fn lights(chosen: &str, line: &str, there: &Rig) -> Result<LightsFor, String> {
    let answer = if line == "0" { LightsFor::Nothing } else { names::lights(chosen, there) };
    let missing = match &answer {
        LightsFor::Group(group) => there.group(group).is_none().then(|| format!("group \"{group}\"")),
        LightsFor::Units(numbers) => {
            let missing = numbers.iter().find(|number| there.unit(**number).is_none());
            missing.map(|number| format!("light {number}"))
        }
        LightsFor::Nothing => None,
    };
    missing.map_or(Ok(answer), |what| Err(format!("there is no {what} in {}", there.room.name)))
}

#[cfg(test)]
mod tests {
    use lanthorn_physics::Point;

    use super::*;

    fn question(name: Name, near: &[&str]) -> Question {
        let near = near.iter().map(|name| (*name).to_owned()).collect();
        Question { name, looks: vec!["Cake".to_owned()], near }
    }

    #[test]
    fn every_way_to_answer() {
        let rig = lanthorn_store::demo().unwrap().rig;
        let questions = [
            question(Name::Mark("font".to_owned()), &["cake", "door"]),
            question(Name::Mark("altar".to_owned()), &["cake"]),
            question(Name::Group("movers".to_owned()), &["spots"]),
            question(Name::Light(40), &["3", "washes"]),
            question(Name::Light(41), &["3", "washes"]),
        ];
        let mut input = "7\n\nnowhere\n2\n1.5 -2 0.8\n0\n2\n1\n".as_bytes();
        let (mut out, mut names) = (Vec::new(), Names::default());
        ask(&questions, &rig, &mut input, &mut out, &mut names).unwrap();
        let out = String::from_utf8(out).unwrap();
        for said in [
            "The mark \"font\" is not in village hall. Used by: Cake.",
            "   1  cake\n   2  door\n   0  leave it out\n",
            "there is no 7 in the list",
            "write one of the numbers",
            "there is no mark \"nowhere\" in village hall",
            "   1  light 3\n   2  washes",
        ] {
            assert!(out.contains(said), "{said}: {out}");
        }
        let font = ("font".to_owned(), PlaceFor::Mark("door".to_owned()));
        let altar = ("altar".to_owned(), PlaceFor::At(Point::new(1.5, -2.0, 0.8)));
        assert_eq!(names.marks, [font, altar]);
        assert_eq!(names.groups, [("movers".to_owned(), LightsFor::Nothing)]);
        let group = LightsFor::Group("washes".to_owned());
        assert_eq!(names.lights, [(40, group), (41, LightsFor::Units(vec![3]))]);
    }

    #[test]
    fn an_input_that_ends_leaves_the_rest_open() {
        let rig = lanthorn_store::demo().unwrap().rig;
        let (mut out, mut names) = (Vec::new(), Names::default());
        let questions = [question(Name::Mark("font".to_owned()), &["cake"])];
        ask(&questions, &rig, &mut "".as_bytes(), &mut out, &mut names).unwrap();
        assert_eq!(names, Names::default());
    }
}
