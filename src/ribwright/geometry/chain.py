"""Pieces of line that were drawn one by one, chained end to end into closed rings; and what keeps them from closing.

Only ends, middles and lengths are looked at, so a piece may be straight, round or any curve. All lengths in one unit [mm].

1. What has no length is dropped; what was drawn twice is kept once.
2. Ends at the same point are joined. An end that is left over is joined with the one other free end within the tolerance, the
   nearest first; where two are about as near, nothing is guessed.
3. A point where more than two ends meet is a branch, a free end a gap: both are named, and their pieces make no ring.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ribwright.geometry.near import groups, near_pairs

Array = NDArray[np.float64]
Ints = NDArray[np.int64]
Pair = tuple[float, float]
# ends nearer than this are one point: numbers written with six decimals of an inch differ by half of it
SAME = 2.6e-5
# drawn twice: apart by no more than this share of the piece, however wide the tolerance is
SHARE = 0.05
# a second candidate within this many times the gap makes a join a guess
RIVAL = 2.0
# free ends looked at for the list of gaps, and how many of the nearest to each
MOST_GAPS, NEAREST = 1000, 8


@dataclass(frozen=True)
class Gap:
    """Two free ends that belong together, or would: places and distance [mm]. `chain`: which of the open chains has both of them, -1
    where they are of two."""

    at: Pair
    to: Pair
    size: float
    chain: int = -1


@dataclass(frozen=True)
class Ring:
    """A closed chain: indices of its pieces in order, which of them are travelled backwards, and joints (n, 2), the points
    where piece i begins."""

    pieces: Ints
    turned: NDArray[np.bool_]
    joints: Array


@dataclass(frozen=True)
class Chains:
    """What became of the pieces. `empty`: indices without length. `twice`: (kept, dropped). `joined`: gaps closed within the
    tolerance, those over SAME. `gaps`, `branches` (place, ends there): why the pieces of the chains `open` make no ring."""

    rings: tuple[Ring, ...]
    empty: tuple[int, ...]
    twice: tuple[tuple[int, int], ...]
    joined: tuple[Gap, ...]
    gaps: tuple[Gap, ...]
    branches: tuple[tuple[Pair, int], ...]
    open: tuple[tuple[int, ...], ...]


def chained(ends: Array, middles: Array, lengths: Array, tolerance: float) -> Chains:
    """Chains pieces with `ends` (n, 2, 2), `middles` (n, 2), half way along, and `lengths` (n,)."""
    empty = np.flatnonzero(lengths <= SAME)
    twice = _twice(ends, middles, lengths, tolerance, np.flatnonzero(lengths > SAME))
    used = np.setdiff1d(np.flatnonzero(lengths > SAME), [d for _, d in twice])
    node, where = _nodes(ends[used].reshape(-1, 2))
    node, where, joined = _join(node, where, lengths[used], tolerance)
    counts = np.bincount(node, minlength=len(where))
    of_piece = node.reshape(-1, 2)
    bad_nodes = np.flatnonzero((counts > 0) & (counts != 2))
    rings, opened = _rings(of_piece, where, bad_nodes, used)
    return Chains(
        rings,
        tuple(int(i) for i in empty),
        twice,
        joined,
        _gaps(of_piece, where, counts, opened),
        tuple((_pair(where[k]), int(counts[k])) for k in bad_nodes if counts[k] > 2),
        tuple(tuple(int(used[i]) for i in walk) for walk in opened),
    )


def _twice(ends: Array, middles: Array, lengths: Array, tolerance: float, these: Ints) -> tuple[tuple[int, int], ...]:
    """(kept, dropped) of pieces that lie on one another from end to end, either way round."""
    if len(these) < 2:
        return ()
    # exact repeats first: thousands of them at one place would make all pairs of the tree below
    swap = (ends[these, 0, 0] > ends[these, 1, 0]) | (
        (ends[these, 0, 0] == ends[these, 1, 0]) & (ends[these, 0, 1] > ends[these, 1, 1])
    )
    ordered = np.where(swap[:, None, None], ends[these][:, ::-1], ends[these])
    keys = np.concatenate([ordered.reshape(-1, 4), middles[these]], axis=1)
    _, first, inverse = np.unique(keys, axis=0, return_index=True, return_inverse=True)
    out = {int(these[i]): int(these[first[k]]) for i, k in enumerate(inverse.ravel()) if first[k] != i}
    rest = these[np.sort(first)]
    pairs = near_pairs(middles[rest], tolerance)
    i, j = rest[pairs[:, 0]], rest[pairs[:, 1]]
    limit = np.minimum(tolerance, SHARE * np.minimum(lengths[i], lengths[j]))
    same_way = np.max(np.hypot(*np.moveaxis(ends[i] - ends[j], -1, 0)), axis=1)
    other_way = np.max(np.hypot(*np.moveaxis(ends[i] - ends[j][:, ::-1], -1, 0)), axis=1)
    near = (np.minimum(same_way, other_way) <= limit) & (np.hypot(*(middles[i] - middles[j]).T) <= limit)
    for a, b in sorted(zip(i[near].tolist(), j[near].tolist(), strict=True)):
        if a not in out:
            out.setdefault(b, a)
    return tuple(sorted((kept, dropped) for dropped, kept in out.items()))


def _nodes(points: Array) -> tuple[Ints, Array]:
    """(node of each point, place of each node): points within SAME of one another are one."""
    if len(points) == 0:
        return np.zeros(0, np.int64), np.zeros((0, 2))
    exact, first = np.unique(points, axis=0, return_inverse=True)
    group = groups(len(exact), near_pairs(exact, SAME))
    node = group[first.ravel()]
    return node, _means(node, points, int(group.max()) + 1)


def _means(node: Ints, points: Array, n: int) -> Array:
    """The middle of the points of each node; exactly their place where they coincide."""
    low, high = np.full((n, 2), np.inf), np.full((n, 2), -np.inf)
    np.minimum.at(low, node, points)
    np.maximum.at(high, node, points)
    return low + (high - low) / 2


def _join(node: Ints, where: Array, lengths: Array, tolerance: float) -> tuple[Ints, Array, tuple[Gap, ...]]:
    """The same nodes with free ends within the tolerance made one."""
    free = np.flatnonzero(np.bincount(node, minlength=len(where)) == 1)
    if len(free) < 2:
        return node, where, ()
    piece = np.full(len(where), -1)
    piece[node] = np.arange(len(node)) // 2
    pairs = near_pairs(where[free], max(tolerance, SAME) * RIVAL * 1.01)
    a, b = free[pairs[:, 0]], free[pairs[:, 1]]
    size = np.hypot(*(where[a] - where[b]).T)
    # the two ends of a piece are a gap only where it runs nearly all round
    apart = (piece[a] != piece[b]) | (size <= SHARE * lengths[piece[a]])
    order = np.argsort(size[apart], kind="stable")
    a, b, size = a[apart][order], b[apart][order], size[apart][order]
    others: dict[int, list[tuple[float, int]]] = {}
    for i, j, d in zip(a.tolist(), b.tolist(), size.tolist(), strict=True):
        others.setdefault(i, []).append((d, j))
        others.setdefault(j, []).append((d, i))
    taken: set[int] = set()
    merged, joined = {}, []
    for k in range(len(a)):
        i, j = int(a[k]), int(b[k])
        if size[k] > tolerance or i in taken or j in taken:
            continue
        # another free end about as near to one of the two as they are to each other: nothing is guessed
        if any(d <= RIVAL * size[k] and e not in taken and e not in (i, j) for d, e in (*others[i], *others[j])):
            continue
        taken |= {i, j}
        merged[j] = i
        joined.append(Gap(_pair(where[i]), _pair(where[j]), float(size[k])))
    new = where.copy()
    for j, i in merged.items():
        new[i] = (where[i] + where[j]) / 2
    change = np.arange(len(where))
    change[list(merged)] = list(merged.values())
    return change[node], new, tuple(joined)


def _rings(of_piece: Ints, where: Array, bad_nodes: Ints, used: Ints) -> tuple[tuple[Ring, ...], list[list[int]]]:
    """(rings, open chains: indices into `used` of pieces that hang together between bad nodes)."""
    bad = np.zeros(len(where), bool)
    bad[bad_nodes] = True
    at: dict[int, list[int]] = {}
    for i, (p, q) in enumerate(of_piece.tolist()):
        at.setdefault(p, []).append(i)
        at.setdefault(q, []).append(i)
    seen = np.zeros(len(of_piece), bool)
    rings, opened = [], []
    for start in range(len(of_piece)):
        if seen[start]:
            continue
        walk, turned, closed = _walk(start, of_piece, at, bad)
        seen[walk] = True
        if not closed:
            opened.append(walk)
            continue
        joints = where[[of_piece[i][1 if t else 0] for i, t in zip(walk, turned, strict=True)]]
        rings.append(Ring(used[walk], np.array(turned), joints))
    return tuple(rings), opened


def _walk(
    start: int, of_piece: Ints, at: dict[int, list[int]], bad: NDArray[np.bool_]
) -> tuple[list[int], list[bool], bool]:
    """The chain from a piece on, forwards; where it ends, backwards too, so that all that hangs together is seen."""
    p, q = (int(v) for v in of_piece[start])
    walk, turned = [start], [False]
    node = q
    while node != p and not bad[node]:
        i = next(k for k in at[node] if k != walk[-1])
        turned.append(int(of_piece[i][1]) == node)
        walk.append(i)
        node = int(of_piece[i][0 if turned[-1] else 1])
    if node == p and not bad[p]:
        return walk, turned, True
    last, node = start, p
    while not bad[node]:
        i = next(k for k in at[node] if k != last)
        walk.append(i)
        last, node = i, int(of_piece[i][1] if of_piece[i][0] == node else of_piece[i][0])
    return walk, turned, False


def _gaps(of_piece: Ints, where: Array, counts: Ints, opened: list[list[int]]) -> tuple[Gap, ...]:
    """The free ends in pairs, the nearest first; the two ends of one piece only where nothing else is free."""
    free = np.flatnonzero(counts == 1)
    if len(free) < 2:
        return ()
    piece = {int(n): i for i, pair in enumerate(of_piece.tolist()) for n in pair if counts[n] == 1}
    chain = {i: c for c, walk in enumerate(opened) for i in walk}
    # of thousands the first are told, and a thousand look far enough for them
    free = free[:MOST_GAPS]
    size = np.hypot(*(where[free][None] - where[free][:, None]).transpose(2, 0, 1))
    near = np.argsort(size, axis=1, kind="stable")[:, :NEAREST].tolist()
    pairs = {(min(i, j), max(i, j)) for i in range(len(free)) for j in near[i] if i != j}
    rows = [(piece[int(free[i])] == piece[int(free[j])], float(size[i, j]), i, j) for i, j in pairs]
    out, taken = [], set()
    for _, d, i, j in sorted(rows):
        if i not in taken and j not in taken:
            taken |= {i, j}
            of = {chain[piece[int(free[i])]], chain[piece[int(free[j])]]}
            out.append(Gap(_pair(where[free[i]]), _pair(where[free[j]]), d, of.pop() if len(of) == 1 else -1))
    return tuple(out)


def _pair(p: Array) -> Pair:
    return float(p[0]), float(p[1])
