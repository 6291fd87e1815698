//! Group masters: a level over each group of lights.

use std::sync::Arc;

use lanthorn_physics::Instant;
use lanthorn_rig::{Group, Rig, RigState};
use lanthorn_show::player::{CHANGE, Resume};
use lanthorn_show::{Command, Kind, Player, Rename, Show, Succession};

use crate::common::*;

fn show() -> Show {
    Show {
        looks: vec![
            look("warm", 0.0, vec![on("cake", part(&[1, 2, 3, 4, 5], WARM, 0.8))]),
            look("slow", 4.0, vec![on("door", part(&[1, 2, 3, 4, 5], RED, 0.4))]),
        ],
        start: Some("warm".to_owned()),
        ..Show::default()
    }
}

/// The hall with these groups, by the places of their lights.
fn rig_with(groups: &[(&str, &[usize])]) -> Arc<Rig> {
    let group = |(name, units): &(&str, &[usize])| Group { name: (*name).to_owned(), units: units.to_vec() };
    Arc::new(Rig { groups: groups.iter().map(group).collect(), ..rig() })
}

fn bench(rig: &Arc<Rig>) -> Bench {
    let out = RigState::dark(rig);
    let mut bench = Bench { player: Player::new(Arc::new(show()), Arc::clone(rig)), out };
    bench.frame(0.0);
    bench
}

fn group(group: usize, level: f64) -> Command {
    Command::GroupMaster { group, level }
}

/// Levels of all five lights that shine.
fn all(bench: &mut Bench, secs: f64) -> [f64; 5] {
    [0, 1, 2, 3, 4].map(|unit| bench.level(secs, unit))
}

/// The bench goes on with another rig.
fn swap(bench: &mut Bench, old: &Arc<Rig>, new: &Arc<Rig>, renames: &[Rename], secs: f64) {
    let succession = Succession::new((&show(), old), (&show(), new), renames);
    let mut player = Player::new(Arc::new(show()), Arc::clone(new));
    player.take_over(&mut bench.player, &succession, Instant::from_secs(secs));
    bench.player = player;
    bench.out = RigState::dark(new);
}

const LEFT_AND_BAR: &[(&str, &[usize])] = &[("left", &[0, 1]), ("bar", &[4])];

#[test]
fn a_group_at_half_halves_what_the_eye_sees_of_its_lights_and_of_no_other() {
    let mut bench = bench(&rig_with(LEFT_AND_BAR));
    let before = bench.frame(1.0).clone();
    bench.at(1.0, group(0, 0.5));
    assert_eq!(all(&mut bench, 1.0), [40.0, 40.0, 80.0, 80.0, 80.0]);
    // The level that the eye sees halves; the light itself is its square.
    for (unit, (before, now)) in before.units.iter().zip(&bench.frame(1.0).units).enumerate() {
        let part = if unit < 2 { 0.25 } else { 1.0 };
        for (before, now) in before.heads.iter().zip(&now.heads) {
            assert!((now.level - before.level * part).abs() < 1e-12, "light {unit}");
            assert_eq!((now.colour, now.strobe), (before.colour, before.strobe));
        }
        assert_eq!(now.aim, before.aim, "only the level");
    }
    bench.at(2.0, group(1, 0.0)).at(2.0, group(0, 1.0));
    assert_eq!(all(&mut bench, 2.0), [80.0, 80.0, 80.0, 80.0, 0.0]);
    assert!(bench.frame(2.0).units[4].heads.iter().all(|head| head.level == 0.0), "every head of the bar");
    assert_eq!(bench.player.group_masters(), [1.0, 0.0]);
}

#[test]
fn a_light_in_two_groups_has_both_over_it() {
    let mut bench = bench(&rig_with(&[("left", &[0, 1]), ("front", &[1, 2])]));
    bench.at(1.0, group(0, 0.5)).at(1.0, group(1, 0.5));
    assert_eq!(all(&mut bench, 1.0), [40.0, 20.0, 40.0, 80.0, 80.0]);
    bench.at(2.0, group(1, 1.0));
    assert_eq!(all(&mut bench, 2.0), [40.0, 40.0, 80.0, 80.0, 80.0]);
}

#[test]
fn levels_past_the_ends_stop_there_and_what_is_no_level_or_no_group_is_nothing() {
    let mut bench = bench(&rig_with(LEFT_AND_BAR));
    bench.at(1.0, group(0, -3.0)).at(1.0, group(1, 7.0));
    assert_eq!(bench.player.group_masters(), [0.0, 1.0]);
    bench.at(1.0, group(0, 0.3));
    for wrong in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY] {
        bench.at(2.0, group(0, wrong));
    }
    bench.at(2.0, group(2, 0.0)).at(2.0, group(usize::MAX, 0.0));
    assert_eq!(bench.player.group_masters(), [0.3, 1.0]);
    assert_eq!(all(&mut bench, 2.0), [24.0, 24.0, 80.0, 80.0, 80.0]);
}

#[test]
fn it_stands_under_hand_master_and_stop_keys() {
    let mut bench = bench(&rig_with(LEFT_AND_BAR));
    bench.at(1.0, group(0, 0.5)).at(1.0, Command::Master(0.5));
    assert_eq!(all(&mut bench, 1.0), [20.0, 20.0, 40.0, 40.0, 40.0], "both scale");
    bench.at(2.0, Command::Level { unit: 0, level: 1.0 });
    assert_eq!(all(&mut bench, 2.0), [25.0, 20.0, 40.0, 40.0, 40.0], "what is held too");
    bench.at(3.0, Command::Blackout(true)).at(3.0, group(0, 1.0));
    assert_eq!(all(&mut bench, 3.0), [0.0; 5], "nothing gets through blackout");
    bench.at(4.0, Command::Blackout(false));
    assert_eq!(all(&mut bench, 4.0), [50.0, 40.0, 40.0, 40.0, 40.0], "and it comes back as it is now");
    bench.at(5.0, Command::Stillness(true)).at(5.0, group(0, 0.25));
    assert_eq!(all(&mut bench, 5.0), [12.5, 10.0, 40.0, 40.0, 40.0], "stillness lets levels be moved");
}

#[test]
fn what_fades_fades_under_it() {
    let mut bench = bench(&rig_with(LEFT_AND_BAR));
    bench.at(1.0, group(0, 0.5)).at(1.0, Command::Look(1));
    for (secs, level) in [(1.0, 80.0), (2.0, 70.0), (3.0, 60.0), (5.0, 40.0), (9.0, 40.0)] {
        assert_eq!(bench.level(secs, 2), level);
        assert_eq!(bench.level(secs, 0), level / 2.0);
    }
}

#[test]
fn it_is_kept_over_a_swap_by_name_when_groups_are_put_in_another_order_or_renamed() {
    let old = rig_with(LEFT_AND_BAR);
    let other_order = rig_with(&[("new", &[3]), ("bar", &[4]), ("left", &[0, 1])]);
    let mut moved = bench(&old);
    moved.at(1.0, group(0, 0.5)).at(1.0, group(1, 0.25));
    swap(&mut moved, &old, &other_order, &[], 2.0);
    assert_eq!(moved.player.group_masters(), [1.0, 0.25, 0.5]);
    for secs in [2.0, 2.15, 9.0] {
        assert_eq!(all(&mut moved, secs), [40.0, 40.0, 80.0, 80.0, 20.0], "{secs} s");
    }

    let renamed = rig_with(&[("stage left", &[0, 1]), ("bar", &[4])]);
    let rename = Rename { kind: Kind::Group, old: "left".to_owned(), new: "stage left".to_owned() };
    let mut bench = bench(&old);
    bench.at(1.0, group(0, 0.5));
    swap(&mut bench, &old, &renamed, &[rename], 2.0);
    assert_eq!(bench.player.group_masters(), [0.5, 1.0]);
    for secs in [2.0, 2.15, 9.0] {
        assert_eq!(all(&mut bench, secs), [40.0, 40.0, 80.0, 80.0, 80.0], "{secs} s");
    }
}

#[test]
fn lights_that_leave_or_join_a_group_glide_to_their_new_level() {
    let old = rig_with(LEFT_AND_BAR);
    let gone = rig_with(&[("bar", &[4])]);
    let mut bench = bench(&old);
    bench.at(1.0, group(0, 0.5));
    swap(&mut bench, &old, &gone, &[], 2.0);
    assert_eq!(bench.player.group_masters(), [1.0]);
    assert_eq!(bench.levels(0, [2.0, 2.15, 2.3, 9.0]), [40.0, 60.0, 80.0, 80.0], "removed: over {CHANGE:?}");
    assert_eq!(bench.level(2.15, 2), 80.0, "no other");

    // Another swap in the middle of a glide goes on from where it is.
    bench.at(10.0, group(0, 0.5));
    let more = rig_with(&[("bar", &[4, 0])]);
    swap(&mut bench, &gone, &more, &[], 11.0);
    assert_eq!(bench.levels(0, [11.0, 11.15]), [80.0, 60.0], "joined");
    swap(&mut bench, &more, &gone, &[], 11.15);
    assert_eq!(bench.levels(0, [11.15, 11.3, 11.45]), [60.0, 70.0, 80.0]);
    // A hand that comes is followed at once.
    bench.at(12.0, group(0, 0.1));
    assert_eq!(bench.level(12.0, 4), 8.0);
}

#[test]
fn it_is_there_again_after_a_restart() {
    let rig = rig_with(LEFT_AND_BAR);
    let mut before = bench(&rig);
    before.at(1.0, group(0, 0.5)).at(1.0, Command::Master(0.5));
    let levels = all(&mut before, 5.0);
    let kept = Resume::of(&before.status(5.0), before.player.group_masters());
    assert_eq!(kept.groups, [(0, 0.5)], "only those that are not whole");
    let mut again = bench(&rig);
    again.player.resume(&kept, Instant::ZERO);
    assert_eq!(all(&mut again, 0.0), levels);
    assert_eq!(again.player.group_masters(), [0.5, 1.0]);
}
