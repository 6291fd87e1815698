//! What the plan would say after a change that is not made.

use lanthorn_rig::plan::{Difference, compare, plan};
use lanthorn_store::change::{Change, apply};
use lanthorn_store::read_show;

use crate::scene::sums::finding;
use crate::wire::WhatIfView;
use crate::words::capital;

/// The difference between the plan of a show's text and that after a change.
pub(super) fn view(text: &str, change: &Change) -> WhatIfView {
    let changed = match apply(text, change) {
        Ok(changed) => changed,
        Err(why) => return refused(&why.to_string()),
    };
    let [Some(before), Some(after)] = [text, &changed.text].map(|text| read_show(text).0) else {
        return refused("the show's text cannot be read");
    };
    let difference = compare(&plan(&before.rig), &plan(&after.rig));
    WhatIfView {
        says: changed.says,
        refused: false,
        lines: lines(&difference),
        come: difference.come.iter().map(finding).collect(),
        go: difference.go.iter().map(finding).collect(),
    }
}

/// It cannot be made.
pub(super) fn refused(why: &str) -> WhatIfView {
    WhatIfView { says: capital(why), refused: true, ..WhatIfView::default() }
}

/// Headline, circuits, places and lights, as far as they differ.
fn lines(difference: &Difference) -> Vec<String> {
    let mut lines = Vec::new();
    if let Some([before, after]) = &difference.headline {
        lines.push(format!("{after}, instead of {}", crate::words::small(before)));
    }
    if let Some([before, after]) = difference.mains_volts {
        lines.push(format!("Mains of {after:.0} V instead of {before:.0} V"));
    }
    let amps = |amps: Option<f64>| amps.map_or_else(|| "not known".to_owned(), |amps| format!("{amps:.1} A"));
    for circuit in &difference.circuits {
        let limit = circuit.limit_amps.map(|limit| format!(" of {limit:.1} A")).unwrap_or_default();
        lines.push(format!(
            "Circuit {}: {}{limit} instead of {}",
            circuit.name,
            amps(circuit.after_amps),
            amps(circuit.before_amps)
        ));
    }
    for place in &difference.places {
        let limit = place.rated_kg.map(|limit| format!(" of {limit:.0} kg")).unwrap_or_default();
        lines.push(format!(
            "{}: {:.1} kg{limit} instead of {:.1} kg",
            capital(&place.name),
            place.after_kg,
            place.before_kg
        ));
    }
    for light in &difference.lights {
        lines.push(match (&light.before, &light.after) {
            (None, Some(after)) => format!("Light {} is new: {after}", light.unit),
            (Some(_), None) => format!("Light {} is gone", light.unit),
            (before, after) => format!(
                "Light {}: {} instead of {}",
                light.unit,
                after.as_deref().unwrap_or_default(),
                before.as_deref().unwrap_or_default()
            ),
        });
    }
    lines
}
