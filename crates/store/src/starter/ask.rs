//! Answers in words: "4 small spot head, 2 RGBW par (8 channels) on left stand"; "12 x 18 x 5, stage end 3 x 0.6".

use super::{Lights, Measures, Refused, Room, Stage, StageSide};

/// Reads a room as one types it: one of the rooms that have a name, or width, depth and height in metres with an x between,
/// perhaps with a comma and "stage end" or "stage side" with its depth and height.
///
/// # Errors
///
/// A sentence that names the words that cannot be read. Whether the room can be is not looked at here.
pub fn room_from_words(words: &str) -> Result<Room, Refused> {
    let words = words.trim().to_lowercase().replace(" by ", " x ");
    let words = words.as_str();
    if !words.starts_with(|c: char| c.is_ascii_digit()) && words.matches(['x', '×']).count() < 2 {
        return Ok(Room::Named(words.to_owned()));
    }
    let (room, stage) = match words.split_once(',') {
        Some((room, stage)) => (room, Some(stage.trim())),
        None => (words, None),
    };
    let [width, depth, height] = metres(room).ok_or_else(|| {
        Refused::room(format!(
            "\"{}\" is no size: write width, depth and height in metres, such as \"12.5 x 18 x 5\"",
            room.trim()
        ))
    })?;
    let stage = stage.map(stage_from_words).transpose()?;
    Ok(Room::Measured(Measures { width, depth, height, stage }))
}

fn stage_from_words(words: &str) -> Result<Stage, Refused> {
    let rest = words.strip_prefix("stage").map(str::trim_start);
    let (side, size) = match rest.and_then(|rest| rest.split_once(' ')) {
        Some(("end", size)) => (Some(StageSide::End), size),
        Some(("side", size)) => (Some(StageSide::Side), size),
        _ => (None, ""),
    };
    side.zip(metres(size)).map(|(side, [depth, height])| Stage { side, depth, height }).ok_or_else(|| {
        Refused::room(format!(
            "\"{words}\" is no stage: write \"stage end\" or \"stage side\", and depth and height in metres, such \
             as \"stage end 3 x 0.6\""
        ))
    })
}

/// So many numbers with an x between, each perhaps with an m behind it.
fn metres<const N: usize>(words: &str) -> Option<[f64; N]> {
    let one = |word: &str| {
        let word = word.trim();
        word.strip_suffix('m')
            .unwrap_or(word)
            .trim_end()
            .parse::<f64>()
            .ok()
            .filter(|value| value.is_finite())
    };
    let read: Option<Vec<f64>> = words.split(['x', '×']).map(one).collect();
    read?.try_into().ok()
}

/// Reads lights as one types them: a number and a profile, perhaps a mode in brackets, perhaps "on" and a hanging place;
/// several with commas.
///
/// # Errors
///
/// A sentence that names the words that cannot be read.
pub fn lights_from_words(words: &str) -> Result<Vec<Lights>, Refused> {
    let parts = words.split(',').map(str::trim).filter(|part| !part.is_empty());
    let lights: Vec<Lights> = parts.map(one).collect::<Result<_, _>>()?;
    if lights.is_empty() {
        return Err(Refused::lights("none are named: write such as \"4 small spot head, 2 RGBW par\""));
    }
    Ok(lights)
}

fn one<'a>(part: &'a str) -> Result<Lights, Refused> {
    let digits = part.chars().take_while(char::is_ascii_digit).count();
    let (count, rest) = part.split_at(digits);
    let count = match count {
        "" => 1,
        count => {
            count.parse().map_err(|_| Refused::lights(format!("\"{part}\": so many lights cannot be")))?
        }
    };
    // "4x par", "4xpar", "4 x par".
    let times = |rest: &'a str| rest.strip_prefix(['x', '×']);
    let spaced = || times(rest.trim_start()).filter(|rest| rest.starts_with(' '));
    let rest = if digits == 0 { rest } else { times(rest).or_else(spaced).unwrap_or(rest) }.trim();
    let (rest, place) = match rest.rsplit_once(" on ") {
        Some((rest, place)) => (rest.trim(), Some(place.trim().to_owned())),
        None => (rest, None),
    };
    let (profile, mode) = match rest.split_once('(') {
        Some((profile, mode)) => {
            (profile.trim(), Some(mode.trim_end().trim_end_matches(')').trim().to_owned()))
        }
        None => (rest, None),
    };
    if profile.is_empty() {
        return Err(Refused::lights(format!(
            "\"{part}\": name a light behind the number, such as \"4 small spot head\""
        )));
    }
    Ok(Lights { profile: profile.to_owned(), mode, count, place })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lights_are_read_as_one_types_them() {
        let light = |count, profile: &str, mode: Option<&str>, place: Option<&str>| Lights {
            profile: profile.to_owned(),
            mode: mode.map(str::to_owned),
            count,
            place: place.map(str::to_owned),
        };
        for (words, read) in [
            ("4 small spot head", vec![light(4, "small spot head", None, None)]),
            ("4x RGBW par, hazer", vec![light(4, "RGBW par", None, None), light(1, "hazer", None, None)]),
            (
                " 2 RGBW par (8 channels) on left stand,",
                vec![light(2, "RGBW par", Some("8 channels"), Some("left stand"))],
            ),
            ("4xRGBW par", vec![light(4, "RGBW par", None, None)]),
            ("4 x RGBW par", vec![light(4, "RGBW par", None, None)]),
            ("xenon lamp", vec![light(1, "xenon lamp", None, None)]),
        ] {
            assert_eq!(lights_from_words(words).unwrap(), read, "{words}");
        }
        for (words, said) in [
            ("", "none are named"),
            (" , ", "none are named"),
            ("4", "name a light"),
            ("99999999999999999999999 par", "so many"),
        ] {
            assert!(lights_from_words(words).unwrap_err().to_string().contains(said), "{words}");
        }
    }

    #[test]
    fn rooms_are_read_as_one_types_them() {
        let size = |stage| Room::Measured(Measures { width: 12.0, depth: 18.5, height: 5.0, stage });
        let stage = |side| Some(Stage { side, depth: 3.0, height: 0.6 });
        for (words, read) in [
            (" village hall", Room::Named("village hall".to_owned())),
            ("12 x 18.5 x 5", size(None)),
            ("12m×18.5 m x 5 m, stage end 3 x 0.6", size(stage(StageSide::End))),
            ("12 x 18.5 x 5,stage side 3 m x 0.6 m", size(stage(StageSide::Side))),
        ] {
            assert_eq!(room_from_words(words).unwrap(), read, "{words}");
        }
        for words in [
            "12 x 18",
            "12 x 18 x nan",
            "12 x 18 x 5, stage",
            "12 x 18 x 5, stage back 3 x 1",
            "1e999 x 5 x 4",
        ] {
            assert!(room_from_words(words).unwrap_err().to_string().contains("write "), "{words}");
        }
    }
}
