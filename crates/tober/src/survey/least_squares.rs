//! Linear least squares by Householder QR.
//!
//! The normal equations would square the condition number and lose twice the digits; QR works on
//! the observations themselves. Columns are first brought to about the same length by powers of
//! two, which costs no rounding, so that metres and square metres can stand side by side.
//!
//! Source: G. H. Golub and C. F. Van Loan, *Matrix Computations*, ch. 5. Checked against NIST's
//! reference datasets in the published checks.

use nalgebra::{DMatrix, DVector};

/// The coefficients that leave the least sum of squared residuals.
#[derive(Clone, Debug, PartialEq)]
pub struct Fit {
    /// One for each column of the design.
    pub coefficients: DVector<f64>,
    /// Observed less fitted, one for each observation.
    pub residuals: DVector<f64>,
    /// The share of each observation in its own fitted value, 0 to 1: an error of an observation
    /// shows in its residual by one less this share.
    pub leverages: DVector<f64>,
    /// Covariance of the coefficients for observations of standard deviation 1: (AᵀA)⁻¹.
    pub cofactors: DMatrix<f64>,
    /// How far the observations spread about the fit; absent when there are only as many as
    /// unknowns, for then nothing checks them.
    pub spread: Option<Spread>,
}

/// How sure a [`Fit`] is.
#[derive(Clone, Debug, PartialEq)]
pub struct Spread {
    /// Standard deviation of one observation about the fit, in the observations' unit.
    pub residual_sd: f64,
    /// Standard error of each coefficient.
    pub standard_errors: DVector<f64>,
}

/// A column that is this small a part of itself, once the columns before it are taken away, is
/// a mixture of them and rounding.
const DEPENDENT: f64 = 1e-13;

/// Fits `observed ≈ design × coefficients`.
///
/// `None` when the problem has no single answer: fewer observations than unknowns, columns that
/// depend on one another, numbers that are not finite, or a length that does not match.
///
/// ```
/// use nalgebra::{DMatrix, DVector};
/// use tober::survey::least_squares;
/// // y = 1 + 2x through three exact points.
/// let design = DMatrix::from_row_slice(3, 2, &[1.0, 0.0, 1.0, 1.0, 1.0, 2.0]);
/// let fit = least_squares(&design, &DVector::from_vec(vec![1.0, 3.0, 5.0])).unwrap();
/// assert!((fit.coefficients[0] - 1.0).abs() < 1e-14);
/// assert!((fit.coefficients[1] - 2.0).abs() < 1e-14);
/// ```
pub fn least_squares(design: &DMatrix<f64>, observed: &DVector<f64>) -> Option<Fit> {
    let (observations, unknowns) = design.shape();
    let is_finite = design
        .iter()
        .chain(observed)
        .all(|number| number.is_finite());
    if observations < unknowns || unknowns == 0 || observed.len() != observations || !is_finite {
        return None;
    }

    let scales = DVector::from_iterator(
        unknowns,
        design
            .column_iter()
            .map(|column| power_of_two(column.amax())),
    );
    let mut scaled = design.clone();
    for (mut column, scale) in scaled.column_iter_mut().zip(&scales) {
        column /= *scale;
    }
    let lengths: Vec<f64> = scaled.column_iter().map(|column| column.norm()).collect();

    let qr = scaled.qr();
    let upper = qr.r();
    let left = upper.diagonal().map(f64::abs);
    if !(left.iter().zip(lengths)).all(|(left, whole)| *left > DEPENDENT * whole) {
        return None;
    }
    let mut rotated = observed.clone();
    qr.q_tr_mul(&mut rotated);
    let solution = upper.solve_upper_triangular(&rotated.rows(0, unknowns))?;
    let coefficients = solution.component_div(&scales);
    if !coefficients
        .iter()
        .all(|coefficient| coefficient.is_finite())
    {
        return None;
    }
    let residuals = observed - design * &coefficients;
    let leverages = DVector::from_iterator(
        observations,
        qr.q().row_iter().map(|row| row.norm_squared().min(1.0)),
    );
    // (AᵀA)⁻¹ is R⁻¹ R⁻ᵀ, so a standard error is sd × a row's length in R⁻¹.
    let mut inverse = upper.solve_upper_triangular(&DMatrix::identity(unknowns, unknowns))?;
    for (mut row, scale) in inverse.row_iter_mut().zip(&scales) {
        row /= *scale;
    }

    let redundancy = observations - unknowns;
    let spread = (redundancy > 0).then(|| {
        let residual_sd = residuals.norm() / (redundancy as f64).sqrt();
        Spread {
            residual_sd,
            standard_errors: DVector::from_iterator(
                unknowns,
                inverse.row_iter().map(|row| residual_sd * row.norm()),
            ),
        }
    });
    Some(Fit {
        coefficients,
        residuals,
        leverages,
        cofactors: &inverse * inverse.transpose(),
        spread,
    })
}

/// The power of two just at or below a size; 1 for nothing.
fn power_of_two(size: f64) -> f64 {
    if size > 0.0 {
        libm::ldexp(1.0, libm::frexp(size).1 - 1)
    } else {
        1.0
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    use proptest::prelude::*;

    fn fit<const N: usize>(columns: &[[f64; N]], observed: [f64; N]) -> Option<Fit> {
        let design = DMatrix::from_fn(N, columns.len(), |row, column| columns[column][row]);
        least_squares(&design, &DVector::from_column_slice(&observed))
    }

    #[test]
    fn a_mean_has_the_textbook_standard_error() {
        let mean = fit(&[[1.0; 4]], [1.0, 2.0, 3.0, 6.0]).unwrap();
        let spread = mean.spread.unwrap();
        assert!((mean.coefficients[0] - 3.0).abs() < 1e-14);
        // Deviations -2, -1, 0, 3: sd = √(14 / 3), standard error of the mean = sd / √4.
        let sd = (14.0f64 / 3.0).sqrt();
        assert!((spread.residual_sd - sd).abs() < 1e-14);
        assert!((spread.standard_errors[0] - sd / 2.0).abs() < 1e-14);
        assert!((mean.cofactors[(0, 0)] - 0.25).abs() < 1e-14);
        assert!(
            mean.leverages
                .iter()
                .all(|part| (part - 0.25).abs() < 1e-14)
        );
    }

    #[test]
    fn as_many_observations_as_unknowns_leave_the_spread_unknown() {
        let line = fit(&[[1.0, 1.0], [0.0, 2.0]], [1.0, 5.0]).unwrap();
        assert!((line.coefficients[1] - 2.0).abs() < 1e-14);
        assert_eq!(line.spread, None);
    }

    #[test]
    fn problems_without_a_single_answer_are_refused() {
        let y = [1.0, 2.0, 3.0];
        assert_eq!(fit(&[[0.1, 0.7, 1.1], [0.3, 2.1, 3.3]], y), None);
        assert_eq!(fit(&[[0.0; 3]], y), None);
        assert_eq!(fit(&[[1.0], [2.0]], [1.0]), None);
        assert_eq!(fit(&[[1.0, f64::NAN, 1.0]], y), None);
        assert_eq!(fit(&[[1.0; 3]], [1.0, f64::INFINITY, 1.0]), None);
        assert_eq!(fit(&[], y), None);
        assert_eq!(fit(&[], []), None);
        let other_length = DVector::from_element(2, 1.0);
        assert_eq!(least_squares(&DMatrix::identity(3, 1), &other_length), None);
    }

    proptest! {
        /// The residuals of a least-squares fit are square to every column.
        #[test]
        fn residuals_are_square_to_the_design(
            numbers in prop::collection::vec(-1.0..1.0f64, 24),
            scale in prop_oneof![Just(1.0), Just(1e-6), Just(1e9)],
        ) {
            let design = DMatrix::from_fn(6, 3, |row, column| {
                numbers[row * 3 + column] * if column == 1 { scale } else { 1.0 }
            });
            let observed = DVector::from_column_slice(&numbers[18..]);
            if let Some(fit) = least_squares(&design, &observed) {
                let spread = fit.spread.unwrap();
                prop_assume!(spread.standard_errors[0] < 1e3 * spread.residual_sd);
                for column in design.column_iter() {
                    prop_assert!(column.dot(&fit.residuals).abs() < 1e-9 * column.norm());
                }
            }
        }
    }
}
