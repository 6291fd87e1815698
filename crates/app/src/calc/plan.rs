//! `lanthorn calc plan`: the plan's sums by themselves, one `task` a case.

mod cables;
mod circuits;
mod fields;
mod leads;
mod patching;
mod power;
mod rigging;
#[cfg(test)]
mod tests;

use serde_json::{Value, json};

use fields::Fields;

type Solve = fn(&Fields) -> Result<Value, String>;

/// Every task by the words that mean it; the first is its name.
const TASKS: &[(&[&str], Solve)] = &[
    (&["power", "load", "current", "amps", "watts"], power::power),
    (
        &["circuits", "assignment", "assign", "packing", "pack", "circuit_assignment", "bins"],
        circuits::circuits,
    ),
    (&["drop", "voltage_drop", "volt_drop", "lead", "leads"], leads::drop),
    (&["leakage", "rcd", "gfci", "earth_leakage"], power::leakage),
    (&["inrush", "switch_on", "switching_on"], power::inrush),
    (&["passthrough", "pass_through", "chain", "daisy_chain", "through", "power_chain"], leads::passthrough),
    (&["generator", "genset", "generator_size"], power::generator),
    (&["phases", "phase", "three_phase", "phase_balance", "balance"], circuits::phases),
    (&["battery", "batteries", "run_time", "runtime"], power::battery),
    (&["bar", "truss", "beam", "weight", "reactions"], rigging::bar),
    (&["stand", "stands", "tip", "tipping", "stability"], rigging::stand),
    (&["wind", "wind_load"], rigging::wind),
    (&["noise", "sound", "fans", "fan_noise"], rigging::noise),
    (&["addresses", "address", "patch", "addressing"], patching::addresses),
    (&["readdress", "re_address", "readdressing", "repatch", "least_change"], patching::readdress),
    (&["dip", "dip_switch", "dip_switches", "switches"], patching::dip),
    (
        &["cables", "cable", "line", "line_order", "order", "route", "data_line", "cable_count"],
        cables::cables,
    ),
];

/// One case.
pub(super) fn solve(case: Value) -> Result<Value, String> {
    let names = || TASKS.iter().map(|(words, _)| words[0]).collect::<Vec<_>>().join(", ");
    let fields = Fields::new(case, &format!("a \"task\" ({}) and what it needs", names()))?;
    let task = fields.text(&["task", "kind", "type", "calc", "what"])?;
    let task = task.ok_or_else(|| format!("\"task\" is missing: one of {}", names()))?;
    let word = fields::plain(&task);
    let found = TASKS.iter().find(|(words, _)| words.contains(&word.as_str()));
    let (words, solve) = found.ok_or_else(|| format!("\"{task}\" is no task: one of {}", names()))?;
    let mut answer = solve(&fields)?;
    answer["task"] = json!(words[0]);
    Ok(answer)
}

/// Two digits behind the point are enough for a sentence; whole numbers have none.
fn shown(value: f64) -> String {
    let text = format!("{value:.2}");
    let text = text.trim_end_matches('0').trim_end_matches('.');
    if text == "-0" { "0".to_owned() } else { text.to_owned() }
}
