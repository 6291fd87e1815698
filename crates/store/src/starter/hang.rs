//! Which light hangs where, mirrored about the middle, numbered from left to right, and addressed.

use lanthorn_dmx::{Address, Slot};
use lanthorn_fixture::profile::Addressing;

use super::groups::Class;
use super::room::Space;
use super::{Refused, Wanted, no_such, words};

/// A hanging place that the starter knows.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Spot {
    FrontBar,
    BackBar,
    LeftStand,
    RightStand,
    BackFloor,
    LeftSide,
    RightSide,
}

impl Spot {
    pub(super) const ALL: [Self; 7] = [
        Self::FrontBar,
        Self::BackBar,
        Self::LeftStand,
        Self::RightStand,
        Self::BackFloor,
        Self::LeftSide,
        Self::RightSide,
    ];

    pub(super) const fn name(self) -> &'static str {
        match self {
            Self::FrontBar => "front bar",
            Self::BackBar => "back bar",
            Self::LeftStand => "left stand",
            Self::RightStand => "right stand",
            Self::BackFloor => "floor at the back",
            Self::LeftSide => "left side",
            Self::RightSide => "right side",
        }
    }

    pub(super) fn read(word: &str) -> Result<Self, Refused> {
        let word = words(word);
        let word = word.as_str();
        let names = Self::ALL.map(Self::name);
        let known = Self::ALL.into_iter().find(|spot| spot.name().eq_ignore_ascii_case(word));
        known.ok_or_else(|| Refused::lights(no_such("hanging place", word, &names)))
    }

    /// Lights stand there, and do not hang.
    pub(super) const fn is_floor(self) -> bool {
        matches!(self, Self::BackFloor | Self::LeftSide | Self::RightSide)
    }

    /// The longest that the place may be in a room, metres.
    fn longest(self, space: &Space) -> f64 {
        match self {
            Self::FrontBar | Self::BackBar => space.longest_bar(),
            Self::LeftStand | Self::RightStand => 1.2,
            Self::BackFloor => space.back_floor(),
            Self::LeftSide | Self::RightSide => space.side()[1],
        }
    }

    /// How far apart lights hang where there is plenty of room, metres.
    const fn apart(self) -> f64 {
        match self {
            Self::FrontBar | Self::BackBar => 2.4,
            Self::LeftStand | Self::RightStand => 0.6,
            Self::BackFloor => 2.8,
            Self::LeftSide | Self::RightSide => 3.0,
        }
    }
}

/// One light on its place.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Hung {
    /// Which of the answers' lights.
    pub(super) of: usize,
    pub(super) spot: Spot,
    /// Metres along the place from its middle.
    pub(super) at: f64,
    /// Width that it needs there, metres.
    width: f64,
    pub(super) number: u32,
    pub(super) address: Option<Address>,
    /// Its data line, from 0.
    pub(super) line: usize,
}

/// Every light on its place, in the order in which the file names them: by answer, place and number.
pub(super) fn hang(space: &Space, wanted: &[Wanted]) -> Result<Vec<Hung>, Refused> {
    let mut hung = Vec::new();
    let mut full = [0.0; Spot::ALL.len()];
    // Lights whose place is said come first: the others go round them.
    for said in [true, false] {
        for (of, lights) in wanted.iter().enumerate().filter(|(_, lights)| lights.place.is_some() == said) {
            let width = width(lights);
            for spot in spread(space, wanted, of, &mut full)? {
                hung.push(Hung { of, spot, at: 0.0, width, number: 0, address: None, line: 0 });
            }
        }
    }
    for spot in Spot::ALL {
        place(space, wanted, &mut hung, spot);
    }
    number(&mut hung);
    hung.sort_by_key(|light| (light.of, light.spot, light.number));
    address(&mut hung, wanted)?;
    Ok(hung)
}

/// Room that one light takes along its place, hands included.
fn width(lights: &Wanted) -> f64 {
    lights.profile.body.width.value().map_or(0.3, |width| width.get()) + 0.2
}

/// A place for each of some lights; `full` is what the places hold already.
fn spread(
    space: &Space,
    wanted: &[Wanted],
    of: usize,
    full: &mut [f64; Spot::ALL.len()],
) -> Result<Vec<Spot>, Refused> {
    let lights = &wanted[of];
    let width = width(lights);
    let mut spots = Vec::new();
    let mut shares: Vec<(Spot, usize)> = match lights.place {
        Some(spot) => vec![(spot, lights.count)],
        None => shares(space, wanted, of),
    };
    // What finds no room where it is best goes where there is some.
    let spill: &[Spot] = match (lights.place, Class::of(&lights.profile, lights.mode)) {
        (Some(_), _) => &[],
        (None, Class::Wash | Class::Spot) => &[Spot::FrontBar, Spot::BackBar],
        (None, Class::White) => &[Spot::FrontBar, Spot::BackBar],
        (None, Class::Colour | Class::Cells) => {
            &[Spot::BackFloor, Spot::BackBar, Spot::LeftSide, Spot::RightSide, Spot::FrontBar]
        }
        (None, Class::Strobe | Class::Hazer | Class::Pack | Class::Switch | Class::Extra) => {
            &[Spot::BackFloor, Spot::LeftSide, Spot::RightSide]
        }
    };
    shares.extend(spill.iter().map(|spot| (*spot, 0)));
    let mut over = 0;
    for (spot, count) in shares {
        let place = spot as usize;
        let free = ((spot.longest(space) - full[place] + 1e-9) / width).floor().max(0.0) as usize;
        let take = if count == 0 { over.min(free) } else { count.min(free) };
        over = if count == 0 { over - take } else { over + count - take };
        full[place] += take as f64 * width;
        spots.extend(vec![spot; take]);
    }
    if over > 0 {
        let name = &lights.profile.name;
        let place = lights.place.map_or("the room".to_owned(), |spot| format!("\"{}\"", spot.name()));
        return Err(Refused::lights(format!(
            "{place} has no space for {over} of {} \"{name}\": take fewer, or a larger room",
            lights.count
        )));
    }
    Ok(spots)
}

/// How many of some lights are best where.
fn shares(space: &Space, wanted: &[Wanted], of: usize) -> Vec<(Spot, usize)> {
    let count = wanted[of].count;
    let class = |lights: &Wanted| Class::of(&lights.profile, lights.mode);
    let before = |what: &dyn Fn(Class) -> bool| -> usize {
        wanted[..of]
            .iter()
            .filter(|lights| lights.place.is_none() && what(class(lights)))
            .map(|l| l.count)
            .sum()
    };
    let all = |what: Class| -> usize {
        wanted.iter().filter(|lights| class(lights) == what).map(|lights| lights.count).sum()
    };
    let front = |most: usize, already: usize, count: usize| {
        let more_than_fits = already + count > most;
        let half = count.div_ceil(2).next_multiple_of(2).min(most.saturating_sub(already)).min(count);
        if more_than_fits { half } else { count }
    };
    match class(&wanted[of]) {
        Class::Wash | Class::Spot => {
            let there = before(&|class| class == Class::Wash || class == Class::Spot);
            let front = front(8, there, count);
            vec![(Spot::FrontBar, front), (Spot::BackBar, count - front)]
        }
        Class::White => {
            let front = front(8, before(&|class| class == Class::White), count);
            vec![(Spot::FrontBar, front), (Spot::BackBar, count - front)]
        }
        Class::Colour => {
            let there = before(&|class| class == Class::Colour);
            let faces = if all(Class::White) >= 2 { 0 } else { colour_front(there + count) };
            let front = faces.saturating_sub(colour_front(there).min(faces)).min(count);
            let rest = count - front;
            let most = if space.width > 10.0 { 6 } else { 4 };
            let back = rest.min(most);
            let rest = rest - back;
            let sides = (rest / 2).min(3);
            let bar = rest - 2 * sides;
            vec![
                (Spot::FrontBar, front),
                (Spot::BackFloor, back),
                (Spot::LeftSide, sides),
                (Spot::RightSide, sides),
                (Spot::BackBar, bar),
            ]
        }
        Class::Cells | Class::Strobe | Class::Hazer | Class::Pack | Class::Switch | Class::Extra => {
            vec![(Spot::BackFloor, count)]
        }
    }
}

/// Of so many pars, how many light faces from the front.
const fn colour_front(count: usize) -> usize {
    match count {
        0..=2 => count,
        3..=7 => 2,
        8..=15 => 4,
        _ => 6,
    }
}

/// Lays out the lights of one place: mirrored about its middle, kinds mixed evenly; a strobe and a hazer at the ends.
fn place(space: &Space, wanted: &[Wanted], hung: &mut [Hung], spot: Spot) {
    let aside = |light: &Hung| {
        let lights = &wanted[light.of];
        let class = Class::of(&lights.profile, lights.mode);
        matches!(class, Class::Strobe | Class::Hazer | Class::Pack | Class::Switch | Class::Extra)
    };
    let faces = |light: &Hung| {
        let lights = &wanted[light.of];
        let fixed = matches!(Class::of(&lights.profile, lights.mode), Class::White | Class::Colour);
        fixed && spot == Spot::FrontBar
    };
    let here: Vec<usize> = (0..hung.len()).filter(|index| hung[*index].spot == spot).collect();
    let (ends, rest): (Vec<usize>, Vec<usize>) = here.into_iter().partition(|index| aside(&hung[*index]));
    let order = mirrored(hung, &rest, &faces);
    // What stands aside takes turns at the right and the left end.
    let mut aside = [0.0; 2];
    for (index, light) in ends.iter().enumerate() {
        aside[index % 2] += hung[*light].width;
    }
    let taken: f64 = order.iter().map(|index| hung[*index].width).sum();
    let count = order.len() as f64;
    let longest = (spot.longest(space) - 2.0 * aside[0].max(aside[1])).max(taken);
    let part = if spot.is_floor() { 0.9 } else { 0.7 };
    // Far out on a low bar, beams would come in flat.
    let most = if spot.is_floor() { longest } else { space.bar_height * 2.2 };
    let wide = (longest * part).min(count * spot.apart()).min(most).max(taken);
    let spare = (wide - taken) / count.max(1.0);
    let mut left = -wide / 2.0;
    for index in order {
        let cell = hung[index].width + spare;
        hung[index].at = fine(left + cell / 2.0);
        left += cell;
    }
    let gap = ((longest - wide) / 2.0).clamp(0.0, 0.6);
    let mut beyond = [wide / 2.0 + gap; 2];
    for (index, light) in ends.into_iter().enumerate() {
        let side = index % 2;
        let at = beyond[side] + hung[light].width / 2.0;
        hung[light].at = fine(if side == 0 { at } else { -at });
        beyond[side] += hung[light].width;
    }
}

/// To five centimetres, as a tape on the bar has it.
fn fine(at: f64) -> f64 {
    (at * 20.0).round() / 20.0 + 0.0
}

/// Lights in such an order that each kind is mirrored about the middle, as far as its number is even; a pair of those that
/// light faces goes into the middle.
fn mirrored(hung: &[Hung], lights: &[usize], faces: &dyn Fn(&Hung) -> bool) -> Vec<usize> {
    let mut kinds: Vec<Vec<usize>> = Vec::new();
    for light in lights {
        match kinds.iter_mut().find(|kind| hung[kind[0]].of == hung[*light].of) {
            Some(kind) => kind.push(*light),
            None => kinds.push(vec![*light]),
        }
    }
    let mut middle = Vec::new();
    for kind in &mut kinds {
        if kind.len() % 2 == 1 {
            middle.extend(kind.pop());
        }
    }
    let inner = kinds.iter_mut().find(|kind| kind.len() >= 2 && faces(&hung[kind[0]]));
    let inner = inner.and_then(|kind| kind.pop().zip(kind.pop()));
    let pairs: Vec<usize> = kinds.iter().map(|kind| kind.len() / 2).collect();
    let (mut left, mut right) = (Vec::new(), Vec::new());
    loop {
        // The kind of which the largest part is still to come.
        let part = |kind: usize| kinds[kind].len() as f64 / 2.0 / pairs[kind].max(1) as f64;
        let most = (0..kinds.len()).filter(|kind| !kinds[*kind].is_empty());
        let Some(next) = most.max_by(|a, b| part(*a).total_cmp(&part(*b)).then(b.cmp(a))) else { break };
        left.extend(kinds[next].pop());
        right.extend(kinds[next].pop());
    }
    left.extend(inner.map(|pair| pair.0));
    right.extend(inner.map(|pair| pair.1));
    right.reverse();
    [left, middle, right].concat()
}

/// Numbers: in the order of the answers, of each place by place, and there from left to right as the audience sees it; on
/// the sides from the audience's end.
fn number(hung: &mut [Hung]) {
    let mut order: Vec<usize> = (0..hung.len()).collect();
    order.sort_by(|a, b| {
        let (a, b) = (&hung[*a], &hung[*b]);
        (a.of, a.spot).cmp(&(b.of, b.spot)).then(a.at.total_cmp(&b.at))
    });
    for (place, index) in order.into_iter().enumerate() {
        hung[index].number = place as u32 + 1;
    }
}

/// Most lights on one data line: one driver feeds 32 unit loads (EIA-485).
const LINE: f64 = 32.0;

/// Addresses one behind another, a universe begun anew where a light no longer fits; a data line for each universe, and
/// another where one driver would feed too many.
fn address(hung: &mut [Hung], wanted: &[Wanted]) -> Result<(), Refused> {
    let (mut universe, mut slot, mut line, mut loads) = (1_u32, 1_u32, 0, 0.0);
    for light in hung {
        let lights = &wanted[light.of];
        let footprint = u32::from(lights.profile.modes[lights.mode].footprint());
        let load = lights.profile.data.unit_load.value().unwrap_or(1.0).clamp(0.0, LINE);
        let switches = lights.profile.data.addressing.value() == Some(Addressing::Dip);
        // Nine switches add up to 511.
        let last = if switches { u32::from(Slot::COUNT) - 1 } else { u32::from(Slot::COUNT) };
        let past = slot > last || slot + footprint - 1 > u32::from(Slot::COUNT);
        if past {
            (universe, slot) = (universe + 1, 1);
        }
        if past || loads + load > LINE {
            (line, loads) = (line + 1, 0.0);
        }
        let too_wide = |_| {
            let name = &lights.profile.name;
            Refused::lights(format!("\"{name}\" fits into no universe: choose a smaller mode"))
        };
        if footprint > u32::from(Slot::COUNT) {
            return Err(too_wide(()));
        }
        light.address = Some(Address::new(universe, slot).map_err(|_| too_wide(()))?);
        light.line = line;
        slot += footprint;
        loads += load;
    }
    Ok(())
}
