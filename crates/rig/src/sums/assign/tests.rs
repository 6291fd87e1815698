use super::*;
use proptest::prelude::*;

fn bins(rooms: &[f64]) -> Vec<Bin> {
    rooms.iter().map(|room| Bin { room: *room, limit: *room, other: 0.0, phase: None }).collect()
}

fn case(amps: &[f64], rooms: &[f64]) -> Problem {
    Problem {
        items: amps.iter().map(|amps| Item::free(*amps)).collect(),
        bins: bins(rooms),
        even_phases: false,
    }
}

/// Largest first, each into the first circuit with room: the usual way of doing it by hand.
fn largest_first(amps: &[f64], rooms: &[f64]) -> bool {
    let mut amps = amps.to_vec();
    amps.sort_by(|a, b| b.total_cmp(a));
    let mut left = rooms.to_vec();
    amps.iter().all(|amps| {
        let bin = left.iter_mut().find(|room| **room + 1e-9 >= *amps);
        bin.map(|room| *room -= amps).is_some()
    })
}

#[test]
fn it_finds_what_largest_first_misses() {
    // Each fits exactly in one way; found by hand.
    for (amps, rooms) in [
        (vec![6.0, 5.0, 4.0, 4.0, 3.0, 2.0], vec![12.0, 12.0]),
        (vec![4.0, 4.0, 3.0, 3.0, 3.0, 3.0], vec![10.0, 10.0]),
        (vec![5.0, 5.0, 4.0, 4.0, 3.0, 3.0, 3.0, 3.0], vec![15.0, 15.0]),
        (vec![7.0, 6.0, 5.0, 5.0, 5.0, 4.0], vec![16.0, 16.0]),
    ] {
        assert!(!largest_first(&amps, &rooms), "{amps:?}");
        let answer = assign(&case(&amps, &rooms));
        assert!(answer.fits && answer.settled && answer.best.over.is_empty(), "{amps:?}: {answer:?}");
        for (index, room) in rooms.iter().enumerate() {
            assert!(answer.best.amps[index] <= room + 1e-6);
        }
    }
}

#[test]
fn what_cannot_fit_is_proved_and_measured() {
    // 5 × 7 A on 2 × 16 A: 35 of 32. Two on each is all that goes: one circuit would have to carry 21.
    let answer = assign(&case(&[7.0; 5], &[16.0, 16.0]));
    assert!(!answer.fits && answer.settled);
    assert!(answer.proof.contains("3.00 A too much"), "{}", answer.proof);
    assert!((answer.short_by - 5.0).abs() < 0.01, "{}", answer.short_by);
    assert_eq!((answer.best.over.len(), answer.leave_out.len()), (1, 1));
    // 3 × 9 A on 2 × 16 A: 27 of 32 in sum, and yet two of them share one circuit.
    let answer = assign(&case(&[9.0; 3], &[16.0, 16.0]));
    assert!(!answer.fits && answer.settled);
    assert!(answer.proof.contains("every one was tried"), "{}", answer.proof);
    assert!((answer.short_by - 2.0).abs() < 0.01, "{}", answer.short_by);
    // A light that reaches no circuit.
    let mut alone = case(&[1.0], &[16.0]);
    alone.items[0].leads = vec![None];
    let answer = assign(&alone);
    assert!(!answer.fits && answer.proof.contains("reaches no circuit"), "{}", answer.proof);
    assert_eq!(assign(&case(&[1.0], &[])).best.bins, [None]);
    assert!(assign(&Problem::default()).fits);
}

#[test]
fn as_few_lights_move_as_can_be() {
    // 9 A on the first of two 6 A circuits: moving the 3 A light alone is enough.
    let mut problem = case(&[4.0, 2.0, 3.0, 2.0], &[6.0, 6.0]);
    for (item, now) in problem.items.iter_mut().zip([0, 0, 0, 1]) {
        item.now = Some(now);
    }
    let answer = assign(&problem);
    assert!(answer.fits && answer.fewest_moves);
    assert_eq!(answer.best.moved, [2]);
    // What fits stays, however uneven it is.
    let mut still = case(&[2.0, 2.0, 2.0], &[10.0, 10.0]);
    still.items.iter_mut().for_each(|item| item.now = Some(0));
    assert_eq!(assign(&still).best.moved, [] as [usize; 0]);
    // Fixed lights, lights that are fed together, and circuits that cannot be reached.
    let mut bound = case(&[3.0, 3.0, 2.0, 2.0], &[6.0, 10.0]);
    bound.items[0].fixed = Some(0);
    bound.items[1].leads = vec![None, Some(4.0)];
    bound.items[2].together = Some(1);
    bound.items[3].together = Some(1);
    let best = assign(&bound).best;
    assert_eq!(best.bins, [Some(0), Some(1), Some(1), Some(1)]);
    assert!((best.lead_m - 4.0).abs() < 1e-9);
}

#[test]
fn phases_are_made_even_where_that_is_asked() {
    let mut three = case(&[3.0; 6], &[16.0; 6]);
    three.even_phases = true;
    for (index, bin) in three.bins.iter_mut().enumerate() {
        bin.phase = Some(index as u8 % 3 + 1);
    }
    let best = assign(&three).best;
    for phase in 0..3 {
        assert!((best.amps[phase] + best.amps[phase + 3] - 6.0).abs() < 1e-6, "{:?}", best.amps);
    }
}

#[test]
fn forty_lights_on_eight_circuits() {
    // Small odd currents, 96 % of the room in use; and the same with a present assignment that is wrong.
    let amps: Vec<f64> = (0..40).map(|n| 0.71 + f64::from(n * 37 % 41) * 0.083).collect();
    let room = amps.iter().sum::<f64>() / 8.0 / 0.96;
    let mut forty = case(&amps, &[room; 8]);
    let answer = assign(&forty);
    assert!(answer.fits && answer.best.over.is_empty());
    for (index, item) in forty.items.iter_mut().enumerate() {
        item.now = Some(index * 8 / 40);
    }
    let again = assign(&forty);
    assert!(again.fits && again.best.over.is_empty());
    assert!(again.best.moved.len() <= 16, "{} moved", again.best.moved.len());
    assert_eq!(again, assign(&forty), "the same every time");
}

/// Every way there is.
fn by_brute_force(problem: &Problem) -> Option<(usize, f64)> {
    let (count, bins) = (problem.items.len(), problem.bins.len());
    let mut best: Option<(usize, f64)> = None;
    for code in 0..bins.pow(count as u32) {
        let at = |index: usize| code / bins.pow(index as u32) % bins;
        let mut loads = vec![0.0; bins];
        let may = |(index, item): (usize, &Item)| item.leads.is_empty() || item.leads[at(index)].is_some();
        if !problem.items.iter().enumerate().all(may) {
            continue;
        }
        problem.items.iter().enumerate().for_each(|(index, item)| loads[at(index)] += item.amps);
        if loads.iter().zip(&problem.bins).any(|(load, bin)| *load > bin.room + 1e-7) {
            continue;
        }
        let moves =
            problem.items.iter().enumerate().filter(|(i, item)| item.now.is_some_and(|now| now != at(*i)));
        let share = loads.iter().zip(&problem.bins).map(|(load, bin)| load / bin.limit).fold(0.0, f64::max);
        let now = (moves.count(), share);
        if best.is_none_or(|best| now.0 < best.0 || now.0 == best.0 && now.1 < best.1) {
            best = Some(now);
        }
    }
    best
}

proptest! {
    #[test]
    fn no_way_is_better_than_the_one_found(
        lights in prop::collection::vec((1_u32..60, 0_usize..4, 0_u8..8), 1..7),
        rooms in prop::collection::vec(20_u32..90, 1..4),
    ) {
        let mut all = case(
            &lights.iter().map(|(tenths, ..)| f64::from(*tenths) / 10.0).collect::<Vec<_>>(),
            &rooms.iter().map(|tenths| f64::from(*tenths) / 10.0).collect::<Vec<_>>(),
        );
        for (item, (_, now, reach)) in all.items.iter_mut().zip(&lights) {
            item.now = Some(*now).filter(|now| *now < rooms.len());
            // One in eight reaches the first circuit only.
            if *reach == 0 {
                item.leads = (0..rooms.len()).map(|bin| (bin == 0).then_some(1.0)).collect();
            }
        }
        let answer = assign(&all);
        prop_assert!(answer.settled && answer.fewest_moves && answer.most_even);
        match by_brute_force(&all) {
            None => prop_assert!(!answer.fits && !answer.proof.is_empty() && answer.short_by > 0.0),
            Some((moves, share)) => {
                prop_assert!(answer.fits, "{}", answer.proof);
                prop_assert_eq!(answer.best.moved.len(), moves);
                prop_assert!((answer.best.worst_share - share).abs() < 1e-5, "{} {share}", answer.best.worst_share);
            }
        }
    }
}
