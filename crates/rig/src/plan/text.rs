//! The plan as plain text: at most 100 columns, tables aligned, figures with as many digits as they are worth.

use std::fmt::Write as _;

use super::depth_text;
use super::finding::{Severity, capital, lights, listed};
use super::lines::LineKind;
use super::{Landing, LinePlan, Plan, UnitPlan};
use crate::PlaceKind;

/// Widest line.
const WIDTH: usize = 100;
/// Most lines of the short form.
const SHORT_LINES: usize = 15;

/// The whole plan, as `lanthorn plan` prints it.
pub fn to_text(plan: &Plan) -> String {
    let mut out = String::new();
    let title = format!("{} · {} · {:.0} V", plan.headline, plan.room, plan.mains_volts);
    line(&mut out, &cut(&title, WIDTH));
    line(&mut out, &capital(&counts(plan)));
    lights_table(plan, &mut out);
    menus(plan, &mut out);
    depth_text::switches(plan, &mut out);
    promises(plan, &mut out);
    data_lines(plan, &mut out);
    power(plan, &mut out);
    weight(plan, &mut out);
    landings(plan, &mut out);
    depth_text::cases(plan, &mut out);
    findings(plan, &mut out);
    if !plan.cautions.is_empty() {
        head(&mut out, "Cautions");
        for caution in &plan.cautions {
            wrapped(&mut out, "  · ", caution);
        }
    }
    out
}

/// The plan in 15 lines or fewer, for the moment when a show is opened.
pub fn short_text(plan: &Plan) -> String {
    let mut rows = vec![plan.headline.clone()];
    for circuit in plan.circuits.iter().filter(|circuit| !circuit.units.is_empty()).take(4) {
        let amps = circuit.amps.map_or_else(|| "? A".to_owned(), |amps| format!("{amps:.1} A"));
        let sum = format!("{amps} of {:.1} A planned ({:.0} VA)", circuit.limit_amps, circuit.volt_amps);
        rows.push(format!("  circuit {}: {sum}", circuit.name));
    }
    for data_line in plan.lines.iter().take(3) {
        let cables = format!("{}{}", cable_count(data_line), terminator(data_line));
        rows.push(format!("  {}: {cables}", data_line.name));
    }
    rows.push(format!("  findings: {}", counts(plan)));
    let grave = plan.findings.iter().filter(|finding| finding.severity != Severity::Note);
    let room = SHORT_LINES - rows.len() - 1;
    let left = grave.clone().count().saturating_sub(room);
    for finding in grave.take(room) {
        let figure = finding.figure.as_ref().map_or_else(String::new, |figure| format!(" ({figure})"));
        rows.push(format!("  {}: {}{figure}", finding.severity, finding.what));
    }
    if left > 0 {
        rows.push(format!("  and {left} more"));
    }
    rows.iter().fold(String::new(), |mut text, row| {
        line(&mut text, &cut(row, WIDTH));
        text
    })
}

/// "2 must change, 3 take care, 5 for your information".
fn counts(plan: &Plan) -> String {
    let count = |severity| plan.findings.iter().filter(|finding| finding.severity == severity).count();
    let parts = [Severity::Error, Severity::Caution, Severity::Note]
        .map(|severity| (count(severity), severity))
        .map(|(count, severity)| (count > 0).then(|| format!("{count} {severity}")));
    let parts: Vec<String> = parts.into_iter().flatten().collect();
    if parts.is_empty() { "nothing found".to_owned() } else { parts.join(", ") }
}

fn lights_table(plan: &Plan, out: &mut String) {
    let mut table = Table::new("rlllllrr", &["no", "light", "mode", "runs", "address", "place", "W", "kg"]);
    for unit in &plan.units {
        table.row([
            unit.number.to_string(),
            unit.profile.clone(),
            unit.mode.clone(),
            runs(unit),
            address(unit),
            unit.place.clone(),
            number(unit.watts, 0),
            number(unit.weight_kg, 1),
        ]);
    }
    section(out, "Lights", &table);
    if let Some(sum) = plan.noise.sum_dba_at_1_m {
        let unknown = match plan.noise.unknown.as_slice() {
            [] => String::new(),
            unknown => format!("; not known: {}", listed(unknown)),
        };
        wrapped(out, "  ", &format!("Fans together: {sum:.0} dBA at 1 m{unknown}"));
    }
    depth_text::noise(plan, out);
}

fn runs(unit: &UnitPlan) -> String {
    match (unit.follows, unit.leads.as_slice()) {
        (Some(leader), _) => format!("follows {leader}"),
        (None, []) => unit.way.words().to_owned(),
        (None, led) => format!("leads {}", listed(led)),
    }
}

/// "1.017–032".
fn address(unit: &UnitPlan) -> String {
    let (Some(universe), Some(first)) = (unit.universe, unit.address) else { return "–".to_owned() };
    let last = unit.last_slot.map_or_else(String::new, |last| format!("–{last:03}"));
    let shared = unit.shares.map_or_else(String::new, |with| format!(" as {with}"));
    format!("{universe}.{first:03}{last}{shared}")
}

fn menus(plan: &Plan, out: &mut String) {
    if plan.units.is_empty() {
        return;
    }
    head(out, "What to select in each menu");
    for unit in &plan.units {
        wrapped(out, &format!("{:>5}  ", unit.number), &unit.menu.join("  ·  "));
    }
}

/// Lights that are run alike are said together.
fn promises(plan: &Plan, out: &mut String) {
    let mut groups: Vec<(&UnitPlan, Vec<u32>)> = Vec::new();
    for unit in &plan.units {
        let alike = |other: &UnitPlan| {
            other.way == unit.way && other.will == unit.will && other.will_not == unit.will_not
        };
        match groups.iter_mut().find(|(first, _)| alike(first)) {
            Some((_, numbers)) => numbers.push(unit.number),
            None => groups.push((unit, vec![unit.number])),
        }
    }
    if !groups.is_empty() {
        head(out, "What they will do, and will not");
    }
    for (unit, numbers) in groups {
        wrapped(out, "  ", &format!("{}, {}", capital(&lights(&numbers)), unit.way.words()));
        for will in &unit.will {
            wrapped(out, "      will      ", will);
        }
        for will_not in &unit.will_not {
            wrapped(out, "      will not  ", will_not);
        }
    }
}

fn data_lines(plan: &Plan, out: &mut String) {
    if plan.lines.is_empty() {
        return;
    }
    head(out, "Data lines");
    for data_line in &plan.lines {
        let universe =
            data_line.universe.map_or_else(String::new, |universe| format!(", universe {universe}"));
        let kind = if data_line.kind == LineKind::Driven { "driven" } else { "linked" };
        wrapped(out, "  ", &format!("{} ({kind}{universe})", capital(&data_line.name)));
        let start = (data_line.kind == LineKind::Driven).then(|| "controller".to_owned());
        let stops = start.into_iter().chain(data_line.units.iter().map(u32::to_string));
        wrapped(out, "      order     ", &stops.collect::<Vec<_>>().join(" → "));
        wrapped(out, "      cables    ", &cables(data_line));
        let assumed = match data_line.assumed_unit_loads.as_slice() {
            [] => String::new(),
            assumed => format!(" (assumed as 1: {})", lights(assumed)),
        };
        depth_text::line(data_line, out);
        wrapped(out, "      load      ", &format!("{:.1} of 32 unit loads{assumed}", data_line.unit_loads));
    }
    let mut table = Table::new("rrrrl", &["universe", "used", "free", "free from", "lights"]);
    for universe in &plan.universes {
        table.row([
            universe.universe.to_string(),
            universe.used_slots.to_string(),
            universe.free_slots.to_string(),
            universe.free_from.map_or_else(|| "–".to_owned(), |slot| format!("{slot:03}")),
            listed(&universe.units),
        ]);
    }
    table.print(out);
    depth_text::addresses(plan, out);
}

/// "11 cables (carry 14), 42 m along straight lines: plan half as much again; terminator on light 11".
fn cables(data_line: &LinePlan) -> String {
    let length = data_line.straight_m.map_or_else(String::new, |straight| {
        let part = if data_line.length_complete { "" } else { " as far as known" };
        let digits = usize::from(straight < 10.0);
        format!(", {straight:.digits$} m along straight lines{part}: plan half as much again")
    });
    format!("{}{length}{}", cable_count(data_line), terminator(data_line))
}

/// "11 cables (carry 14)".
fn cable_count(data_line: &LinePlan) -> String {
    let noun = if data_line.cables == 1 { "cable" } else { "cables" };
    let carry = match data_line.cables_to_carry {
        0 => String::new(),
        carry => format!(" (carry {carry})"),
    };
    format!("{} {noun}{carry}", data_line.cables)
}

fn terminator(data_line: &LinePlan) -> String {
    data_line.terminator.map_or_else(String::new, |last| format!("; terminator on light {last}"))
}

fn power(plan: &Plan, out: &mut String) {
    let mut table = Table::new(
        "llrrrrrr",
        &["circuit", "lights", "W", "VA", "A", "planned limit A", "breaker A", "left A"],
    );
    for circuit in &plan.circuits {
        table.row([
            circuit.name.clone(),
            if circuit.units.is_empty() { "–".to_owned() } else { listed(&circuit.units) },
            format!("{:.0}", circuit.watts),
            format!("{:.0}", circuit.volt_amps),
            number(circuit.amps, 1),
            format!("{:.1}", circuit.limit_amps),
            format!("{:.0}", circuit.breaker_amps),
            number(circuit.headroom_amps, 1),
        ]);
    }
    section(out, "Power", &table);
    for circuit in &plan.circuits {
        let mut said = Vec::new();
        if let Some(other) = circuit.other_amps.filter(|other| *other > 0.0) {
            said.push(format!("{other:.1} A of other load is in the sum"));
        }
        if !circuit.assumed_power_factor.is_empty() {
            let who = lights(&circuit.assumed_power_factor);
            said.push(format!("power factor assumed (0.6 below 100 W, 0.9 above) for {who}"));
        }
        if !circuit.unknown_watts.is_empty() {
            said.push(format!("watts not known, not in the sum: {}", lights(&circuit.unknown_watts)));
        }
        if !said.is_empty() {
            wrapped(out, "  ", &format!("{}: {}", circuit.name, said.join("; ")));
        }
    }
    if !plan.without_circuit.is_empty() {
        wrapped(out, "  ", &format!("On no circuit, in no sum: {}", lights(&plan.without_circuit)));
    }
    depth_text::power(plan, out);
    if !plan.circuits.is_empty() {
        wrapped(out, "  ", "Have a licensed electrician confirm the supply and what shares a breaker.");
    }
}

fn weight(plan: &Plan, out: &mut String) {
    let mut table = Table::new("lllrrr", &["place", "kind", "lights", "kg", "written limit kg", "share"]);
    for place in &plan.places {
        table.row([
            place.name.clone(),
            match place.kind {
                PlaceKind::Bar => "bar",
                PlaceKind::Truss => "truss",
                PlaceKind::Stand => "stand",
                PlaceKind::Floor => "floor",
            }
            .to_owned(),
            listed(&place.units),
            format!("{:.1}{}", place.weight_kg, if place.unknown_weight.is_empty() { "" } else { " +?" }),
            match place.kind {
                PlaceKind::Floor if place.rated_kg.is_none() => "–".to_owned(),
                PlaceKind::Bar | PlaceKind::Truss | PlaceKind::Stand | PlaceKind::Floor => {
                    number(place.rated_kg, 0)
                }
            },
            place.share.map_or_else(|| "–".to_owned(), |share| format!("{:.0} %", share * 100.0)),
        ]);
    }
    section(out, "Weight", &table);
    depth_text::weight(plan, out);
    if !plan.places.is_empty() {
        let note = "0.8 kg for clamp and bond is assumed for each light that hangs; cables are not counted. \
            A sum is no permission to hang: the written limit and a competent person decide.";
        wrapped(out, "  ", note);
    }
}

fn landings(plan: &Plan, out: &mut String) {
    let mut table =
        Table::new("rlrrrll", &["no", "mark", "throw m", "spot m", "lux", "measured on", "in travel"]);
    for unit in &plan.units {
        for (index, landing) in unit.lands.iter().enumerate() {
            let first = if index == 0 { unit.number.to_string() } else { String::new() };
            table.row([
                first,
                landing.mark.clone().unwrap_or_else(|| "where it is pointed".to_owned()),
                number(landing.throw_m, 1),
                spot(landing),
                lux(landing),
                match landing.surface {
                    super::Surface::Level => "level".to_owned(),
                    super::Surface::Upright => "upright".to_owned(),
                },
                landing.reachable.map_or("–", |reachable| if reachable { "yes" } else { "NO" }).to_owned(),
            ]);
        }
    }
    section(out, "Where the light lands", &table);
    if !table.rows.is_empty() {
        let note = "One head at full, white, all else dark; spot measured where the light is half of its peak. Level: \
            on the floor; upright: on a face turned to the light. ~ worked out from figures that are \
            not stated.";
        wrapped(out, "  ", note);
    }
}

/// "1.2 × 0.9".
fn spot(landing: &Landing) -> String {
    match (landing.spot_long_m, landing.spot_short_m) {
        (Some(long), Some(short)) => format!("{long:.1} × {short:.1}"),
        _ => "?".to_owned(),
    }
}

/// Two digits are all that a light level is worth.
fn lux(landing: &Landing) -> String {
    let Some(lux) = landing.lux else { return "?".to_owned() };
    let mark = if landing.assumed { "~" } else { "" };
    let magnitude = if lux >= 1.0 { libm::log10(lux).floor() } else { 0.0 };
    let unit = libm::exp10((magnitude - 1.0).max(0.0));
    format!("{mark}{:.0}", (lux / unit).round() * unit)
}

fn findings(plan: &Plan, out: &mut String) {
    if plan.findings.is_empty() {
        return;
    }
    head(out, "Findings");
    let mut now = None;
    for finding in &plan.findings {
        if now != Some(finding.severity) {
            now = Some(finding.severity);
            wrapped(out, "  ", &capital(&finding.severity.to_string()));
        }
        let figure = finding.figure.as_ref().map_or_else(String::new, |figure| format!(": {figure}"));
        wrapped(out, "    · ", &format!("{}{figure}", finding.what));
        wrapped(out, "      → ", &finding.remedy);
        wrapped(out, "        ", &format!("because {} ({})", finding.rule, finding.source));
    }
}

/// A number with so many digits; "?" when it is not known.
pub(crate) fn number(value: Option<f64>, digits: usize) -> String {
    value.map_or_else(|| "?".to_owned(), |value| format!("{value:.digits$}"))
}

pub(crate) fn head(out: &mut String, title: &str) {
    line(out, "");
    line(out, &title.to_uppercase());
}

pub(crate) fn section(out: &mut String, title: &str, table: &Table) {
    if !table.rows.is_empty() {
        head(out, title);
        table.print(out);
    }
}

pub(crate) fn line(out: &mut String, text: &str) {
    out.push_str(text.trim_end());
    out.push('\n');
}

/// Words in lines of at most 100 columns; the first starts with `lead`, the others with as many spaces.
pub(crate) fn wrapped(out: &mut String, lead: &str, text: &str) {
    let indent = lead.chars().count();
    let mut row = lead.to_owned();
    let mut used = indent;
    for word in text.split(' ') {
        let word = cut(word, WIDTH - indent);
        let length = word.chars().count();
        if used > indent && used + 1 + length > WIDTH {
            line(out, &row);
            row = " ".repeat(indent);
            used = indent;
        }
        if used > indent {
            row.push(' ');
            used += 1;
        }
        row.push_str(&word);
        used += length;
    }
    line(out, &row);
}

/// At most so many characters, the last one "…" when some are missing; control characters do not get through.
fn cut(text: &str, width: usize) -> String {
    let clean = text.chars().map(|c| if c.is_control() { ' ' } else { c });
    if text.chars().count() <= width {
        return clean.collect();
    }
    clean.take(width.saturating_sub(1)).chain(['…']).collect()
}

/// Rows of cells in aligned columns.
pub(crate) struct Table {
    /// `l` or `r` for each column.
    align: &'static str,
    head: Vec<String>,
    rows: Vec<Vec<String>>,
}

impl Table {
    pub(crate) fn new(align: &'static str, head: &[&str]) -> Self {
        Self { align, head: head.iter().map(|title| (*title).to_owned()).collect(), rows: Vec::new() }
    }

    pub(crate) fn row<const N: usize>(&mut self, cells: [String; N]) {
        self.rows.push(cells.into());
    }

    /// Columns as wide as their widest cell; while the table is too wide, the widest column gives way.
    fn print(&self, out: &mut String) {
        if self.rows.is_empty() {
            return;
        }
        let all = || std::iter::once(&self.head).chain(&self.rows);
        let width =
            |column: usize| all().filter_map(|row| row.get(column)).map(|cell| cell.chars().count()).max();
        let mut widths: Vec<usize> = (0..self.head.len()).map(|column| width(column).unwrap_or(0)).collect();
        let excess = (widths.iter().sum::<usize>() + 2 * widths.len()).saturating_sub(WIDTH);
        for _ in 0..excess {
            if let Some(widest) = widths.iter_mut().max() {
                *widest = widest.saturating_sub(1);
            }
        }
        for row in all() {
            let mut text = String::new();
            for ((cell, width), align) in row.iter().zip(&widths).zip(self.align.chars()) {
                let cell = cut(cell, *width);
                let _ = if align == 'r' {
                    write!(text, "  {cell:>width$}")
                } else {
                    write!(text, "  {cell:<width$}")
                };
            }
            line(out, &text);
        }
    }
}
