//! The plan's deeper sums as plain text: leads, switching on, leakage, points and stands, cases.

use super::finding::{and, capital, lights, listed};
use super::text::{Table, head, number, section, wrapped};
use super::{CircuitPlan, Plan};

/// Under the table of circuits.
pub(crate) fn power(plan: &Plan, out: &mut String) {
    if let Some(assignment) = &plan.assignment
        && let Some(advice) = assignment.advice()
    {
        wrapped(out, "  ", &format!("On which circuit: {advice}"));
        if !assignment.certain || !assignment.fewest_moves {
            wrapped(out, "  ", "The search was cut short: there may be a better way.");
        }
    }
    for circuit in &plan.circuits {
        circuit_lines(circuit, out);
    }
    if let Some(phases) = &plan.phases {
        let [a, b, c] = phases.amps;
        let text = format!(
            "Phases: {a:.1}, {b:.1} and {c:.1} A, {:.0} % off the mean; neutral {:.1} A, {:.1} A at the very most.",
            phases.imbalance * 100.0,
            phases.neutral_amps,
            phases.neutral_worst_amps,
        );
        wrapped(out, "  ", &text);
    }
    if let Some(generator) = &plan.generator {
        let text = format!(
            "Generator: {:.2} of {:.1} kVA, {:.0} %; {:.1} kVA would be planned for this.",
            generator.load_va / 1000.0,
            generator.rated_va / 1000.0,
            generator.share * 100.0,
            generator.wanted_va / 1000.0,
        );
        wrapped(out, "  ", &text);
    }
    chains(plan, out);
    drops(plan, out);
    batteries(plan, out);
}

fn circuit_lines(circuit: &CircuitPlan, out: &mut String) {
    if let Some(plan) = circuit.switch_on.as_ref().filter(|plan| plan.groups.len() > 1) {
        let groups: Vec<String> = plan.groups.iter().map(|group| listed(group)).collect();
        let curve = if plan.curve_assumed { "curve not known, taken as B" } else { plan.curve };
        let text = format!(
            "{}: switch on {}, a second or two apart ({curve})",
            circuit.name,
            groups.join(", then ")
        );
        wrapped(out, "  ", &text);
    }
    if let Some(leakage) = &circuit.leakage {
        let known = match leakage.known_ma {
            known if known > 0.0 => format!("{known:.1} mA known"),
            _ => "not known".to_owned(),
        };
        let assumed = match leakage.assumed.as_slice() {
            [] => String::new(),
            assumed => {
                format!(
                    ", up to {:.1} mA with {} at the most that is allowed",
                    leakage.at_most_ma,
                    lights(assumed)
                )
            }
        };
        let text = format!(
            "{}: leakage {known}{assumed}; {:.1} mA may stand (30 % of {:.0} mA)",
            circuit.name, leakage.limit_ma, leakage.rated_ma,
        );
        wrapped(out, "  ", &text);
    }
}

fn chains(plan: &Plan, out: &mut String) {
    for chain in &plan.chains {
        let links: Vec<String> = chain
            .links
            .iter()
            .map(|link| {
                let limit = link.through_amps.map_or_else(String::new, |limit| format!(" of {limit:.1}"));
                format!("{} passes on {} A{limit}", link.unit, number(link.passed_amps, 1))
            })
            .collect();
        wrapped(out, "  ", &format!("Power from light to light: {}", links.join(", ")));
    }
}

fn drops(plan: &Plan, out: &mut String) {
    let worst = plan.drops.iter().max_by(|a, b| a.share.total_cmp(&b.share));
    let Some(worst) = worst else { return };
    let unknown =
        plan.drops.iter().filter(|drop| drop.unknown_leads > 0).map(|drop| drop.unit).collect::<Vec<u32>>();
    let unknown =
        if unknown.is_empty() { String::new() } else { format!("; a lead not known: {}", lights(&unknown)) };
    let text = format!(
        "Leads: {:.1} V ({:.1} %) are lost at light {}, the most; by {}{unknown}. Unroll drums: a coiled lead overheats.",
        worst.drop_volts,
        worst.share * 100.0,
        worst.unit,
        worst.how.source,
    );
    wrapped(out, "  ", &text);
}

fn batteries(plan: &Plan, out: &mut String) {
    let said: Vec<String> = plan
        .units
        .iter()
        .filter_map(|unit| Some(format!("light {} {:.1} h", unit.number, unit.battery.as_ref()?.hours)))
        .collect();
    if !said.is_empty() {
        wrapped(out, "  ", &format!("Batteries, at full output with 85 % usable: {}.", and(&said)));
    }
}

/// Under the table of weights.
pub(crate) fn weight(plan: &Plan, out: &mut String) {
    for place in &plan.places {
        if let Some(bar) = &place.bar {
            let [left, right] = bar.points_kg;
            let rated =
                bar.point_rated_kg.map_or_else(String::new, |rated| format!(" of {rated:.0} kg each"));
            let tube = bar.moment_share.map_or_else(String::new, |share| {
                let sag = bar.sag_mm.map_or_else(String::new, |sag| format!(", {sag:.0} mm sag"));
                format!(
                    "; tube bent to {:.0} % of its figure{sag} (clamps, points and ceiling fail before it)",
                    share * 100.0
                )
            });
            wrapped(
                out,
                "  ",
                &format!(
                    "{}: {left:.1} kg on its left point, {right:.1} kg on its right one{rated}{tube}",
                    place.name
                ),
            );
        }
        if let Some(stand) = &place.stand {
            let side = if stand.offset_m.abs() > 0.005 {
                format!(", {:.0} N towards its heavier side", stand.tip_force_heavy_side_n)
            } else {
                String::new()
            };
            let wind = stand
                .tip_wind_m_s
                .map_or_else(String::new, |wind| format!("; wind tips it at {wind:.1} m/s"));
            wrapped(
                out,
                "  ",
                &format!(
                    "{}: {:.0} N at the height of its lights tip it{side}{wind}",
                    place.name, stand.tip_force_n
                ),
            );
        }
    }
}

/// A shorter order and a splitter, under a data line.
pub(crate) fn line(line: &super::LinePlan, out: &mut String) {
    if let Some(way) = line.way_m {
        let lengths: Vec<f64> = line.legs.iter().flat_map(|leg| leg.cables_m.clone()).collect();
        let counted: Vec<String> = crate::sums::stock::count(&lengths)
            .iter()
            .map(|(length, count)| format!("{count} × {length} m"))
            .collect();
        let take = if counted.is_empty() { String::new() } else { format!("; take {}", counted.join(", ")) };
        wrapped(out, "      way       ", &format!("{way:.0} m along places, floor and up{take}"));
    }
    if let Some(shorter) = &line.shorter {
        let order: Vec<String> = shorter.units.iter().map(u32::to_string).collect();
        let sure = if shorter.exact { "no order is shorter" } else { "the best found" };
        let text =
            format!("{}: {:.0} m, {:.0} m less ({sure})", order.join(" → "), shorter.way_m, shorter.saves_m);
        wrapped(out, "      shorter   ", &text);
    }
    if let Some(why) = &line.splitter {
        wrapped(out, "      splitter  ", why);
    }
}

/// New addresses with the least change.
pub(crate) fn addresses(plan: &Plan, out: &mut String) {
    let Some(readdress) = &plan.readdress else { return };
    let said: Vec<String> = readdress
        .changes
        .iter()
        .map(|change| {
            let to = change.to.clone().unwrap_or_else(|| "nowhere: no room".to_owned());
            format!("light {} to {to}", change.unit)
        })
        .collect();
    let kept = readdress.kept.len();
    wrapped(
        out,
        "  ",
        &format!("Addresses that would be well with the least change ({kept} stay): {}", and(&said)),
    );
}

/// How loud it is at the nearest seat.
pub(crate) fn noise(plan: &Plan, out: &mut String) {
    if let Some(seat) = &plan.noise.seat {
        let [x, y, z] = seat.at;
        let text = format!(
            "At the nearest seat, {} ({x:.1}, {y:.1}, {z:.1}): {:.0} dBA, light {} most; a hard room adds to it",
            seat.area, seat.level_dba, seat.loudest,
        );
        wrapped(out, "  ", &text);
    }
}

pub(crate) fn cases(plan: &Plan, out: &mut String) {
    let mut table = Table::new("llrr", &["case", "what", "count", "kg"]);
    for case in &plan.cases {
        for (index, item) in case.items.iter().enumerate() {
            let name = if index == 0 { capital(&case.name) } else { String::new() };
            table.row([name, item.what.clone(), item.count.to_string(), number(item.weight_kg, 1)]);
        }
    }
    section(out, "What to pack", &table);
    for case in plan.cases.iter().filter(|case| case.weight_kg > 0.0) {
        let more = if case.unknown_weight { " and what is not known" } else { "" };
        let two = if case.two_people { "; lift it with two people" } else { "" };
        wrapped(
            out,
            "  ",
            &format!("{}: {:.1} kg{more}, the case itself not counted{two}", case.name, case.weight_kg),
        );
    }
}

/// The switches of lights that are addressed by them.
pub(crate) fn switches(plan: &Plan, out: &mut String) {
    let drawn: Vec<_> =
        plan.units.iter().filter_map(|unit| Some((unit.number, unit.dip_picture.as_ref()?))).collect();
    if drawn.is_empty() {
        return;
    }
    head(out, "Switches");
    for (number, picture) in drawn {
        for (index, row) in picture.lines().enumerate() {
            let lead = if index == 0 { format!("{number:>5}  ") } else { " ".repeat(7) };
            super::text::line(out, &format!("{lead}{row}"));
        }
    }
}
