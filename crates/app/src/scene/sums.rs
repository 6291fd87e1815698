//! The plan's figures as the page shows them: each with its unit, what to mind beside it, and how it was reached.

use lanthorn_physics::Point;
use lanthorn_rig::plan::{
    AssignmentPlan, BarPlan, CasePlan, CircuitPlan, DropPlan, Finding, LineKind, LinePlan, PlacePlan, Plan,
    StandPlan, lights,
};
use lanthorn_rig::{Circuit, Reckoning, Rig};

use super::fields;
use crate::wire::{
    CaseView, CircuitView, DivideView, FindingView, HowView, InputView, LineView, MoveView, PlaceSumsView,
    PlanView, ShorterView, SumView,
};
use crate::words::{capital, counted};

const ELECTRICIAN: &str = "A licensed electrician and the local code decide.";
const WEIGHT: &str = "A sum, not a permission: the written limit and a competent person decide.";

/// All of the plan that the page shows.
pub(super) fn view(rig: &Rig, plan: &Plan) -> PlanView {
    PlanView {
        headline: plan.headline.clone(),
        findings: plan.findings.iter().map(finding).collect(),
        circuits: rig
            .circuits
            .iter()
            .zip(&plan.circuits)
            .map(|(said, circuit)| self::circuit(plan, said, circuit))
            .collect(),
        mains: fields::mains(&rig.mains),
        lines: plan.lines.iter().map(|line| self::line(rig, line)).collect(),
        places: plan.places.iter().map(place).collect(),
        others: others(plan),
        divide: plan.assignment.as_ref().and_then(divide),
        cases: plan.cases.iter().map(case).collect(),
    }
}

/// A finding as the page says it.
pub(crate) fn finding(finding: &Finding) -> FindingView {
    FindingView {
        severity: finding.severity.to_string(),
        what: finding.what.clone(),
        place: finding.place.clone(),
        units: finding.units.clone(),
        figure: finding.figure.clone().unwrap_or_default(),
        rule: finding.rule.to_owned(),
        source: finding.source.to_owned(),
        remedy: finding.remedy.clone(),
    }
}

fn how(reckoning: &Reckoning) -> HowView {
    let input = |input: &lanthorn_rig::reckoning::Input| InputView {
        name: input.name.clone(),
        value: measured(input.value, input.unit),
        origin: input.origin.to_owned(),
    };
    HowView {
        inputs: reckoning.inputs.iter().map(input).collect(),
        formula: reckoning.formula.to_owned(),
        source: reckoning.source.to_owned(),
    }
}

fn sum(what: impl Into<String>, figure: String, mind: impl Into<String>, way: Option<&Reckoning>) -> SumView {
    SumView { what: what.into(), figure, mind: mind.into(), how: way.map(how) }
}

/// A number with its unit, to three figures.
fn measured(value: f64, unit: &str) -> String {
    let places = match value.abs() {
        size if size >= 100.0 || (size.fract() == 0.0 && size < 1e9) => 0,
        size if size >= 10.0 => 1,
        size if size >= 1.0 => 2,
        _ => 3,
    };
    let number = format!("{value:.places$}");
    let number =
        if number.contains('.') { number.trim_end_matches('0').trim_end_matches('.') } else { &number };
    if unit.is_empty() { number.to_owned() } else { format!("{number} {unit}") }
}

fn circuit(plan: &Plan, said: &Circuit, circuit: &CircuitPlan) -> CircuitView {
    let of = |name: &str| circuit.how.iter().find(|how| how.of == name);
    let mut sums = vec![sum(
        "Current",
        match circuit.amps {
            Some(amps) => format!("{amps:.1} A of {:.1} A", circuit.limit_amps),
            None => "not known".to_owned(),
        },
        ELECTRICIAN,
        of("amps"),
    )];
    sums.push(sum(
        "Planned limit",
        format!("{:.1} A of the {:.0} A breaker", circuit.limit_amps, circuit.breaker_amps),
        "",
        of("limit_amps"),
    ));
    if let Some(leak) = &circuit.leakage {
        let assumed = match &leak.assumed[..] {
            [] => String::new(),
            some => format!("Assumed for {}: the most that is allowed. ", lights(some)),
        };
        sums.push(sum(
            "Leakage all the time, at most",
            format!("{:.1} mA of {:.1} mA ({:.0} mA device)", leak.at_most_ma, leak.limit_ma, leak.rated_ma),
            format!("{assumed}Press its test button before doors; never bridge one, never lift an earth."),
            Some(&leak.how),
        ));
    }
    if let Some(on) = circuit.switch_on.as_ref().filter(|on| on.groups.len() > 1) {
        let groups: Vec<String> = on.groups.iter().map(|group| lights(group)).collect();
        let assumed = if on.curve_assumed { " (assumed)" } else { "" };
        sums.push(sum(
            "Switch on one after another",
            groups.join(", then "),
            format!(
                "Curve {}{assumed}. A breaker that trips at switch-on asks for smaller groups, never for a bigger breaker.",
                on.curve
            ),
            Some(&on.how),
        ));
    }
    let mine = |drop: &&DropPlan| circuit.units.contains(&drop.unit);
    sums.extend(plan.drops.iter().filter(mine).map(drop));
    CircuitView {
        name: circuit.name.clone(),
        amps: circuit.amps,
        limit_amps: circuit.limit_amps,
        breaker_amps: circuit.breaker_amps,
        assumed: !circuit.assumed_power_factor.is_empty() || !circuit.unknown_watts.is_empty(),
        at: circuit.at,
        units: circuit.units.clone(),
        sums,
        fields: fields::circuit(said),
    }
}

fn drop(drop: &DropPlan) -> SumView {
    let unknown = match drop.unknown_leads {
        0 => String::new(),
        many => format!("{} on the way not known and not in it. ", capital(&counted(many, "lead"))),
    };
    sum(
        format!("Lost on the way to light {}", drop.unit),
        format!("{:.1} V, {:.1} %", drop.drop_volts, drop.share * 100.0),
        format!("{unknown}Unroll every drum: a coiled lead heats up."),
        Some(&drop.how),
    )
}

fn line(rig: &Rig, line: &LinePlan) -> LineView {
    let mut sums = Vec::new();
    if let Some(way) = line.way_m {
        let rest = if line.length_complete { "" } else { ", as far as places are known" };
        sums.push(sum("Cable as it runs", format!("{way:.0} m{rest}"), "", line.how.as_ref()));
    }
    sums.push(sum(
        "To take along",
        format!("{} ({} and spares)", counted(line.cables_to_carry, "cable"), line.cables),
        "",
        None,
    ));
    sums.push(sum("Unit loads", format!("{:.1} of 32", line.unit_loads), "", None));
    if let Some(light) = line.terminator {
        sums.push(sum("Terminator", format!("on light {light}: 120 Ω, pins 2 and 3"), "", None));
    }
    if let Some(why) = &line.splitter {
        sums.push(sum("A splitter helps", why.clone(), "Isolated, each output a line of its own.", None));
    }
    let leg = |leg: &lanthorn_rig::plan::Leg| {
        let from = leg.from.map_or_else(|| "controller".to_owned(), |light| light.to_string());
        let cables: Vec<String> = leg.cables_m.iter().map(|metres| measured(*metres, "m")).collect();
        (!cables.is_empty()).then(|| format!("{from} to {}: {}", leg.to, cables.join(" + ")))
    };
    let shorter = line.shorter.as_ref().map(|order| ShorterView {
        units: order.units.clone(),
        says: format!(
            "{:.0} m less cable, {:.0} m in all{}",
            order.saves_m,
            order.way_m,
            if order.exact { "; no order needs less" } else { "" }
        ),
    });
    LineView {
        name: line.name.clone(),
        kind: match line.kind {
            LineKind::Driven => "driven",
            LineKind::Linked => "linked",
        }
        .to_owned(),
        from: rig.controller.filter(|_| line.kind == LineKind::Driven).map(|point: Point| point.into()),
        units: line.units.clone(),
        cables: u32::try_from(line.cables).unwrap_or(u32::MAX),
        sums,
        legs: line.legs.iter().filter_map(leg).collect(),
        shorter,
    }
}

fn place(place: &PlacePlan) -> PlaceSumsView {
    let limit = match place.rated_kg {
        Some(rated) => format!("{:.1} kg of {rated:.0} kg", place.weight_kg),
        None => format!("{:.1} kg, limit not known", place.weight_kg),
    };
    let mut way = Reckoning::new(
        "weight_kg",
        "lights + clamps and bonds + its own weight",
        "the labels; clamps and bonds are this plan's assumption",
    )
    .with(
        lights(&place.units),
        place.weight_kg - place.assumed_kg - place.own_kg.unwrap_or(0.0),
        "kg",
        "stated",
    );
    way = way.with("clamps and bonds", place.assumed_kg, "kg", "assumed");
    let way = way.maybe("its own weight", place.own_kg, "kg", "show file");
    let unknown = match &place.unknown_weight[..] {
        [] => String::new(),
        some => format!("{} not in it: weight not known. ", capital(&lights(some))),
    };
    let mut sums = vec![sum("Weight", limit, format!("{unknown}{WEIGHT}"), Some(&way))];
    sums.extend(place.bar.iter().flat_map(bar));
    sums.extend(place.stand.iter().flat_map(stand));
    PlaceSumsView { name: place.name.clone(), sums }
}

fn bar(bar: &BarPlan) -> Vec<SumView> {
    let [left, right] = bar.points_kg;
    let rated = bar.point_rated_kg.map(|rated| format!(", {rated:.0} kg written on each"));
    let mut sums = vec![sum(
        "On its points, left and right",
        format!("{left:.1} kg and {right:.1} kg{}", rated.unwrap_or_default()),
        "Over people, half of what is written counts.",
        Some(&bar.how),
    )];
    let bends = match (bar.allowed_nm, bar.moment_share) {
        (Some(allowed), Some(share)) => {
            format!("{:.0} of {allowed:.0} N·m ({:.0} %)", bar.moment_nm, share * 100.0)
        }
        _ => format!("{:.0} N·m", bar.moment_nm),
    };
    let sag = bar.sag_mm.map(|sag| format!(", sags {sag:.0} mm")).unwrap_or_default();
    sums.push(sum(
        "Bends the tube with",
        format!("{bends}{sag}"),
        "It says nothing about clamps, points and ceiling, which fail first.",
        Some(&bar.how),
    ));
    sums
}

fn stand(stand: &StandPlan) -> Vec<SumView> {
    let own = if stand.own_weight_unknown { "Its own weight is not known and not in it. " } else { "" };
    let mut sums = vec![sum(
        "A push that tips it, at the height of the lights",
        format!("{:.0} N, about {:.1} kg", stand.tip_force_heavy_side_n, stand.tip_force_heavy_side_n / 9.81),
        format!(
            "{own}Legs fully out, load balanced, weight low, tied or fenced off, away from ways of escape."
        ),
        Some(&stand.how),
    )];
    if let Some(wind) = stand.tip_wind_m_s {
        sums.push(sum(
            "Wind that tips it",
            format!("{wind:.0} m/s"),
            "Lower it long before: above gusts of 8 m/s unless its maker states otherwise (this plan's default).",
            Some(&stand.how),
        ));
    }
    sums
}

/// Supply, chains of power, fans, batteries.
fn others(plan: &Plan) -> Vec<SumView> {
    let mut sums = Vec::new();
    if let Some(phases) = &plan.phases {
        let [a, b, c] = phases.amps;
        sums.push(sum(
            "On the three phases",
            format!("{a:.1}, {b:.1} and {c:.1} A"),
            format!(
                "In the neutral {:.1} A, at worst {:.1} A. {ELECTRICIAN}",
                phases.neutral_amps, phases.neutral_worst_amps
            ),
            Some(&phases.how),
        ));
    }
    if let Some(generator) = &plan.generator {
        sums.push(sum(
            "Generator",
            format!(
                "{:.1} of {:.1} kVA ({:.0} %)",
                generator.load_va / 1e3,
                generator.rated_va / 1e3,
                generator.share * 100.0
            ),
            "Outdoors, level, fuelled cold, its exhaust away from people, earthed as its maker and the local code say.",
            Some(&generator.how),
        ));
    }
    for chain in &plan.chains {
        for link in chain.links.iter().filter(|link| link.passed_amps.is_some_and(|amps| amps > 0.0)) {
            let passed = link.passed_amps.unwrap_or_default();
            let through = link.through_amps.map_or_else(
                || "its limit not known".to_owned(),
                |limit| format!("of {} printed", measured(limit, "A")),
            );
            sums.push(sum(
                format!("Passed on by light {}", link.unit),
                format!("{} {through}", measured(passed, "A")),
                "The first light's printed limit holds, whatever the breaker would carry.",
                None,
            ));
        }
    }
    if let Some(seat) = &plan.noise.seat {
        sums.push(sum(
            format!("Fans at the nearest seat ({})", seat.area),
            format!("{:.0} dBA, light {} the loudest", seat.level_dba, seat.loudest),
            "",
            Some(&seat.how),
        ));
    }
    for unit in &plan.units {
        if let Some(battery) = &unit.battery {
            sums.push(sum(
                format!("Light {} on its battery", unit.number),
                measured(battery.hours, "h"),
                "Charge attended, on a hard surface, away from exits.",
                Some(&battery.how),
            ));
        }
    }
    sums
}

/// None where the lights are divided well as it is.
fn divide(assignment: &AssignmentPlan) -> Option<DivideView> {
    let moves: Vec<MoveView> =
        assignment.moves.iter().map(|go| MoveView { unit: go.unit, to: go.to.clone() }).collect();
    let says = if !assignment.fits {
        let short =
            assignment.short_by_amps.map(|amps| format!(" {amps:.1} A too much.")).unwrap_or_default();
        let without = match &assignment.leave_out[..] {
            [] => String::new(),
            some => format!(" Without {} it would.", lights(some)),
        };
        format!("These lights do not fit on these circuits.{short}{without} {}", assignment.proof)
    } else if moves.is_empty() {
        return None;
    } else {
        let circuits: Vec<String> = assignment
            .circuits
            .iter()
            .map(|circuit| format!("{} {:.1} A of {:.1} A", circuit.name, circuit.amps, circuit.limit_amps))
            .collect();
        format!("Then {}.", circuits.join(", "))
    };
    Some(DivideView { says: says.trim().to_owned(), moves, how: how(&assignment.how) })
}

fn case(case: &CasePlan) -> CaseView {
    let more = if case.unknown_weight { " and what is not known" } else { "" };
    let two = if case.two_people { ": lift it with two people" } else { "" };
    let item = |item: &lanthorn_rig::plan::PackedItem| {
        let weight = item.weight_kg.map(|weight| format!(", {weight:.1} kg")).unwrap_or_default();
        format!("{} {}{weight}", item.count, item.what)
    };
    CaseView {
        name: case.name.clone(),
        weight: format!("{:.1} kg{more}{two}", case.weight_kg),
        items: case.items.iter().map(item).collect(),
    }
}
