//! What stands behind the power and weight tables: leakage, switching on, leads; points, tubes and stands.

use super::{known, numbers};
use crate::Context;
use crate::layout::{Column, Flow, Table};

/// Leakage and switching on by circuit; what is lost on the way to each light, where leads are known.
pub(super) fn more(cx: &Context<'_>, flow: &mut Flow<'_>) {
    let mut table = Table::new(vec![
        Column::new("circuit").strong().share(0.7),
        Column::new("residual device mA").right(),
        Column::new("leaks at most mA").right(),
        Column::new("of mA").right(),
        Column::new("switch on one after another: lights").share(1.6),
    ]);
    for circuit in &cx.plan.circuits {
        let groups = circuit
            .switch_on
            .as_ref()
            .map(|on| on.groups.iter().map(|group| numbers(group)).collect::<Vec<String>>().join("; then "));
        if circuit.leakage.is_none() && groups.is_none() {
            continue;
        }
        let leak = circuit.leakage.as_ref();
        table.row(vec![
            circuit.name.clone(),
            known(leak.map(|leak| leak.rated_ma), 0),
            known(leak.map(|leak| leak.at_most_ma), 1),
            known(leak.map(|leak| leak.limit_ma), 1),
            groups.unwrap_or_else(|| numbers(&circuit.units)),
        ]);
    }
    if !table.is_empty() {
        flow.heading("Leakage and switching on", 24.0);
        flow.table(&table);
        flow.gap(2.0);
        let words = "Where a light says nothing of its leakage, the most that is allowed is counted. A breaker that trips at \
                     switch-on asks for smaller groups, never for a bigger breaker.";
        flow.words(words, cx.style.small());
    }
    let mut table = Table::new(vec![
        Column::new("light").right().strong(),
        Column::new("lost V").right(),
        Column::new("lost %").right().strong(),
        Column::new("left V").right(),
        Column::new("leads not known").right(),
    ]);
    for drop in &cx.plan.drops {
        table.row(vec![
            drop.unit.to_string(),
            format!("{:.1}", drop.drop_volts),
            format!("{:.1}", drop.share * 100.0),
            format!("{:.0}", drop.volts),
            drop.unknown_leads.to_string(),
        ]);
    }
    if !table.is_empty() {
        flow.heading("Lost on the way", 24.0);
        flow.table(&table);
        flow.gap(2.0);
        flow.words("Unroll every drum: a coiled lead heats up.", cx.style.small());
    }
}

/// What points, tubes and stands are asked for, where the show says what they are.
pub(super) fn held(cx: &Context<'_>, flow: &mut Flow<'_>) {
    let mut bars = Table::new(vec![
        Column::new("place").strong().share(1.0),
        Column::new("left point kg").right().strong(),
        Column::new("right point kg").right().strong(),
        Column::new("written kg").right(),
        Column::new("bends N·m").right(),
        Column::new("allowed N·m").right(),
        Column::new("sag mm").right(),
    ]);
    let mut stands = Table::new(vec![
        Column::new("stand").strong().share(1.0),
        Column::new("all kg").right(),
        Column::new("tips at a push of N").right().strong(),
        Column::new("off its mast m").right(),
        Column::new("of m").right(),
        Column::new("wind that tips it m/s").right(),
    ]);
    for place in &cx.plan.places {
        if let Some(bar) = &place.bar {
            let [left, right] = bar.points_kg;
            bars.row(vec![
                place.name.clone(),
                format!("{left:.1}"),
                format!("{right:.1}"),
                known(bar.point_rated_kg, 0),
                format!("{:.0}", bar.moment_nm),
                known(bar.allowed_nm, 0),
                known(bar.sag_mm, 0),
            ]);
        }
        if let Some(stand) = &place.stand {
            stands.row(vec![
                place.name.clone(),
                format!("{:.1}", stand.total_kg),
                format!("{:.0}", stand.tip_force_heavy_side_n),
                format!("{:.2}", stand.offset_m.abs()),
                format!("{:.2}", stand.tip_distance_m),
                stand.tip_wind_m_s.map_or_else(|| "–".to_owned(), |wind| format!("{wind:.0}")),
            ]);
        }
    }
    if !bars.is_empty() {
        flow.heading("On its points", 24.0);
        flow.table(&bars);
        flow.gap(2.0);
        let words = "Over people, half of what is written counts. Clamps, points and ceiling fail before a tube does.";
        flow.words(words, cx.style.small());
    }
    if !stands.is_empty() {
        flow.heading("Stands", 24.0);
        flow.table(&stands);
        flow.gap(2.0);
        let words = "The push counts at the height of the lights, towards the heavier side: ten newtons are about one kilogram.";
        flow.words(words, cx.style.small());
    }
}
