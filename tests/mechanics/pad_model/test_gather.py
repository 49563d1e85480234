"""Element matrices in one sparse matrix: the same as scipy's own sum of the same entries."""

import numpy as np
from scipy.sparse import coo_matrix

from ribwright.mechanics.pad_model.gather_kernel import compress


def test_columns_are_summed_and_their_rows_rise() -> None:
    r = np.random.default_rng(5)
    size, count = 40, 900
    rows, cols = r.integers(0, size, count), r.integers(0, size - 1, count)  # the last column stays empty
    values = r.normal(size=count)
    data, row, starts = compress(rows, cols, values, size)
    known = coo_matrix((values, (rows, cols)), shape=(size, size)).tocsc()
    known.sort_indices()
    assert np.array_equal(starts, known.indptr)
    assert np.array_equal(row, known.indices)
    assert np.allclose(data, known.data, rtol=1e-13, atol=1e-13)
