//! Lights on circuits by search; three phases.

use lanthorn_rig::sums::assign::{Answer, Bin, Item, MOST_BINS, Problem, assign};
use lanthorn_rig::sums::electric::{neutral_with_third, phases as phase_sums};
use serde_json::{Map, Value, json};

use super::fields::{BREAKER, COUNT, Fields, OTHER, VOLT_AMPS, WATTS, read_point};
use super::power::{LIGHTS, continuous, load, volts};
use super::shown;

const CIRCUITS: &[&str] = &["circuits", "bins", "breakers", "sockets", "supplies"];
/// Most lights in one problem.
const MOST_LIGHTS: usize = 200;
const CAUTION: &str = "A circuit is not a socket: ask what else hangs on its breaker. A licensed electrician confirms the list.";

/// A circuit of the case.
struct Circuit {
    name: String,
    bin: Bin,
    at: Option<[f64; 3]>,
    reach: Option<f64>,
}

/// A light of the case.
struct Light {
    name: String,
    item: Item,
}

pub(super) fn circuits(case: &Fields) -> Result<Value, String> {
    let in_amps = volts(case)?;
    let circuits = read_circuits(case, in_amps.unwrap_or(1.0))?;
    let lights = read_lights(case, in_amps, &circuits)?;
    let even_phases = case.flag(&["even_phases", "balance_phases", "three_phase", "balance"])?;
    let problem = Problem {
        items: lights.iter().map(|light| light.item.clone()).collect(),
        bins: circuits.iter().map(|circuit| circuit.bin).collect(),
        even_phases,
    };
    Ok(told(&problem, &circuits, &lights, &assign(&problem)))
}

fn read_circuits(case: &Fields, volts: f64) -> Result<Vec<Circuit>, String> {
    let bare = if case.has(&["circuits", "bins", "sockets", "supplies"]) { "usable_amps" } else { "breaker" };
    let Some(entries) = case.entries(CIRCUITS, "circuit", bare)? else {
        // So many alike ones.
        let count = case.count(&["circuit_count", "number_of_circuits", "circuits_count"])?;
        let count = count.ok_or_else(|| {
            case.missing("circuits", "a list of {\"name\": …, \"breaker\": …} or of usable amperes")
        })?;
        return (0..count.min(MOST_BINS as u32))
            .map(|index| one_circuit(case, case, index as usize, volts, true))
            .collect();
    };
    if entries.is_empty() || entries.len() > MOST_BINS {
        return Err(format!("\"circuits\" has 1 to {MOST_BINS} entries"));
    }
    entries.iter().enumerate().map(|(index, entry)| one_circuit(case, entry, index, volts, false)).collect()
}

fn one_circuit(
    case: &Fields,
    entry: &Fields,
    index: usize,
    volts: f64,
    alike: bool,
) -> Result<Circuit, String> {
    let usable = entry.amount(&[
        ("usable_amps", 1.0),
        ("usable_a", 1.0),
        ("usable", 1.0),
        ("limit_amps", 1.0),
        ("limit_a", 1.0),
        ("limit", 1.0),
        ("capacity", 1.0),
        ("capacity_a", 1.0),
        ("capacity_amps", 1.0),
        ("amps", 1.0),
        ("max_amps", 1.0),
        ("available_a", 1.0),
        ("a", 1.0),
    ])?;
    let power = entry.amount(
        &[
            VOLT_AMPS,
            &[("usable_va", 1.0), ("capacity_va", 1.0), ("usable_w", 1.0), ("capacity_w", 1.0)],
            WATTS,
        ]
        .concat(),
    )?;
    let limit = match (usable, power, entry.positive(BREAKER)?) {
        (Some(usable), ..) => usable,
        (None, Some(power), _) => power / volts,
        (None, None, Some(breaker)) => {
            let own = entry.has(&["continuous", "continuous_share", "share", "factor", "derate"]);
            breaker * continuous(if own { entry } else { case })?
        }
        (None, None, None) => return Err(entry.missing("breaker", "or \"usable_amps\"")),
    };
    let other = entry.amount(OTHER)?.unwrap_or(0.0);
    let phase = entry.count(&["phase", "l"])?.map(|phase| phase.min(3) as u8).filter(|phase| *phase > 0);
    Ok(Circuit {
        name: if alike { (index + 1).to_string() } else { entry.name(index)? },
        bin: Bin { room: limit - other, limit, other, phase },
        at: entry.point(&["at", "socket", "position", "xyz"])?,
        reach: entry.positive(&[("max_lead_m", 1.0), ("reach_m", 1.0), ("reach", 1.0), ("lead_m", 1.0)])?,
    })
}

fn read_lights(case: &Fields, volts: Option<f64>, circuits: &[Circuit]) -> Result<Vec<Light>, String> {
    let entries = case.entries(LIGHTS, "light", "amps")?;
    let entries = entries
        .ok_or_else(|| case.missing("lights", "a list of {\"name\": …, \"amps\": …} or of amperes"))?;
    let most_lead = case.positive(&[("max_lead_m", 1.0), ("longest_lead_m", 1.0), ("max_lead", 1.0)])?;
    let mut groups: Vec<String> = Vec::new();
    let mut lights: Vec<Light> = Vec::new();
    for (index, entry) in entries.iter().enumerate() {
        let load = load(entry, volts)?
            .ok_or_else(|| entry.missing("amps", "or \"va\", or \"watts\" with \"pf\""))?;
        let circuit = |keys: &[&str]| -> Result<Option<usize>, String> {
            let Some(name) = entry.text(keys)? else { return Ok(None) };
            let found = circuits.iter().position(|circuit| circuit.name == name);
            found.map(Some).ok_or_else(|| format!("light {}: there is no circuit \"{name}\"", index + 1))
        };
        let now = circuit(&["circuit", "now", "current_circuit", "present", "on"])?;
        let fixed = match entry.value(&["fixed", "locked"]) {
            Some(Value::Bool(true)) => Some(now.ok_or_else(|| {
                format!("light {}: \"fixed\" needs the \"circuit\" that it stays on", index + 1)
            })?),
            Some(Value::Bool(false)) | None => circuit(&["fixed_to", "must_be_on"])?,
            Some(_) => circuit(&["fixed", "locked"])?,
        };
        let together = entry.text(&["together", "chain", "group", "with"])?.map(|name| {
            groups.iter().position(|group| *group == name).unwrap_or_else(|| {
                groups.push(name);
                groups.len() - 1
            })
        });
        let leads = leads(entry, circuits, most_lead)?;
        let amps = load.volt_amps / volts.unwrap_or(1.0);
        let count = entry.count(COUNT)?.unwrap_or(1);
        for copy in 1..=count {
            let name = entry.name(index)?;
            let name = if count > 1 { format!("{name}.{copy}") } else { name };
            lights.push(Light { name, item: Item { amps, now, leads: leads.clone(), fixed, together } });
        }
        if lights.len() > MOST_LIGHTS {
            return Err(format!("at most {MOST_LIGHTS} lights at once"));
        }
    }
    Ok(lights)
}

/// What a light reaches: a list of circuits, metres for each, or distances.
fn leads(entry: &Fields, circuits: &[Circuit], most: Option<f64>) -> Result<Vec<Option<f64>>, String> {
    let limit = |circuit: &Circuit| circuit.reach.or(most);
    if let Some(value) = entry.value(&[
        "reach",
        "reaches",
        "allowed",
        "allowed_circuits",
        "can_reach",
        "circuits",
        "leads",
        "lead_m",
    ]) {
        let named = |key: &str| circuits.iter().any(|circuit| circuit.name == key);
        return match value {
            Value::Array(names) => {
                let words: Vec<String> = names
                    .iter()
                    .map(|name| name.as_str().map_or_else(|| name.to_string(), str::to_owned))
                    .collect();
                match words.iter().find(|word| !named(word)) {
                    Some(word) => Err(format!("there is no circuit \"{word}\" to reach")),
                    None => Ok(circuits
                        .iter()
                        .map(|circuit| words.contains(&circuit.name).then_some(0.0))
                        .collect()),
                }
            }
            Value::Object(metres) => {
                let lead = |circuit: &Circuit| {
                    let metres = metres.get(&circuit.name).and_then(Value::as_f64)?;
                    limit(circuit).is_none_or(|most| metres <= most + 1e-9).then_some(metres)
                };
                Ok(circuits.iter().map(lead).collect())
            }
            _ => Err("\"reach\" is a list of circuits, or metres of lead for each".to_owned()),
        };
    }
    let Some(at) = entry.value(&["at", "position", "xyz"]).and_then(read_point) else {
        return Ok(Vec::new());
    };
    if circuits.iter().all(|circuit| circuit.at.is_none()) {
        return Ok(Vec::new());
    }
    let lead = |circuit: &Circuit| {
        let Some(socket) = circuit.at else { return Some(0.0) };
        let metres: f64 = at.iter().zip(socket).map(|(a, b)| (a - b).abs()).sum();
        limit(circuit).is_none_or(|most| metres <= most + 1e-9).then_some(metres)
    };
    Ok(circuits.iter().map(lead).collect())
}

fn told(problem: &Problem, circuits: &[Circuit], lights: &[Light], answer: &Answer) -> Value {
    let circuit_name = |bin: Option<usize>| bin.map(|bin| circuits[bin].name.clone());
    let name = |index: &usize| lights[*index].name.clone();
    let best = &answer.best;
    let assignment: Map<String, Value> = lights
        .iter()
        .zip(&best.bins)
        .map(|(light, bin)| (light.name.clone(), json!(circuit_name(*bin))))
        .collect();
    let rows: Vec<Value> = circuits
        .iter()
        .enumerate()
        .map(|(index, circuit)| {
            let on: Vec<&str> =
                lights.iter().zip(&best.bins).filter(|(_, bin)| **bin == Some(index)).map(|(light, _)| light.name.as_str()).collect();
            let total = best.amps[index] + circuit.bin.other;
            json!({
                "name": circuit.name, "lights": on, "amps": best.amps[index], "other_amps": circuit.bin.other, "total_amps": total,
                "limit_amps": circuit.bin.limit, "headroom_amps": circuit.bin.limit - total, "over": best.over.contains(&index),
            })
        })
        .collect();
    let moves: Vec<Value> = best
        .moved
        .iter()
        .map(|index| {
            let from = circuit_name(problem.items[*index].now);
            json!({ "light": name(index), "from": from, "to": circuit_name(best.bins[*index]) })
        })
        .collect();
    let leave: Vec<String> = answer.leave_out.iter().map(name).collect();
    let says = if answer.fits {
        let moved = match best.moved.len() {
            0 => String::new(),
            1 => " One light moves.".to_owned(),
            count => format!(" {count} lights move."),
        };
        format!(
            "Everything fits: the fullest circuit is at {:.0} % of its limit.{moved}",
            best.worst_share * 100.0
        )
    } else {
        let without = if leave.is_empty() {
            String::new()
        } else {
            format!(" Without {} the rest fits.", leave.join(", "))
        };
        let word = if answer.settled { "It cannot fit" } else { "No way was found" };
        format!("{word}, by {} A at least: {}.{without}", shown(answer.short_by), answer.proof)
    };
    json!({
        "fits": answer.fits, "feasible": answer.fits, "assignment": assignment, "circuits": rows, "moves": moves,
        "moved": best.moved.iter().map(name).collect::<Vec<_>>(), "moved_count": best.moved.len(),
        "over": best.over.iter().map(|bin| circuits[*bin].name.clone()).collect::<Vec<_>>(), "circuits_over": best.over.len(),
        "worst_share": best.worst_share, "lead_m": best.lead_m,
        "short_by_amps": answer.short_by, "proof": answer.proof, "leave_out": leave,
        "certain": answer.settled, "fewest_moves_certain": answer.fewest_moves, "most_even_certain": answer.most_even,
        "formula": "fewest circuits over their limit, then fewest moves, then even phases where asked, then the smallest largest share, then the shortest leads",
        "source": "exact search (bin completion, branch and bound) of this tool; limits: breaker x planned share",
        "caution": CAUTION, "says": says,
    })
}

pub(super) fn phases(case: &Fields) -> Result<Value, String> {
    let said = case.numbers(&["amps", "phases", "currents", "phase_amps", "amps_per_phase"])?;
    let (amps, lights) = match said {
        Some(list) => {
            let three: [f64; 3] = list
                .try_into()
                .map_err(|_| "\"amps\" has one current for each of three phases".to_owned())?;
            (three, None)
        }
        None => {
            let (amps, on) = by_lights(case)?;
            (amps, Some(on))
        }
    };
    if amps.iter().any(|amps| *amps < 0.0) {
        return Err("currents are 0 or more".to_owned());
    }
    let found = phase_sums(amps);
    let third = case.scaled(&[("third_harmonic", 1.0), ("third", 1.0), ("triplen", 1.0), ("h3", 1.0)])?;
    let with_third = third.map(|third| neutral_with_third(amps, third));
    let mean = amps.iter().sum::<f64>() / 3.0;
    Ok(json!({
        "amps": amps, "mean_amps": mean, "imbalance": found.imbalance, "imbalance_percent": found.imbalance * 100.0,
        "neutral_amps": found.neutral_amps, "neutral_worst_amps": found.neutral_worst_amps, "neutral_with_third_amps": with_third,
        "lights": lights,
        "formula": "imbalance = largest distance from the mean / mean; neutral = root of (a2 + b2 + c2 - ab - bc - ca); third harmonics add up in it",
        "source": "textbook three-phase sums; the factor root 3 for rectifiers is from memory",
        "caution": "Third harmonics of electronic lights add up in the neutral instead of cancelling. A licensed electrician looks at the neutral; it is never opened under load.",
        "says": format!("{}, {} and {} A: {:.0} % off the mean, {} A in the neutral if all currents were sines, {} A at the very most.",
            shown(amps[0]), shown(amps[1]), shown(amps[2]), found.imbalance * 100.0, shown(found.neutral_amps), shown(found.neutral_worst_amps)),
    }))
}

/// Lights on their phases, or divided as evenly as can be.
fn by_lights(case: &Fields) -> Result<([f64; 3], Value), String> {
    let volts = volts(case)?;
    let what = "a current for each of three phases; or \"lights\" with \"amps\" and perhaps \"phase\"";
    let entries = case.entries(LIGHTS, "light", "amps")?.ok_or_else(|| case.missing("amps", what))?;
    let mut items = Vec::new();
    let mut names = Vec::new();
    for (index, entry) in entries.iter().enumerate().take(MOST_LIGHTS) {
        let load = load(entry, volts)?.ok_or_else(|| entry.missing("amps", "or \"watts\" with \"pf\""))?;
        let phase = entry.count(&["phase", "l"])?;
        if phase.is_some_and(|phase| !(1..=3).contains(&phase)) {
            return Err(format!("light {}: \"phase\" is 1, 2 or 3", index + 1));
        }
        for _ in 0..load.count {
            let fixed = phase.map(|phase| phase as usize - 1);
            items.push(Item { fixed, ..Item::free(load.volt_amps / volts.unwrap_or(1.0)) });
            names.push(entry.name(index)?);
        }
    }
    let total: f64 = items.iter().map(|item| item.amps).sum::<f64>().max(1e-6);
    let bin = |phase| Bin { room: total, limit: total, other: 0.0, phase: Some(phase) };
    let answer = assign(&Problem { items, bins: [1, 2, 3].map(bin).to_vec(), even_phases: true });
    let on: Vec<Value> = names
        .iter()
        .zip(&answer.best.bins)
        .map(|(name, bin)| json!({ "name": name, "phase": bin.map(|bin| bin + 1) }))
        .collect();
    let amps = [answer.best.amps[0], answer.best.amps[1], answer.best.amps[2]];
    Ok((amps, Value::Array(on)))
}
