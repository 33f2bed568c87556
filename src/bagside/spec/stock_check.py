"""What is wrong with a stock: names given twice or to nothing, materials nobody knows, more taken than there was."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from bagside.errors import Problem, did_you_mean
from bagside.quantity import shown
from bagside.spec.library import Library, lookup
from bagside.spec.stock import Stock
from bagside.spec.workshop import Workshop


def stock_problems(
    stock: Stock, workshop: Workshop, library: Library | None, file: str, workshop_file: str
) -> Iterator[Problem]:
    """Yield what is wrong with a stock, and with its rolls' names.

    Parameters
    ----------
    stock
        As stated.
    workshop
        Whose rolls they are.
    library
        Materials; not looked up when None.
    file, workshop_file
        Names for messages.
    """
    rolls = [roll.called for roll in workshop.stock]
    if stock.taken or stock.offcuts:
        for name, count in Counter(rolls).items():
            if count > 1:
                yield Problem(
                    place=f"{workshop_file}, stock",
                    came=f'"{name}"',
                    wanted="two rolls are called so, and what is taken from one cannot be told from the other",
                    hint="give each roll a name",
                )
    lengths = {roll.called: roll.length for roll in workshop.stock}
    gone: dict[str, float] = {}
    for k, taken in enumerate(stock.taken, 1):
        if taken.roll in lengths:
            gone[taken.roll] = gone.get(taken.roll, 0.0) + taken.length
            if gone[taken.roll] > lengths[taken.roll] + 1e-9:
                yield Problem(
                    place=f"{file}, taken {k}, length",
                    came=shown(taken.length, "m", 2),
                    wanted=f"more is taken from roll {taken.roll} than the {shown(lengths[taken.roll], 'm', 2)} "
                    f"it had when it was received, as {workshop_file} states it",
                    hint="correct the length of the roll, or give a new roll a name of its own",
                )
    names = [offcut.name for offcut in stock.offcuts]
    for name, count in Counter(names).items():
        if count > 1:
            yield Problem(place=f"{file}, offcuts", came=f'"{name}"', wanted="two offcuts have this name")
    for k, offcut in enumerate(stock.offcuts, 1):
        place = f"{file}, offcut {offcut.name or k}"
        if not offcut.name:
            yield Problem(place=f"{place}, name", came="", wanted="a name is wanted, as on its label")
        if len(offcut.outline) < 3:
            yield Problem(place=f"{place}, outline", came=f"{len(offcut.outline)} points", wanted="at least three")
        for word, loops in (("hole", offcut.holes), ("flaw", offcut.flaws)):
            for n, loop in enumerate(loops, 1):
                if len(loop) < 3:
                    yield Problem(place=f"{place}, {word} {n}", came=f"{len(loop)} points", wanted="at least three")
        if library is not None:
            yield from lookup(library.prepreg, offcut.material, f"{place}, material", "prepreg")
    for k, used in enumerate(stock.used, 1):
        if used.offcut not in names:
            yield Problem(
                place=f"{file}, used {k}, offcut",
                came=f'"{used.offcut}"',
                wanted="there is no offcut of this name",
                hint=did_you_mean(used.offcut, names),
            )
