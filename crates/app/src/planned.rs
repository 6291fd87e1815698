//! The plan of a rig together with what its show does with it.

use std::sync::Arc;

use lanthorn_rehearsal::light_findings;
use lanthorn_rig::Rig;
use lanthorn_rig::plan::{Finding, Plan};
use lanthorn_show::Show;

/// Adds the findings that only the show brings about; worst first.
pub(crate) fn with_show(mut plan: Plan, show: &Show, rig: &Arc<Rig>) -> Plan {
    plan.findings.extend(light_findings(show, rig));
    plan.findings.sort_by_cached_key(Finding::key);
    plan
}
