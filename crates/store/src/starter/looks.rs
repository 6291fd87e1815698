//! Looks for the lights of a rig.

use lanthorn_physics::Point;
use lanthorn_physics::units::Radians;
use lanthorn_rig::Rig;

use super::groups::{Group, Role};
use super::recipes::{
    Aim, Extra, For, HAZE_ALONE, OF_HAZE, RECIPES, Recipe, STROBES_ALONE, SWATCHES, SWITCHES_ALONE, Say,
    Slope,
};
use super::room::{STEEP, Space, dm};
use crate::ink::{list, number, quoted};

/// Light on a face that speaks, lux: enough to read it from the last row (common practice, no source).
const FACE_LUX: f64 = 350.0;

/// The most that other lights add to it.
const BESIDE_LUX: f64 = 120.0;

/// The most that lights of one white throw on a face, all at full, in looks in which nobody speaks: so that Supper is
/// no brighter than a speech.
const SOFT_LUX: f64 = 1500.0;

/// How wide heads with a zoom are, degrees.
const ZOOM: f64 = 30.0;

/// One look, as the file writes it.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Look {
    pub(super) name: &'static str,
    pub(super) remark: &'static str,
    /// Seconds.
    pub(super) fade: u8,
    pub(super) parts: Vec<Part>,
}

/// One sentence of it: keys with their values.
pub(super) type Part = Vec<(&'static str, String)>;

/// What looks are made from.
pub(super) struct Designer<'a> {
    pub(super) rig: &'a Rig,
    pub(super) space: &'a Space,
    pub(super) groups: &'a [Group],
}

impl Designer<'_> {
    /// Every look that this rig has lights for, each different from the others.
    pub(super) fn looks(&self) -> Vec<Look> {
        let lights = |role: Role| !matches!(role, Role::Strobes | Role::Haze | Role::Switches);
        if !self.groups.iter().any(|group| lights(group.role)) {
            return self.without_light();
        }
        let mut looks: Vec<Look> = Vec::new();
        for recipe in &RECIPES {
            let fits = match recipe.needs {
                For::Every => true,
                For::Heads => [Role::Washes, Role::Spots, Role::BackHeads]
                    .iter()
                    .any(|role| self.group(*role).is_some()),
                For::Strobes => self.group(Role::Strobes).is_some(),
                For::Haze => self.group(Role::Haze).is_some(),
            };
            let parts = if fits { self.parts(recipe) } else { Vec::new() };
            if !parts.is_empty() && looks.iter().all(|look| look.parts != parts) {
                looks.push(Look { name: recipe.name, remark: recipe.remark, fade: recipe.fade, parts });
            }
        }
        looks
    }

    /// Looks of rigs that have strobes, hazers or outlets alone.
    fn without_light(&self) -> Vec<Look> {
        let look = |name, remark, part| Look { name, remark, fade: 2, parts: vec![part] };
        let mut looks = Vec::new();
        if let Some(group) = self.group(Role::Strobes) {
            for (name, level, rate) in STROBES_ALONE {
                let mut part =
                    vec![("who", quoted(group.name)), ("level", percent(f64::from(level) / 100.0))];
                let mut remark = "";
                if rate > 0 {
                    part.push(("strobe", quoted(&format!("{rate} Hz"))));
                    remark = "tell everybody at the door, and stop when anybody asks";
                }
                looks.push(look(name, remark, part));
            }
        }
        if let Some(group) = self.group(Role::Haze) {
            for (name, haze, fan) in HAZE_ALONE {
                let part = vec![
                    ("who", quoted(group.name)),
                    ("haze", percent(f64::from(haze) / 100.0)),
                    ("fan", percent(f64::from(fan) / 100.0)),
                ];
                looks.push(look(name, OF_HAZE, part));
            }
        }
        if let Some(group) = self.group(Role::Switches) {
            for (name, level, slope) in SWITCHES_ALONE {
                let mut part =
                    vec![("who", quoted(group.name)), ("level", percent(f64::from(level) / 100.0))];
                sloped(&mut part, slope, |to| percent(f64::from(to) / 100.0));
                looks.push(Look { fade: 0, ..look(name, "", part) });
            }
        }
        looks
    }

    fn group(&self, role: Role) -> Option<&Group> {
        self.groups.iter().find(|group| group.role == role)
    }

    fn parts(&self, recipe: &Recipe) -> Vec<Part> {
        let colourless = !self.groups.iter().any(|group| group.colours);
        let mut parts = Vec::new();
        let mut done = None;
        match recipe.extra {
            Extra::Faces => {
                if let Some((role, part)) = self.faces() {
                    parts.push(part);
                    done = Some(role);
                }
            }
            Extra::Aisle => parts.extend(self.aisle()),
            Extra::Nothing | Extra::Haze | Extra::Flashes | Extra::Bright => {}
        }
        for group in self.groups.iter().filter(|group| Some(group.role) != done) {
            let say = recipe.says.iter().find(|say| say.role == group.role);
            // Without any colour in the rig the levels tell looks from each other.
            let plain =
                || Say { level: recipe.plain.0, slope: recipe.plain.1, ..say.copied().unwrap_or(QUIET) };
            let lit = !matches!(group.role, Role::Strobes | Role::Haze | Role::Switches);
            let says_nothing = matches!(recipe.extra, Extra::Faces | Extra::Aisle);
            let say = match say {
                _ if colourless && lit && !says_nothing && group.role != Role::Packs => Some(plain()),
                say => say.copied(),
            };
            let bright = matches!(recipe.extra, Extra::Bright);
            let say = say.map(|say| if bright { say } else { self.soft(group, say) });
            parts.extend(say.map(|say| self.part(group, &say)));
        }
        if parts.is_empty() {
            return parts;
        }
        if matches!(recipe.extra, Extra::Flashes) {
            let flash = |group: &Group| {
                let strobe = ("strobe", quoted("1 Hz"));
                vec![("who", quoted(group.name)), ("level", percent(0.25)), strobe]
            };
            parts.extend(self.group(Role::Strobes).map(flash));
        }
        if matches!(recipe.extra, Extra::Haze) {
            let haze = |group: &Group| {
                vec![("who", quoted(group.name)), ("haze", percent(0.25)), ("fan", percent(0.4))]
            };
            parts.extend(self.group(Role::Haze).map(haze));
        }
        parts
    }

    fn part(&self, group: &Group, say: &Say) -> Part {
        let mut part = vec![("who", quoted(group.name))];
        let mut level = f64::from(say.level) / 100.0;
        let mut most = match group.role {
            Role::Front | Role::White | Role::Back => {
                group.most(self.rig, &self.shown(group, say.colours), &[], None)
            }
            _ => 1.0,
        };
        if group.is_heads() {
            let (aim, points) = self.aim(group, say.aim);
            part.push(("aim", aim));
            if !say.figure.is_empty() {
                part.push(("figure", quoted(say.figure)));
            }
            let colours = self.shown(group, say.colours);
            let zoom = group.zoom.then(|| Radians::from_deg(ZOOM));
            most = group.most(self.rig, &colours, &points, zoom);
            if say.aim == Aim::Stage {
                let lux = group.on_face(self.rig, meaning("speech white"), self.face(), zoom);
                most = most.min((BESIDE_LUX / lux.max(1.0)).sqrt());
            }
        }
        self.colour(group, say.colours, &mut part);
        let end = |to: u8| percent((f64::from(to) / 100.0).min(most));
        level = level.min(most);
        part.push(("level", percent(level)));
        sloped(&mut part, say.slope, end);
        if let Some(gobo) = say.gobo.checked_sub(1).and_then(|gobo| group.gobos.get(gobo)) {
            part.push(("gobo", quoted(gobo)));
        }
        if group.zoom {
            part.push(("zoom", quoted(&format!("{ZOOM}°"))));
        }
        part
    }

    /// Lights of one white hang near in low rooms: they are taken down so far that looks keep their order.
    fn soft(&self, group: &Group, say: Say) -> Say {
        if group.role != Role::White {
            return say;
        }
        let lux = group.on_face(self.rig, meaning("speech white"), self.face(), None);
        let softer = |level: u8| (f64::from(level) * (SOFT_LUX / lux.max(SOFT_LUX)).sqrt()).round() as u8;
        let slope = match say.slope {
            Slope::None => Slope::None,
            Slope::Across(to) => Slope::Across(softer(to)),
            Slope::Outwards(to) => Slope::Outwards(softer(to)),
        };
        Say { level: softer(say.level), slope, ..say }
    }

    fn colour(&self, group: &Group, names: &'static [&'static str], part: &mut Part) {
        if !group.colours || names.is_empty() {
            return;
        }
        // Of two spots neither is to be much the darker: a wheel's colours let through what they let through.
        let pair = group.role == Role::Spots && group.units.len() < 3;
        let names = if pair { &names[..1] } else { names };
        let mut words: Vec<String> =
            names.iter().map(|name| quoted(&group.colour(self.rig, name, meaning(name)))).collect();
        words.dedup();
        if words.len() == 1 {
            part.push(("colour", words.remove(0)));
            return;
        }
        part.push(("colour", list(words)));
        // Cells by turns would mix to one colour on the wall.
        if group.cells {
            part.push(("colour_spread", quoted("in order")));
        }
    }

    /// Colours as they come out: a swatch's own, or what a wheel has in its place.
    fn shown(&self, group: &Group, names: &'static [&'static str]) -> Vec<String> {
        let word = |name: &&'static str| group.colour(self.rig, name, meaning(name));
        let colour = |word: String| match meaning(&word) {
            "" => word,
            colour => colour.to_owned(),
        };
        names.iter().map(word).map(colour).collect()
    }

    /// What heads are aimed at, and points of it.
    fn aim(&self, group: &Group, aim: Aim) -> (String, Vec<Point>) {
        let space = self.space;
        let half = space.dance_half();
        let line = |from: f64, y: f64, z: f64| {
            let ends = [Point::new(from, y, z), Point::new(-from, y, z)];
            let [a, b] = ends.map(|at| list([at.x(), at.y(), at.z()].map(|value| number(value + 0.0))));
            // Lights between have their spots between.
            let along = |step: i8| Point::new(from * f64::from(step) / 4.0, y, z);
            (format!("{{ from = {a}, to = {b} }}"), (-4..=4).map(along).collect())
        };
        if group.role == Role::FloorHeads {
            let ys: Vec<f64> =
                group.units.iter().map(|unit| self.rig.position(&self.rig.units[*unit]).y()).collect();
            let y = dm(ys.iter().sum::<f64>() / ys.len().max(1) as f64);
            let narrow = dm(half * 0.5);
            return match aim {
                Aim::Crossed => line(half, y, space.height),
                Aim::Narrow | Aim::Middle => line(-narrow, y, space.height),
                Aim::Wide | Aim::Wall | Aim::Stage => line(-half, y, space.height),
            };
        }
        let [wall_x, wall_z] = space.wall_spot();
        let y = space.dance_middle();
        let floor = |from: f64, y: f64| {
            let [from, y] = self.steep(group, from, y, 0.0);
            line(from, y, 0.0)
        };
        let middle = || {
            // Paths go round it.
            let [_, nearer] = self.steep(group, 0.0, y, space.dance_radius());
            let at = Point::new(0.0, nearer, 0.0);
            let mark = quoted("dance floor");
            (if (nearer - y).abs() < 0.05 { mark } else { list([0.0, nearer, 0.0].map(number)) }, vec![at])
        };
        match aim {
            Aim::Wide => floor(-half, y),
            Aim::Crossed => floor(half, y),
            // A line nearer to the stage, so that the floor is lit in depth.
            Aim::Narrow => floor(-dm(half * 0.5), dm(y + (space.dance[1] - y) * 0.25)),
            Aim::Middle => middle(),
            // Right under the wall nothing reaches it.
            Aim::Wall if group.role == Role::BackHeads => middle(),
            Aim::Wall => {
                let ends = [-wall_x, wall_x].map(|x| Point::new(x, space.far, wall_z)).to_vec();
                ("{ from = \"back wall left\", to = \"back wall right\" }".to_owned(), ends)
            }
            Aim::Stage => line(-1.2, space.face[0], space.face[1]),
        }
    }

    /// Where a line on the floor begins and how far back it lies, drawn in and towards the lights until every beam comes
    /// down well above the line of sight of whoever stands in it; `beyond` is how far spots go beyond it.
    fn steep(&self, group: &Group, from: f64, y: f64, beyond: f64) -> [f64; 2] {
        let last = group.units.len().saturating_sub(1).max(1) as f64;
        let flat = |[from, y]: &[f64; 2]| {
            group.units.iter().enumerate().any(|(place, unit)| {
                let lens = self.rig.pivot(&self.rig.units[*unit]);
                let x = if group.units.len() > 1 { from - 2.0 * from * place as f64 / last } else { 0.0 };
                (lens.x() - x).hypot(lens.y() - y) + beyond > lens.z() * STEEP
            })
        };
        // Right under the front bar its heads could not follow a path.
        let nearest = if group.role == Role::BackHeads { self.space.dance[1] - 0.3 } else { y };
        let nearer = (0..5).map(|step| dm(y + (nearest - y) * f64::from(step) / 4.0));
        let drawn_in = |y: f64| (0..6).map(move |step| [dm(from * (1.0 - f64::from(step) * 0.14)), y]);
        let best = nearer.flat_map(drawn_in).find(|line| !flat(line));
        best.unwrap_or([dm(from * 0.3), nearest])
    }

    /// Where somebody speaks.
    fn face(&self) -> Point {
        Point::new(0.0, self.space.face[0], self.space.face[1])
    }

    /// Light for a face, from the lights that are best for it.
    fn faces(&self) -> Option<(Role, Part)> {
        const BEST: [Role; 8] = [
            Role::White,
            Role::Front,
            Role::Washes,
            Role::Spots,
            Role::BackHeads,
            Role::Back,
            Role::Walls,
            Role::FloorHeads,
        ];
        let group = BEST.iter().find_map(|role| self.group(*role))?;
        let from_front = matches!(group.role, Role::White | Role::Front | Role::Washes | Role::Spots);
        if !from_front {
            let say = Say { colours: &["speech white"], level: 90, aim: Aim::Narrow, ..QUIET };
            return Some((group.role, self.part(group, &say)));
        }
        let face = self.face();
        let mut part = Vec::new();
        let mut lights = group.clone();
        if group.is_heads() && group.units.len() > 4 {
            let numbers = group.middle(self.rig, 4, self.space);
            lights.units.retain(|unit| numbers.contains(&self.rig.units[*unit].number));
            part.push(("who", list(numbers.iter().map(u32::to_string))));
        } else {
            part.push(("who", quoted(group.name)));
        }
        if group.is_heads() {
            part.push(("aim", quoted("speaker")));
        }
        self.colour(group, &["speech white"], &mut part);
        // Half as much again must be there, or a level in lux could not be kept.
        let zoom = group.zoom.then(|| Radians::from_deg(ZOOM));
        let lux = lights.on_face(self.rig, meaning("speech white"), face, zoom);
        let level = if lux > FACE_LUX * 1.5 { quoted(&format!("{FACE_LUX} lx")) } else { percent(0.9) };
        part.push(("level", level));
        if group.zoom {
            part.push(("zoom", quoted(&format!("{ZOOM}°"))));
        }
        Some((group.role, part))
    }

    /// The way through the dark: two heads from above, or whatever else there is, low.
    fn aisle(&self) -> Option<Part> {
        if let Some(group) = self.group(Role::Washes).or(self.group(Role::Spots)) {
            let numbers = group.middle(self.rig, 2, self.space);
            let at = Point::new(0.0, self.space.aisle(), 0.0);
            let zoom = group.zoom.then(|| Radians::from_deg(ZOOM));
            let most = group.most(self.rig, &self.shown(group, &["lamplight"]), &[at], zoom);
            let mut part = vec![("who", list(numbers.iter().map(u32::to_string))), ("aim", quoted("aisle"))];
            self.colour(group, &["lamplight"], &mut part);
            // The beam of a spot is bright as it is.
            let level = if group.role == Role::Spots { 0.3 } else { 0.45 };
            part.push(("level", percent(most.min(level))));
            if group.zoom {
                part.push(("zoom", quoted(&format!("{ZOOM}°"))));
            }
            return Some(part);
        }
        const NEXT: [(Role, u8); 7] = [
            (Role::Walls, 20),
            (Role::White, 10),
            (Role::Front, 18),
            (Role::Back, 16),
            (Role::BackHeads, 16),
            (Role::FloorHeads, 20),
            (Role::Packs, 10),
        ];
        NEXT.iter().find_map(|(role, level)| {
            let say = Say { colours: &["lamplight"], level: *level, aim: Aim::Narrow, ..QUIET };
            self.group(*role).map(|group| self.part(group, &self.soft(group, say)))
        })
    }
}

/// Says how the level goes over the lights; `end` writes that of the last one.
fn sloped(part: &mut Part, slope: Slope, end: impl FnOnce(u8) -> String) {
    let (to, spread) = match slope {
        Slope::None => return,
        Slope::Across(to) => (to, "in order"),
        Slope::Outwards(to) => (to, "from the middle"),
    };
    part.push(("level_to", end(to)));
    part.push(("level_spread", quoted(spread)));
}

/// A sentence that says nothing yet.
const QUIET: Say = Say {
    role: Role::White,
    colours: &[],
    level: 0,
    slope: Slope::None,
    aim: Aim::Wide,
    gobo: 0,
    figure: "",
};

/// What a swatch means.
fn meaning(name: &str) -> &'static str {
    SWATCHES.iter().find(|(swatch, _)| *swatch == name).map_or("", |(_, colour)| colour)
}

/// "85 %", never more than asked: in steps of 5, low levels in steps of 1, never less than 5.
fn percent(part: f64) -> String {
    let whole = (part * 100.0 + 1e-6).floor().clamp(5.0, 100.0);
    let step = if whole < 20.0 { 1.0 } else { 5.0 };
    quoted(&format!("{} %", (whole / step).floor() * step))
}
