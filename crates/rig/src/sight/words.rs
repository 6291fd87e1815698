//! What the sights say, in plain sentences for the page and the command line.

use glam::DVec3;
use lanthorn_physics::Point;
use lanthorn_physics::units::Metres;

use super::problem::{Problem, vector};
use super::solve::{NotYet, Solved, SpotAt, enough, next_mark};

/// Marks nearer to a common plane than this lie in it.
const IN_PLANE: f64 = 0.05;
/// A light this far from its taped place is worth a word.
const MOVED: Metres = Metres::new(0.15);

/// What is known, what is wrong and what to do; most important first. `marks` are those that can be sighted, each with
/// the light's spot there.
pub fn words(problem: &Problem, outcome: Result<&Solved, &NotYet>, marks: &[SpotAt]) -> Vec<String> {
    let mut says = Vec::new();
    match outcome {
        Err(why) => not_yet(problem, why, &mut says),
        Ok(solved) => {
            wrong_marks(problem, solved, &mut says);
            twins(problem, solved, &mut says);
            travels(solved, &mut says);
            moved(problem, solved, &mut says);
            how_well(solved, marks, &mut says);
        }
    }
    if outcome.as_ref().is_ok_and(|solved| enough(solved, marks) && !solved.twin)
        || matches!(outcome, Err(NotYet::Wrong(_)))
    {
        return says;
    }
    let points: Vec<Point> = marks.iter().map(|mark| mark.at).collect();
    if let Some(index) = next_mark(problem, outcome.ok(), &points) {
        let reason = match outcome {
            Ok(_) => "that gains most",
            Err(_) if problem.sights.is_empty() => "any mark will do for a start",
            Err(_) => "it lies farthest from those already sighted",
        };
        says.push(format!("Sight {} next: {reason}.", marks[index].name));
    }
    says
}

fn not_yet(problem: &Problem, why: &NotYet, says: &mut Vec<String>) {
    match why {
        NotYet::Wrong(text) => says.push(format!("This cannot be solved: {text}.")),
        NotYet::TooFew { have, need, sign_check_helps } => {
            let place = if problem.position.is_some() { "" } else { " while nobody has measured where the light is" };
            says.push(format!(
                "{} sighted so far; {} needed{place}.",
                count(*have, "different mark is", "different marks are"),
                count(*need, "is", "are"),
            ));
            if *sign_check_helps {
                says.push(
                    "Two marks cannot tell which way pan runs: sight a third, or do the sign check.".to_owned(),
                );
            }
        }
        NotYet::Vague => says.push(
            "The marks do not pin the light down: they lie too near each other, in one line, or at the light itself. \
             Sight one well away from the others."
                .to_owned(),
        ),
    }
}

/// "1 mark is", "3 marks are".
fn count(number: usize, one: &str, more: &str) -> String {
    format!("{number} {}", if number == 1 { one } else { more })
}

fn label(problem: &Problem, index: usize) -> String {
    match &problem.sights[index].name {
        Some(name) => format!("Mark {} ({name})", index + 1),
        None => format!("Mark {}", index + 1),
    }
}

fn wrong_marks(problem: &Problem, solved: &Solved, says: &mut Vec<String>) {
    for (index, miss) in solved.misses.iter().enumerate().filter(|(_, miss)| miss.wrong) {
        says.push(format!(
            "{} does not fit the others: it is {} off; sight it again or take it back.",
            label(problem, index),
            length(miss.off)
        ));
    }
}

fn twins(problem: &Problem, solved: &Solved, says: &mut Vec<String>) {
    let flat = in_one_plane(problem);
    if solved.twin {
        let more = match (problem.pan_backwards, flat) {
            (_, true) => "sight one mark well above or below the others",
            (None, false) => "sight one more mark far from the others, or do the sign check",
            (Some(_), false) => "sight one more mark far from the others",
        };
        says.push(format!("Another way to hang fits nearly as well, so do not trust this yet: {more}."));
    } else if flat && problem.position.is_none() {
        says.push(
            "All marks lie in one plane. Mirrored in it, with pan running the other way, the light would fit just as \
             well; that twin was ruled out because it lies below the floor. One raised mark would prove it."
                .to_owned(),
        );
    }
}

fn travels(solved: &Solved, says: &mut Vec<String>) {
    for (travel, axis) in solved.travels.iter().zip(["Pan", "Tilt"]) {
        let percent = (travel.scale - 1.0) * 100.0;
        if !travel.freed || percent.abs() < 0.5 {
            continue;
        }
        let less = if percent < 0.0 { "less" } else { "more" };
        let sd = (2.0 * travel.sd * 100.0).max(0.5);
        says.push(format!(
            "{axis} travels {:.0} % {less} than the manual says (give or take {sd:.1} %).",
            percent.abs()
        ));
    }
}

fn moved(problem: &Problem, solved: &Solved, says: &mut Vec<String>) {
    let Some((taped, _)) = problem.position else { return };
    let by = solved.pose.pivot.distance(taped);
    let doubt = solved.position_sd.iter().fold(Metres::ZERO, |most, sd| most.max(*sd)) * 2.0;
    if by > MOVED.max(doubt) {
        says.push(format!("The light is {} from where the plan has it.", length(by)));
    }
}

fn how_well(solved: &Solved, marks: &[SpotAt], says: &mut Vec<String>) {
    let judged = marks.iter().filter_map(|mark| {
        let (radius, error) = (mark.radius?, solved.expected_error(mark.at)?);
        Some((error.get() / radius.get().max(1e-6), error, radius, &mark.name))
    });
    if let Some((_, error, radius, name)) = judged.max_by(|a, b| a.0.total_cmp(&b.0)) {
        let verdict = if enough(solved, marks) { "enough" } else { "not enough yet" };
        says.push(format!(
            "Known to {} at {name}, the worst mark; the spot there is {} wide: {verdict}.",
            length(error),
            length(radius * 2.0)
        ));
    } else if let Some(mean) = solved.expected_error_mean() {
        says.push(format!("Known to {} on the mean over the floor (95 of 100 aims).", length(mean)));
    }
}

/// Do all marks lie in one plane? Three or fewer always do.
fn in_one_plane(problem: &Problem) -> bool {
    let points: Vec<DVec3> = problem.sights.iter().map(|sight| vector(sight.at)).collect();
    let Some(first) = points.first() else { return true };
    // The widest triangle on the first mark gives the plane.
    let mut normal = DVec3::ZERO;
    for (index, a) in points.iter().enumerate() {
        for b in &points[index + 1..] {
            let cross = (*a - *first).cross(*b - *first);
            if cross.length_squared() > normal.length_squared() {
                normal = cross;
            }
        }
    }
    let normal = normal.normalize_or_zero();
    points.iter().all(|point| (*point - *first).dot(normal).abs() < IN_PLANE)
}

/// Whole centimetres up to a metre, then metres with one digit; never less than a centimetre.
fn length(of: Metres) -> String {
    let cm = of.get() * 100.0;
    match cm {
        _ if cm < 1.0 => "under 1 cm".to_owned(),
        _ if cm < 99.5 => format!("{cm:.0} cm"),
        _ => format!("{:.1} m", of.get()),
    }
}
