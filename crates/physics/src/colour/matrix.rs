//! Three by three: all that the colour spaces need.

/// Rows of a matrix that acts on a column.
pub(super) type Matrix = [[f64; 3]; 3];

/// `matrix · vector`.
pub(super) fn apply(matrix: &Matrix, vector: [f64; 3]) -> [f64; 3] {
    matrix.map(|row| row[0] * vector[0] + row[1] * vector[1] + row[2] * vector[2])
}

/// |value|^exponent with the sign of the value, so that light beyond the real colours keeps its place.
pub(super) fn signed_pow(value: f64, exponent: f64) -> f64 {
    libm::copysign(libm::pow(value.abs(), exponent), value)
}
