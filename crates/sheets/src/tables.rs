//! The tables of the rig: patch, power, data, weight, cables, packing.

mod strip;
mod supply;

use lanthorn_rig::PlaceKind;
use lanthorn_rig::plan::{LineKind, Way};

use crate::Context;
use crate::facts;
use crate::layout::{Column, Flow, Sheet, TICK, Table, capital};

fn flow<'f>(cx: &'f Context<'_>) -> Flow<'f> {
    let paper = cx.options.paper;
    // Wide tables in large print want a lying page.
    let size = if cx.style.large { paper.lying() } else { paper.upright() };
    Flow::new(&cx.fonts, cx.style, size)
}

fn known(value: Option<f64>, digits: usize) -> String {
    value.map_or_else(|| "?".to_owned(), |value| format!("{value:.digits$}"))
}

fn numbers(units: &[u32]) -> String {
    if units.is_empty() {
        return "none".to_owned();
    }
    let words = facts::lights(units);
    words.split_once(' ').map_or_else(|| words.clone(), |(_, numbers)| numbers.to_owned())
}

/// Which light listens where.
pub(crate) fn patch(cx: &Context<'_>) -> Sheet {
    let mut flow = flow(cx);
    flow.title("Patch", "Which light listens to which slots, in which mode, and what to select in its menu.");
    let mut table = Table::new(vec![
        Column::new("no").right().strong(),
        Column::new("light").share(1.1),
        Column::new("mode").share(0.8),
        Column::new("address").strong(),
        Column::new("runs").share(0.7),
        Column::new("select in its menu").share(1.5),
        Column::new("where").share(0.9),
        Column::new("done"),
    ]);
    for unit in &cx.plan.units {
        let runs = match (unit.way, unit.follows) {
            (Way::Linked, Some(leader)) => format!("follows {leader}"),
            (Way::Linked, None) => "leads".to_owned(),
            (way, _) => way.words().to_owned(),
        };
        let shares = unit.shares.map_or_else(String::new, |with| format!(", as {with}"));
        table.row(vec![
            unit.number.to_string(),
            unit.profile.clone(),
            unit.mode.clone(),
            facts::address(unit).unwrap_or_else(|| "–".to_owned()) + &shares,
            runs,
            unit.menu.join("\n"),
            unit.place.clone(),
            TICK.to_owned(),
        ]);
    }
    flow.table(&table);
    if !cx.plan.universes.is_empty() {
        flow.heading("Universes", 20.0);
        let mut table = Table::new(vec![
            Column::new("universe").right().strong(),
            Column::new("slots used").right(),
            Column::new("slots free").right(),
            Column::new("free from").right(),
            Column::new("lights").share(1.0),
        ]);
        for universe in &cx.plan.universes {
            table.row(vec![
                universe.universe.to_string(),
                universe.used_slots.to_string(),
                universe.free_slots.to_string(),
                universe.free_from.map_or_else(|| "–".to_owned(), |slot| format!("{slot:03}")),
                numbers(&universe.units),
            ]);
        }
        flow.table(&table);
    }
    flow.end("Patch")
}

/// What hangs on each breaker.
pub(crate) fn power(cx: &Context<'_>) -> Sheet {
    let mut flow = flow(cx);
    let volts = cx.plan.mains_volts;
    flow.title("Power", &format!("What each breaker carries at full light, at {volts:.0} V."));
    let mut table = Table::new(vec![
        Column::new("circuit").strong().share(0.8),
        Column::new("lights").share(1.0),
        Column::new("W").right(),
        Column::new("VA").right(),
        Column::new("lights A").right(),
        Column::new("other A").right(),
        Column::new("together A").right().strong(),
        Column::new("planned limit A").right(),
        Column::new("breaker A").right(),
        Column::new("left A").right().strong(),
    ]);
    for circuit in &cx.plan.circuits {
        let letter = facts::circuit_letter(cx.plan, &circuit.name).unwrap_or_default();
        table.row(vec![
            format!("{letter}  {}", circuit.name),
            numbers(&circuit.units),
            format!("{:.0}", circuit.watts),
            format!("{:.0}", circuit.volt_amps),
            known(circuit.light_amps, 1),
            known(circuit.other_amps, 1),
            known(circuit.amps, 1),
            format!("{:.1}", circuit.limit_amps),
            format!("{:.0}", circuit.breaker_amps),
            known(circuit.headroom_amps, 1),
        ]);
    }
    if table.is_empty() {
        flow.words("No circuits are planned.", cx.style.note());
    } else {
        flow.table(&table);
    }
    flow.gap(2.0);
    for doubt in cx.plan.circuits.iter().filter_map(facts::doubts) {
        flow.words(&capital(&doubt), cx.style.small());
    }
    if !cx.plan.without_circuit.is_empty() {
        let words = format!("On no circuit, so in no sum: {}.", facts::lights(&cx.plan.without_circuit));
        flow.words(&words, cx.style.small());
    }
    let cautions =
        cx.cautions(&["Power", "Residual current", "Leads", "Power from light to light", "Switching on"]);
    flow.cautions(&cautions);
    supply::more(cx, &mut flow);
    each_load(cx, &mut flow);
    flow.end("Power")
}

/// Each light's own load.
fn each_load(cx: &Context<'_>, flow: &mut Flow<'_>) {
    flow.heading("Each light", 30.0);
    let mut table = Table::new(vec![
        Column::new("no").right().strong(),
        Column::new("light").share(1.0),
        Column::new("circuit").share(0.6),
        Column::new("W").right(),
        Column::new("power factor").right(),
        Column::new("VA").right(),
        Column::new("A").right().strong(),
    ]);
    for unit in &cx.plan.units {
        let assumed = if unit.power_factor_assumed { " assumed" } else { "" };
        table.row(vec![
            unit.number.to_string(),
            unit.profile.clone(),
            unit.circuit.clone().unwrap_or_else(|| "none".to_owned()),
            known(unit.watts, 0),
            known(unit.power_factor, 2) + assumed,
            known(unit.volt_amps, 0),
            known(unit.amps, 2),
        ]);
    }
    flow.table(&table);
}

/// The lines, in the order of the cable.
pub(crate) fn data(cx: &Context<'_>) -> Sheet {
    let mut flow = flow(cx);
    flow.title("Data lines", "Each line in the order of its cable, from its beginning to its terminator.");
    for line in &cx.plan.lines {
        let kind = match line.kind {
            LineKind::Driven => "driven",
            LineKind::Linked => "linked",
        };
        let universe = line.universe.map_or_else(String::new, |universe| format!(", universe {universe}"));
        flow.heading(&format!("{} ({kind}{universe})", capital(&line.name)), 24.0);
        strip::strip(cx, &mut flow, line);
        let end = line.terminator.map_or_else(
            || "No terminator: nothing is cabled.".to_owned(),
            |last| format!("Terminator, 120 Ω between pins 2 and 3, on light {last}."),
        );
        let length = match line.way_m {
            Some(way) => {
                let at_least = if line.length_complete { "" } else { "at least " };
                format!("{at_least}{way:.0} m of cable as it runs, of 300 m")
            }
            None => "length not known".to_owned(),
        };
        let loads = if line.kind == LineKind::Driven {
            let assumed = if line.assumed_unit_loads.is_empty() {
                String::new()
            } else {
                format!(", assumed as 1 for {}", facts::lights(&line.assumed_unit_loads))
            };
            format!(" {:.1} of 32 unit loads{assumed}.", line.unit_loads)
        } else {
            String::new()
        };
        flow.words(&format!("{end} {}.{loads}", capital(&length)), cx.style.body());
    }
    if cx.plan.lines.is_empty() {
        flow.words("No light is on a data line.", cx.style.note());
    }
    let cautions = cx.cautions(&["Data"]);
    flow.cautions(&cautions);
    flow.end("Data lines")
}

/// What hangs where, and how much it is.
pub(crate) fn weight(cx: &Context<'_>) -> Sheet {
    let mut flow = flow(cx);
    flow.title("Weight", "What each bar, truss and stand carries: a sum, not a permission to hang.");
    let mut table = Table::new(vec![
        Column::new("place").strong().share(1.0),
        Column::new("kind"),
        Column::new("lights").share(0.8),
        Column::new("sum kg").right().strong(),
        Column::new("clamps, bonds kg").right(),
        Column::new("own weight kg").right(),
        Column::new("written limit kg").right(),
        Column::new("share").right(),
        Column::new("limit seen"),
    ]);
    for place in &cx.plan.places {
        let floor = place.kind == PlaceKind::Floor;
        let unless_floor =
            |value: Option<f64>, digits| if floor { "–".to_owned() } else { known(value, digits) };
        table.row(vec![
            place.name.clone(),
            facts::place_kind(place.kind).to_owned(),
            numbers(&place.units),
            format!("{:.1}", place.weight_kg),
            unless_floor(Some(place.assumed_kg), 1),
            unless_floor(place.own_kg, 1),
            unless_floor(place.rated_kg, 0),
            match (floor, place.share) {
                (true, _) => "–".to_owned(),
                (_, Some(share)) => format!("{:.0} %", share * 100.0),
                _ => "?".to_owned(),
            },
            TICK.to_owned(),
        ]);
    }
    flow.table(&table);
    flow.gap(2.0);
    let words = "A clamp and a bond are counted as 0.8 kg for each light that hangs, which is assumed; cables are not \
                 counted. A question mark is not known: ask, and count nothing as nothing.";
    flow.words(words, cx.style.small());
    let unknown: Vec<u32> = cx.plan.places.iter().flat_map(|place| place.unknown_weight.clone()).collect();
    if !unknown.is_empty() {
        let words = format!("Weight not known, so not in the sums: {}.", facts::lights(&unknown));
        flow.words(&words, cx.style.small());
    }
    let cautions = cx.cautions(&["Weight", "Second securing", "Stands", "Height"]);
    flow.cautions(&cautions);
    supply::held(cx, &mut flow);
    flow.heading("Each light", 30.0);
    let mut table = Table::new(vec![
        Column::new("no").right().strong(),
        Column::new("light").share(1.0),
        Column::new("where, and which way up").share(1.8),
        Column::new("kg").right().strong(),
        Column::new("bond"),
    ]);
    for plan in &cx.plan.units {
        let unit = cx.rig.unit(plan.number);
        let up = unit.map_or_else(String::new, |unit| facts::way_up(cx.rig, unit));
        let falls = unit.is_some_and(|unit| facts::can_fall(cx.rig, unit));
        table.row(vec![
            plan.number.to_string(),
            plan.profile.clone(),
            format!("{}: {up}", plan.place),
            known(plan.weight_kg, 1),
            if falls { TICK.to_owned() } else { "–".to_owned() },
        ]);
    }
    flow.table(&table);
    flow.end("Weight")
}

/// Which cable goes where.
pub(crate) fn cables(cx: &Context<'_>) -> Sheet {
    let mut flow = flow(cx);
    flow.title(
        "Cables",
        "Every data cable in the order in which it is laid. Measure the way before you cut or choose.",
    );
    let mut table = Table::new(vec![
        Column::new("cable").right().strong(),
        Column::new("line").share(0.7),
        Column::new("from").share(0.8),
        Column::new("to").share(0.8),
        Column::new("as it runs m").right(),
        Column::new("take").right().strong(),
        Column::new("laid"),
    ]);
    for (n, leg) in (1..).zip(facts::legs(cx.plan)) {
        table.row(vec![
            n.to_string(),
            leg.line,
            leg.from,
            leg.to,
            known(leg.way_m, 1),
            facts::take(&leg.take_m).unwrap_or_else(|| "?".to_owned()),
            TICK.to_owned(),
        ]);
    }
    if table.is_empty() {
        flow.words("No data cables are planned.", cx.style.note());
    } else {
        flow.table(&table);
    }
    flow.gap(2.0);
    let words = "As it runs: along the place, down at its end, along the floor and up again; what to take has slack in it \
                 and comes from your own lengths. A question mark: the place of one end is not known.";
    flow.words(words, cx.style.small());
    let mut totals = Table::new(vec![
        Column::new("line").strong().share(1.0),
        Column::new("cables in use").right(),
        Column::new("cables to carry").right().strong(),
        Column::new("terminators").right(),
        Column::new("as it runs m").right(),
    ]);
    for line in &cx.plan.lines {
        totals.row(vec![
            line.name.clone(),
            line.cables.to_string(),
            line.cables_to_carry.to_string(),
            usize::from(line.terminator.is_some()).to_string(),
            known(line.way_m, 0),
        ]);
    }
    if !totals.is_empty() {
        flow.heading("To carry", 20.0);
        flow.table(&totals);
    }
    let cautions = cx.cautions(&["Leads", "Data"]);
    flow.cautions(&cautions);
    flow.end("Cables")
}

/// What goes into the van.
pub(crate) fn packing(cx: &Context<'_>) -> Sheet {
    let mut flow = flow(cx);
    flow.title("Packing list", "What the plan knows of. Tick it out of the store and back into it.");
    let columns = || {
        vec![
            Column::new("count").right().strong(),
            Column::new("what").share(1.6),
            Column::new("kg").right(),
            Column::new("out"),
            Column::new("back"),
        ]
    };
    let ticks = [TICK.to_owned(), TICK.to_owned()];
    for case in &cx.plan.cases {
        let more = if case.unknown_weight { " and what is not known" } else { "" };
        let two = if case.two_people { ": lift it with two people" } else { "" };
        flow.heading(&format!("{}, {:.1} kg{more}{two}", capital(&case.name), case.weight_kg), 24.0);
        let mut table = Table::new(columns());
        for item in &case.items {
            let cells = [item.count.to_string(), item.what.clone(), known(item.weight_kg, 1)];
            table.row([&cells[..], &ticks].concat());
        }
        flow.table(&table);
    }
    flow.heading("And", 24.0);
    let mut table = Table::new(columns());
    let stands = cx.plan.places.iter().filter(|place| place.kind == PlaceKind::Stand).count();
    if stands > 0 {
        let own: Option<f64> = cx
            .plan
            .places
            .iter()
            .filter(|place| place.kind == PlaceKind::Stand)
            .map(|place| place.own_kg)
            .sum();
        table.row([&[stands.to_string(), "stand".to_owned(), known(own, 1)][..], &ticks].concat());
    }
    for _ in 0..6 {
        table.row([&vec![String::new(); 3][..], &ticks].concat());
    }
    flow.table(&table);
    flow.gap(2.0);
    let words = "Empty lines are for what no plan knows: tape, tools, a torch, ear plugs, a ladder, the key to the hall.";
    flow.words(words, cx.style.note());
    let cautions = cx.cautions(&["Heat"]);
    flow.cautions(&cautions);
    flow.end("Packing list")
}
