//! Tension lost in leads, and power from light to light.

use lanthorn_rig::sums::cable::{
    ADVICE_SOURCE, BRANCH_SHARE, METRES_PER_FOOT, Segment, Size, Table, WHOLE_SHARE, drop_at_constant_power,
    drop_volts, warmer,
};
use lanthorn_rig::sums::electric::{Chain, chain, connector_amps};
use serde_json::{Value, json};

use super::fields::{AMPS, BREAKER, COUNT, FACTOR, Fields, LENGTH};
use super::power::{LIGHTS, continuous, load, need_volts, volts};
use super::shown;

const CAUTION: &str = "Unroll drums: a coiled lead overheats. One lead for a run, rated for its load; the plug may limit it further. Local code decides.";

/// Ohms of a metre of one conductor, and where that comes from.
struct Resistance {
    ohm_per_m: f64,
    table: String,
    size: Option<Size>,
}

/// A conductor's size, however it is said.
fn size(case: &Fields) -> Result<Option<Size>, String> {
    let known = "0.75, 1, 1.25, 1.5, 2.5, 4 or 6 mm2; 18, 16, 14, 12, 10 or 8 AWG";
    if let Some(gauge) = case.text(&["awg", "gauge", "awg_size"])? {
        let bare = gauge.to_lowercase().replace("awg", "").replace('#', "");
        let found = Size::read(&format!("{} awg", bare.trim()));
        return found
            .map(Some)
            .ok_or_else(|| format!("\"{gauge}\" is no gauge that we have figures for: {known}"));
    }
    if let Some(area) = case.number(&[
        "mm2",
        "mm_2",
        "area_mm2",
        "size_mm2",
        "csa_mm2",
        "cross_section_mm2",
        "csa",
        "cross_section",
    ])? {
        return Size::mm2(area)
            .map(Some)
            .ok_or_else(|| format!("{area} mm2 is no size that we have figures for: {known}"));
    }
    let keys = ["cable", "size", "wire", "conductor", "cable_size", "type"];
    let Some(text) = case.text(&keys)? else { return Ok(None) };
    Size::read(&text)
        .map(Some)
        .ok_or_else(|| format!("\"{text}\" is no cable that we have figures for: {known}"))
}

fn table(case: &Fields) -> Result<Option<Table>, String> {
    let Some(word) = case.text(&["table", "method", "standard", "column", "form"])? else { return Ok(None) };
    let word = word.to_lowercase();
    let has = |part: &str| word.contains(part);
    Ok(Some(match () {
        () if has("solid") => Table::NecSolid,
        () if word == "k"
            || has("k form")
            || has("k_form")
            || has("k-form")
            || has("circular")
            || has("12.9") =>
        {
            Table::NecK
        }
        () if has("strand") || has("nec") || has("ohm") => Table::NecStranded,
        () if has("7671") || has("bs") || has("4f3b") || has("mv") => Table::Bs7671,
        () if has("60228") || has("iec") || has("class 5") => Table::Iec60228,
        () => {
            return Err(format!(
                "\"{word}\" is no table that we have: NEC stranded, NEC solid, K, BS 7671, IEC 60228"
            ));
        }
    }))
}

/// Said outright, or by size and table.
fn resistance(case: &Fields) -> Result<Option<Resistance>, String> {
    let said =
        |ohm_per_m: f64, what: &str| Ok(Some(Resistance { ohm_per_m, table: what.to_owned(), size: None }));
    if let Some(milli) =
        case.positive(&[("mv_per_a_m", 1.0), ("mv_per_am", 1.0), ("mv/a/m", 1.0), ("mv_a_m", 1.0)])?
    {
        return said(milli / 2000.0, "mV/A/m as said, both conductors");
    }
    if let Some(ohm) = case.positive(&[("ohm_per_km", 1.0), ("ohms_per_km", 1.0), ("r_ohm_km", 1.0)])? {
        return said(ohm / 1000.0, "ohm/km of one conductor, as said");
    }
    if let Some(ohm) =
        case.positive(&[("ohm_per_kft", 1.0), ("ohms_per_kft", 1.0), ("ohm_per_1000ft", 1.0)])?
    {
        return said(ohm / (1000.0 * METRES_PER_FOOT), "ohm/kft of one conductor, as said");
    }
    let Some(size) = size(case)? else { return Ok(None) };
    let table = table(case)?.unwrap_or(size.usual_table());
    let lacks = || format!("{} has no {}", table.name(), size.words());
    let ohm = size.ohm_per_m(table).ok_or_else(lacks)?;
    let warm = match (table, case.number(&["temperature_c", "conductor_c", "temp_c", "t_c"])?) {
        (Table::Iec60228, Some(celsius)) => warmer(20.0, celsius),
        (Table::Bs7671, Some(celsius)) => warmer(60.0, celsius),
        (Table::NecStranded | Table::NecSolid, Some(celsius)) => warmer(75.0, celsius),
        (Table::NecK, _) | (_, None) => 1.0,
    };
    Ok(Some(Resistance { ohm_per_m: ohm * warm, table: table.name().to_owned(), size: Some(size) }))
}

/// The pieces of the way, each with its resistance; and the current of the first.
fn segments(case: &Fields) -> Result<Vec<(Segment, Resistance)>, String> {
    let lists = ["segments", "pieces", "leads", "sections"];
    let own = |entry: &Fields| match resistance(entry)? {
        Some(found) => Ok(found),
        None => resistance(case)?.ok_or_else(|| entry.missing("cable", "such as \"1.5 mm2\" or \"14 AWG\"")),
    };
    let volts = volts(case)?;
    if let Some(entries) = case.entries(&lists, "segment", "length_m")? {
        let one = |entry: &Fields| {
            let found = own(entry)?;
            let amps = match entry.amount(AMPS)? {
                Some(amps) => amps,
                None => case.amount(AMPS)?.ok_or_else(|| entry.missing("amps", "the current in it"))?,
            };
            let length_m =
                entry.amount(LENGTH)?.ok_or_else(|| entry.missing("length_m", "its length, one way"))?;
            Ok((Segment { length_m, ohm_per_m: found.ohm_per_m, amps }, found))
        };
        return entries.iter().map(one).collect();
    }
    if let Some(lights) = case.entries(&[LIGHTS, &["chain"]].concat(), "light", "amps")? {
        return chain_segments(case, &lights, volts, &own);
    }
    let found = own(case)?;
    let amps = match load(case, volts)? {
        Some(load) if case.has(&["amps", "a", "current_a", "current", "load_amps", "load_a"]) => {
            load.volt_amps / volts.unwrap_or(1.0) * f64::from(load.count)
        }
        Some(load) => load.volt_amps * f64::from(load.count) / need_volts(case)?,
        None => return Err(case.missing("amps", "the current; or \"watts\" with \"pf\" and \"volts\"")),
    };
    let length_m = case
        .amount(LENGTH)?
        .ok_or_else(|| case.missing("length_m", "the length one way; or \"length_ft\""))?;
    Ok(vec![(Segment { length_m, ohm_per_m: found.ohm_per_m, amps }, found)])
}

/// A chain: the lead to each light carries that light and all behind it.
fn chain_segments(
    case: &Fields,
    lights: &[Fields],
    volts: Option<f64>,
    own: &dyn Fn(&Fields) -> Result<Resistance, String>,
) -> Result<Vec<(Segment, Resistance)>, String> {
    let mut each: Vec<(f64, Option<f64>, &Fields)> = Vec::new();
    for light in lights {
        let load = load(light, volts)?.ok_or_else(|| light.missing("amps", "or \"watts\" with \"pf\""))?;
        let amps = load.volt_amps / volts.unwrap_or(1.0);
        let length = light.amount(LENGTH)?;
        (0..load.count.min(200)).for_each(|_| each.push((amps, length, light)));
    }
    let first = case.amount(&[
        ("first_m", 1.0),
        ("feed_m", 1.0),
        ("supply_m", 1.0),
        ("lead_to_first_m", 1.0),
        ("first_ft", 0.3048),
    ])?;
    let link = case.amount(
        &[LENGTH, &[("link_m", 1.0), ("spacing_m", 1.0), ("each_m", 1.0), ("link_ft", 0.3048)]].concat(),
    )?;
    let mut list = Vec::new();
    for (index, (_, length, light)) in each.iter().enumerate() {
        let usual = if index == 0 { first.or(link) } else { link };
        let length_m = length.or(usual).ok_or_else(|| light.missing("length_m", "of the lead to it"))?;
        let amps = each[index..].iter().map(|(amps, ..)| amps).sum();
        let found = own(light)?;
        list.push((Segment { length_m, ohm_per_m: found.ohm_per_m, amps }, found));
    }
    Ok(list)
}

pub(super) fn drop(case: &Fields) -> Result<Value, String> {
    if let Some(answer) = annex(case)? {
        return Ok(answer);
    }
    let segments = segments(case)?;
    let three = case.flag(&["three_phase", "3_phase"])?;
    let volts = volts(case)?;
    let pieces: Vec<Segment> = segments.iter().map(|(segment, _)| *segment).collect();
    let lost = drop_volts(&pieces, three);
    let percent = |lost: f64| volts.map(|volts| lost / volts * 100.0);
    let at: Vec<Value> = (1..=pieces.len())
        .map(|end| {
            let lost = drop_volts(&pieces[..end], three);
            json!({ "amps": pieces[end - 1].amps, "length_m": pieces[end - 1].length_m, "drop_volts": lost,
                "drop_percent": percent(lost), "volts": volts.map(|volts| volts - lost) })
        })
        .collect();
    let carried = segments.iter().filter_map(|(segment, found)| Some((segment.amps, found.size?.amps()?)));
    let tightest = carried.min_by(|a, b| (a.1.0 - a.0).total_cmp(&(b.1.0 - b.0)));
    let mut tables: Vec<&str> = segments.iter().map(|(_, found)| found.table.as_str()).collect();
    tables.dedup();
    let amps = pieces.first().map(|piece| piece.amps);
    let share = percent(lost).map(|percent| percent / 100.0);
    let far = match share {
        Some(share) if share > WHOLE_SHARE => " That is more than the 5 % advised in all.",
        Some(share) if share > BRANCH_SHARE => " That is more than the 3 % advised for a branch.",
        _ => "",
    };
    let hot =
        tightest.filter(|(amps, (limit, _))| amps > limit).map_or_else(String::new, |(amps, (limit, _))| {
            format!(" The lead is made for {} A and would carry {}.", shown(limit), shown(amps))
        });
    let of = percent(lost).map_or_else(String::new, |percent| format!(" ({} %)", shown(percent)));
    Ok(json!({
        "drop_volts": lost, "drop_v": lost, "drop_percent": percent(lost), "drop_share": share, "volts": volts,
        "volts_at_end": volts.map(|volts| volts - lost), "amps": amps, "length_m": pieces.iter().map(|piece| piece.length_m).sum::<f64>(),
        "at": at, "table": tables.join("; "), "ohm_per_km": pieces.first().map(|piece| piece.ohm_per_m * 1000.0),
        "within_3_percent": share.map(|share| share <= BRANCH_SHARE + 1e-12), "within_5_percent": share.map(|share| share <= WHOLE_SHARE + 1e-12),
        "ampacity_amps": tightest.map(|(_, (limit, _))| limit), "ampacity_ok": tightest.map(|(amps, (limit, _))| amps <= limit),
        "ampacity_source": tightest.map(|(_, (_, source))| source),
        "constant_power_drop_volts": volts.and_then(|volts| drop_at_constant_power(volts, lost)),
        "formula": if three { "root 3 x length x ohms of one conductor x amps, summed" } else { "2 x length x ohms of one conductor x amps, summed over the segments" },
        "source": format!("{}; advice: {ADVICE_SOURCE}", tables.join("; ")), "caution": CAUTION,
        "says": format!("{} V{of} are lost on the way, by {}.{far}{hot}", shown(lost), tables.join("; ")),
    }))
}

/// The form of IEC 60364-5-52 annex G: u = b (ρ L/S cos φ + λ L sin φ) I, when that is asked for.
fn annex(case: &Fields) -> Result<Option<Value>, String> {
    /// Ohm·mm²/m of copper in use, and ohm/m of reactance, as the annex has them.
    const RHO: f64 = 0.0225;
    const LAMBDA: f64 = 0.000_08;
    let asked = case.text(&["table", "method", "standard", "form"])?.is_some_and(|word| {
        let word = word.to_lowercase();
        word.contains("annex") || word.contains("60364") || word.contains("rho")
    });
    if !asked {
        return Ok(None);
    }
    let area = case.need(
        &[("mm2", 1.0), ("area_mm2", 1.0), ("size_mm2", 1.0), ("csa_mm2", 1.0), ("cable", 1.0)],
        "the area of a conductor",
    )?;
    let length = case.need(LENGTH, "the length one way")?;
    let amps = case.need(AMPS, "the current")?;
    let cos = case.positive(FACTOR)?.unwrap_or(0.8).min(1.0);
    let sin = (1.0 - cos * cos).sqrt();
    let three = case.flag(&["three_phase", "3_phase"])?;
    // For three phases the annex counts one conductor, to the neutral.
    let both = if three { 1.0 } else { 2.0 };
    let rho = case.positive(&[("rho", 1.0)])?.unwrap_or(RHO);
    let lost = both * (rho * length / area * cos + LAMBDA * length * sin) * amps;
    let percent = volts(case)?.map(|volts| lost / volts * 100.0);
    let of = percent.map_or_else(String::new, |percent| format!(" ({} %)", shown(percent)));
    Ok(Some(json!({
        "drop_volts": lost, "drop_v": lost, "drop_percent": percent, "cos_phi": cos, "rho": rho,
        "table": "IEC 60364-5-52 annex G", "formula": "b x (rho x L / S x cos phi + lambda x L x sin phi) x amps, b = 2 for single phase, 1 to the neutral of three phases; rho = 0.0225 ohm mm2/m, lambda = 0.00008 ohm/m",
        "source": format!("IEC 60364-5-52 annex G, as quoted in public; advice: {ADVICE_SOURCE}"), "caution": CAUTION,
        "says": format!("{} V{of} are lost on the way, by IEC 60364-5-52 annex G.", shown(lost)),
    })))
}

/// Current that a connector may carry: said, or by its name.
fn connector(case: &Fields) -> Result<Option<f64>, String> {
    if let Some(amps) =
        case.positive(&[("connector_amps", 1.0), ("connector_a", 1.0), ("inlet_amps", 1.0)])?
    {
        return Ok(Some(amps));
    }
    match case.text(&["connector", "inlet"])? {
        None => Ok(None),
        Some(name) => match name.parse::<f64>() {
            Ok(amps) => Ok(Some(amps)),
            Err(_) => connector_amps(&name)
                .map(|(amps, _)| Some(amps))
                .ok_or_else(|| format!("we know no rating of \"{name}\": give \"connector_amps\"")),
        },
    }
}

fn circuit(case: &Fields) -> Result<Option<f64>, String> {
    let usable = case.positive(&[
        ("circuit_amps", 1.0),
        ("circuit_a", 1.0),
        ("usable_amps", 1.0),
        ("circuit_usable_a", 1.0),
        ("circuit_limit_a", 1.0),
    ])?;
    match (usable, case.positive(BREAKER)?) {
        (Some(usable), _) => Ok(Some(usable)),
        (None, Some(breaker)) => Ok(Some(breaker * continuous(case)?)),
        (None, None) => Ok(None),
    }
}

const THROUGH: &[(&str, f64)] = &[
    ("through_amps", 1.0),
    ("through", 1.0),
    ("through_a", 1.0),
    ("passed_on_a", 1.0),
    ("outlet_amps", 1.0),
];

pub(super) fn passthrough(case: &Fields) -> Result<Value, String> {
    if let Some(lights) =
        case.entries(&[LIGHTS, &["chain"]].concat(), "light", "amps")?.filter(|lights| lights.len() > 1)
    {
        return mixed(case, &lights);
    }
    let volts = volts(case)?;
    let what = "of one light; or \"watts\" with \"pf\" and \"volts\"";
    let load = load(case, volts)?.ok_or_else(|| case.missing("amps", what))?;
    let said = case.has(&["amps", "a", "current_a", "current"]);
    let amps = if said { case.amount(AMPS)?.unwrap_or(0.0) } else { load.volt_amps / need_volts(case)? };
    let maker = case.count(&[
        "maker_limit",
        "max_units",
        "printed_limit",
        "max_fixtures",
        "max_lights",
        "maker_max",
        "max_chain",
        "manual_limit",
        "limit",
    ])?;
    let total = case.positive(&[
        ("maker_limit_amps", 1.0),
        ("max_chain_amps", 1.0),
        ("chain_amps", 1.0),
        ("maker_amps", 1.0),
        ("total_amps", 1.0),
    ])?;
    let (through, connector, circuit) = (case.positive(THROUGH)?, connector(case)?, circuit(case)?);
    let by_total =
        total.filter(|_| amps > 0.0).map(|total| (total / amps + 1e-9).floor().clamp(0.0, 1e5) as u32);
    let maker = match (maker, by_total) {
        (Some(count), Some(other)) => Some(count.min(other)),
        (count, other) => count.or(other),
    };
    let found = chain(amps, maker, through, connector, circuit);
    let Some(Chain { lights, by, amps: all }) = found else {
        return Err(
            "nothing limits this chain: give \"maker_limit\", \"through_amps\", \"connector\" or \"breaker\""
                .to_owned(),
        );
    };
    let count = case.count(COUNT)?;
    let fits = count.map(|count| count <= lights);
    let judged = match (count, fits) {
        (Some(count), Some(false)) => format!(" {count} are too many."),
        (Some(count), _) => format!(" {count} are inside it."),
        (None, _) => String::new(),
    };
    Ok(json!({
        "max_lights": lights, "max_units": lights, "by": by, "limited_by": by, "amps_each": amps, "amps": all, "chain_amps": all,
        "count": count, "count_amps": count.map(|count| f64::from(count) * amps), "fits": fits,
        "limits": { "maker": maker, "through_amps": through, "connector_amps": connector, "circuit_amps": circuit },
        "formula": "N = min(maker's printed limit, 1 + floor(passed on / A), floor(connector / A), floor(circuit / A))",
        "source": "common practice, no source; the maker's manual wins", "caution": CHAIN_CAUTION,
        "says": format!("At {} A each, {lights} lights may hang on one plug ({} A): the {by} decides.{judged}", shown(amps), shown(all)),
    }))
}

const CHAIN_CAUTION: &str = "The first light's printed limit holds for everything behind it, even where the breaker would carry more. Do not mix kinds unless its limit is kept in amperes.";

/// Unlike lights one behind the other: current into each, and what each passes on.
fn mixed(case: &Fields, lights: &[Fields]) -> Result<Value, String> {
    let volts = volts(case)?;
    let mut amps = Vec::new();
    for light in lights {
        let load = load(light, volts)?.ok_or_else(|| light.missing("amps", "or \"watts\" with \"pf\""))?;
        amps.push(load.volt_amps / volts.unwrap_or(1.0) * f64::from(load.count));
    }
    let (common, shared) = (case.positive(THROUGH)?, connector(case)?);
    let mut over = Vec::new();
    let mut links = Vec::new();
    for (index, light) in lights.iter().enumerate() {
        let (inlet, passed): (f64, f64) = (amps[index..].iter().sum(), amps[index + 1..].iter().sum());
        let through = light.positive(THROUGH)?.or(common);
        let connector = connector(light)?.or(shared);
        let too_much = through.is_some_and(|limit| passed > limit + 1e-9)
            || connector.is_some_and(|limit| inlet > limit + 1e-9);
        let name = light.name(index)?;
        if too_much {
            over.push(name.clone());
        }
        links.push(json!({ "name": name, "amps": amps[index], "inlet_amps": inlet, "passed_amps": passed,
            "through_amps": through, "connector_amps": connector, "over": too_much }));
    }
    let total: f64 = amps.iter().sum();
    let circuit = circuit(case)?;
    let fits = over.is_empty() && circuit.is_none_or(|limit| total <= limit + 1e-9);
    let says = if over.is_empty() {
        "No light of it passes on more than is said.".to_owned()
    } else {
        format!("Too much for light {}.", over.join(", "))
    };
    Ok(json!({
        "links": links, "amps": total, "fits": fits, "over": over, "circuit_amps": circuit,
        "formula": "current into each light = its own and all behind it", "source": "the makers' printed limits", "caution": CHAIN_CAUTION,
        "says": format!("The chain draws {} A. {says}", shown(total)),
    }))
}
