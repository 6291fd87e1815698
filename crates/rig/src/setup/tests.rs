use super::*;
use crate::Run;
use crate::testing::{rig_of, rig_with_head};
use lanthorn_physics::units::Radians;

fn linked(leader: u32) -> Run {
    Run::Linked { leader, programme: None }
}

#[test]
fn nothing_is_asked_of_a_rig_without_lights() {
    let check = LineCheck::new(&rig_of(0));
    assert_eq!((check.asked(), check.count()), (None, 0));
    assert_eq!(steps(check.rig()), []);
}

#[test]
fn a_head_swings_to_the_left_and_away_whichever_way_it_hangs() {
    use crate::rig::WayUp;
    for up in [WayUp::Hanging, WayUp::Standing] {
        for turn in [0.0, 180.0, 30.0, -30.0] {
            for inverted in [false, true] {
                let mut rig = rig_with_head(Radians::from_deg(540.0), Radians::from_deg(220.0));
                (rig.units[0].up, rig.units[0].turn) = (up, Radians::from_deg(turn));
                (rig.units[0].pan_invert, rig.units[0].tilt_invert) = (inverted, inverted);
                let plan = Plan::new(&rig);
                let head = crate::aim::Head::new(&rig, &rig.units[0]).unwrap();
                for axis in AxisAsked::BOTH {
                    let ends = plan.swings[0][axis.index()].unwrap();
                    let [from, to] = ends.map(|(pan, tilt)| {
                        let (pan, tilt) = head.from_sent(pan, tilt);
                        head.direction(pan, tilt)
                    });
                    let went = match axis {
                        AxisAsked::Pan => from.x() - to.x(),
                        AxisAsked::Tilt => to.y() - from.y(),
                    };
                    assert!(went > 0.3, "{up:?} {turn} {inverted} {axis:?}: {went}");
                }
            }
        }
    }
}

#[test]
fn followers_are_set_before_their_leader_with_one_cable_fewer_than_lights() {
    let mut rig = rig_of(3);
    for unit in &mut rig.units {
        unit.run = linked(2);
    }
    let parts = steps(&rig);
    let [part] = &parts[..] else { panic!("{parts:#?}") };
    assert!(!part.refused);
    assert!(part.says[0].starts_with("3 lights, 2 data cables"), "{:?}", part.says);
    assert!(part.says[1].starts_with("When light 2 stops or loses power"), "{:?}", part.says);
    assert_eq!(part.cards.iter().map(|card| card.unit).collect::<Vec<_>>(), [1, 3, 2], "the leader last");
    let cables =
        |unit: usize| part.cards[unit].steps.iter().filter(|step| step.kind == StepKind::Cable).count();
    // From 2 to 1 to 3, which has the terminator; the leader takes no cable.
    assert_eq!([cables(0), cables(1), cables(2)], [1, 2, 0], "{part:#?}");
}

#[test]
fn a_line_of_linked_and_driven_lights_is_refused_with_its_reason() {
    let mut rig = rig_of(4);
    for unit in &mut rig.units {
        unit.line = Some("A".to_owned());
    }
    (rig.units[2].run, rig.units[3].run) = (linked(3), linked(3));
    let parts = steps(&rig);
    assert_eq!(parts.len(), 2, "the driven and the linked ones apart: {parts:#?}");
    for part in &parts {
        assert!(part.refused);
        assert!(part.says[0].contains("mixes driven and linked lights"), "{:?}", part.says);
        assert!(part.cards.iter().flat_map(|card| &card.steps).all(|step| step.kind != StepKind::Cable));
    }
    let own = Run::OnItsOwn { programme: None };
    (rig.units[2].run, rig.units[3].run) = (own.clone(), own);
    let parts = steps(&rig);
    assert_eq!(
        parts.iter().map(|part| (part.title.as_str(), part.refused)).collect::<Vec<_>>(),
        [("line A", false), ("on their own", false)]
    );
}

#[test]
fn a_key_changes_with_what_is_to_be_done_and_only_then() {
    let rig = rig_of(2);
    let keys = |rig: &crate::Rig| -> Vec<String> {
        steps(rig)
            .iter()
            .flat_map(|part| &part.cards)
            .flat_map(|card| &card.steps)
            .map(|step| step.key.clone())
            .collect()
    };
    let before = keys(&rig);
    let mut moved = rig.clone();
    moved.units[1].run = Run::Driven { address: "1.077".parse().ok(), shares: None };
    let after = keys(&moved);
    let changed: Vec<&String> = after.iter().filter(|key| !before.contains(key)).collect();
    assert_eq!(changed.len(), 1, "{changed:?}");
    assert!(changed[0].starts_with("2 address: "), "{changed:?}");
}
