"""Reading a mould's mesh file, and saying in one sentence what is wrong with one that cannot be used.

Units are asked, never guessed. STL is read here, because its two silent faults (a file cut off while it was copied, a
text file without its end) are only visible before anything has skipped over them; OBJ, PLY, 3MF and GLB go through
trimesh. Nothing is mended here (`bagside.geometry.mend`).
"""

from __future__ import annotations

import contextlib
import io
import logging
import re
import struct
import warnings
import zipfile
import zlib
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from lxml import etree  # type: ignore[import-untyped]

from bagside.errors import InputError, did_you_mean
from bagside.geometry import cad
from bagside.geometry.surface import Floats, Ints

UNITS = {"m": 1.0, "cm": 0.01, "mm": 0.001, "in": 0.0254, "ft": 0.3048}
SUFFIXES = (".stl", ".obj", ".ply", ".3mf", ".glb")
MOST_BYTES = 2_000_000_000  # a file, or what it unpacks to, beyond this is no mould: 40 million triangles
MOST_TRIANGLES = 20_000_000
FARTHEST = 10_000.0  # [m] a coordinate beyond this is a broken number or a wrong unit, not a mould
# What parsers of foreign formats raise on broken bytes; lxml's and json's errors are SyntaxError and ValueError.
_FOREIGN = (
    ArithmeticError, AssertionError, AttributeError, BufferError, EOFError, LookupError, MemoryError, NameError,
    OSError, RuntimeError, SyntaxError, TypeError, ValueError, struct.error, zlib.error, zipfile.BadZipFile,
    zipfile.LargeZipFile, etree.LxmlError,
)  # fmt: skip
_AGAIN = "copy or export it again"


@dataclass(frozen=True, slots=True, kw_only=True)
class Raw:
    """A mesh as it came out of a file, in metres.

    Parameters
    ----------
    vertices
        Positions, shape (n, 3) [m].
    triangles
        Vertex indices, shape (m, 3).
    name
        The file's name, for messages.
    unit
        The unit its numbers were stated in.
    """

    vertices: Floats
    triangles: Ints
    name: str
    unit: str = "m"


def read_mesh(path: Path, unit: str) -> Raw:
    """Return the triangles of a mesh file.

    Parameters
    ----------
    path
        An STL (binary or text), OBJ, PLY, 3MF or GLB file; several bodies in it are joined where they stand. STEP and
        IGES files are turned into triangles when the extra ``cad`` is installed.
    unit
        The unit of its numbers, one of `UNITS`; a unit written inside a mesh file is not used, that of a STEP or IGES
        file is, whatever is stated.

    Raises
    ------
    InputError
        When there is no such file, its kind is not read, it is broken or cut off, it holds no triangles, or more than
        20 million triangles or 2 GB.
    """
    path = Path(path)
    name = path.name
    if unit not in UNITS:
        raise InputError.one(
            name, f'unit "{unit}"', "a unit of length is wanted: " + ", ".join(UNITS), did_you_mean(unit, UNITS)
        )
    suffix = path.suffix.lower()
    if suffix not in SUFFIXES and suffix not in cad.SUFFIXES:
        raise InputError.one(
            name,
            f'suffix "{path.suffix}"',
            "meshes are read from " + ", ".join(SUFFIXES) + "; export it as one of them",
        )
    if not path.is_file():
        raise InputError.one(name, "", "there is no such file; check the name and the folder")
    if path.stat().st_size > MOST_BYTES:
        raise _too_large(name, f"{path.stat().st_size / 1e9:.1f} GB")
    try:
        data = path.read_bytes()
    except OSError as error:
        raise InputError.one(name, "", f"the file cannot be opened ({error.strerror}); check who may read it") from None
    if not data:
        raise InputError.one(name, "", f"the file is empty; {_AGAIN}")
    if suffix in cad.SUFFIXES:
        vertices, triangles = _foreign(name, "glb", cad.glb_of(name, data, suffix))
        found = _checked(name, vertices * cad.METRES[cad.SUFFIXES[suffix]], triangles, "m")
        return Raw(vertices=found.vertices, triangles=found.triangles, name=name, unit=cad.OWN_UNIT)
    if suffix == ".ply":
        _ply_fits(name, data)
    if suffix == ".3mf":
        _unpacked_fits(name, data)
    vertices, triangles = _stl(name, data) if suffix == ".stl" else _foreign(name, suffix[1:], data)
    return _checked(name, vertices, triangles, unit)


def _too_large(name: str, came: str) -> InputError:
    wanted = f"up to {MOST_TRIANGLES // 1_000_000} million triangles and {MOST_BYTES // 1_000_000_000} GB are read"
    return InputError.one(name, came, wanted, "thin it in the scanner's program first")


def _ply_fits(name: str, data: bytes) -> None:
    """Refuse a PLY file that promises more than its bytes can hold, before anything makes room for it."""
    head = data[: data.find(b"end_header") + 1][:100_000]
    promised = [int(n) for n in re.findall(rb"^element\s+\S+\s+(\d{1,30})\s*$", head, re.MULTILINE)]
    if any(n > MOST_TRIANGLES for n in promised) and sum(promised) <= len(data):
        raise _too_large(name, f"{max(promised)} elements")
    if sum(promised) > len(data):
        raise InputError.one(
            name,
            f"{sum(promised)} points and triangles promised, {len(data)} bytes present",
            f"the file is cut off or its header is broken; {_AGAIN}",
        )


def _unpacked_fits(name: str, data: bytes) -> None:
    """Refuse a packed file that would unpack to more than is read."""
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as packed:
            size = sum(entry.file_size for entry in packed.infolist())
    except _FOREIGN:
        return  # the parser says what is wrong with it
    if size > MOST_BYTES:
        raise _too_large(name, f"{size / 1e9:.1f} GB unpacked")


def _checked(name: str, vertices: Floats, triangles: Ints, unit: str) -> Raw:
    if len(triangles) == 0:
        raise InputError.one(name, "", "there are no triangles in the file; export the surface as a mesh")
    if len(triangles) > MOST_TRIANGLES:
        raise _too_large(name, f"{len(triangles)} triangles")
    if triangles.min() < 0 or triangles.max() >= len(vertices):
        raise InputError.one(name, "", f"a triangle names a point that is not in the file; {_AGAIN}")
    bad = ~np.isfinite(vertices).all(axis=1)
    if bad.any():
        count, first = int(bad.sum()), int(np.flatnonzero(bad)[0])
        raise InputError.one(
            name,
            f"{count} of {len(vertices)} points",
            f"coordinates must be finite numbers, the first that is not is point {first}; {_AGAIN}",
        )
    scaled = vertices * UNITS[unit]
    far = np.abs(scaled).max(axis=1) > FARTHEST
    if far.any():
        first = int(np.flatnonzero(far)[0])
        raise InputError.one(
            name,
            f"point {first} at {np.abs(scaled[first]).max():.3g} m",
            f"no mould lies further than {FARTHEST / 1000:.0f} km from the origin; check the unit, or {_AGAIN}",
        )
    return Raw(vertices=scaled, triangles=triangles.astype(np.int64), name=name, unit=unit)


_RECORD = np.dtype([("normal", "<f4", 3), ("corners", "<f4", (3, 3)), ("extra", "<u2")])


def _stl(name: str, data: bytes) -> tuple[Floats, Ints]:
    """Return an STL's corners; a binary one is known by its size, whatever its first word says."""
    promised = int.from_bytes(data[80:84], "little") if len(data) >= 84 else 0
    if len(data) == 84 + 50 * promised and len(data) >= 84:
        corners = np.frombuffer(data, _RECORD, promised, 84)["corners"]
        return _soup(corners.reshape(-1, 3).astype(np.float64))
    if data.lstrip()[:5].lower() == b"solid" and b"\0" not in data:
        return _text_stl(name, data)
    if len(data) < 84:
        raise InputError.one(name, f"{len(data)} bytes", f"the file is cut off before its first triangle; {_AGAIN}")
    present = (len(data) - 84) // 50
    if present < promised:
        raise InputError.one(
            name,
            f"{promised} triangles promised, {present} present",
            f"the file is cut off or its header is broken; {_AGAIN}",
        )
    raise InputError.one(
        name,
        f"{promised} triangles promised, {len(data) - 84 - 50 * promised} bytes more than they take",
        f"the file is not the STL its header says; {_AGAIN}",
    )


_FACET = re.compile(
    rb"facet\s+normal((?:\s+\S+){3})\s+outer\s+loop((?:\s+vertex(?:\s+\S+){3}){3})\s+endloop\s+endfacet"
)


def _text_stl(name: str, data: bytes) -> tuple[Floats, Ints]:
    text = data.lower()
    begun, whole = len(re.findall(rb"\bfacet\s+normal", text)), _FACET.findall(text)
    if len(whole) != begun or not re.search(rb"\bendsolid\b[^\r\n]*\s*$", text):
        raise InputError.one(
            name, f"{len(whole)} whole triangles", f"the file is cut off or broken, its end is missing; {_AGAIN}"
        )
    words = b" ".join(loop.replace(b"vertex", b" ") for _, loop in whole).split()
    try:
        corners = np.array([float(w) for w in words], dtype=np.float64)
    except ValueError:
        raise InputError.one(name, "", f"a coordinate in the file is not a number; {_AGAIN}") from None
    return _soup(corners.reshape(-1, 3))


def _soup(points: Floats) -> tuple[Floats, Ints]:
    return points, np.arange(len(points), dtype=np.int64).reshape(-1, 3)


@contextlib.contextmanager
def _quiet() -> Iterator[None]:
    """Keep a foreign parser's warnings and log lines away from the person; what matters is checked afterwards."""
    log = logging.getLogger("trimesh")

    def nothing(record: logging.LogRecord) -> bool:
        return False

    log.addFilter(nothing)
    try:
        with warnings.catch_warnings(), np.errstate(all="ignore"):
            warnings.simplefilter("ignore")
            yield
    finally:
        log.removeFilter(nothing)


def _foreign(name: str, kind: str, data: bytes) -> tuple[Floats, Ints]:
    import trimesh  # half a second to import: only a run that reads a mesh other than STL pays it

    points: list[Floats] = [np.zeros((0, 3))]
    triangles: list[Ints] = [np.zeros((0, 3), dtype=np.int64)]
    start = 0
    try:
        with _quiet():
            scene = trimesh.load_scene(io.BytesIO(data), file_type=kind, process=False)
            for node in scene.graph.nodes_geometry:
                transform, key = scene.graph[node]
                body = scene.geometry[key]
                faces = getattr(body, "faces", None)
                if faces is None or len(faces) == 0:
                    continue
                at = np.asarray(body.vertices, dtype=np.float64)
                points.append(at @ np.asarray(transform[:3, :3]).T + np.asarray(transform[:3, 3]))
                wound = np.asarray(faces, dtype=np.int64)
                mirrored = np.linalg.det(np.asarray(transform)[:3, :3]) < 0
                triangles.append((wound[:, ::-1] if mirrored else wound) + start)
                if wound.min() < 0 or wound.max() >= len(at):
                    raise IndexError("a triangle names a missing point")
                start += len(at)
            return np.concatenate(points), np.concatenate(triangles)
    except _FOREIGN:
        raise InputError.one(
            name, "", f"the file cannot be read as {kind.upper()}, it is cut off or broken; {_AGAIN}"
        ) from None
