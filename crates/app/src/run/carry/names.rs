//! `--mark`, `--group`, `--light`: what a name means in the other room.

use lanthorn_physics::Point;
use lanthorn_rig::Rig;
use lanthorn_show::carry::{LightsFor, Name, Names, PlaceFor, Question};

use crate::command::Carry;
use crate::run::new::quoted;

/// So many likely answers are named.
const MOST_NEAR: usize = 3;

/// Most lights in one answer.
const MOST_LIGHTS: usize = 512;

/// The word for leaving something out.
pub(super) const NONE: &str = "none";

/// The answers that the options give.
pub(super) fn parse(options: &Carry, there: &Rig) -> Result<Names, String> {
    let mut names = Names::default();
    for text in &options.mark {
        let (name, answer) = split("--mark", text, "cake=table")?;
        names
            .marks
            .push((name.to_owned(), place(answer, there).map_err(|why| format!("--mark {text}: {why}"))?));
    }
    for text in &options.group {
        let (name, answer) = split("--group", text, "spots=movers")?;
        names.groups.push((name.to_owned(), lights(answer, there)));
    }
    for text in &options.light {
        let (number, answer) = split("--light", text, "2=5")?;
        let number =
            number.parse().map_err(|_| format!("--light {text}: before = stands the number of a light"))?;
        names.lights.push((number, lights(answer, there)));
    }
    Ok(names)
}

fn split<'t>(option: &str, text: &'t str, example: &str) -> Result<(&'t str, &'t str), String> {
    let parts = text.split_once('=').map(|(name, answer)| (name.trim(), answer.trim()));
    parts
        .filter(|(name, answer)| !name.is_empty() && !answer.is_empty())
        .ok_or_else(|| format!("{option} {text}: write it like {option} {example}"))
}

/// A mark's name, "none", or a point.
pub(super) fn place(answer: &str, there: &Rig) -> Result<PlaceFor, String> {
    if there.room.mark(answer).is_some() {
        return Ok(PlaceFor::Mark(answer.to_owned()));
    }
    if answer == NONE {
        return Ok(PlaceFor::Nothing);
    }
    let figures: Vec<&str> =
        answer.split(|c: char| c == ',' || c.is_whitespace()).filter(|part| !part.is_empty()).collect();
    let metres: Vec<f64> = figures.iter().filter_map(|figure| figure.parse().ok()).collect();
    match metres[..] {
        [x, y, z] if figures.len() == 3 => {
            let at = Point::new(x, y, z);
            let near = |metres: f64| metres.is_finite() && metres.abs() <= 1000.0;
            if [x, y, z].into_iter().all(near) {
                Ok(PlaceFor::At(at))
            } else {
                Err("a point is three lengths in metres, none beyond 1000".to_owned())
            }
        }
        _ => Ok(PlaceFor::Mark(answer.to_owned())), // said by the check, with the marks that there are
    }
}

/// A group's name, "none", or numbers of lights ("5", "5,6", "1-4").
pub(super) fn lights(answer: &str, there: &Rig) -> LightsFor {
    if there.group(answer).is_some() {
        return LightsFor::Group(answer.to_owned());
    }
    if answer == NONE {
        return LightsFor::Nothing;
    }
    numbers(answer).map_or_else(|| LightsFor::Group(answer.to_owned()), LightsFor::Units)
}

fn numbers(text: &str) -> Option<Vec<u32>> {
    let mut list = Vec::new();
    for part in text.split(',') {
        let (first, last) = part.split_once('-').unwrap_or((part, part));
        let (first, last): (u32, u32) = (first.trim().parse().ok()?, last.trim().parse().ok()?);
        if last < first || (last - first) as usize + list.len() >= MOST_LIGHTS {
            return None;
        }
        list.extend(first..=last);
    }
    Some(list)
}

/// The options that answer a question: the likely answers, and leaving it out.
pub(super) fn options(question: &Question) -> Vec<String> {
    let (option, name) = match &question.name {
        Name::Mark(name) => ("--mark", name.clone()),
        Name::Group(name) => ("--group", name.clone()),
        Name::Light(number) => ("--light", number.to_string()),
    };
    let near = question.near.iter().take(MOST_NEAR).map(String::as_str);
    let point = matches!(question.name, Name::Mark(_)).then_some("X,Y,Z");
    let answers = near.chain(point).chain([NONE]);
    answers.map(|answer| format!("{option} {}", quoted(&format!("{name}={answer}")))).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn answers() {
        let rig = lanthorn_store::demo().unwrap().rig;
        assert_eq!(place("cake", &rig), Ok(PlaceFor::Mark("cake".to_owned())));
        assert_eq!(place("none", &rig), Ok(PlaceFor::Nothing));
        for text in ["1,-2.5,0.8", "1 -2.5 0.8", " 1, -2.5, 0.8"] {
            assert_eq!(place(text, &rig), Ok(PlaceFor::At(Point::new(1.0, -2.5, 0.8))), "{text}");
        }
        assert!(place("1,2,NaN", &rig).is_err() && place("1,2,1e9", &rig).is_err());
        assert_eq!(place("1,2", &rig), Ok(PlaceFor::Mark("1,2".to_owned())));
        assert_eq!(lights("spots", &rig), LightsFor::Group("spots".to_owned()));
        assert_eq!(lights("1-3,7", &rig), LightsFor::Units(vec![1, 2, 3, 7]));
        assert_eq!(lights("none", &rig), LightsFor::Nothing);
        assert_eq!(lights("1-4000000000", &rig), LightsFor::Group("1-4000000000".to_owned()));
    }
}
