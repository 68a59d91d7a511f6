//! The sparse factorization: faer's simplicial LDLT under an approximate-minimum-degree order.
//!
//! The matrix is scaled to a unit diagonal first, so that milliohms beside megohms cost no digits.

use faer::dyn_stack::{MemBuffer, MemStack};
use faer::linalg::cholesky::ldlt::factor::LdltRegularization;
use faer::sparse::linalg::SupernodalThreshold;
use faer::sparse::linalg::cholesky::{
    CholeskySymbolicParams, LdltRef, SymbolicCholesky, SymmetricOrdering,
    factorize_symbolic_cholesky,
};
use faer::sparse::{SparseColMat, Triplet};
use faer::{Conj, MatMut, Par, Side, Spec};

/// A pivot below this, on a unit diagonal, is rounding: the node hangs on conductances too small
/// beside its others.
const SMALLEST_PIVOT: f64 = 1e-15;

/// A factorized symmetric positive definite matrix.
#[derive(Debug)]
pub(super) struct Factor {
    symbolic: SymbolicCholesky<u32>,
    values: Vec<f64>,
    /// One over the root of each diagonal entry.
    scale: Vec<f64>,
}

impl Factor {
    /// Factorizes the matrix with this diagonal and these entries below it, `(row, column, value)`,
    /// repeated ones summed. None where it cannot be done.
    pub(super) fn new(diagonal: &[f64], below: &[(u32, u32, f64)]) -> Option<Factor> {
        let scale: Vec<f64> = diagonal.iter().map(|d| d.sqrt().recip()).collect();
        if scale.iter().any(|s| !s.is_finite()) {
            return None;
        }
        let size = diagonal.len();
        let ones = (0..size as u32).map(|k| Triplet::new(k, k, 1.0));
        let rest = below.iter().map(|&(r, c, v)| {
            Triplet::new(
                r.max(c),
                r.min(c),
                v * scale[r as usize] * scale[c as usize],
            )
        });
        let entries: Vec<_> = ones.chain(rest).collect();
        let matrix = SparseColMat::<u32, f64>::try_new_from_triplets(size, size, &entries).ok()?;
        let (symbolic, values) = factorize(&matrix)?;
        Some(Factor {
            symbolic,
            values,
            scale,
        })
    }

    /// Replaces `rhs` by the solution.
    pub(super) fn solve(&self, rhs: &mut [f64]) {
        self.rescale(rhs);
        let size = rhs.len();
        let Ok(mut buffer) =
            MemBuffer::try_new(self.symbolic.solve_in_place_scratch::<f64>(1, Par::Seq))
        else {
            return;
        };
        let column = MatMut::from_column_major_slice_mut(&mut *rhs, size, 1);
        let factor = LdltRef::new(&self.symbolic, &self.values);
        factor.solve_in_place_with_conj(Conj::No, column, Par::Seq, MemStack::new(&mut buffer));
        self.rescale(rhs);
    }

    fn rescale(&self, rhs: &mut [f64]) {
        for (r, s) in rhs.iter_mut().zip(&self.scale) {
            *r *= s;
        }
    }
}

fn factorize(matrix: &SparseColMat<u32, f64>) -> Option<(SymbolicCholesky<u32>, Vec<f64>)> {
    let params = CholeskySymbolicParams {
        supernodal_flop_ratio_threshold: SupernodalThreshold::FORCE_SIMPLICIAL,
        ..Default::default()
    };
    let order = SymmetricOrdering::Amd;
    let symbolic =
        factorize_symbolic_cholesky(matrix.symbolic(), Side::Lower, order, params).ok()?;
    let mut values = vec![0.0; symbolic.len_val()];
    let signs = vec![1i8; matrix.nrows()];
    let regularization = LdltRegularization {
        dynamic_regularization_signs: Some(&signs),
        dynamic_regularization_delta: SMALLEST_PIVOT,
        dynamic_regularization_epsilon: SMALLEST_PIVOT,
    };
    let need = symbolic.factorize_numeric_ldlt_scratch::<f64>(Par::Seq, Spec::default());
    let mut buffer = MemBuffer::try_new(need).ok()?;
    let stack = MemStack::new(&mut buffer);
    symbolic
        .factorize_numeric_ldlt(
            &mut values,
            matrix.as_ref(),
            Side::Lower,
            regularization,
            Par::Seq,
            stack,
            Spec::default(),
        )
        .ok()?;
    Some((symbolic, values))
}
