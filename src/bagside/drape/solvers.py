"""Solving the sparse system of one step: conjugate gradients with one of two preconditioners.

`OneFactor` factors a matrix once and keeps it while it still helps; it is quickest on a few thousand triangles.
`Galerkin` never factors the fine matrix: 2 × 2 blocks on the diagonal smooth before and after, a coarse mesh's space
carries the rest.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Protocol

import numpy as np
import scipy.sparse as sp
from numpy.typing import NDArray
from scipy.sparse.linalg import SuperLU, splu

from bagside.drape.sparsity import Sparsity, matrix
from bagside.errors import NotSolved

Floats = NDArray[np.float64]
Apply = Callable[[Floats], Floats]

SHUFFLE = 20240611  # any fixed seed: minimum degree breaks ties by numbering, and mesh order is the worst numbering
LOOSE = 0.05
ROUNDS = 30
STALE = 12  # rounds after which an old factor is replaced
WEARY = 20  # rounds after which the coarse mesh's factor is renewed for the next step
SMOOTH = 0.6  # of a block step; a triangle has three corners, so anything below 2/3 keeps the preconditioner positive


def _dot(a: Floats, b: Floats) -> float:
    # einsum stays in this thread: the threads that a BLAS wakes for `a @ b` cost a hundred times the product
    return float(np.einsum("i,i->", a, b))


def conjugate(a: Apply, b: Floats, precondition: Apply, tolerance: float, rounds: int) -> tuple[Floats, int]:
    """Return an approximate solution of a x = b and the rounds taken.

    Parameters
    ----------
    a
        The symmetric positive matrix, as a function.
    b
        Right-hand side, shape (n,).
    precondition
        An approximation of its inverse, as a function.
    tolerance
        Of the residual against the first one, in the norm of the preconditioner.
    rounds
        At most so many.

    Notes
    -----
    A direction in which the matrix is not positive ends the rounds: what has been found so far still goes downhill.
    """
    x = np.zeros_like(b)
    r = b.copy()
    z = precondition(r)
    p = z
    rz = _dot(r, z)
    stop = tolerance**2 * rz
    for n in range(1, rounds + 1):
        ap = a(p)
        bend = _dot(p, ap)
        if not bend > 0:
            return (p if n == 1 else x), n
        alpha = rz / bend
        x = x + alpha * p
        r = r - alpha * ap
        z = precondition(r)
        new = _dot(r, z)
        if new <= stop:
            return x, n
        p = z + (new / rz) * p
        rz = new
    return x, rounds


def factored(h: sp.csr_array) -> SuperLU:
    """Return the factor of a symmetric positive matrix whose unknowns are already shuffled.

    Parameters
    ----------
    h
        Shape (n, n).

    Raises
    ------
    NotSolved
        When it is singular or not finite.
    """
    if not np.isfinite(h.data).all():
        raise NotSolved("the step's matrix is not finite: a triangle has all but collapsed")
    try:
        return splu(h.tocsc(), permc_spec="MMD_AT_PLUS_A", diag_pivot_thresh=0.0, options={"SymmetricMode": True})
    except RuntimeError as error:
        raise NotSolved("the step's matrix is singular") from error


def _inverses(blocks: Floats) -> sp.bsr_array:
    """Return the inverses of 2 × 2 blocks, shape (n, 2, 2), as one matrix with them on its diagonal."""
    a, b, c, d = (blocks[:, i, j] for i in range(2) for j in range(2))
    inverse = np.stack([d, -b, -c, a], axis=1).reshape(-1, 2, 2) / (a * d - b * c)[:, None, None]
    n = len(blocks)
    return sp.bsr_array((inverse, np.arange(n), np.arange(n + 1)), shape=(2 * n, 2 * n))


class Solver(Protocol):
    """What solves the system of one step."""

    def solve(self, data: Floats, damping: float, b: Floats) -> Floats:
        """Return an approximate solution of (H + damping) x = b for the entries of H in the sparsity's order."""


class OneFactor:
    """Conjugate gradients preconditioned by the factor of an earlier matrix of the same mesh.

    Parameters
    ----------
    sparsity
        Where entries lie.
    """

    def __init__(self, sparsity: Sparsity) -> None:
        self.sparsity = sparsity
        n = len(sparsity.diagonal) // 2
        vertices = np.random.default_rng(SHUFFLE).permutation(n)
        self.order = np.stack([2 * vertices, 2 * vertices + 1], axis=1).ravel()
        self.factor: Apply | None = None

    def _factored(self, data: Floats) -> Apply:
        lu = factored(matrix(self.sparsity, data)[self.order][:, self.order])
        order = self.order

        def apply(b: Floats) -> Floats:
            x = np.empty_like(b)
            x[order] = lu.solve(b[order])
            return x

        return apply

    def solve(self, data: Floats, damping: float, b: Floats) -> Floats:
        """Return an approximate solution; the factor is renewed when it has gone stale."""
        data = data.copy()
        data[self.sparsity.diagonal] += damping
        h = matrix(self.sparsity, data)
        if self.factor is not None:
            x, rounds = conjugate(h.__matmul__, b, self.factor, LOOSE, STALE)
            if rounds < STALE:
                return x
        self.factor = self._factored(data)
        x, _ = conjugate(h.__matmul__, b, self.factor, LOOSE, STALE)
        return x


class Galerkin:
    """Conjugate gradients preconditioned by vertex blocks round a coarse mesh, without a factor of the fine matrix.

    Parameters
    ----------
    sparsity
        Where entries lie.
    prolong
        Values at fine vertices from values at coarse ones, shape (n, coarse n).
    """

    def __init__(self, sparsity: Sparsity, prolong: sp.csr_array) -> None:
        self.sparsity = sparsity
        self.prolong = sp.csr_array(sp.kron(prolong, sp.eye_array(2), format="csr"))
        self.restrict = sp.csr_array(self.prolong.T)
        n = prolong.shape[1]
        vertices = np.random.default_rng(SHUFFLE).permutation(n)
        self.order = np.stack([2 * vertices, 2 * vertices + 1], axis=1).ravel()
        self.factor: Apply | None = None

    def _factored(self, h: sp.csr_array) -> Apply:
        small = sp.csr_array(self.restrict @ (h @ self.prolong))
        # a coarse vertex on which no fine one hangs, or hardly, has an empty row: it is held
        mean = float(small.diagonal().mean())
        lift = np.where(small.diagonal() > 1e-6 * mean, 1e-9 * mean, mean)
        lu = factored((small + sp.diags_array(lift)).tocsr()[self.order][:, self.order])
        order, restrict, prolong = self.order, self.restrict, self.prolong

        def apply(r: Floats) -> Floats:
            coarse = restrict @ r
            y = np.empty_like(coarse)
            y[order] = lu.solve(coarse[order])
            out: Floats = prolong @ y
            return out

        return apply

    def solve(self, data: Floats, damping: float, b: Floats) -> Floats:
        """Return an approximate solution; the coarse factor is renewed when many rounds were needed."""
        data = data.copy()
        data[self.sparsity.diagonal] += damping
        h = matrix(self.sparsity, data)
        near = SMOOTH * _inverses(data[self.sparsity.blocks])
        far = self._factored(h) if self.factor is None else self.factor

        def precondition(r: Floats) -> Floats:
            x: Floats = near @ r
            x = x + far(r - h @ x)
            x = x + near @ (r - h @ x)
            return x

        x, rounds = conjugate(h.__matmul__, b, precondition, LOOSE, ROUNDS)
        self.factor = far if rounds < WEARY else None
        return x
