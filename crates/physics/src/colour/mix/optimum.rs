//! A linear program with few rows and at most eight variables, solved exactly by trying every basis.

use super::MAX_EMITTERS;

/// The levels (0 to 1) that make `Σ columns[i] · levels[i] = wanted` and `Σ gain[i] · levels[i]` largest; `None` when no
/// levels do. Emitters that are not in the bit set `here` stay at 0.
///
/// At an optimum no more levels than rows lie strictly between 0 and 1. For each choice of these (a basis) the prices
/// of the rows follow from their gains, the sign of every other emitter's gain after prices says whether it is at 0
/// or at 1, and the rows give the levels in the basis. A choice that ends inside 0 to 1 is an optimum.
pub(super) fn best_levels<const ROWS: usize>(
    columns: &[[f64; ROWS]; MAX_EMITTERS],
    gain: &[f64; MAX_EMITTERS],
    wanted: [f64; ROWS],
    here: u32,
) -> Option<[f64; MAX_EMITTERS]> {
    let scale = columns.iter().flatten().fold(0.0_f64, |most, value| most.max(value.abs()));
    let tie = gain.iter().fold(0.0_f64, |most, value| most.max(value.abs())) * 1e-11;
    let mut best: Option<([f64; MAX_EMITTERS], f64)> = None;
    for mask in 0..1u32 << MAX_EMITTERS {
        if mask.count_ones() as usize != ROWS || mask & !here != 0 {
            continue;
        }
        let basis = members::<ROWS>(mask);
        let Some(prices) = solve(basis.map(|index| columns[index]), basis.map(|index| gain[index]), scale)
        else {
            continue;
        };
        let (mut full, mut tied) = (0, 0);
        for index in (0..MAX_EMITTERS).filter(|index| ((here & !mask) >> index) & 1 == 1) {
            let left = gain[index] - dot(&columns[index], &prices);
            if left > tie {
                full |= 1 << index;
            } else if left >= -tie {
                tied |= 1 << index;
            }
        }
        // Emitters that gain nothing after prices may stand at 0 or at 1: try every subset of them.
        let mut subset = tied;
        loop {
            if let Some(levels) = filled(columns, basis, full | subset, wanted, scale) {
                let value = dot(&levels, gain);
                if best.is_none_or(|(_, most)| value > most + tie) {
                    best = Some((levels, value));
                }
            }
            if subset == 0 {
                break;
            }
            subset = (subset - 1) & tied;
        }
    }
    best.map(|(levels, _)| levels)
}

/// The levels with some emitters at full and those in the basis as the rows demand; `None` when one of these does not
/// end between 0 and 1.
fn filled<const ROWS: usize>(
    columns: &[[f64; ROWS]; MAX_EMITTERS],
    basis: [usize; ROWS],
    full: u32,
    wanted: [f64; ROWS],
    scale: f64,
) -> Option<[f64; MAX_EMITTERS]> {
    const SPARE: f64 = 1e-9;
    let mut levels = [0.0; MAX_EMITTERS];
    let mut rest = wanted;
    for index in (0..MAX_EMITTERS).filter(|index| (full >> index) & 1 == 1) {
        levels[index] = 1.0;
        for (rest, value) in rest.iter_mut().zip(columns[index]) {
            *rest -= value;
        }
    }
    let rows = std::array::from_fn(|row| basis.map(|index| columns[index][row]));
    for (index, level) in basis.into_iter().zip(solve(rows, rest, scale)?) {
        if !(-SPARE..=1.0 + SPARE).contains(&level) {
            return None;
        }
        levels[index] = level.clamp(0.0, 1.0);
    }
    Some(levels)
}

fn members<const ROWS: usize>(mask: u32) -> [usize; ROWS] {
    let mut members = [0; ROWS];
    let set = (0..MAX_EMITTERS).filter(|index| (mask >> index) & 1 == 1);
    for (member, index) in members.iter_mut().zip(set) {
        *member = index;
    }
    members
}

/// Solves `rows · unknowns = right` by elimination with row exchange; `None` when the rows are (nearly) dependent.
fn solve<const N: usize>(mut rows: [[f64; N]; N], mut right: [f64; N], scale: f64) -> Option<[f64; N]> {
    for at in 0..N {
        let largest = (at..N).max_by(|a, b| rows[*a][at].abs().total_cmp(&rows[*b][at].abs()))?;
        rows.swap(at, largest);
        right.swap(at, largest);
        let pivot = rows[at];
        if pivot[at].is_nan() || pivot[at].abs() <= scale * 1e-12 {
            return None;
        }
        for below in at + 1..N {
            let factor = rows[below][at] / pivot[at];
            for (value, above) in rows[below].iter_mut().zip(pivot) {
                *value -= factor * above;
            }
            right[below] -= factor * right[at];
        }
    }
    for at in (0..N).rev() {
        for column in at + 1..N {
            right[at] -= rows[at][column] * right[column];
        }
        right[at] /= rows[at][at];
    }
    Some(right)
}

fn dot<const N: usize>(a: &[f64; N], b: &[f64; N]) -> f64 {
    a.iter().zip(b).map(|(p, q)| p * q).sum()
}
