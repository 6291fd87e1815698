//! Lines of equal light through a grid: marching squares, segments joined to lines.

use std::collections::BTreeMap;

/// One line of equal light.
#[derive(Clone, Debug, PartialEq)]
pub struct Contour {
    /// Its light level.
    pub lux: f64,
    /// Its points, metres in the plan.
    pub line: Vec<[f64; 2]>,
    /// Comes back to where it begins; otherwise it ends at the walls.
    pub closed: bool,
}

/// An edge of the grid: column and row of its lower left point, and whether it goes up.
type Edge = (usize, usize, bool);

/// All lines of one level. `grid` row by row, `count` points each way.
pub(super) fn lines(grid: &[f64], count: [usize; 2], from: [f64; 2], step: f64, level: f64) -> Vec<Contour> {
    let value = |column: usize, row: usize| grid.get(row * count[0] + column).copied().unwrap_or(0.0);
    let mut neighbours: BTreeMap<Edge, Vec<Edge>> = BTreeMap::new();
    for row in 0..count[1].saturating_sub(1) {
        for column in 0..count[0].saturating_sub(1) {
            let corners = [
                value(column, row),
                value(column + 1, row),
                value(column + 1, row + 1),
                value(column, row + 1),
            ];
            for (a, b) in segments(corners, level).into_iter().flatten() {
                // Bottom, right, top, left.
                let edge = |side: usize| match side {
                    0 => (column, row, false),
                    1 => (column + 1, row, true),
                    2 => (column, row + 1, false),
                    _ => (column, row, true),
                };
                neighbours.entry(edge(a)).or_default().push(edge(b));
                neighbours.entry(edge(b)).or_default().push(edge(a));
            }
        }
    }
    let point = |(column, row, up): Edge| {
        let here = value(column, row);
        let there = if up { value(column, row + 1) } else { value(column + 1, row) };
        let part = if (there - here).abs() > 1e-12 {
            ((level - here) / (there - here)).clamp(0.0, 1.0)
        } else {
            0.5
        };
        let (x, y) = (column as f64, row as f64);
        let (x, y) = if up { (x, y + part) } else { (x + part, y) };
        [from[0] + x * step, from[1] + y * step]
    };
    trace(neighbours)
        .into_iter()
        .map(|(edges, closed)| Contour { lux: level, line: edges.into_iter().map(point).collect(), closed })
        .collect()
}

/// Which sides of a cell (0 bottom, 1 right, 2 top, 3 left) are joined. Corners from the lower left, anticlockwise. A
/// saddle goes by the mean of its corners.
fn segments(corners: [f64; 4], level: f64) -> [Option<(usize, usize)>; 2] {
    let above = corners.map(|corner| corner >= level);
    let index = above.iter().enumerate().fold(0, |sum, (place, above)| sum | usize::from(*above) << place);
    let middle = corners.iter().sum::<f64>() / 4.0 >= level;
    match index {
        1 | 14 => [Some((3, 0)), None],
        2 | 13 => [Some((0, 1)), None],
        4 | 11 => [Some((1, 2)), None],
        8 | 7 => [Some((2, 3)), None],
        3 | 12 => [Some((3, 1)), None],
        6 | 9 => [Some((0, 2)), None],
        5 if middle => [Some((0, 1)), Some((2, 3))],
        5 => [Some((3, 0)), Some((1, 2))],
        10 if middle => [Some((3, 0)), Some((1, 2))],
        10 => [Some((0, 1)), Some((2, 3))],
        _ => [None, None],
    }
}

/// Joins edges to lines: first those that begin at the rim, then the closed ones.
fn trace(mut neighbours: BTreeMap<Edge, Vec<Edge>>) -> Vec<(Vec<Edge>, bool)> {
    let mut lines = Vec::new();
    loop {
        let rim = neighbours.iter().find(|(_, next)| next.len() == 1).map(|(edge, _)| *edge);
        let Some(start) = rim.or_else(|| neighbours.keys().next().copied()) else { break };
        let mut line = vec![start];
        let mut here = start;
        while let Some(next) = take(&mut neighbours, here) {
            line.push(next);
            here = next;
        }
        let closed = line.len() > 2 && line.first() == line.last();
        neighbours.remove(&start);
        lines.push((line, closed));
    }
    lines
}

/// One step along: the segment is used up.
fn take(neighbours: &mut BTreeMap<Edge, Vec<Edge>>, here: Edge) -> Option<Edge> {
    let next = neighbours.get_mut(&here)?.pop()?;
    if neighbours.get(&here).is_some_and(Vec::is_empty) {
        neighbours.remove(&here);
    }
    if let Some(back) = neighbours.get_mut(&next) {
        if let Some(place) = back.iter().position(|edge| *edge == here) {
            back.remove(place);
        }
        if back.is_empty() {
            neighbours.remove(&next);
        }
    }
    Some(next)
}
