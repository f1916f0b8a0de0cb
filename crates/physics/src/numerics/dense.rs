//! Small dense systems on the stack: Cholesky for symmetric positive ones, Gauss with pivoting for
//! the rest.
//!
//! Sizes are limits, not exact sizes: only the leading `n` rows and columns are used.

#![expect(
    clippy::needless_range_loop,
    reason = "elimination reads as it stands in the textbook, by row and column"
)]

/// The leading `n × n` block is not positive definite.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct NotPositive;

/// The leading block is singular to rounding.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Singular;

/// Replaces the lower triangle of the leading block by its Cholesky factor.
///
/// # Errors
/// The block is not positive definite.
pub fn cholesky<const N: usize>(a: &mut [[f64; N]; N], n: usize) -> Result<(), NotPositive> {
    for j in 0..n {
        let mut diagonal = a[j][j];
        for k in 0..j {
            diagonal -= a[j][k] * a[j][k];
        }
        if diagonal.is_nan() || diagonal <= 0.0 {
            return Err(NotPositive);
        }
        let root = diagonal.sqrt();
        a[j][j] = root;
        for i in j + 1..n {
            let mut sum = a[i][j];
            for k in 0..j {
                sum -= a[i][k] * a[j][k];
            }
            a[i][j] = sum / root;
        }
    }
    Ok(())
}

/// Solves `L Lᵀ x = b` in place with the factor of [`cholesky`].
pub fn cholesky_solve<const N: usize>(l: &[[f64; N]; N], n: usize, b: &mut [f64; N]) {
    for i in 0..n {
        let mut sum = b[i];
        for k in 0..i {
            sum -= l[i][k] * b[k];
        }
        b[i] = sum / l[i][i];
    }
    for i in (0..n).rev() {
        let mut sum = b[i];
        for k in i + 1..n {
            sum -= l[k][i] * b[k];
        }
        b[i] = sum / l[i][i];
    }
}

/// Solves `A x = b` in place by elimination with row scaling and partial pivoting; `a` is used up.
///
/// # Errors
/// A pivot is zero to rounding against its row.
pub fn gauss<const N: usize>(
    a: &mut [[f64; N]; N],
    n: usize,
    b: &mut [f64; N],
) -> Result<(), Singular> {
    let mut scale = [0.0; N];
    for i in 0..n {
        let largest = a[i][..n].iter().fold(0.0_f64, |m, v| m.max(v.abs()));
        if !(largest > 0.0 && largest.is_finite()) {
            return Err(Singular);
        }
        scale[i] = 1.0 / largest;
    }
    for k in 0..n {
        let pivot = (k..n)
            .max_by(|&i, &j| (a[i][k].abs() * scale[i]).total_cmp(&(a[j][k].abs() * scale[j])))
            .unwrap_or(k);
        // Rounding leaves about 1e-16 of a row's largest entry where exact arithmetic leaves 0.
        let size = a[pivot][k].abs() * scale[pivot];
        if size.is_nan() || size <= 1e-18 {
            return Err(Singular);
        }
        a.swap(k, pivot);
        b.swap(k, pivot);
        scale.swap(k, pivot);
        for i in k + 1..n {
            let factor = a[i][k] / a[k][k];
            if factor != 0.0 {
                for j in k + 1..n {
                    a[i][j] -= factor * a[k][j];
                }
                b[i] -= factor * b[k];
            }
        }
    }
    for i in (0..n).rev() {
        let mut sum = b[i];
        for j in i + 1..n {
            sum -= a[i][j] * b[j];
        }
        b[i] = sum / a[i][i];
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn both_ways_solve_a_symmetric_system() {
        let a = [
            [4.0, 1.0, 0.5, 9.0],
            [1.0, 3.0, -0.2, 9.0],
            [0.5, -0.2, 2.0, 9.0],
            [9.0; 4],
        ];
        let x = [1.0, -2.0, 3.0];
        let mut b = [0.0; 4];
        for i in 0..3 {
            b[i] = (0..3).map(|j| a[i][j] * x[j]).sum();
        }
        let (mut l, mut by_cholesky) = (a, b);
        cholesky(&mut l, 3).unwrap();
        cholesky_solve(&l, 3, &mut by_cholesky);
        let (mut full, mut by_gauss) = (a, b);
        gauss(&mut full, 3, &mut by_gauss).unwrap();
        for i in 0..3 {
            // Condition number below 10: a few units of rounding.
            assert!((by_cholesky[i] - x[i]).abs() < 1e-14);
            assert!((by_gauss[i] - x[i]).abs() < 1e-14);
        }
    }

    #[test]
    fn indefinite_and_singular_are_refused() {
        assert_eq!(cholesky(&mut [[1.0, 2.0], [2.0, 1.0]], 2), Err(NotPositive));
        assert_eq!(cholesky(&mut [[f64::NAN]], 1), Err(NotPositive));
        let mut a = [[1.0, 2.0], [2.0, 4.0]];
        assert_eq!(gauss(&mut a, 2, &mut [1.0, 2.0]), Err(Singular));
        // A zero in the corner needs the pivot.
        let mut b = [2.0, 3.0];
        gauss(&mut [[0.0, 1.0], [1.0, 0.0]], 2, &mut b).unwrap();
        assert_eq!(b, [3.0, 2.0]);
    }
}
