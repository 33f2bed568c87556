from __future__ import annotations

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from bagside.geometry.numbering import compact, equal_rows, first_of

rows = st.lists(st.tuples(*[st.sampled_from([0.0, -0.0, 1.0, 2.5, -3e-300])] * 3), min_size=1, max_size=60)


@given(rows)
def test_equal_rows_are_found_in_order_of_appearance(stated: list[tuple[float, ...]]) -> None:
    table = np.array(stated)
    first, kind = equal_rows(table)
    known: list[tuple[float, ...]] = []
    for row in stated:
        if row not in known:
            known.append(row)
    assert [tuple(r) for r in table[first].tolist()] == known
    assert kind.tolist() == [known.index(row) for row in stated]
    assert (table[first][kind] == table).all()


def test_rows_that_share_a_key_are_still_told_apart() -> None:
    def half_way(number: int) -> int:
        mixed = number * 0x9E3779B97F4A7C15 % 2**64
        return mixed ^ (mixed >> 29)

    one, two = (5, 11), (6, half_way(5) ^ half_way(6) ^ 11)  # the second number undoes the difference of the first
    table = np.array([one, two, one, two, (7, 7)], dtype=np.uint64).view(np.int64)
    first, kind = equal_rows(table)
    assert first.tolist() == [0, 1, 4]
    assert kind.tolist() == [0, 1, 0, 1, 2]


@given(st.lists(st.integers(0, 30), min_size=1, max_size=50))
def test_numbers_are_counted_anew(stated: list[int]) -> None:
    used, renumbered = compact(np.array(stated), 31)
    assert used.tolist() == sorted(set(stated))
    assert used[renumbered].tolist() == stated
    first = first_of(renumbered, len(used))
    assert [stated.index(u) for u in used.tolist()] == first.tolist()
