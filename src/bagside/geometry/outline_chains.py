"""Loose lines of a drawing joined end to end to closed loops."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from scipy.sparse import coo_matrix
from scipy.sparse.csgraph import connected_components
from scipy.spatial import cKDTree

from bagside.errors import InputError
from bagside.geometry.polyline import length_of
from bagside.geometry.surface import Floats

JOIN = 1e-4
"""Ends of lines this close are joined [m]."""
MEET = 1e-6  # [m] ends this close are one point
MOST = 3  # places named in one message
LOOSE = 100  # open lines among which gaps are looked for


def chained(strokes: Sequence[Floats], place: str, hint: str = "") -> list[tuple[Floats, str]]:
    """Return lines joined to closed loops, and what was joined in words, empty when ends met exactly.

    Parameters
    ----------
    strokes
        Points of each line, shape (k, 2) [m].
    place
        For messages.
    hint
        What else to do about an open one, for messages.

    Raises
    ------
    InputError
        When three or more lines meet in a point, or a gap wider than `JOIN` is left; names the places.
    """
    lines, twice = _once([s for s in strokes if len(s) > 1 and length_of(s) > MEET])
    lines = _met(lines, place)
    done, gaps = _bridged(lines)
    loose = [line for line in done if not _closes(line)]
    if loose:
        raise _open(loose, place, hint)
    note = f"{twice} {'lines' if twice > 1 else 'line'} drawn twice, taken once" if twice else ""
    out: list[tuple[Floats, str]] = []
    for line in done:
        own = [(at, wide) for at, wide in gaps if np.linalg.norm(line - at, axis=1).min() <= MEET]
        words = [note] if note else []
        if own:
            at, wide = max(own, key=lambda g: g[1])
            count = f"{len(own)} gaps, the largest " if len(own) > 1 else "a gap of "
            words.append(f"{count}{1000 * wide:.2f} mm at {_mm(at)} closed")
        out.append((line[:-1], "; ".join(words)))
    return out


def _once(lines: Sequence[Floats]) -> tuple[list[Floats], int]:
    """Return lines without those drawn twice, either way round, and how many there were."""
    kept: list[Floats] = []
    seen: set[tuple[object, ...]] = set()
    for line in lines:
        ends = sorted(tuple(np.round(p / MEET).astype(int).tolist()) for p in (line[0], line[-1]))
        key = (*ends, round(length_of(line) / MEET), *np.round(line.mean(axis=0) / MEET).astype(int).tolist())
        if key not in seen:
            seen.add(key)
            kept.append(line)
    return kept, len(lines) - len(kept)


def _closes(line: Floats) -> bool:
    return len(line) > 3 and bool(np.linalg.norm(line[0] - line[-1]) <= MEET)


def _met(lines: list[Floats], place: str) -> list[Floats]:
    """Return lines joined where exactly two ends are one point."""
    if not lines:
        return []
    ends = np.array([p for line in lines for p in (line[0], line[-1])])
    pairs = cKDTree(ends).query_pairs(MEET, output_type="ndarray")
    link = coo_matrix((np.ones(len(pairs)), (pairs[:, 0], pairs[:, 1])), shape=(len(ends), len(ends)))
    _, node = connected_components(link, directed=False)
    count = np.bincount(node)
    if (count > 2).any():
        at = [_mm(ends[np.flatnonzero(node == n)[0]]) for n in np.flatnonzero(count > 2)[:MOST]]
        raise InputError.one(
            place,
            f"three or more lines meet at {', '.join(at)}",
            "an outline that does not branch is wanted",
            "take out the line that is no edge of the outline, or put it on a layer of its own",
        )
    order = np.argsort(node, kind="stable")
    paired = order[count[node[order]] == 2].reshape(-1, 2).tolist()
    other = {a: b for pair in paired for a, b in (pair, pair[::-1])}
    return _strung(lines, other, {})


def _bridged(lines: list[Floats]) -> tuple[list[Floats], list[tuple[Floats, float]]]:
    """Return lines joined over small gaps, nearest ends first, with the middle and width of each gap."""
    loose = [k for k, line in enumerate(lines) if not _closes(line)]
    done = [line for line in lines if _closes(line)]
    if not loose:
        return done, []
    rest = [lines[k] for k in loose]
    ends = np.array([p for line in rest for p in (line[0], line[-1])])
    pairs = []
    for a, b in cKDTree(ends).query_pairs(JOIN):
        if a // 2 != b // 2 or length_of(rest[a // 2]) > 10 * JOIN:
            pairs.append((float(np.linalg.norm(ends[a] - ends[b])), a, b))
    other: dict[int, int] = {}
    middle: dict[int, Floats] = {}
    gaps: list[tuple[Floats, float]] = []
    for wide, a, b in sorted(pairs):
        if a not in other and b not in other:
            other[a], other[b] = b, a
            middle[a] = middle[b] = 0.5 * (ends[a] + ends[b])
            gaps.append((middle[a], wide))
    return done + _strung(rest, other, middle), gaps


def _strung(lines: list[Floats], other: dict[int, int], middle: dict[int, Floats]) -> list[Floats]:
    """Return lines strung together: end 2k is the first point of line k, 2k + 1 its last; `other` says what meets."""
    used = [False] * len(lines)
    out: list[Floats] = []
    starts = [e for e in range(2 * len(lines)) if e not in other] + list(range(0, 2 * len(lines), 2))
    for start in starts:
        if used[start // 2]:
            continue
        parts: list[Floats] = []
        end = start
        while not used[end // 2]:
            used[end // 2] = True
            line = lines[end // 2].copy()
            if end in middle:
                line[0 if end % 2 == 0 else -1] = middle[end]
            far = end ^ 1
            if far in middle:
                line[0 if far % 2 == 0 else -1] = middle[far]
            if end % 2:
                line = line[::-1]
            parts.append(line if not parts else line[1:])
            if far not in other:
                break
            end = other[far]
        whole = np.concatenate(parts)
        if other.get(end) is not None and end == start and len(whole) > 2:
            whole[-1] = whole[0]
        out.append(whole)
    return out


def _open(loose: list[Floats], place: str, hint: str) -> InputError:
    """Return what is said about lines that do not close: each gap with its width and place, smallest first."""
    ends = np.array([p for line in loose[:LOOSE] for p in (line[0], line[-1])])
    gaps: list[tuple[float, str]] = []
    free = set(range(len(ends)))
    apart = np.linalg.norm(ends[:, None] - ends[None], axis=2)
    np.fill_diagonal(apart, np.inf)
    while len(free) > 1:
        left = sorted(free)
        part = apart[np.ix_(left, left)]
        a, b = (left[k] for k in np.unravel_index(int(part.argmin()), part.shape))
        gaps.append((float(apart[a, b]), f"{1000 * apart[a, b]:.2f} mm between {_mm(ends[a])} and {_mm(ends[b])}"))
        free -= {a, b}
    named = "; ".join(words for _, words in gaps[:MOST])
    rest = len(loose) - MOST
    more = f"; and {rest} more" if rest > 0 else ""
    return InputError.one(
        place,
        f"an outline is open: {named}{more}",
        f"a closed outline is wanted; gaps up to {1000 * JOIN:g} mm are closed",
        f"join the ends there in the drawing{hint}",
    )


def _mm(point: Floats) -> str:
    x, y = (round(1000 * float(c), 1) + 0.0 for c in point)
    return f"{x:.1f} {y:.1f} mm"
