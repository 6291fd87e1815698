//! A look as it stands when its fade is over and every motor has arrived.

use std::sync::Arc;

use lanthorn_physics::{Instant, Span};
use lanthorn_rig::{Drive, Rig, RigState};
use lanthorn_show::{Look, Player, Show};

use crate::{LightNow, StandIn};

/// As the running machine ticks.
const TICK: Span = Span::from_millis(25);
/// What stands still for so many ticks has arrived.
const STILL_TICKS: u32 = 40;
/// No motor takes longer; what moves for ever (a figure) is caught in the middle of it.
const MOST_TICKS: i64 = 600;

/// Every light once a look has been put on and has come to rest, as the stand-in reads the frames that are sent for it. A
/// look that the show does not have leaves everything dark.
pub fn settled(show: &Show, rig: &Arc<Rig>, look: usize) -> Vec<LightNow> {
    let Some(of_show) = show.looks.get(look) else { return StandIn::new(rig.clone()).lights().to_vec() };
    let at_once = Look { fade: Span::ZERO, ..of_show.clone() };
    let alone = Show {
        start: Some(at_once.name.clone()),
        looks: vec![at_once],
        chases: Vec::new(),
        cues: Vec::new(),
        ..show.clone()
    };
    let mut player = Player::new(Arc::new(alone), rig.clone());
    let mut drive = Drive::new(rig);
    let mut wished = RigState::dark(rig);
    let mut stand_in = StandIn::new(rig.clone());
    let mut still = 0;
    for tick in 0..MOST_TICKS {
        let now = Instant::ZERO + TICK * tick;
        player.frame(now, &mut wished);
        stand_in.take(drive.tick(&wished, now), now);
        still = if stand_in.lights().iter().any(|light| light.moving) { 0 } else { still + 1 };
        if still >= STILL_TICKS {
            break;
        }
    }
    stand_in.lights().to_vec()
}
