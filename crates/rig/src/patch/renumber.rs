//! Addresses by rule, and new addresses with the least change.

use std::collections::BTreeMap;

use lanthorn_dmx::{Address, Slot};

use super::Free;

/// How addresses are given out.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Rule {
    /// One after another, each in the first place with room, with so many slots left empty behind it.
    NextFree {
        /// Slots left empty.
        gap: u16,
    },
    /// Light 1 at the first address, light n at (n − 1) · step behind it; a universe that is full begins anew in the next.
    ByNumber {
        /// Slots for each number.
        step: u16,
    },
    /// All on one address, moving as one.
    Shared,
}

/// Addresses for lights of these numbers and footprints, from `first` on; none where one cannot be had. No block straddles
/// slot 512: it moves to the next universe whole.
pub fn by_rule(lights: &[(u32, u16)], rule: Rule, first: Address) -> Vec<Option<Address>> {
    let mut from = u32::from(first.slot.number());
    let mut universe = u32::from(first.universe.number());
    // In the second and later universes numbers count from the one that was first to pass the end.
    let mut base = 1;
    let place = |(number, footprint): &(u32, u16)| {
        let width = u32::from((*footprint).max(1));
        if width > u32::from(Slot::COUNT) {
            return None;
        }
        let fits = |slot: u32| slot >= 1 && slot + width - 1 <= u32::from(Slot::COUNT);
        match rule {
            Rule::NextFree { gap } => {
                if !fits(from) {
                    (universe, from) = (universe + 1, 1);
                }
                let slot = from;
                from += width + u32::from(gap);
                Address::new(universe, slot).ok()
            }
            Rule::ByNumber { step } => {
                let slot = |base: u32, from: u32| {
                    number.checked_sub(base).map(|n| n.saturating_mul(u32::from(step)).saturating_add(from))
                };
                if !slot(base, from).is_some_and(fits) {
                    (universe, base, from) = (universe + 1, *number, 1);
                }
                Address::new(universe, slot(base, from).filter(|slot| fits(*slot))?).ok()
            }
            Rule::Shared => fits(from).then_some(first),
        }
    };
    lights.iter().map(place).collect()
}

/// A light that is to have an address.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Wanted {
    /// Its number.
    pub number: u32,
    /// Slots that it takes.
    pub footprint: u16,
    /// Where it answers today.
    pub now: Option<Address>,
    /// Lights with the same number here share one address.
    pub share: Option<u32>,
}

/// New addresses.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Readdressed {
    /// One for each light, in their order; none where there is no room.
    pub addresses: Vec<Option<Address>>,
    /// Lights that keep what they have.
    pub kept: Vec<u32>,
    /// Lights that get another address, or their first.
    pub changed: Vec<u32>,
    /// Lights without room.
    pub without: Vec<u32>,
    /// That no more could keep theirs is certain.
    pub exact: bool,
}

/// Lights on one address.
struct Block {
    members: Vec<usize>,
    footprint: u16,
    /// Where most of them are today, if a block of this width fits there.
    now: Option<Address>,
    /// How many of them are there.
    weight: u32,
}

/// Gives every light an address, keeping as many as possible where they are; no two blocks overlap, none passes slot 512.
/// `universes`: those that may be used; none: any. Among present places the largest set without overlap is kept (interval
/// scheduling with weights, exact); where the rest then finds no room in the universes that may be used, other sets are tried.
pub fn readdress(lights: &[Wanted], universes: Option<&[u16]>) -> Readdressed {
    let blocks = blocks(lights, universes);
    let kept = most_kept(&blocks);
    let (placed, exact) = match place(&blocks, &kept, universes) {
        (placed, true) => (placed, true),
        (placed, false) => match other_sets(&blocks, universes) {
            (Some(better), exact) => (better, exact),
            (None, _) => (placed, false),
        },
    };
    let mut addresses = vec![None; lights.len()];
    for (block, address) in blocks.iter().zip(placed) {
        block.members.iter().for_each(|member| addresses[*member] = address);
    }
    let pick = |wanted: fn(Option<Address>, Option<Address>) -> bool| {
        let both = lights.iter().zip(&addresses);
        both.filter(|(light, address)| wanted(light.now, **address)).map(|(light, _)| light.number).collect()
    };
    Readdressed {
        kept: pick(|now, new| new.is_some() && now == new),
        changed: pick(|now, new| new.is_some() && now != new),
        without: pick(|_, new| new.is_none()),
        addresses,
        exact,
    }
}

fn blocks(lights: &[Wanted], universes: Option<&[u16]>) -> Vec<Block> {
    let mut list: Vec<(Option<u32>, Vec<usize>)> = Vec::new();
    for (index, light) in lights.iter().enumerate() {
        match list.iter_mut().find(|(share, _)| share.is_some() && *share == light.share) {
            Some((_, members)) => members.push(index),
            None => list.push((light.share, vec![index])),
        }
    }
    let block = |(_, members): (Option<u32>, Vec<usize>)| {
        let footprint = members.iter().map(|index| lights[*index].footprint.max(1)).max().unwrap_or(1);
        let may = |address: &Address| {
            address.last_slot(footprint) <= u32::from(Slot::COUNT)
                && universes.is_none_or(|list| list.contains(&address.universe.number()))
        };
        let mut counts: BTreeMap<Address, u32> = BTreeMap::new();
        for address in members.iter().filter_map(|index| lights[*index].now).filter(may) {
            *counts.entry(address).or_default() += 1;
        }
        // The most; of equals the lowest address.
        let most = counts.iter().max_by(|a, b| a.1.cmp(b.1).then(b.0.cmp(a.0)));
        let (now, weight) = most.map_or((None, 0), |(address, count)| (Some(*address), *count));
        Block { members, footprint, now, weight }
    };
    list.into_iter().map(block).collect()
}

/// Which blocks keep their place: the heaviest set without overlap, universe by universe.
fn most_kept(blocks: &[Block]) -> Vec<bool> {
    let mut placed: Vec<(Address, u32, usize)> = blocks
        .iter()
        .enumerate()
        .filter_map(|(index, block)| block.now.map(|now| (now, now.last_slot(block.footprint), index)))
        .collect();
    // By universe, then by where they end.
    placed.sort_by_key(|(start, last, index)| (start.universe, *last, *index));
    // best[i]: the most of the first i.
    let mut best = vec![0_u32; placed.len() + 1];
    let before = |at: usize| {
        let (start, ..) = placed[at];
        let ends_before = |row: &(Address, u32, usize)| {
            row.0.universe < start.universe
                || row.0.universe == start.universe && row.1 < u32::from(start.slot.number())
        };
        placed[..at].partition_point(ends_before)
    };
    for at in 0..placed.len() {
        best[at + 1] = best[at].max(best[before(at)] + blocks[placed[at].2].weight);
    }
    let mut kept = vec![false; blocks.len()];
    let mut at = placed.len();
    while at > 0 {
        if best[at] > best[at - 1] {
            kept[placed[at - 1].2] = true;
            at = before(at - 1);
        } else {
            at -= 1;
        }
    }
    kept
}

/// The kept ones where they are, the others in what is free, wider ones first; and whether everybody has room.
fn place(blocks: &[Block], kept: &[bool], universes: Option<&[u16]>) -> (Vec<Option<Address>>, bool) {
    let mut free = Free::default();
    let mut placed = vec![None; blocks.len()];
    for (index, block) in blocks.iter().enumerate().filter(|(index, _)| kept[*index]) {
        if let Some(now) = block.now {
            free.put(now, block.footprint);
            placed[index] = Some(now);
        }
    }
    let mut rest: Vec<usize> = (0..blocks.len()).filter(|index| !kept[*index]).collect();
    if universes.is_some() {
        rest.sort_by_key(|index| std::cmp::Reverse(blocks[*index].footprint));
    }
    for index in rest {
        let width = blocks[index].footprint;
        placed[index] = match universes {
            None => free.take(width),
            Some(list) => list.iter().find_map(|universe| free.take_in(*universe, width)),
        };
    }
    let all = placed.iter().all(Option::is_some);
    (placed, all)
}

/// Other sets to keep, so that the rest has room too: all of them, heaviest first as far as that can be told; cut short after
/// a fixed number.
fn other_sets(blocks: &[Block], universes: Option<&[u16]>) -> (Option<Vec<Option<Address>>>, bool) {
    const MOST_SETS: usize = 4000;
    let movable: Vec<usize> = (0..blocks.len()).filter(|index| blocks[*index].now.is_some()).collect();
    let mut best: Option<(u32, Vec<Option<Address>>)> = None;
    let mut tried = 0;
    // Sets by the lights that give up their place: none, one, two … of them.
    let mut level: Vec<Vec<bool>> = vec![movable.iter().map(|_| true).collect()];
    while !level.is_empty() && tried < MOST_SETS {
        let mut next: Vec<Vec<bool>> = Vec::new();
        for set in level {
            tried += 1;
            let mut kept = vec![false; blocks.len()];
            movable.iter().zip(&set).for_each(|(index, keep)| kept[*index] = *keep);
            let weight =
                (0..blocks.len()).filter(|index| kept[*index]).map(|index| blocks[index].weight).sum();
            if best.as_ref().is_none_or(|(most, _)| weight > *most)
                && apart(blocks, &kept)
                && let (placed, true) = place(blocks, &kept, universes)
            {
                best = Some((weight, placed));
                continue;
            }
            let from = set.iter().rposition(|keep| !keep).map_or(0, |last| last + 1);
            for index in from..set.len() {
                let mut less = set.clone();
                less[index] = false;
                next.push(less);
                if next.len() > MOST_SETS {
                    break;
                }
            }
        }
        level = if best.is_some() { Vec::new() } else { next };
    }
    let even = blocks.iter().all(|block| block.weight <= 1);
    (best.map(|(_, placed)| placed), tried < MOST_SETS && even)
}

/// Whether no two of the kept ones overlap.
fn apart(blocks: &[Block], kept: &[bool]) -> bool {
    let mut free = Free::default();
    let mut at = blocks.iter().zip(kept).filter(|(_, keep)| **keep);
    at.all(|(block, _)| block.now.is_none_or(|now| free.put(now, block.footprint)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn address(text: &str) -> Address {
        text.parse().unwrap()
    }

    fn words(addresses: &[Option<Address>]) -> Vec<String> {
        addresses.iter().map(|a| a.map_or_else(|| "–".to_owned(), |a| a.to_string())).collect()
    }

    #[test]
    fn rules_give_out_addresses() {
        let four = [(1, 16), (2, 16), (3, 8), (4, 8)];
        for (rule, first, given) in [
            (Rule::NextFree { gap: 0 }, "1.001", ["1.001", "1.017", "1.033", "1.041"]),
            (Rule::NextFree { gap: 4 }, "1.001", ["1.001", "1.021", "1.041", "1.053"]),
            (Rule::NextFree { gap: 0 }, "1.490", ["1.490", "2.001", "2.017", "2.025"]),
            (Rule::ByNumber { step: 20 }, "1.001", ["1.001", "1.021", "1.041", "1.061"]),
            (Rule::Shared, "1.101", ["1.101"; 4]),
        ] {
            assert_eq!(words(&by_rule(&four, rule, address(first))), given, "{rule:?}");
        }
        // 25 · 20 + 1 = 501, and sixteen slots end at 516: the next universe, numbers from there on.
        let many = by_rule(&[(25, 16), (26, 16), (27, 16)], Rule::ByNumber { step: 20 }, address("1.001"));
        assert_eq!(words(&many), ["1.481", "2.001", "2.021"]);
        assert_eq!(by_rule(&[(1, 513)], Rule::Shared, address("1.001")), [None]);
    }

    fn wanted(rows: &[(u32, u16, Option<&str>)]) -> Vec<Wanted> {
        let light = |(number, footprint, now): &(u32, u16, Option<&str>)| Wanted {
            number: *number,
            footprint: *footprint,
            now: now.map(address),
            share: None,
        };
        rows.iter().map(light).collect()
    }

    #[test]
    fn as_few_addresses_change_as_can_be() {
        // Light 2 has grown from 8 to 16 channels over light 3: light 3, or light 2, moves; both others stay.
        let grown =
            wanted(&[(1, 8, Some("1.001")), (2, 16, Some("1.009")), (3, 8, Some("1.017")), (4, 8, None)]);
        let found = readdress(&grown, None);
        assert_eq!((found.kept.len(), found.changed.len(), found.exact), (2, 2, true));
        // One wide light over three narrow ones: the wide one moves.
        let wide = wanted(&[
            (1, 30, Some("1.001")),
            (2, 8, Some("1.003")),
            (3, 8, Some("1.011")),
            (4, 8, Some("1.020")),
        ]);
        assert_eq!(readdress(&wide, None).kept, [2, 3, 4]);
        // Sharing lights move together; what passes slot 512 cannot stay.
        let mut shared = wanted(&[(1, 8, Some("1.001")), (2, 8, Some("1.001")), (3, 8, Some("1.510"))]);
        shared[0].share = Some(1);
        shared[1].share = Some(1);
        assert_eq!(words(&readdress(&shared, None).addresses), ["1.001", "1.001", "1.009"]);
        // In one universe alone: 200 + 200 slots free only if the one in the middle moves.
        let tight = wanted(&[(1, 100, Some("1.201")), (2, 400, None)]);
        let found = readdress(&tight, Some(&[1]));
        assert_eq!(
            (words(&found.addresses), found.exact),
            (vec!["1.401".to_owned(), "1.001".to_owned()], true)
        );
        assert_eq!(readdress(&wanted(&[(1, 400, None), (2, 400, None)]), Some(&[1])).without, [2]);
    }

    proptest! {
        #[test]
        fn no_other_choice_keeps_more(lights in prop::collection::vec((1_u16..12, 1_u32..40), 1..9)) {
            let all: Vec<Wanted> = (1..).zip(&lights).map(|(number, (footprint, start))| Wanted {
                number, footprint: *footprint, now: Address::new(1, *start).ok(), share: None,
            }).collect();
            let found = readdress(&all, None);
            prop_assert!(found.without.is_empty());
            // Nobody overlaps.
            let mut free = Free::default();
            for (light, address) in all.iter().zip(&found.addresses) {
                prop_assert!(free.put(address.unwrap(), light.footprint));
            }
            // Every set of present places, by brute force.
            let most = (0..1_usize << all.len()).filter(|set| {
                let mut free = Free::default();
                (0..all.len()).filter(|i| set & (1 << i) != 0).all(|i| free.put(all[i].now.unwrap(), all[i].footprint))
            }).map(usize::count_ones).max().unwrap();
            prop_assert_eq!(found.kept.len(), most as usize);
        }
    }
}
