//! Symmetric tridiagonal systems, by L·D·Lᵀ.

/// Room for the factors of a symmetric tridiagonal matrix, used again for the next one.
#[derive(Default)]
pub(super) struct Tridiagonal {
    /// One over the pivots D.
    over_pivot: Vec<f64>,
    /// The subdiagonal of L.
    lower: Vec<f64>,
}

impl Tridiagonal {
    /// Solves for the matrix with diagonal `diagonal` + `shift` and off-diagonal `off` (one shorter): replaces the
    /// right-hand side `side` by the solution. False, and nothing of worth in `side`, if the matrix is not positive
    /// definite.
    pub(super) fn solve(&mut self, diagonal: &[f64], off: &[f64], shift: f64, side: &mut [f64]) -> bool {
        let n = diagonal.len();
        if n == 0 {
            return true;
        }
        self.over_pivot.resize(n, 0.0);
        self.lower.resize(n, 0.0);
        let (over_pivot, lower) = (&mut self.over_pivot[..n], &mut self.lower[..n]);
        let (off, side) = (&off[..n - 1], &mut side[..n]);
        // The first row has nothing before it.
        let (mut carried, mut factor, mut above) = (0.0, 0.0, 0.0);
        for i in 0..n {
            let pivot = diagonal[i] + shift - carried;
            if !(pivot > 0.0 && pivot < f64::INFINITY) {
                return false;
            }
            let over = 1.0 / pivot;
            above = side[i] - factor * above;
            side[i] = above;
            over_pivot[i] = over;
            if i < n - 1 {
                factor = off[i] * over;
                carried = factor * off[i];
                lower[i] = factor;
            }
        }
        let mut below = 0.0;
        lower[n - 1] = 0.0;
        for i in (0..n).rev() {
            below = side[i] * over_pivot[i] - lower[i] * below;
            side[i] = below;
        }
        true
    }
}

#[cfg(test)]
mod tests {
    use super::Tridiagonal;

    /// Textbook matrix: second differences, −u″ = 1 on 0..1 with u = 0 at both ends, exact at the nodes: x(1 − x)/2.
    #[test]
    fn solves_second_differences_exactly() {
        let n = 9;
        let h = 1.0 / (n + 1) as f64;
        let mut u = vec![h * h; n];
        assert!(Tridiagonal::default().solve(&vec![2.0; n], &vec![-1.0; n - 1], 0.0, &mut u));
        for (i, u) in u.iter().enumerate() {
            let x = (i + 1) as f64 * h;
            assert!((u - x * (1.0 - x) / 2.0).abs() < 1e-15);
        }
    }

    /// [[3, 1], [1, 2]]·(1, −1) = (2, −1), with 1 of the 3 and of the 2 as the shift; then one unknown in the same room.
    #[test]
    fn adds_the_shift() {
        let mut room = Tridiagonal::default();
        let mut side = [2.0, -1.0];
        assert!(room.solve(&[2.0, 1.0], &[1.0], 1.0, &mut side));
        assert!((side[0] - 1.0).abs() < 1e-15 && (side[1] + 1.0).abs() < 1e-15);
        let mut side = [3.0];
        assert!(room.solve(&[4.0], &[], 2.0, &mut side));
        assert_eq!(side, [0.5]);
    }

    #[test]
    fn refuses_what_is_not_positive_definite() {
        let mut room = Tridiagonal::default();
        assert!(!room.solve(&[1.0, 1.0], &[2.0], 0.0, &mut [1.0, 1.0]));
        assert!(room.solve(&[1.0, 1.0], &[2.0], 1.5, &mut [1.0, 1.0]));
        assert!(!room.solve(&[f64::NAN], &[], 0.0, &mut [1.0]));
        assert!(room.solve(&[], &[], 0.0, &mut []));
    }
}
