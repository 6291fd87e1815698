//! Several lights and points in a room.

use lanthorn_physics::beam::{Distribution, diameter_at, illuminance, spot_ellipse, where_ray_hits_plane};
use lanthorn_physics::colour::{self, Chromaticity, Xyz};
use lanthorn_physics::units::{Candela, Lux, Metres, Radians};
use lanthorn_physics::{Direction, Point, Rotation};
use serde_json::{Value, json};

use super::{Case, amount, degrees, distribution, flux, intensity, number, summary, text};

/// One light.
struct Beam {
    from: Point,
    along: Direction,
    /// Takes directions of the light's own frame, beam straight down, to the world's.
    world_from_beam: Rotation,
    shape: Distribution,
    /// On the axis at full.
    peak: Candela,
    level: f64,
    colour: Option<Chromaticity>,
    /// Light on the surface as it is, without geometry.
    fixed: Option<Lux>,
    file: Value,
}

pub(super) fn solve(case: &Case, beams: &[Value]) -> Result<Value, String> {
    let beams: Vec<Beam> = beams
        .iter()
        .enumerate()
        .map(|(index, beam)| Beam::read(beam).map_err(|error| format!("beam {}: {error}", index + 1)))
        .collect::<Result<_, _>>()?;
    let none = Vec::new();
    let points = match case.get("points").or_else(|| case.get("point")) {
        Some(Value::Array(list)) if list.first().is_some_and(Value::is_number) => {
            vec![Value::Array(list.clone())]
        }
        Some(Value::Array(list)) => list.clone(),
        Some(one) => vec![one.clone()],
        // Lights with fixed lux need no point.
        None if beams.iter().any(|beam| beam.fixed.is_some()) => vec![json!({ "at": [0.0, 0.0, 0.0] })],
        None => none,
    };
    let points: Vec<Value> = points
        .iter()
        .enumerate()
        .map(|(index, at)| point(at, &beams).map_err(|error| format!("point {}: {error}", index + 1)))
        .collect::<Result<_, _>>()?;
    let floor = number(case, &["floor_z_m", "floor_m"])?.unwrap_or(0.0);
    let beams: Vec<Value> = beams.iter().map(|beam| beam.tell(floor)).collect();
    Ok(json!({ "points": points, "beams": beams }))
}

impl Beam {
    fn read(beam: &Value) -> Result<Self, String> {
        let beam = beam.as_object().ok_or("a beam is an object")?;
        let (shape, file) = distribution(beam)?;
        let fixed = amount(beam, &["lux", "lx", "E_lx"])?.and_then(Lux::checked);
        let from = match ["pos", "from", "at", "position"].iter().find_map(|key| beam.get(*key)) {
            Some(at) => Point::from(triple(at, "pos")?),
            None if fixed.is_some() => Point::ORIGIN,
            None => return Err("\"pos\" says where it hangs: [x, y, z]".to_owned()),
        };
        let (along, world_from_beam) = axis(beam, from)?;
        let flux = flux(beam)?;
        // A light with nothing said of its spread shines like a point, all round.
        let shape = shape.unwrap_or(Distribution::Even);
        let measured = file.as_ref().map(|file| file.table.curve().intensity(Radians::ZERO));
        let peak = intensity(beam)?
            .or_else(|| flux.map(|flux| shape.peak_from_flux(flux)))
            .or(measured)
            .or(fixed.map(|_| Candela::ZERO))
            .ok_or("say how bright it is: peak_cd, flux_lm or ies")?;
        let level = amount(beam, &["level", "dimmer"])?.unwrap_or(1.0);
        let file = file.as_ref().map_or(Value::Null, summary);
        Ok(Self {
            from,
            along,
            world_from_beam,
            shape,
            peak,
            level,
            colour: chromaticity(beam)?,
            fixed,
            file,
        })
    }

    fn lux_at(&self, at: Point, normal: Direction) -> Lux {
        if let Some(fixed) = self.fixed {
            return fixed * self.level;
        }
        let towards = self.from.towards(at).unwrap_or(self.along);
        let off_axis = self.along.angle_to(towards);
        let own = self.world_from_beam.inverse().apply(towards);
        let around = Radians::new(own.y().atan2(own.x()));
        let part = self.shape.relative(off_axis, around) * self.level;
        illuminance(self.peak * part, self.from, at, normal)
    }

    fn tell(&self, floor: f64) -> Value {
        let beam = self.shape.full_angle(0.5);
        let field = self.shape.full_angle(0.1);
        let plane = Point::new(self.from.x(), self.from.y(), floor);
        let hit = where_ray_hits_plane(self.from, self.along, plane, Direction::UP);
        let throw = hit.map(|hit| self.from.distance(hit));
        let ellipse = |full: Option<Radians>| {
            let ellipse = spot_ellipse(self.from, self.along, full? / 2.0, plane, Direction::UP)?;
            Some(json!({
                "centre": <[f64; 3]>::from(ellipse.centre),
                "semi_major_m": ellipse.semi_major(),
                "semi_minor_m": ellipse.semi_minor(),
                "major": ellipse.major,
                "minor": ellipse.minor,
            }))
        };
        let diameter =
            |full: Option<Radians>| full.zip(throw).map(|(full, throw)| diameter_at(throw, full).get());
        json!({
            "dir": <[f64; 3]>::from(self.along),
            "peak_cd": self.peak.get(),
            "flux_lm": self.peak.get() * self.shape.lumens_per_candela(),
            "beam_deg": beam.map(Radians::deg),
            "field_deg": field.map(Radians::deg),
            "floor": hit.map(<[f64; 3]>::from),
            "throw_m": throw.map(Metres::get),
            "lux": hit.map(|hit| self.lux_at(hit, Direction::UP).get()),
            "diameter_m": diameter(beam),
            "field_diameter_m": diameter(field),
            "spot": ellipse(beam),
            "field_spot": ellipse(field),
            "ies": self.file,
        })
    }
}

fn triple(value: &Value, key: &str) -> Result<[f64; 3], String> {
    let wrong = || format!("\"{key}\" is three numbers: [x, y, z]");
    let list = value.as_array().filter(|list| list.len() == 3).ok_or_else(wrong)?;
    let mut triple = [0.0; 3];
    for (slot, item) in triple.iter_mut().zip(list) {
        *slot = item.as_f64().filter(|number| number.abs() < 1e9).ok_or_else(wrong)?;
    }
    Ok(triple)
}

fn direction(value: &Value, key: &str) -> Result<Direction, String> {
    let [x, y, z] = triple(value, key)?;
    Direction::new(x, y, z).ok_or_else(|| format!("\"{key}\" has no direction"))
}

/// Where it points, and how its own frame lies. Straight down when nothing is said.
fn axis(beam: &Case, from: Point) -> Result<(Direction, Rotation), String> {
    let target = ["target", "aim"].iter().find_map(|key| beam.get(*key));
    let along = match (target, beam.get("dir").or_else(|| beam.get("direction"))) {
        (Some(target), _) => Some(
            from.towards(Point::from(triple(target, "target")?))
                .ok_or("\"target\" is where the light itself is")?,
        ),
        (None, Some(dir)) => Some(direction(dir, "dir")?),
        (None, None) => None,
    };
    if let Some(along) = along {
        // The shortest turn from straight down.
        let tilt = Direction::DOWN.angle_to(along);
        let pan = Radians::new((-along.x()).atan2(along.y()));
        let turn = Rotation::about_z(-pan).then(Rotation::about_x(tilt)).then(Rotation::about_z(pan));
        return Ok((along, turn));
    }
    let angle = |keys: &[&str]| Ok::<_, String>(degrees(beam, keys)?.unwrap_or(Radians::ZERO));
    let head = Rotation::about_x(angle(&["tilt_deg"])?).then(Rotation::about_z(angle(&["pan_deg"])?));
    match beam.get("R") {
        None => Ok((head.apply(Direction::DOWN), head)),
        Some(matrix) => {
            let rows = matrix
                .as_array()
                .filter(|rows| rows.len() == 3)
                .ok_or("\"R\" is three rows of three numbers")?;
            let rows: Vec<[f64; 3]> = rows.iter().map(|row| triple(row, "R")).collect::<Result<_, _>>()?;
            let world = Rotation::from_rows([rows[0], rows[1], rows[2]]).ok_or("\"R\" is no rotation")?;
            let turn = head.then(world);
            Ok((turn.apply(Direction::DOWN), turn))
        }
    }
}

/// `xy`, or `colour` in words.
fn chromaticity(beam: &Case) -> Result<Option<Chromaticity>, String> {
    if let Some(xy) = beam.get("xy").and_then(Value::as_array) {
        let pair: Vec<f64> = xy.iter().filter_map(Value::as_f64).collect();
        return match pair[..] {
            [x, y] if y > 0.0 && x >= 0.0 && x + y <= 1.0 => Ok(Some(Chromaticity::new(x, y))),
            _ => Err("\"xy\" is a colour such as [0.45, 0.41]".to_owned()),
        };
    }
    match text(beam, "colour")? {
        Some(words) => {
            colour::parse(words).map(|target| Some(target.chromaticity)).map_err(|error| error.to_string())
        }
        None => Ok(None),
    }
}

fn point(point: &Value, beams: &[Beam]) -> Result<Value, String> {
    let (at, normal) = match point {
        Value::Array(_) => (triple(point, "point")?, Direction::UP),
        Value::Object(point) => {
            let at = ["at", "xyz", "pos", "point", "position"].iter().find_map(|key| point.get(*key));
            let at = triple(at.ok_or("\"at\" says where it is: [x, y, z]")?, "at")?;
            (at, normal(point, Point::from(at), beams)?)
        }
        _ => return Err("a point is [x, y, z] or {\"at\": [x, y, z], \"normal\": …}".to_owned()),
    };
    let each: Vec<f64> = beams.iter().map(|beam| beam.lux_at(Point::from(at), normal).get()).collect();
    let sum: f64 = each.iter().sum();
    let lit = || beams.iter().zip(&each).filter(|(_, lux)| **lux > 0.0);
    // Light of a colour that nobody told would make the sum a lie.
    let xyz: Option<Xyz> =
        lit().map(|(beam, lux)| Some(Xyz::from_chromaticity(beam.colour?, *lux))).sum::<Option<Xyz>>();
    let xyz = xyz.filter(|_| sum > 0.0);
    let xy = xyz.and_then(|xyz| xyz.chromaticity());
    Ok(json!({
        "at": at,
        "normal": <[f64; 3]>::from(normal),
        "lux": each,
        "sum_lux": sum,
        "XYZ": xyz.map(|xyz| [xyz.x, xyz.y, xyz.z]),
        "xy": xy.map(|xy| [xy.x, xy.y]),
    }))
}

/// A vector, or a word: floor, up, ceiling, down, face (upright, to the audience), towards (square to the first light).
fn normal(point: &Case, at: Point, beams: &[Beam]) -> Result<Direction, String> {
    let audience = || Direction::new(0.0, -1.0, 0.0).ok_or("no direction".to_owned());
    match ["normal", "face", "plane", "surface"].iter().find_map(|key| point.get(*key)) {
        None | Some(Value::Null) => Ok(Direction::UP),
        Some(Value::String(word)) => match word.as_str() {
            "floor" | "up" | "level" => Ok(Direction::UP),
            "ceiling" | "down" => Ok(Direction::DOWN),
            "face" => match point.get("towards") {
                Some(towards) => {
                    let to = at.towards(Point::from(triple(towards, "towards")?));
                    to.and_then(lanthorn_physics::beam::face)
                        .ok_or("\"towards\" is straight above or below".to_owned())
                }
                None => audience(),
            },
            "towards" | "source" => {
                let light = beams.first().ok_or("there is no light to turn to")?;
                at.towards(light.from).ok_or("the first light is there itself".to_owned())
            }
            other => Err(format!("\"{other}\" is no surface: floor, ceiling, face, towards, or a vector")),
        },
        Some(vector) => direction(vector, "normal"),
    }
}
