"""Numbers that a step wants, as forms for the keypad: what is typed, in what, within what, and what it is written as.

The device fills in a form without the server. So a form says everything: the body of the event it becomes, the quantity
of each field, what the plan expects, and the limit by which the device itself can tell whether a gate will hold.
"""

from __future__ import annotations

from typing import Any

from bagside.ledger.bodies import Found, MassStage, Sort, Use
from bagside.ledger.gates.kits_for import kits_for
from bagside.ledger.gates.part import POINTS
from bagside.ledger.shop import Shop
from bagside.ledger.things import Build, Cloth, Goods

Form = dict[str, Any]

IN_BAG = (Use.BAG, Use.REUSABLE_BAG, Use.TAPE, Use.BREATHER, Use.RELEASE_FILM)


def forms_of(build: Build, key: str, shop: Shop) -> list[Form]:
    """Return the forms of a step, those its gates ask for first.

    Parameters
    ----------
    build
        Which.
    key
        Of a step of its plan.
    shop
        The workshop as it stands: for cloth, mould and bags.
    """
    steps = [s.key for s in build.planned.steps]
    at = steps.index(key)
    before = steps[at - 1] if at else ""
    out: list[Form] = []
    if key == "cut" or key.startswith("ply-"):
        out += _opening(build, shop)
    if key.startswith("ply-") or key == "bond":
        out.append(climate(build))
    if key.startswith("coat-"):
        out.append(climate(build, coating=True))
    if key == "release" and build.mould:
        out.append(_release(build, shop))
    if key == "bag":
        out += _masses(build, MassStage.LAID, MassStage.FILMS) + _bagged(build, shop)
    if key == "leak":
        out.append(_leak(build))
    if key == "cure":
        out += _thermocouples(build)
    if key == "demould":
        out += _cool(build) + _masses(build, MassStage.RAW)
    elif before == "demould":
        out += _masses(build, MassStage.RAW)
    if key == "trim" or before == "trim":
        out += _masses(build, MassStage.TRIMMED) + _thicknesses(build) + _holes(build)
    if key == "bond":
        out += [_yes_no(build, Found.WATER_BREAK, "water_break", "water-break"), *_holes(build)]
    if key.startswith("fill-"):
        out.append(_measured(build, Found.PINHOLES, "pinholes", "count", digits=0))
    if key.startswith("coat-"):
        out.append(_measured(build, Found.DRY_FILM, "dry_film", "film", digits=0))
    if key == "fit":
        out += _masses(build, MassStage.FINISHED) + _holes(build)
    return list({form["id"]: form for form in out}.values())


def debulk_form(build: Build, after: int) -> Form:
    """Return what is read at the end of a debulk: the gauge on the bag.

    Parameters
    ----------
    build
        Which.
    after
        Ply after which.
    """
    planned = next((d for d in build.planned.debulks if d.after == after), None)
    return _form(
        f"debulk-{after}", "gauge", "debulked", {"build": build.name, "after": after},
        [_field("pressure", "pressure", digits=0, high=None if planned is None else planned.pressure)],
        gate="debulk",
    )  # fmt: skip


def climate(build: Build, *, coating: bool = False) -> Form:
    """Return the reading of the room, with what the plan wants of it.

    Parameters
    ----------
    build
        Which.
    coating
        Whether it is coated there, and not laid.
    """
    plan = build.planned
    low, wettest = plan.lay_coldest, plan.lay_wettest
    high: float | None = plan.lay_hottest
    if coating:
        low, high, wettest = plan.coat_coldest or low, None, plan.coat_wettest or wettest
    return _form(
        "climate", "climate", "measured", {"subject": build.name, "found": Found.CLIMATE.value},
        [
            _field("value", "temperature", digits=1, low=low, high=high, say="temperature"),
            _field("humidity", "humidity", digits=0, high=wettest),
        ],
        gate="paint-room" if coating else "room",
    )  # fmt: skip


def _form(
    id: str, say: str, kind: str, data: dict[str, Any], fields: list[dict[str, Any]], *, gate: str = "",
    name: str = "", wanted: bool = True,
) -> Form:  # fmt: skip
    return {
        "id": id, "say": say, "kind": kind, "data": data, "fields": fields, "gate": gate, "name": name, "wanted": wanted
    }  # fmt: skip


def _field(
    name: str, quantity: str, *, digits: int, low: float | None = None, high: float | None = None,
    planned: float | None = None, say: str = "",
) -> dict[str, Any]:  # fmt: skip
    return {
        "name": name, "quantity": quantity, "digits": digits, "low": low, "high": high, "planned": planned,
        "say": say or name,
    }  # fmt: skip


def _measured(build: Build, found: Found, say: str, quantity: str, *, digits: int, gate: str = "") -> Form:
    return _form(
        say, say, "measured", {"subject": build.name, "found": found.value},
        [_field("value", quantity, digits=digits)], gate=gate, wanted=bool(gate),
    )  # fmt: skip


def _masses(build: Build, *stages: MassStage) -> list[Form]:
    """Return the weighings; the ones that a gate asks for are wanted, the others welcome."""
    out = []
    for stage in stages:
        planned = next((m for m in build.planned.masses if m.stage == stage.value), None)
        if planned is None and stage is not MassStage.FILMS:
            continue
        field = _field("value", "mass", digits=1)
        if planned is not None:
            spread = 2.0 * planned.sigma
            field |= {"planned": planned.mass, "low": planned.mass - spread, "high": planned.mass + spread}
        asked = stage in (MassStage.RAW, MassStage.TRIMMED, MassStage.FINISHED)
        data = {"subject": build.name, "found": Found.MASS.value, "stage": stage.value}
        id = f"mass_{stage.value}"
        out.append(_form(id, id, "measured", data, [field], gate="mass" if asked else "", wanted=asked))
    return out


def _thicknesses(build: Build) -> list[Form]:
    return [
        _form(
            f"thickness_{p.place}", "thickness", "measured",
            {"subject": build.name, "found": Found.THICKNESS.value, "place": p.place},
            [
                _field(
                    "value", "thickness", digits=2, low=p.thickness - p.tolerance, high=p.thickness + p.tolerance,
                    planned=p.thickness,
                )
            ],
            gate="thickness", name=f"{p.place}, {p.where}" if p.where else p.place,
        )
        for p in build.planned.points[:POINTS]
    ]  # fmt: skip


def _holes(build: Build) -> list[Form]:
    return [
        _form(
            f"hole_{h.name}", "hole", "measured", {"subject": build.name, "found": Found.HOLE.value, "place": h.name},
            [_field("value", "offset", digits=1, high=h.off)], gate="holes", name=h.name,
        )
        for h in build.planned.holes
    ]  # fmt: skip


def _cool(build: Build) -> list[Form]:
    if build.planned.demould is None:
        return []
    return [
        _form(
            "demould", "demould", "measured", {"subject": build.name, "found": Found.DEMOULD.value},
            [_field("value", "temperature", digits=0, high=build.planned.demould)], gate="cool",
        )
    ]  # fmt: skip


def _thermocouples(build: Build) -> list[Form]:
    return [
        _form(
            f"thermocouple_{n}", "thermocouple", "measured",
            {"subject": build.name, "found": Found.THERMOCOUPLES.value, "place": place, "value": 1.0}, [],
            gate="thermocouples", name=place,
        )
        for n, place in enumerate(build.planned.thermocouples)
    ]  # fmt: skip


def _yes_no(build: Build, found: Found, say: str, gate: str) -> Form:
    return _form(
        say, say, "measured", {"subject": build.name, "found": found.value},
        [_field("value", "passed", digits=0, low=1.0)], gate=gate,
    )  # fmt: skip


def _leak(build: Build) -> Form:
    plan = build.planned
    return _form(
        "leak", "leak", "measured",
        {"subject": build.name, "found": Found.LEAK.value, "volume": plan.leak_volume or None, "limit": plan.leak},
        [
            _field("start", "pressure", digits=0),
            _field("end", "pressure", digits=0),
            _field("seconds", "minutes", digits=0, planned=600.0),
        ],
        gate="leak",
    )  # fmt: skip


def _release(build: Build, shop: Shop) -> Form:
    mould = shop.mould(build.mould)
    agent = mould.coats[-1][0] if mould is not None and mould.coats else "release agent"
    return _form(
        "release", "release", "released", {"mould": build.mould, "agent": agent},
        [_field("coats", "count", digits=0, low=1.0)], name=build.mould,
    )  # fmt: skip


def _opening(build: Build, shop: Shop) -> list[Form]:
    """Return the opening of each bag of the build's cloth that nobody has opened yet."""
    cloths: list[Cloth] = [k for k in kits_for(build, shop).kits if k.there and k.opened is None]
    return [
        _form(
            f"opened_{c.name}", "opened", "opened", {"thing": c.name},
            [_field("core", "temperature", digits=0)], gate="thawed", name=c.name, wanted=False,
        )
        for c in cloths
    ]  # fmt: skip


def _bagged(build: Build, shop: Shop) -> list[Form]:
    """Return what the part is bagged with: a choice from what the stock has."""
    goods = [t for t in shop.things.values() if isinstance(t, Goods) and t.sort is Sort.CONSUMABLE and t.use in IN_BAG]
    choices = [{"name": g.name, "use": g.use.value} for g in goods]
    form = _form("bagged", "bagged", "bagged", {"build": build.name}, [], gate="bag", wanted=bool(choices))
    return [form | {"choices": choices}]
