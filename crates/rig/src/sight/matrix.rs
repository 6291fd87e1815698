//! The little linear algebra that sighting in needs: nine unknowns, and the turn between two sets of directions.

#![expect(clippy::needless_range_loop, reason = "rows and columns read as in the formulas")]

use glam::{DMat3, DQuat, DVec3};

/// Unknowns of a fit: see [`super::fit`].
pub(super) const UNKNOWNS: usize = 9;

/// One number for each unknown.
pub(super) type Column = [f64; UNKNOWNS];

/// One for each pair.
pub(super) type Square = [[f64; UNKNOWNS]; UNKNOWNS];

/// The lower triangle `L` with `L·Lᵀ` the symmetric matrix; `None` when that is not positive definite (or not finite).
pub(super) fn cholesky(matrix: &Square) -> Option<Square> {
    let mut lower = [[0.0; UNKNOWNS]; UNKNOWNS];
    for row in 0..UNKNOWNS {
        for column in 0..=row {
            let mut sum = matrix[row][column];
            for k in 0..column {
                sum -= lower[row][k] * lower[column][k];
            }
            if row != column {
                lower[row][column] = sum / lower[column][column];
            } else if sum > 0.0 && sum.is_finite() {
                lower[row][row] = sum.sqrt();
            } else {
                return None;
            }
        }
    }
    Some(lower)
}

/// The `x` with `L·Lᵀ·x = right`.
pub(super) fn solve(lower: &Square, right: &Column) -> Column {
    let mut x = *right;
    for row in 0..UNKNOWNS {
        for k in 0..row {
            x[row] -= lower[row][k] * x[k];
        }
        x[row] /= lower[row][row];
    }
    for row in (0..UNKNOWNS).rev() {
        for k in row + 1..UNKNOWNS {
            x[row] -= lower[k][row] * x[k];
        }
        x[row] /= lower[row][row];
    }
    x
}

/// The inverse of `L·Lᵀ`.
pub(super) fn inverse(lower: &Square) -> Square {
    let mut out = [[0.0; UNKNOWNS]; UNKNOWNS];
    for (index, row) in out.iter_mut().enumerate() {
        let mut unit = [0.0; UNKNOWNS];
        unit[index] = 1.0;
        *row = solve(lower, &unit);
    }
    out
}

/// Half the logarithm of the determinant of `L·Lᵀ`.
pub(super) fn half_log_determinant(lower: &Square) -> f64 {
    (0..UNKNOWNS).map(|index| libm::log(lower[index][index])).sum()
}

/// The rotation that takes the first of each pair of directions nearest to the second, least squares: the eigenvector
/// of the largest eigenvalue of Horn's symmetric 4 × 4 matrix (B. K. P. Horn, J. Opt. Soc. Am. A 4, 629, 1987).
pub(super) fn turn_between(pairs: impl Iterator<Item = (DVec3, DVec3)>) -> DMat3 {
    let mut sums = [[0.0; 3]; 3];
    for (from, to) in pairs {
        let (from, to) = (from.to_array(), to.to_array());
        for (row, a) in sums.iter_mut().zip(from) {
            for (sum, b) in row.iter_mut().zip(to) {
                *sum += a * b;
            }
        }
    }
    let [[xx, xy, xz], [yx, yy, yz], [zx, zy, zz]] = sums;
    let matrix = [
        [xx + yy + zz, yz - zy, zx - xz, xy - yx],
        [yz - zy, xx - yy - zz, xy + yx, zx + xz],
        [zx - xz, xy + yx, yy - xx - zz, yz + zy],
        [xy - yx, zx + xz, yz + zy, zz - xx - yy],
    ];
    let [w, x, y, z] = first_eigenvector(matrix);
    let quaternion = DQuat::from_xyzw(x, y, z, w);
    let length = quaternion.length();
    if length > 0.5 { DMat3::from_quat(quaternion * (1.0 / length)) } else { DMat3::IDENTITY }
}

/// Eigenvector of the largest eigenvalue of a symmetric matrix, by Jacobi's plane rotations.
fn first_eigenvector(mut matrix: [[f64; 4]; 4]) -> [f64; 4] {
    let mut vectors = [[0.0; 4]; 4];
    for (index, row) in vectors.iter_mut().enumerate() {
        row[index] = 1.0;
    }
    for _sweep in 0..12 {
        let off: f64 =
            (0..4).flat_map(|r| (r + 1..4).map(move |c| (r, c))).map(|(r, c)| matrix[r][c].abs()).sum();
        if off < 1e-12 {
            break;
        }
        for p in 0..3 {
            for q in p + 1..4 {
                rotate(&mut matrix, &mut vectors, p, q);
            }
        }
    }
    let best = (1..4).fold(0, |best, k| if matrix[k][k] > matrix[best][best] { k } else { best });
    [vectors[0][best], vectors[1][best], vectors[2][best], vectors[3][best]]
}

/// One plane rotation that makes entry (p, q) zero.
fn rotate(matrix: &mut [[f64; 4]; 4], vectors: &mut [[f64; 4]; 4], p: usize, q: usize) {
    if matrix[p][q].abs() < 1e-300 {
        return;
    }
    let theta = (matrix[q][q] - matrix[p][p]) / (2.0 * matrix[p][q]);
    let tangent = theta.signum() / (theta.abs() + (theta * theta + 1.0).sqrt());
    let cosine = 1.0 / (tangent * tangent + 1.0).sqrt();
    let sine = tangent * cosine;
    for row in matrix.iter_mut().chain(vectors.iter_mut()) {
        let (a, b) = (row[p], row[q]);
        row[p] = cosine * a - sine * b;
        row[q] = sine * a + cosine * b;
    }
    for k in 0..4 {
        let (a, b) = (matrix[p][k], matrix[q][k]);
        matrix[p][k] = cosine * a - sine * b;
        matrix[q][k] = sine * a + cosine * b;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_known_turn_is_found() {
        let turn = DMat3::from_quat(DQuat::from_xyzw(0.1, -0.7, 0.5, 0.5).normalize());
        let from = [DVec3::X, DVec3::Y, DVec3::new(0.6, 0.0, -0.8)];
        let found = turn_between(from.iter().map(|d| (*d, turn * *d)));
        assert!(found.abs_diff_eq(turn, 1e-12), "{found}");
        // One direction leaves the turn about itself open; what comes out is still a rotation.
        let one = turn_between([(DVec3::X, DVec3::Z)].into_iter());
        assert!((one * DVec3::X).abs_diff_eq(DVec3::Z, 1e-12));
        assert!((one.determinant() - 1.0).abs() < 1e-12);
    }

    #[test]
    fn inverse_and_determinant_of_a_triangle() {
        let mut matrix = [[0.0; UNKNOWNS]; UNKNOWNS];
        for r in 0..UNKNOWNS {
            for c in 0..UNKNOWNS {
                matrix[r][c] = if r == c { 2.0 + r as f64 } else { 0.3 / (1.0 + r.abs_diff(c) as f64) };
            }
        }
        let lower = cholesky(&matrix).unwrap();
        let back = inverse(&lower);
        for r in 0..UNKNOWNS {
            for c in 0..UNKNOWNS {
                let product: f64 = (0..UNKNOWNS).map(|k| matrix[r][k] * back[k][c]).sum();
                assert!((product - if r == c { 1.0 } else { 0.0 }).abs() < 1e-12);
            }
        }
        matrix[3][3] = -1.0;
        assert!(cholesky(&matrix).is_none());
        matrix[3][3] = f64::NAN;
        assert!(cholesky(&matrix).is_none());
    }
}
