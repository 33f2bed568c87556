"""Things of the stock by what a person types: the name on the label, its beginning, or its number."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from typing import TYPE_CHECKING

from bagside.errors import InputError, did_you_mean

if TYPE_CHECKING:
    from bagside.ledger.bodies import Sort
    from bagside.ledger.things import Mould, Place, Thing
    from bagside.records.database.ledger import Ledger


def thing_called(ledger: Ledger, text: str, sorts: Sequence[Sort] = (), place: str = "NAME") -> Thing:
    """Return the thing a person means: what is there goes before what is gone.

    Parameters
    ----------
    ledger
        Opened.
    text
        As typed; case, spaces and dashes do not matter.
    sorts
        Which are looked for; every sort but builds when none is given.
    place
        For messages.

    Raises
    ------
    InputError
        When none is meant, or several could be.
    """
    from bagside.cli.build.found import listed, meant_by
    from bagside.ledger.bodies import Sort

    wanted = tuple(sorts) or tuple(s for s in Sort if s is not Sort.BUILD)
    exact = ledger.thing(text.strip())
    if exact is not None and exact.sort in wanted:
        return exact
    what = "thing" if len(wanted) > 1 else wanted[0].value
    names: tuple[str, ...] = ()
    for there in (True, None):
        names = ledger.names(*wanted, there=there)
        meant = meant_by(text, names)
        if len(meant) == 1:
            found = ledger.thing(meant[0])
            assert found is not None
            return found
        if meant:
            raise InputError.one(place, f'"{text}"', f"it may be {listed(meant, 'or')}; type one more letter")
    hint = did_you_mean(text, names) if names else "bagside stock list shows what there is"
    raise InputError.one(place, f'"{text}"', f"there is no {what} of this name", hint or "bagside stock list shows all")


def place_called(ledger: Ledger, text: str, place: str) -> Place:
    """Return a freezer, a fridge or a room.

    Parameters
    ----------
    ledger, text, place
        See `thing_called`.

    Raises
    ------
    InputError
        When none is meant, or several could be.
    """
    from bagside.ledger.bodies import Sort
    from bagside.ledger.things import Place

    found = thing_called(ledger, text, (Sort.PLACE,), place)
    assert isinstance(found, Place)
    return found


def mould_called(ledger: Ledger, text: str) -> Mould:
    """Return a mould.

    Parameters
    ----------
    ledger, text
        See `thing_called`.

    Raises
    ------
    InputError
        When none is meant, or several could be.
    """
    from bagside.ledger.bodies import Sort
    from bagside.ledger.things import Mould

    found = thing_called(ledger, text, (Sort.MOULD,), "MOULD")
    assert isinstance(found, Mould)
    return found


def sort_called(text: str) -> Sort:
    """Return what is meant by a sort of thing; the plural is taken too.

    Parameters
    ----------
    text
        As typed.

    Raises
    ------
    InputError
        When it is none.
    """
    from bagside.cli.build.found import one_of
    from bagside.ledger.bodies import Sort

    names = [s.value for s in Sort if s is not Sort.BUILD]
    word = text.casefold().removesuffix("s") if text.casefold().removesuffix("s") in names else text
    return Sort(one_of(word, names, "SORT", "one of " + ", ".join(names) + " is wanted"))


def day_of(text: str, option: str) -> date | None:
    """Return a day; None when nothing is typed.

    Parameters
    ----------
    text
        As ``2027-03-01``.
    option
        For messages.

    Raises
    ------
    InputError
        When it cannot be read.
    """
    if not text.strip():
        return None
    try:
        return date.fromisoformat(text.strip())
    except ValueError:
        raise InputError.one(option, f'"{text}"', "a day is wanted, as 2027-03-01") from None
