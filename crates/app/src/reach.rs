//! What colours the lights of a rig can make and how bright they are there, for the page's picker.

use lanthorn_fixture::Encoder;
use lanthorn_physics::colour::{Chromaticity, parse, screen_hex, white};
use lanthorn_physics::units::Kelvin;
use lanthorn_rig::{Rig, Unit};

use crate::wire::{ColourAnswer, ReachDot, ReachView, ReachWhite};

/// About so many dots fill a field.
const DOTS: f64 = 170.0;
/// The whites that are offered, K.
const WHITES: [f64; 11] =
    [1900.0, 2200.0, 2700.0, 3000.0, 3200.0, 4000.0, 5000.0, 5600.0, 6500.0, 8000.0, 10_000.0];

/// The reach of every kind of light in a rig.
#[derive(Debug)]
pub(crate) struct Reaches {
    kinds: Vec<Encoder>,
    /// For each light of the rig.
    of_unit: Vec<Option<usize>>,
}

impl Reaches {
    /// Of a rig; lights of one kind and mode share theirs.
    pub(crate) fn new(rig: &Rig) -> Self {
        let mut kinds: Vec<(&Unit, Encoder)> = Vec::new();
        let mut of_unit = Vec::with_capacity(rig.units.len());
        for unit in &rig.units {
            let alike =
                |(other, _): &(&Unit, Encoder)| other.profile == unit.profile && other.mode == unit.mode;
            let known = kinds.iter().position(alike);
            of_unit.push(known.or_else(|| {
                let encoder = Encoder::new(&unit.profile, unit.mode);
                if !encoder.gives_light() {
                    return None;
                }
                kinds.push((unit, encoder));
                Some(kinds.len() - 1)
            }));
        }
        Self { kinds: kinds.into_iter().map(|(_, encoder)| encoder).collect(), of_unit }
    }

    /// One view for each kind.
    pub(crate) fn views(&self) -> Vec<ReachView> {
        self.kinds.iter().map(view).collect()
    }

    /// Place of a light's view, by its place in the rig.
    pub(crate) fn of(&self, unit: usize) -> Option<u32> {
        self.of_unit.get(unit).copied().flatten().and_then(|kind| u32::try_from(kind).ok())
    }

    /// What a light makes of a colour that somebody has written.
    pub(crate) fn answer(&self, unit: usize, number: u32, ask: &str) -> ColourAnswer {
        let answer = |hex, reached, says: String| ColourAnswer {
            unit: number,
            ask: ask.to_owned(),
            hex,
            reached,
            says,
        };
        let colour = match parse(ask) {
            Ok(target) => target.chromaticity,
            Err(error) => return answer(None, false, error.to_string()),
        };
        let encoder = self.of_unit.get(unit).copied().flatten().and_then(|kind| self.kinds.get(kind));
        let Some(encoder) = encoder else {
            return answer(None, false, "This gives no light of its own.".to_owned());
        };
        let shown = encoder.reach(colour).map(screen_hex);
        let reached = encoder.reached(Some(colour));
        answer(shown, reached, says(encoder, colour, reached))
    }
}

fn says(encoder: &Encoder, colour: Chromaticity, reached: bool) -> String {
    let share = percent(encoder.luminance_share(Some(colour)));
    let guessed = if encoder.guessed_colour() { " By typical emitters." } else { "" };
    match (encoder.mixer(), encoder.nearest_slot(Some(colour))) {
        (Some(_), _) if reached => format!("Within reach, {share} of its full light.{guessed}"),
        (Some(mixer), _) => {
            let how = if mixer.has_white() { "nearest by hue" } else { "nearest" };
            format!("Out of reach: {how} shown, {share} of its full light.{guessed}")
        }
        (None, Some(slot)) if reached => format!("Slot {slot} of its wheel, {share} of its full light."),
        (None, Some(slot)) => {
            format!("Out of reach: slot {slot} of its wheel is nearest, {share} of its full light.")
        }
        (None, None) => "This light has one colour.".to_owned(),
    }
}

fn percent(share: f64) -> String {
    let percent = share * 100.0;
    if percent >= 0.95 { format!("{percent:.0} %") } else { "less than 1 %".to_owned() }
}

fn view(encoder: &Encoder) -> ReachView {
    let corners: Vec<[f64; 2]> = encoder
        .mixer()
        .map(|mixer| mixer.corners().map(Chromaticity::uv_prime).collect())
        .unwrap_or_default();
    let whites = WHITES
        .iter()
        .map(|kelvin| {
            let colour = white(Kelvin::new(*kelvin), None);
            ReachWhite {
                kelvin: *kelvin as u32,
                hex: screen_hex(colour),
                most: encoder.reached(Some(colour)).then(|| encoder.luminance_share(Some(colour))),
            }
        })
        .collect();
    let plane = (corners.len() > 2).then(|| Plane::around(&corners));
    ReachView {
        outline: plane
            .as_ref()
            .map(|plane| corners.iter().map(|uv| plane.place(*uv)).collect())
            .unwrap_or_default(),
        aspect: plane.as_ref().map_or(1.0, Plane::aspect),
        dots: plane.as_ref().map(|plane| dots(encoder, &corners, plane)).unwrap_or_default(),
        whites,
        mixes: encoder.mixes(),
        guessed: encoder.guessed_colour(),
    }
}

/// A part of the plane of CIE 1976 u′, v′, where equal distances look about equally different.
struct Plane {
    from: [f64; 2],
    size: [f64; 2],
}

impl Plane {
    /// With a little room around the corners.
    fn around(corners: &[[f64; 2]]) -> Self {
        const ROOM: f64 = 0.02;
        let end = |axis: usize, pick: fn(f64, f64) -> f64, start: f64| {
            corners.iter().map(|corner| corner[axis]).fold(start, pick)
        };
        let low = [0, 1].map(|axis| end(axis, f64::min, f64::INFINITY) - ROOM);
        let high = [0, 1].map(|axis| end(axis, f64::max, f64::NEG_INFINITY) + ROOM);
        Self { from: low, size: [high[0] - low[0], high[1] - low[1]] }
    }

    /// Width over height.
    fn aspect(&self) -> f64 {
        self.size[0] / self.size[1]
    }

    /// 0 to 1 from the left and from the top.
    fn place(&self, [u, v]: [f64; 2]) -> [f64; 2] {
        [(u - self.from[0]) / self.size[0], 1.0 - (v - self.from[1]) / self.size[1]]
            .map(|part| (part * 1e4).round() / 1e4)
    }
}

/// Dots in rows set off by half a step, inside the gamut.
fn dots(encoder: &Encoder, corners: &[[f64; 2]], plane: &Plane) -> Vec<ReachDot> {
    let step = (area(corners) / DOTS / 0.866).sqrt().max(0.004);
    let rows = (plane.size[1] / (step * 0.866)) as usize + 1;
    let columns = (plane.size[0] / step) as usize + 1;
    let mut dots = Vec::new();
    for row in 0..rows {
        let off = if row % 2 == 1 { 0.5 } else { 0.0 };
        for column in 0..columns {
            let uv =
                [plane.from[0] + step * (column as f64 + off), plane.from[1] + step * 0.866 * row as f64];
            let colour = Chromaticity::from_uv_prime(uv);
            if colour.y > 0.0 && encoder.mixer().is_some_and(|mixer| mixer.in_gamut(colour)) {
                dots.push(ReachDot {
                    at: plane.place(uv),
                    hex: screen_hex(colour),
                    most: (encoder.luminance_share(Some(colour)) * 1e4).round() / 1e4,
                    write: format!("xy {:.4} {:.4}", colour.x, colour.y),
                });
            }
        }
    }
    dots
}

/// Of a polygon.
fn area(corners: &[[f64; 2]]) -> f64 {
    let twice: f64 = (0..corners.len())
        .map(|at| (corners[at], corners[(at + 1) % corners.len()]))
        .map(|(a, b)| a[0] * b[1] - a[1] * b[0])
        .sum();
    twice.abs() / 2.0
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_light_of_the_demo_says_what_it_can_make() {
        let file = lanthorn_store::demo().unwrap();
        let reaches = Reaches::new(&file.rig);
        let views = reaches.views();
        for (index, unit) in file.rig.units.iter().enumerate() {
            let Some(view) = reaches.of(index).and_then(|place| views.get(place as usize)) else {
                assert_eq!(unit.profile.kind, lanthorn_fixture::profile::Kind::Hazer);
                continue;
            };
            assert_eq!(view.outline.is_empty(), view.dots.is_empty());
            assert!(view.dots.is_empty() || (80..400).contains(&view.dots.len()), "{}", view.dots.len());
            let encoder = Encoder::new(&unit.profile, unit.mode);
            for dot in &view.dots {
                let colour = parse(&dot.write).unwrap().chromaticity;
                assert!(dot.at.iter().all(|part| (0.0..=1.0).contains(part)), "{dot:?}");
                assert!(
                    dot.most > 0.0 && (dot.most - encoder.luminance_share(Some(colour))).abs() < 0.01,
                    "{dot:?}"
                );
            }
        }
    }

    #[test]
    fn answers_are_what_the_light_will_do() {
        let file = lanthorn_store::demo().unwrap();
        let reaches = Reaches::new(&file.rig);
        let wash = file.rig.units.iter().position(|unit| unit.profile.emitters.len() > 3).unwrap();
        let unit = &file.rig.units[wash];
        let encoder = Encoder::new(&unit.profile, unit.mode);
        let share = encoder.luminance_share(Some(parse("3200 K").unwrap().chromaticity)) * 100.0;
        let answer = reaches.answer(wash, unit.number, "3200 K");
        assert!(
            answer.reached && answer.says.starts_with(&format!("Within reach, {share:.0} %")),
            "{answer:?}"
        );
        let far = reaches.answer(wash, unit.number, "xy 0.0454 0.295");
        assert!(!far.reached && far.says.starts_with("Out of reach: nearest by hue shown"), "{far:?}");
        assert!(far.hex.is_some());
        let wrong = reaches.answer(wash, unit.number, "blurple");
        assert!(
            !wrong.reached && wrong.hex.is_none() && wrong.says.contains("no colour that we know"),
            "{wrong:?}"
        );
        assert!(reaches.answer(999, 1, "red").says.contains("no light"));
    }
}
