//! The plan of a rig together with what its show does with it.

use std::sync::Arc;
use std::sync::mpsc::{Receiver, channel};
use std::time::Duration;

use lanthorn_rehearsal::{flashes, light_findings, moves};
use lanthorn_rig::Rig;
use lanthorn_rig::plan::{Finding, Plan};
use lanthorn_show::{Show, colour_findings};

/// Adds the findings that only the show brings about; worst first.
pub(crate) fn with_show(mut plan: Plan, show: &Show, rig: &Arc<Rig>) -> Plan {
    plan.findings.extend(light_findings(show, rig));
    plan.findings.extend(colour_findings(show, rig));
    plan.findings.sort_by_cached_key(Finding::key);
    plan
}

/// What the moves of a show ask of its motors and its flashes of the limit, found beside everything else: the show is played for it.
#[derive(Debug)]
pub(crate) struct Playing(Receiver<Vec<Finding>>);

impl Playing {
    /// Starts; what nobody waits for any more is dropped.
    pub(crate) fn start(show: Arc<Show>, rig: Arc<Rig>) -> std::io::Result<Self> {
        let (done, played) = channel();
        std::thread::Builder::new().name("lanthorn-moves".to_owned()).spawn(move || {
            // Nobody waits any longer when this fails.
            let mut found = moves(&show, &rig).0;
            found.extend(flashes(&show, &rig).0);
            let _ = done.send(found);
        })?;
        Ok(Self(played))
    }

    /// What was found, once that is known.
    pub(crate) fn wait(&self, most: Duration) -> Option<Vec<Finding>> {
        self.0.recv_timeout(most).ok()
    }
}
