//! Symmetric tridiagonal systems, by L·D·Lᵀ.

/// The factors of a symmetric tridiagonal matrix, in room that is used again for the next one.
#[derive(Default)]
pub(super) struct Factors {
    /// One over the pivots D.
    over_pivot: Vec<f64>,
    /// The subdiagonal of L.
    lower: Vec<f64>,
}

impl Factors {
    /// Factors the matrix with diagonal `diagonal` + `shift` and off-diagonal `off` (one shorter). False, and no
    /// factors, if it is not positive definite.
    pub(super) fn factor(&mut self, diagonal: &[f64], off: &[f64], shift: f64) -> bool {
        self.over_pivot.clear();
        self.lower.clear();
        let mut carried = 0.0;
        for (i, &d) in diagonal.iter().enumerate() {
            let pivot = d + shift - carried;
            if !(pivot > 0.0 && pivot.is_finite()) {
                return false;
            }
            let over = 1.0 / pivot;
            self.over_pivot.push(over);
            if i + 1 < diagonal.len() {
                let l = off[i] * over;
                carried = l * off[i];
                self.lower.push(l);
            }
        }
        true
    }

    /// Replaces the right-hand side by the solution. The last [`Factors::factor`] must have been true.
    pub(super) fn solve(&self, side: &mut [f64]) {
        for i in 1..side.len() {
            side[i] -= self.lower[i - 1] * side[i - 1];
        }
        for (x, over) in side.iter_mut().zip(&self.over_pivot) {
            *x *= over;
        }
        for i in (1..side.len()).rev() {
            side[i - 1] -= self.lower[i - 1] * side[i];
        }
    }
}

#[cfg(test)]
mod tests {
    use super::Factors;

    /// Textbook matrix: second differences, −u″ = 1 on 0..1 with u = 0 at both ends, exact at the nodes: x(1 − x)/2.
    #[test]
    fn solves_second_differences_exactly() {
        let n = 9;
        let h = 1.0 / (n + 1) as f64;
        let mut factors = Factors::default();
        assert!(factors.factor(&vec![2.0; n], &vec![-1.0; n - 1], 0.0));
        let mut u = vec![h * h; n];
        factors.solve(&mut u);
        for (i, u) in u.iter().enumerate() {
            let x = (i + 1) as f64 * h;
            assert!((u - x * (1.0 - x) / 2.0).abs() < 1e-15);
        }
    }

    #[test]
    fn refuses_what_is_not_positive_definite() {
        let mut factors = Factors::default();
        assert!(!factors.factor(&[1.0, 1.0], &[2.0], 0.0));
        assert!(factors.factor(&[1.0, 1.0], &[2.0], 1.5));
        assert!(!factors.factor(&[f64::NAN], &[], 0.0));
        assert!(factors.factor(&[], &[], 0.0));
    }
}
