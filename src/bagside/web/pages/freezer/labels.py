"""Labels of offcuts, by the code that the command line prints them with."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from bagside.errors import InputError
from bagside.ledger.bodies import Sort
from bagside.ledger.stock.shelves import on_shelf
from bagside.sheets.cutting_files import label_sheet_of, stock_label
from bagside.sheets.labels import labels_pdf
from bagside.web.house import House


def labels(house: House, names: Sequence[str], first: int = 0) -> bytes:
    """Return a sheet of labels as PDF, with their life as it is now.

    Parameters
    ----------
    house
        The workshop.
    names
        Of offcuts.
    first
        Labels of the first sheet that are used already.

    Raises
    ------
    InputError
        When one is no offcut that is there and lives.
    """
    with house.desk() as here:
        things = here.ledger.things(Sort.OFFCUT)
        for name in names:
            if name not in things:
                raise InputError.one("label", f'"{name}"', "labels are printed of offcuts that are there")
        shelf = on_shelf(here.standing(), datetime.now().astimezone(), names)
        offcuts = {o.name: o for o in shelf.stock.offcuts}
        dead = [name for name in names if name not in offcuts]
        if dead:
            raise InputError.one("label", f'"{dead[0]}"', "its out-life is used up", "write down that it is gone")
        own = [stock_label(offcuts[name], here.library) for name in names]
        sheet = label_sheet_of(here.shop, here.library)
        return labels_pdf(own, sheet, first=first, base=here.shop.address, title="offcuts")
