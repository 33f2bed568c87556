"""A build as the device keeps it: everything that is needed to work on it without the server.

It has two halves. What never changes while the part is made, its plan with the pictures, is sent once. What changes,
its state, is sent again whenever the device asks. All values are SI; the device says them in the units a person chose.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from datetime import UTC, datetime
from typing import Any

from bagside.errors import InputError
from bagside.ledger.bodies import Sort
from bagside.ledger.clocks.life import lives_of
from bagside.ledger.gates.before import gates_before
from bagside.ledger.gates.gate import CLOSING, Gate
from bagside.ledger.gates.kits_for import held, kits_for
from bagside.ledger.gates.record import number_of, ply_of
from bagside.ledger.planned import PlannedPly, PlannedStep
from bagside.ledger.shop import Shop
from bagside.ledger.things import Build
from bagside.planning.cautions import CAUTIONS, DEFERS
from bagside.records.database.ledger import Ledger
from bagside.sheets.phone import SECTION, lighter
from bagside.sheets.stack_view import PlyInStack, stack_view
from bagside.sheets.themed import themed
from bagside.web.floor.asks import debulk_form, forms_of
from bagside.web.floor.spoken import spoken
from bagside.web.words.catalogue import LANGUAGES, catalogue

SCHEMA = 1
MOST_IN_STACK = 14
"""A taller stack does not stand on a phone beside everything else: the plies around the one in hand are shown."""

NOTES = {
    "too long for its path": "note_surplus", "too short in a hollow": "note_hollow", "The cloth shears by": "note_shear"
}  # fmt: skip
"""What the drape finds at a place, and what is said of it to the hand."""

Data = dict[str, Any]


def builds_told(ledger: Ledger) -> list[Data]:
    """Return the builds that are open, the one touched last first.

    Parameters
    ----------
    ledger
        Opened.
    """
    found = [t for t in ledger.things(Sort.BUILD).values() if isinstance(t, Build)]
    return [
        {
            "build": b.name,
            "job": b.planned.job,
            "part": b.planned.part,
            "number": b.planned.number,
            "quantity": b.planned.quantity,
            "steps": len(b.planned.steps),
            "done": sum(s.finished is not None for s in b.steps),
            "next": next((spoken(s.name) for s in b.planned.steps if s.key == b.next_step), None),
            "running": any(s.started is not None and s.finished is None for s in b.steps),
            "last": _moment(b.last),
        }
        for b in sorted(found, key=lambda b: b.last, reverse=True)
    ]


def build_told(build: Build, shop: Shop, now: datetime, pictures: Mapping[str, Any]) -> Data:
    """Return a build whole.

    Parameters
    ----------
    build
        Which.
    shop
        The workshop as it stands.
    now
        This moment [UTC].
    pictures
        From `bagside.web.floor.pictures.Pictures.of`.
    """
    plan = build.planned
    drawn = {p["number"]: p for p in pictures.get("plies", ())}
    return {
        "schema": SCHEMA,
        "build": build.name,
        "job": plan.job,
        "part": plan.part,
        "number": plan.number,
        "quantity": plan.quantity,
        "revision": plan.revision,
        "mould": build.mould,
        "ambient": plan.ambient,
        "pictures": pictures.get("why", ""),
        "bag": _themed(pictures.get("bag", "")),
        "defers": spoken(DEFERS),
        "steps": [_step(s, build, n) for n, s in enumerate(plan.steps, 1)],
        "plies": [_ply(p, plan.plies, drawn.get(p.number, {})) for p in plan.plies],
        "state": state_told(build, shop, now),
    }


def state_told(build: Build, shop: Shop, now: datetime) -> Data:
    """Return what of a build changes: what is done, what stops each step, which numbers each step wants.

    Parameters
    ----------
    build, shop, now
        See `build_told`.
    """
    done = {s.key: s for s in build.steps}
    open_ = [s.key for s in build.planned.steps if done[s.key].finished is None]
    return {
        "now": _moment(now),
        "closed": None if build.closed is None else build.closed.what.verdict,
        "steps": {
            s.key: {
                "started": _maybe(s.started),
                "finished": _maybe(s.finished),
                "who": list(s.who),
                "boxes": list(s.boxes),
                "note": s.note,
            }
            for s in build.steps
        },
        "laid": [
            {
                "event": n.event, "at": _moment(n.at), "who": n.who, "ply": n.what.ply, "piece": n.what.piece,
                "films": n.what.films,
            }
            for n in build.laid
        ],
        "debulks": [
            {
                "event": n.event, "at": _moment(n.at), "after": n.what.after, "seconds": n.what.seconds,
                "pressure": n.what.pressure,
            }
            for n in build.debulks
        ],
        "measured": [
            {
                "event": n.event, "at": _moment(n.at), "found": n.what.found.value, "value": n.what.value,
                "stage": None if n.what.stage is None else n.what.stage.value, "place": n.what.place,
                "humidity": n.what.humidity,
            }
            for n in build.measured
        ],
        "bagged": [{"event": n.event, "at": _moment(n.at), "items": list(n.what.items)} for n in build.bagged],
        "pulled": None if build.pulled is None else {"event": build.pulled.event, "at": _moment(build.pulled.at)},
        "cures": [{"at": _moment(n.at), "post": n.what.post, "verdict": n.what.verdict} for n in build.cures],
        "photos": Counter(n.what.step for n in build.photos),
        "gates": {} if build.closed is not None else _gates(build, shop, now, open_),
        "forms": {key: _forms(build, key, shop) for key in open_},
        "kits": _kits(build, shop),
        "cloth": _lives(build, shop, now),
    }  # fmt: skip


def _step(step: PlannedStep, build: Build, number: int) -> Data:
    """Return a step with its cautions, each by its words; one this program no longer knows is told by its name."""
    kind, _, tail = step.key.partition("-")
    hazards = []
    for hazard in dict.fromkeys(step.hazards):
        caution = CAUTIONS.get(hazard)
        head, text = (hazard, "") if caution is None else (caution.head, caution.text)
        hazards.append({"head": spoken(head), "text": spoken(text) if text else {"en": ""}})
    debulk = next((d for d in build.planned.debulks if step.key == f"debulk-{d.after}"), None)
    wait = debulk.seconds if debulk is not None else step.unattended
    return {
        "key": step.key,
        "kind": kind if tail.isdigit() or kind in ("coat",) else step.key,
        "number": number,
        "ply": ply_of(step.key),
        "after": number_of(step.key) if kind == "debulk" else 0,
        "name": spoken(step.name),
        "stage": step.stage,
        "hazards": hazards,
        "do": [spoken(d) for d in step.do],
        "boxes": [spoken(b) for b in step.boxes],
        "attended": step.attended,
        "wait": wait,
        "pressure": None if debulk is None else debulk.pressure,
    }


def _ply(ply: PlannedPly, plies: Sequence[PlannedPly], drawn: Mapping[str, Any]) -> Data:
    pieces = drawn.get("pieces", {})
    flat = drawn.get("flat", "")
    return {
        "number": ply.number,
        "material": ply.material,
        "pieces": list(ply.pieces),
        "films": ply.films,
        "angle_deg": drawn.get("angle_deg"),
        "region": drawn.get("region", ""),
        "face": drawn.get("face", ""),
        "pictures": {
            label: {"pictures": [_themed(p) for p in found["pictures"]], "notes": [_note(n) for n in found["notes"]]}
            for label, found in pieces.items()
        },
        "flat": _themed(flat),
        "section": _themed(drawn.get("section") or _stack(ply, plies)),
        "stack": not drawn.get("section"),
    }


def _note(what: str) -> dict[str, str]:
    """Return what a hand does at a place of a piece: the desk is told how far off it is, the floor what to do."""
    for part, key in NOTES.items():
        if part in what:
            return {language: catalogue(language)[f"floor.{key}"] for language in LANGUAGES}
    return spoken(what)


def _stack(ply: PlannedPly, plies: Sequence[PlannedPly]) -> str:
    """Return the plies in their order as bars, where there is no surface to cut a section through."""
    largest = max(p.area for p in plies) or 1.0
    at = plies.index(ply)
    first = max(0, min(at - MOST_IN_STACK // 2, len(plies) - MOST_IN_STACK))
    shown = plies[first : first + MOST_IN_STACK]
    bars = [
        PlyInStack(
            number=str(p.number),
            share=p.area / largest,
            words="",
            state="laid" if p.number < ply.number else "in hand" if p.number == ply.number else "to come",
        )
        for p in shown
    ]
    return lighter(stack_view(bars, wide=SECTION[0], bars=SECTION[0] - 14.0))


def _themed(svg: str) -> str:
    return themed(svg) if svg else ""


def _gates(build: Build, shop: Shop, now: datetime, open_: Sequence[str]) -> Data:
    """Return the gates before each step that is not begun, and before the end."""
    begun = {s.key for s in build.steps if s.started is not None}
    out: Data = {}
    for key in (*open_, CLOSING):
        out[key] = [] if key in begun else [_gate(g) for g in gates_before(build, key, shop, now)]
    return out


def _gate(gate: Gate) -> Data:
    passed = gate.passed
    return {
        "key": gate.key,
        "holds": gate.holds,
        "what": spoken(gate.what),
        "why": spoken(gate.why),
        "do": spoken(gate.do) if gate.do else {"en": ""},
        "basis": gate.basis.value,
        "passed": None if passed is None else {"by": passed.what.by, "why": passed.what.why},
    }


def _forms(build: Build, key: str, shop: Shop) -> list[Data]:
    forms = forms_of(build, key, shop)
    if key.startswith("debulk-"):
        forms.insert(0, debulk_form(build, number_of(key)))
    return [form | {"about": _about(form["name"])} for form in forms]


def _about(name: str) -> dict[str, str]:
    """Return what a number is about in each language, as it is said within a sentence."""
    found = spoken(f"set: {name}").items() if name else ()
    return {"en": name} | {language: text.partition(": ")[2] for language, text in found}


def _kits(build: Build, shop: Shop) -> dict[str, str]:
    """Return the kit from which each piece that is still to be laid comes, by ply and label."""
    out: dict[str, str] = {}
    kits = kits_for(build, shop).kits
    left = {k.name: held(k) for k in kits}
    for ply in build.planned.plies:
        for label in dict.fromkeys(ply.pieces):
            name = next((k.name for k in kits if left[k.name][ply.number, label] > 0), "")
            if name:
                out[f"{ply.number}/{label}"] = name
    return out


def _lives(build: Build, shop: Shop, now: datetime) -> dict[str, Data]:
    """Return how long the cloth of each material still lives and tacks in the room, by its worst kit [s]."""
    out: dict[str, Data] = {}
    kits = [k for k in kits_for(build, shop).kits if k.there]
    try:
        lives = lives_of([k.name for k in kits], shop, now)
    except InputError:  # a sheet is missing: the gate of the life says so
        return out
    for life in lives.values():
        tack = None if life.tack is None else life.tack.left_room
        told = out.setdefault(life.material, {"life": life.out.left_room, "tack": tack, "sure": life.out.sure})
        told["life"] = min(told["life"], life.out.left_room)
        if tack is not None:
            told["tack"] = tack if told["tack"] is None else min(told["tack"], tack)
    return out


def _moment(at: datetime) -> str:
    return at.astimezone(UTC).isoformat(timespec="milliseconds").replace("+00:00", "Z")


def _maybe(at: datetime | None) -> str | None:
    return None if at is None else _moment(at)
