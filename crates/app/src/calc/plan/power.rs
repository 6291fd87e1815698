//! Currents, leakage, switching on, generators, batteries.

use lanthorn_rig::sums::electric::{
    self, BATTERY_USABLE, CLASS_I_LEAKAGE, Curve, GENERATOR_SHARE, INRUSH_SOURCE, INRUSH_TABLE_SOURCE,
    LEAKAGE_SHARE, LEAKAGE_SOURCE, Region, assumed_power_factor, battery_hours, generator_kva,
    lights_per_rcd, switch_on_together, three_phase_amps,
};
use serde_json::{Value, json};

use super::fields::{AMPS, BREAKER, CONTINUOUS, COUNT, FACTOR, Fields, OTHER, VOLT_AMPS, WATTS};
use super::shown;

/// Said beside every current.
const CAUTION: &str = "Currents rest on the labels. A licensed electrician confirms the supply, what shares a breaker, and the earth; \
    local code decides.";
const NEC: &str = "NEC 210.20(A), as quoted in public: what runs for three hours or more, within 80 % of the breaker; elsewhere a planning value";

/// The load of one light, or of several alike.
pub(super) struct Load {
    pub(super) watts: Option<f64>,
    pub(super) factor: Option<f64>,
    pub(super) assumed: bool,
    pub(super) volt_amps: f64,
    pub(super) count: u32,
}

/// `region`, if it is said.
pub(super) fn region(case: &Fields) -> Result<Option<Region>, String> {
    let Some(word) = case.text(&["region", "country", "mains"])? else { return Ok(None) };
    match word.trim().to_lowercase().as_str() {
        "us" | "usa" | "na" | "ca" | "canada" | "north america" => Ok(Some(Region::Us)),
        "uk" | "gb" => Ok(Some(Region::Uk)),
        "eu" | "europe" | "de" | "fr" => Ok(Some(Region::Eu)),
        "jp" | "japan" => Ok(Some(Region::Jp)),
        other => Err(format!("\"{other}\" is no region that we know: us, uk, eu or jp")),
    }
}

/// Mains tension: said, or the region's.
pub(super) fn volts(case: &Fields) -> Result<Option<f64>, String> {
    let said = case.positive(&[
        ("volts", 1.0),
        ("v", 1.0),
        ("voltage", 1.0),
        ("mains_v", 1.0),
        ("mains_volts", 1.0),
        ("voltage_v", 1.0),
    ])?;
    Ok(said.or(region(case)?.map(|region| region.usual().volts)))
}

pub(super) fn need_volts(case: &Fields) -> Result<f64, String> {
    volts(case)?.ok_or_else(|| case.missing("volts", "such as 120 or 230; or a \"region\" (us, uk, eu, jp)"))
}

/// Part of a breaker that is planned, and what is usual in the region.
pub(super) fn continuous(case: &Fields) -> Result<f64, String> {
    let said = case.scaled(CONTINUOUS)?;
    let said = said.map(|share| if share > 1.0 { share / 100.0 } else { share });
    match said {
        Some(share) if share <= 0.0 => Err("\"continuous\" is a part of the breaker, such as 0.8".to_owned()),
        Some(share) => Ok(share),
        None => Ok(region(case)?.map_or(0.8, |region| region.usual().continuous)),
    }
}

/// Watts with their power factor, or volt-amps, or amperes at a tension. None where nothing of it is said.
pub(super) fn load(light: &Fields, volts: Option<f64>) -> Result<Option<Load>, String> {
    let count = light.count(COUNT)?.unwrap_or(1);
    let watts = light.amount(WATTS)?;
    let factor = light.positive(FACTOR)?;
    if factor.is_some_and(|factor| factor > 1.0) {
        return Err("\"power_factor\" lies above 0 and up to 1".to_owned());
    }
    if let Some(amps) = light.amount(AMPS)? {
        let volt_amps = amps * volts.unwrap_or(1.0);
        return Ok(Some(Load { watts, factor, assumed: false, volt_amps, count }));
    }
    if let Some(volt_amps) = light.amount(VOLT_AMPS)? {
        return Ok(Some(Load { watts, factor, assumed: false, volt_amps, count }));
    }
    let Some(watts) = watts else { return Ok(None) };
    let used = factor.unwrap_or_else(|| assumed_power_factor(watts));
    let volt_amps = electric::volt_amps(watts, used);
    Ok(Some(Load { watts: Some(watts), factor: Some(used), assumed: factor.is_none(), volt_amps, count }))
}

pub(super) const LIGHTS: &[&str] = &["lights", "fixtures", "units", "loads", "items"];

/// The lights of a case, or the case itself as one kind of light.
fn loads(case: &Fields, volts: Option<f64>) -> Result<Vec<(String, Load)>, String> {
    let Some(lights) = case.entries(LIGHTS, "light", "watts")? else {
        let load = load(case, volts)?
            .ok_or_else(|| case.missing("lights", "a list of {\"watts\": …, \"pf\": …}; or \"watts\""))?;
        return Ok(vec![("1".to_owned(), load)]);
    };
    let one = |(index, light): (usize, &Fields)| {
        let load = load(light, volts)?.ok_or_else(|| light.missing("watts", "or \"va\" or \"amps\""))?;
        Ok((light.name(index)?, load))
    };
    lights.iter().enumerate().map(one).collect()
}

pub(super) fn power(case: &Fields) -> Result<Value, String> {
    let three = case.flag(&["three_phase", "3_phase", "between_phases"])?;
    let volts = need_volts(case)?;
    let loads = loads(case, Some(volts))?;
    let amps = |volt_amps: f64| if three { three_phase_amps(volt_amps, volts) } else { volt_amps / volts };
    let each: Vec<Value> = loads
        .iter()
        .map(|(name, load)| {
            json!({
                "name": name, "count": load.count, "watts": load.watts, "power_factor": load.factor,
                "power_factor_assumed": load.assumed, "volt_amps": load.volt_amps, "amps": amps(load.volt_amps),
            })
        })
        .collect();
    let sum = |part: fn(&Load) -> f64| {
        loads.iter().map(|(_, load)| part(load) * f64::from(load.count)).sum::<f64>()
    };
    let volt_amps = sum(|load| load.volt_amps);
    let total = amps(volt_amps);
    let other = case.amount(OTHER)?;
    let with_other = total + other.unwrap_or(0.0);
    let usual = region(case)?.map(Region::usual);
    let breaker = case.positive(BREAKER)?.or(usual.map(|usual| usual.breaker));
    let share = continuous(case)?;
    let limit = breaker.map(|breaker| breaker * share);
    let fits = limit.map(|limit| with_other <= limit + 1e-9);
    let assumed = loads.iter().any(|(_, load)| load.assumed);
    let judged = match (breaker, limit) {
        (Some(breaker), Some(limit)) if with_other > breaker => {
            format!(
                " That is more than the {} A breaker holds (planned: {} A).",
                shown(breaker),
                shown(limit)
            )
        }
        (Some(breaker), Some(limit)) => {
            let word = if fits == Some(true) { "inside" } else { "over" };
            format!(" That is {word} the {} A planned of the {} A breaker.", shown(limit), shown(breaker))
        }
        _ => String::new(),
    };
    let guessed = if assumed {
        " Power factors that are not known are assumed: 0.6 below 100 W, 0.9 from there on."
    } else {
        ""
    };
    Ok(json!({
        "each": each, "watts": sum(|load| load.watts.unwrap_or(0.0)), "volt_amps": volt_amps, "volts": volts,
        "amps": total, "other_amps": other, "total_amps": with_other,
        "breaker_amps": breaker, "limit_amps": limit, "headroom_amps": limit.map(|limit| limit - with_other),
        "share": limit.map(|limit| with_other / limit), "fits": fits, "power_factor_assumed": assumed,
        "receptacle_amps": usual.map(|usual| usual.receptacle),
        "formula": if three { "amps = watts / power factor / (root 3 x volts between phases)" } else { "amps = watts / power factor / volts" },
        "source": usual.map_or(NEC, |usual| usual.source), "caution": CAUTION,
        "says": format!("{} VA draw {} A at {} V.{judged}{guessed}", shown(volt_amps), shown(with_other), shown(volts)),
    }))
}

pub(super) fn leakage(case: &Fields) -> Result<Value, String> {
    let region = region(case)?;
    let milli = |keys: &[&str]| case.positive(&keys.iter().map(|key| (*key, 1.0)).collect::<Vec<_>>());
    // A bare number is milliamperes; a text says its unit.
    let device = ["rcd_ma", "rcd", "device_ma", "rating_ma", "gfci_ma", "trip_ma"];
    let rated = match milli(&device)? {
        Some(number) if case.value(&device).is_some_and(Value::is_string) => number * 1000.0,
        Some(number) if number < 1.0 => number * 1000.0,
        Some(number) => number,
        None if case.flag(&["gfci"])? => 5.0,
        None => region.map_or(30.0, |region| region.usual().rcd * 1000.0),
    };
    let limit = case.scaled(&[("share", 1.0)])?.unwrap_or(LEAKAGE_SHARE) * rated;
    let each_keys = ["leakage_ma", "each_ma", "ma", "per_light_ma", "leak_ma", "leakage_each_ma"];
    let mut rows: Vec<(f64, u32, bool)> = Vec::new();
    match case.entries(LIGHTS, "light", "leakage_ma")? {
        Some(lights) => {
            for light in &lights {
                let leaks = light.amount(&each_keys.map(|key| (key, 1.0)))?;
                rows.push((
                    leaks.unwrap_or(CLASS_I_LEAKAGE * 1000.0),
                    light.count(COUNT)?.unwrap_or(1),
                    leaks.is_none(),
                ));
            }
        }
        None => {
            let leaks = milli(&each_keys)?;
            let count = case.count(&[COUNT, LIGHTS].concat())?.unwrap_or(0);
            rows.push((leaks.unwrap_or(CLASS_I_LEAKAGE * 1000.0), count, leaks.is_none()));
        }
    }
    let sum: f64 = rows.iter().map(|(leaks, count, _)| leaks * f64::from(*count)).sum();
    let assumed = rows.iter().any(|(.., assumed)| *assumed);
    let most = rows.iter().map(|row| row.0).fold(0.0, f64::max);
    let alike = rows.iter().all(|row| (row.0 - most).abs() < 1e-12);
    let max_lights =
        alike.then(|| (limit / most + 1e-9).floor().clamp(0.0, 1e6) as u32).filter(|_| most > 0.0);
    debug_assert!(
        max_lights.is_none()
            || (limit - LEAKAGE_SHARE * rated).abs() > 1e-9
            || max_lights == Some(lights_per_rcd(rated / 1000.0, most / 1000.0))
    );
    let fits = sum <= limit + 1e-9;
    let word = if fits { "inside" } else { "over" };
    let guessed = if assumed {
        " Leakage that is not known is assumed at 3.5 mA, the most that is allowed for a class I light."
    } else {
        ""
    };
    let many = max_lights.map_or_else(String::new, |count| {
        format!(" At {} mA each, {count} lights are inside it.", shown(most))
    });
    Ok(json!({
        "rcd_ma": rated, "limit_ma": limit, "sum_ma": sum, "max_lights": max_lights, "fits": fits,
        "leakage_assumed": assumed, "gfci_trips_from_ma": (rated <= 6.0).then_some(4.0),
        "formula": "limit = 0.3 x rating; lights = floor(limit / leakage of each)", "source": LEAKAGE_SOURCE,
        "caution": "A residual current device is never bridged and an earth never lifted. Spread lights that leak over several devices; test the button before doors.",
        "says": format!("{} mA of leakage are {word} the {} mA that may stand on a {} mA device.{many}{guessed}", shown(sum), shown(limit), shown(rated)),
    }))
}

pub(super) fn inrush(case: &Fields) -> Result<Value, String> {
    let breaker = case.need(BREAKER, "the breaker's rating in amperes")?;
    let letter = case.text(&["curve", "breaker_curve", "type_curve", "characteristic"])?;
    let curve = match &letter {
        Some(letter) => Curve::read(letter).ok_or_else(|| format!("\"{letter}\" is no curve: B, C or D"))?,
        None => Curve::B,
    };
    let volts = volts(case)?;
    let load = load(case, volts)?;
    let watts = load.as_ref().and_then(|load| load.watts);
    let amps = match case.amount(AMPS)? {
        Some(amps) => amps,
        None => load.as_ref().zip(volts).map_or(0.0, |(load, volts)| load.volt_amps / volts),
    };
    let peak = case.positive(&[
        ("inrush_a", 1.0),
        ("inrush_amps", 1.0),
        ("inrush", 1.0),
        ("peak_a", 1.0),
        ("peak_amps", 1.0),
        ("ipk", 1.0),
        ("inrush_peak_a", 1.0),
    ])?;
    if peak.is_none() && watts.is_none() {
        return Err(
            case.missing("inrush_a", "the peak current of one light; or its \"watts\" for the trade table")
        );
    }
    let together = switch_on_together(breaker, curve, amps, watts.unwrap_or(f64::INFINITY), peak);
    let count = case.count(&[COUNT, LIGHTS].concat())?;
    let groups = count.filter(|_| together > 0).map(|count| count.div_ceil(together));
    let sizes: Option<Vec<u32>> = count.zip(groups).map(|(count, groups)| {
        (0..groups).map(|group| count / groups + u32::from(group < count % groups)).collect()
    });
    let unknown = if letter.is_none() { " The curve is not said, so it is taken as B." } else { "" };
    let many = groups.map_or_else(String::new, |groups| {
        format!(
            " So {} lights are switched on in {groups} groups, a second or two apart.",
            count.unwrap_or(0)
        )
    });
    Ok(json!({
        "together": together, "max_together": together, "count": count, "groups": groups, "group_sizes": sizes,
        "curve": curve.letter(), "curve_assumed": letter.is_none(), "breaker_amps": breaker,
        "peak_limit_amps": curve.peak_factor() * breaker, "by": if peak.is_some() { "peak" } else { "trade table" },
        "formula": "N = min(floor(k x breaker / peak), floor(breaker / amps)), k = 4, 8, 15 for B, C, D; without a peak: trade table, next larger class of watts",
        "source": if peak.is_some() { INRUSH_SOURCE } else { INRUSH_TABLE_SOURCE },
        "caution": "A breaker that trips at switch-on asks for smaller groups, never for a bigger breaker.",
        "says": format!("{together} of these may be switched on together behind a {}{} breaker.{many}{unknown}", curve.letter(), shown(breaker)),
    }))
}

pub(super) fn generator(case: &Fields) -> Result<Value, String> {
    let loads = loads(case, volts(case)?)?;
    let volt_amps: f64 = loads.iter().map(|(_, load)| load.volt_amps * f64::from(load.count)).sum();
    let watts: f64 = loads.iter().filter_map(|(_, load)| Some(load.watts? * f64::from(load.count))).sum();
    let share = case
        .scaled(&[("planned_share", 1.0), ("share", 1.0), ("load_share", 1.0), ("max_load", 1.0)])?
        .unwrap_or(GENERATOR_SHARE);
    let share = if share > 1.0 { share / 100.0 } else { share };
    if share <= 0.0 {
        return Err("\"share\" is a part of the rating, such as 0.8".to_owned());
    }
    let wanted = generator_kva(volt_amps, 1.0, share);
    let rated = case.positive(&[
        ("generator_kva", 1.0),
        ("rated_kva", 1.0),
        ("generator", 0.001),
        ("rating_kva", 1.0),
    ])?;
    let rated = rated.map(|kva| if kva > 500.0 { kva / 1000.0 } else { kva });
    let used = rated.map(|rated| volt_amps / 1000.0 / rated);
    let judged = used.map_or_else(String::new, |used| {
        format!(" The one of {} kVA would be {:.0} % full.", shown(rated.unwrap_or(0.0)), used * 100.0)
    });
    Ok(json!({
        "watts": watts, "kva": volt_amps / 1000.0, "planned_share": share, "kva_planned": wanted, "rating_kva": wanted,
        "generator_kva": rated, "share": used, "fits": used.map(|used| used <= share + 1e-9),
        "power_factor_assumed": loads.iter().any(|(_, load)| load.assumed),
        "formula": "kVA = kW / power factor; rating = kVA / planned share", "source": "arithmetic; planned to 75 to 80 %: common practice, no source",
        "caution": "Outside and level, exhaust away from people, refuelled cold, earthed as its maker and local code say, a residual current device on every outlet. Many electronic loads want a larger or an inverter set.",
        "says": format!("The load is {} kVA; at {:.0} % that asks for a generator of {} kVA or more.{judged}", shown(volt_amps / 1000.0), share * 100.0, shown(wanted)),
    }))
}

pub(super) fn battery(case: &Fields) -> Result<Value, String> {
    let energy = case.positive(&[
        ("wh", 1.0),
        ("watt_hours", 1.0),
        ("energy_wh", 1.0),
        ("battery_wh", 1.0),
        ("battery", 1.0),
        ("kwh", 1000.0),
    ])?;
    let energy = match energy {
        Some(energy) => energy,
        None => {
            let what = "watt-hours of the battery; or \"volts\" and \"ah\"";
            let volts = case.positive(&[("volts", 1.0), ("v", 1.0), ("battery_v", 1.0)])?;
            let hours =
                case.positive(&[("ah", 1.0), ("amp_hours", 1.0), ("capacity_ah", 1.0), ("mah", 0.001)])?;
            volts.zip(hours).map(|(volts, hours)| volts * hours).ok_or_else(|| case.missing("wh", what))?
        }
    };
    let usable = case.scaled(&[("usable", 1.0), ("usable_fraction", 1.0), ("usable_part", 1.0)])?;
    let usable = usable.map_or(BATTERY_USABLE, |part| if part > 1.0 { part / 100.0 } else { part });
    let watts = case.need(WATTS, "what the light draws")?;
    let hours = battery_hours(energy, usable, watts).ok_or("\"watts\" is above zero")?;
    Ok(json!({
        "watt_hours": energy, "usable_part": usable, "watts": watts, "hours": hours, "minutes": hours * 60.0,
        "formula": "hours = watt-hours x usable part / watts", "source": "arithmetic; 0.85 usable: common practice, no source",
        "caution": "Charge attended, on a hard surface, away from exits. A swollen, hot or dropped pack goes outside and out of use.",
        "says": format!("{} Wh run {} W for {} hours when {:.0} % of it can be used.", shown(energy), shown(watts), shown(hours), usable * 100.0),
    }))
}
