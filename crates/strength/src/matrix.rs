//! Small matrices of fixed size.

use geom::Vec3;

/// Rows of a matrix with `R` rows and `C` columns.
pub type Matrix<const R: usize, const C: usize> = [[f64; C]; R];

/// All zeros.
pub const fn zero<const R: usize, const C: usize>() -> Matrix<R, C> {
    [[0.0; C]; R]
}

/// a b.
pub fn product<const R: usize, const K: usize, const C: usize>(a: &Matrix<R, K>, b: &Matrix<K, C>) -> Matrix<R, C> {
    std::array::from_fn(|i| std::array::from_fn(|j| (0..K).map(|k| a[i][k] * b[k][j]).sum()))
}

/// The transpose.
pub fn transposed<const R: usize, const C: usize>(a: &Matrix<R, C>) -> Matrix<C, R> {
    std::array::from_fn(|i| std::array::from_fn(|j| a[j][i]))
}

/// a v.
pub fn apply<const R: usize, const C: usize>(a: &Matrix<R, C>, v: &[f64; C]) -> [f64; R] {
    std::array::from_fn(|i| (0..C).map(|k| a[i][k] * v[k]).sum())
}

/// a + weight b, in place.
pub fn add<const R: usize, const C: usize>(a: &mut Matrix<R, C>, weight: f64, b: &Matrix<R, C>) {
    for (row, other) in a.iter_mut().zip(b) {
        for (value, more) in row.iter_mut().zip(other) {
            *value += weight * more;
        }
    }
}

/// The inverse of a symmetric positive definite matrix, by Gauss-Jordan without pivoting; `None` when it is not.
pub fn inverse<const N: usize>(a: &Matrix<N, N>) -> Option<Matrix<N, N>> {
    let mut left = *a;
    let mut right: Matrix<N, N> = std::array::from_fn(|i| std::array::from_fn(|j| f64::from(u8::from(i == j))));
    for k in 0..N {
        let pivot = left[k][k];
        if pivot.is_nan() || pivot <= 0.0 {
            return None;
        }
        left[k] = left[k].map(|v| v / pivot);
        right[k] = right[k].map(|v| v / pivot);
        let (row_left, row_right) = (left[k], right[k]);
        for i in (0..N).filter(|i| *i != k) {
            let factor = left[i][k];
            for j in 0..N {
                left[i][j] -= factor * row_left[j];
                right[i][j] -= factor * row_right[j];
            }
        }
    }
    Some(right)
}

/// The matrix that gives `r` x v when applied to v.
pub fn cross(r: Vec3) -> Matrix<3, 3> {
    [[0.0, -r.z, r.y], [r.z, 0.0, -r.x], [-r.y, r.x, 0.0]]
}

/// Displacement and turn of a place `r` away from one that moves as a rigid body with it.
pub fn rigid(r: Vec3) -> Matrix<6, 6> {
    let mut out = zero();
    let turned = cross(r);
    for i in 0..3 {
        out[i][i] = 1.0;
        out[i + 3][i + 3] = 1.0;
        for j in 0..3 {
            out[i][j + 3] = -turned[i][j];
        }
    }
    out
}

/// The scalar product: eight sums side by side, then their sum.
pub(crate) fn dot(a: &[f64], b: &[f64]) -> f64 {
    let (a_rest, b_rest) = (a.chunks_exact(8).remainder(), b.chunks_exact(8).remainder());
    let mut sums = [0.0; 8];
    for (a, b) in a.chunks_exact(8).zip(b.chunks_exact(8)) {
        sums.iter_mut().zip(a.iter().zip(b)).for_each(|(sum, (a, b))| *sum += a * b);
    }
    sums.iter().sum::<f64>() + a_rest.iter().zip(b_rest).map(|(a, b)| a * b).sum::<f64>()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_inverse_undoes_and_an_indefinite_matrix_has_none() {
        let a = [[4.0, 1.0], [1.0, 3.0]];
        let back = product(&a, &inverse(&a).unwrap());
        assert!((back[0][0] - 1.0).abs() < 1e-15 && back[0][1].abs() < 1e-15);
        assert_eq!(inverse(&[[1.0, 2.0], [2.0, 1.0]]), None);
    }

    #[test]
    fn a_turned_lever_moves_across_itself() {
        // A turn about z moves a place on the x axis along y.
        let moved = apply(&rigid(Vec3::new(2.0, 0.0, 0.0)), &[0.0, 0.0, 0.0, 0.0, 0.0, 0.5]);
        assert_eq!(moved, [0.0, 1.0, 0.0, 0.0, 0.0, 0.5]);
    }
}
