"""A draft as the ``job.toml`` that a person could have written: the least that is needed, each guess named as one."""

from __future__ import annotations

import shapely
import tomlkit

from bagside.errors import InputError
from bagside.geometry import polygon
from bagside.web.founding.cards import Card
from bagside.web.founding.draft import MESH, START, Draft, MeshDraft, metres
from bagside.web.founding.mesh import METRES
from bagside.web.founding.workshop_text import COMMON
from bagside.web.words.tongue import Tongue

PART, LAID = "part", "lay-up"
LOOKED_FOR = "a cycle is looked for that keeps every limit; put segments in its place when you have your own"
SUGGESTED = "the middle of the surface, suggested; click another on the page of the plies"
OF_FILE = "the file says its own unit"


def job_text(draft: Draft, tongue: Tongue) -> str:
    """Return the file of a job.

    Parameters
    ----------
    draft
        With nothing wanted any more.
    tongue
        Of the person, for messages.

    Raises
    ------
    InputError
        When a card's outline cannot be, or nothing of it would be left when it is trimmed.
    """
    document = tomlkit.document()
    document.add(tomlkit.comment("Put together on the pages; every line may be changed by hand, too."))
    document.add(tomlkit.nl())
    document["name"] = draft.name.strip()
    document["quantity"] = int(draft.answers["quantity"])
    document["part"] = "everything" if draft.way == MESH else PART
    document["mould"] = _mould(draft)
    if draft.way == MESH and draft.mesh is not None:
        document["laying"] = _laying(draft.mesh)
    else:
        document["measured"] = _measured(draft, tongue)
        templates = tomlkit.table(is_super_table=True)
        for card in draft.cards:
            templates[card.name] = _template(card)
        document["templates"] = templates
    document["plies"] = _plies(draft)
    document["cure"] = _cure(draft)
    if draft.answers.get("replaces_material"):
        replaced = tomlkit.table()
        replaced["material"] = draft.answers["replaces_material"]
        replaced["thickness"] = draft.answers["replaces_thickness"]
        document["replaces"] = replaced
    return tomlkit.dumps(document)


def _stated(table: tomlkit.items.Table, key: str, value: object, comment: str = "") -> None:
    table[key] = value
    if comment:
        table[key].comment(comment)


def _answer(draft: Draft, table: tomlkit.items.Table, key: str, name: str) -> None:
    guess = COMMON if name in START and name not in draft.touched else ""
    _stated(table, key, draft.answers[name], guess)


def _mould(draft: Draft) -> tomlkit.items.Table:
    table = tomlkit.table()
    mesh = draft.mesh
    if draft.way == MESH and mesh is not None:
        table["mesh"] = f"mould{mesh.file.suffix.lower()}"
        _stated(table, "unit", mesh.unit, OF_FILE if mesh.seen.own_unit else "")
        table["laminate_side"] = _direction(mesh.up)
    else:
        table.add(tomlkit.comment("no mesh: see [measured]"))
    _answer(draft, table, "material", "mould_material")
    _answer(draft, table, "thickness", "mould_thickness")
    return table


def _laying(mesh: MeshDraft) -> tomlkit.items.Table:
    table = tomlkit.table()
    scale = 1e3 * METRES[mesh.unit]
    start = " ".join(f"{scale * x + 0.0:.2f}" for x in mesh.start)
    _stated(table, "start", f"{start} mm", SUGGESTED if mesh.start == mesh.seen.middle else "")
    table["direction"] = _direction(mesh.along)
    return table


def _direction(vector: tuple[float, float, float]) -> list[float]:
    return [int(x) if x == int(x) else x for x in vector]


def _measured(draft: Draft, tongue: Tongue) -> tomlkit.items.Table:
    """Return sizes and places: the first card is what is laid, the others lie on it."""
    table = tomlkit.table()
    whole = _flat(draft.cards[0], tongue)
    low_x, low_y, high_x, high_y = whole.bounds
    _stated(table, "size", f"{1e3 * (high_x - low_x):.4g} {1e3 * (high_y - low_y):.4g} mm")
    _answer(draft, table, "depth", "depth")
    _answer(draft, table, "flange", "flange")
    places = tomlkit.table(is_super_table=True)
    trim = metres(draft.answers["trim"])
    inside = whole.buffer(-trim, join_style="mitre") if trim else whole
    part = max(getattr(inside, "geoms", [inside]), key=lambda p: p.area, default=None)
    if part is None or part.is_empty:
        raise InputError.one("trim", draft.answers["trim"], tongue.say("new_job.trim_too_much"))
    places[PART] = _place(part, f"the card less {draft.answers['trim']} all round" if trim else "")
    if trim:
        places[LAID] = _place(whole, "what is laid: the card as it is cut")
    for card in draft.cards[1:]:
        copies = max((p.copies for p in draft.plies if p.card == card.name), default=1)
        place = _place(_flat(card, tongue), f"{copies} of them, together" if copies > 1 else "", copies)
        place["of"] = PART
        places[card.name] = place
    table["places"] = places
    return table


def _place(flat: shapely.Polygon, says: str, copies: int = 1) -> tomlkit.items.Table:
    table = tomlkit.table()
    _stated(table, "area", f"{1e4 * copies * flat.area:.4g} cm²", says)
    table["edge"] = f"{1e3 * copies * flat.exterior.length:.4g} mm"
    return table


def _flat(card: Card, tongue: Tongue) -> shapely.Polygon:
    loops = card.outline()
    if not loops:
        raise InputError.one(card.name, "", tongue.say("new_job.no_outline", card=card.name))
    flat = polygon(loops)
    parts = list(getattr(flat, "geoms", [flat]))
    return max(parts, key=lambda p: p.area)


def _template(card: Card) -> tomlkit.items.Table:
    table = tomlkit.table()
    if card.sure is not None:
        sure = f"traced from a photo; 95 of 100 points within {1e3 * card.sure:.2f} mm of the edge"
        table.add(tomlkit.comment(sure))
    for key, value in card.table().items():
        if isinstance(value, list):
            array = tomlkit.array()
            array.extend(value)
            table[key] = array.multiline(len(value) > 4)
        else:
            table[key] = value
    return table


def _plies(draft: Draft) -> tomlkit.items.AoT:
    plies = tomlkit.aot()
    laid = LAID if metres(draft.answers["trim"]) else PART
    for ply in draft.plies:
        table = tomlkit.table()
        table["material"] = ply.material
        table["angle"] = ply.angle
        if draft.way != MESH:
            table["region"] = laid if ply.card == draft.cards[0].name else ply.card
            entry = tomlkit.array()
            if ply.copies > 1:
                cut = tomlkit.inline_table()
                cut.update({"template": ply.card, "copies": ply.copies})
                entry.append(cut)
            else:
                entry.append(ply.card)
            table["templates"] = entry
        plies.append(table)
    return plies


def _cure(draft: Draft) -> tomlkit.items.Table:
    table = tomlkit.table()
    _answer(draft, table, "service", "service")
    design = tomlkit.table()
    _stated(design, "aim", "fastest", LOOKED_FOR)
    table["design"] = design
    return table
