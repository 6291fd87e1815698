//! Data cables: order, lengths, counts.

use lanthorn_rig::sums::route::{length, shortest};
use lanthorn_rig::sums::stock::{AT_BOTH_ENDS_M, SLACK, SPARE_RULE, USUAL_M, count, pick, spares};
use serde_json::{Value, json};

use super::fields::{COUNT, Fields};
use super::power::LIGHTS;
use super::shown;

/// Unit loads and metres of one line, as the plan has them.
const UNIT_LOADS: f64 = 32.0;
const LONGEST_M: f64 = 300.0;
const SOURCE: &str = "one line from controller to terminator: N lights, N cables; 32 unit loads (EIA-485); 300 m (published cabling guides)";
const CAUTION: &str = "One line, its last light terminated (120 ohm between pins 2 and 3), never a plain Y; a splitter's outputs are lines of their own.";
const MOST_LIGHTS: usize = 200;

pub(super) fn cables(case: &Fields) -> Result<Value, String> {
    let stock = case
        .numbers(&["stock", "stock_m", "lengths_in_stock", "cable_lengths"])?
        .unwrap_or_else(|| USUAL_M.to_vec());
    if let Some(ways) = case.numbers(&["lengths", "ways", "distances", "runs", "lengths_m", "ways_m"])? {
        return by_lengths(case, &ways, &stock);
    }
    let lights = case.entries(&[&["points", "positions"], LIGHTS].concat(), "light", "at");
    match lights {
        Ok(Some(lights)) if lights.iter().any(|light| light.has(&["at", "xyz", "position", "x"])) => {
            by_places(case, &lights, &stock)
        }
        Ok(Some(lights)) => by_count(case, lights.len() as u32),
        _ => {
            let what = "a list of points [x, y, z]; or \"count\"";
            let lights =
                case.count(&[LIGHTS, COUNT].concat())?.ok_or_else(|| case.missing("lights", what))?;
            by_count(case, lights)
        }
    }
}

/// So many lights on so many lines.
fn by_count(case: &Fields, lights: u32) -> Result<Value, String> {
    let splitter = case.flag(&["splitter", "with_splitter"])?;
    let lines = case.count(&["lines", "line_count", "branches"])?.unwrap_or(1).max(1);
    let linked = case.flag(&["linked", "no_controller"])?;
    let first = u32::from(splitter);
    let cables = if linked { lights.saturating_sub(lines) } else { lights + first };
    let carry = cables as usize + spares(cables as usize);
    let loads =
        case.number(&["unit_load", "unit_load_each"])?.unwrap_or(1.0) * f64::from(lights) / f64::from(lines);
    Ok(json!({
        "cables": cables, "spares": spares(cables as usize), "to_carry": carry, "carry": carry, "terminators": lines, "lines": lines,
        "unit_loads_per_line": loads, "needs_splitter": loads > UNIT_LOADS,
        "formula": format!("as many cables as lights, one more to a splitter; spares: {SPARE_RULE}"), "source": SOURCE, "caution": CAUTION,
        "says": format!("{cables} cables and {lines} terminator{}; carry {carry}.", if lines == 1 { "" } else { "s" }),
    }))
}

/// Cables for ways that are known.
fn by_lengths(case: &Fields, ways: &[f64], stock: &[f64]) -> Result<Value, String> {
    let (slack, ends) = slack(case)?;
    let needs: Vec<f64> = ways.iter().map(|way| way.max(0.0) * slack + ends).collect();
    let picked: Vec<Vec<f64>> = needs.iter().map(|need| pick(*need, stock)).collect();
    let flat: Vec<f64> = picked.iter().flatten().copied().collect();
    let carry = flat.len() + spares(flat.len());
    let list = counted(&flat);
    Ok(json!({
        "needs_m": needs, "cables_m": picked, "counts": list, "cables": flat.len(), "spares": spares(flat.len()), "to_carry": carry,
        "total_m": flat.iter().sum::<f64>(), "formula": formula(slack, ends), "source": SLACK_SOURCE, "caution": CAUTION,
        "says": format!("{} cables: {}; carry {carry}.", flat.len(), words(&flat)),
    }))
}

const SLACK_SOURCE: &str = "slack, stock lengths and spares: common practice, no source";

/// Factor on the way, and metres for both ends.
fn slack(case: &Fields) -> Result<(f64, f64), String> {
    let said = case.scaled(&[("slack", 1.0), ("slack_share", 1.0), ("slack_percent", 0.01)])?;
    let ends = case.amount(&[("ends_m", 1.0), ("slack_m", 1.0), ("end_slack_m", 1.0)])?;
    Ok(match (said, ends) {
        (None, None) => (SLACK, AT_BOTH_ENDS_M),
        (said, ends) => {
            let factor = said.map_or(1.0, |share| if share >= 1.0 { share } else { 1.0 + share });
            (factor, ends.unwrap_or(0.0))
        }
    })
}

fn formula(slack: f64, ends: f64) -> String {
    format!("way x {slack} + {ends} m, then the next longer cable of the stock; spares: {SPARE_RULE}")
}

fn counted(cables: &[f64]) -> Vec<Value> {
    count(cables).into_iter().map(|(metres, count)| json!({ "length_m": metres, "count": count })).collect()
}

fn words(cables: &[f64]) -> String {
    let parts: Vec<String> =
        count(cables).iter().map(|(metres, count)| format!("{count} of {} m", shown(*metres))).collect();
    parts.join(", ")
}

/// The shortest line past lights whose places are known.
fn by_places(case: &Fields, lights: &[Fields], stock: &[f64]) -> Result<Value, String> {
    if lights.len() > MOST_LIGHTS {
        return Err(format!("at most {MOST_LIGHTS} lights at once"));
    }
    let mut places = Vec::new();
    for light in lights {
        let at = match light.point(&["at", "xyz", "position"])? {
            Some(at) => at,
            None => {
                let part = |key| light.number(&[key]).map(|n| n.unwrap_or(0.0));
                [part("x")?, part("y")?, part("z")?]
            }
        };
        places.push(at);
    }
    let start = case.point(&["controller", "start", "from", "origin", "desk"])?;
    let metric =
        case.text(&["metric", "way", "distance"])?.map_or_else(String::new, |word| word.to_lowercase());
    let along_walls =
        ["manhattan", "walls", "rect", "floor", "taxicab"].iter().any(|word| metric.contains(word));
    let far = |a: &[f64; 3], b: &[f64; 3]| -> f64 {
        let parts = a.iter().zip(b).map(|(a, b)| (a - b).abs());
        if along_walls { parts.sum() } else { parts.map(|part| part * part).sum::<f64>().sqrt() }
    };
    let from_start: Option<Vec<f64>> = start.map(|start| places.iter().map(|at| far(&start, at)).collect());
    let between: Vec<Vec<f64>> = places.iter().map(|a| places.iter().map(|b| far(a, b)).collect()).collect();
    let best = shortest(from_start.as_deref(), &between);
    let today: Vec<usize> = (0..places.len()).collect();
    let now = length(from_start.as_deref(), &between, &today);
    let mut names = Vec::new();
    for (index, light) in lights.iter().enumerate() {
        names.push(light.name(index)?);
    }
    let (slack, ends) = slack(case)?;
    let first = from_start.as_ref().zip(best.order.first()).map(|(from, first)| from[*first]);
    let legs: Vec<f64> =
        first.into_iter().chain(best.order.windows(2).map(|pair| between[pair[0]][pair[1]])).collect();
    let picked: Vec<Vec<f64>> = legs.iter().map(|leg| pick(leg * slack + ends, stock)).collect();
    let flat: Vec<f64> = picked.iter().flatten().copied().collect();
    let loads: f64 =
        lights.iter().map(|light| light.number(&["unit_load"]).ok().flatten().unwrap_or(1.0)).sum();
    let why = if loads > UNIT_LOADS {
        Some("more than 32 unit loads on one line")
    } else if best.length > LONGEST_M {
        Some("more than 300 m in one line")
    } else {
        None
    };
    let order: Vec<&str> = best.order.iter().map(|index| names[*index].as_str()).collect();
    let sure = if best.exact { "no order is shorter" } else { "the best found; there may be a shorter one" };
    let splitter = why.map_or_else(String::new, |why| format!(" A splitter is needed: {why}."));
    Ok(json!({
        "order": order, "order_index": best.order, "length_m": best.length, "total_m": best.length, "today_m": now, "saves_m": now - best.length,
        "exact": best.exact, "legs_m": legs, "cables_m": picked, "counts": counted(&flat), "cables": legs.len(),
        "spares": spares(legs.len()), "to_carry": legs.len() + spares(legs.len()), "terminator_on": order.last(), "terminators": usize::from(!order.is_empty()),
        "unit_loads": loads, "needs_splitter": why.is_some(), "splitter": why,
        "formula": format!("shortest order from the controller past every light (dynamic programming to 12 lights, then exchanges); {}", formula(slack, ends)),
        "source": format!("{SOURCE}; {SLACK_SOURCE}"), "caution": CAUTION,
        "says": format!("{}: {} m instead of {} m ({sure}); {} cables: {}.{splitter}", order.join(" → "), shown(best.length), shown(now), legs.len(), words(&flat)),
    }))
}
