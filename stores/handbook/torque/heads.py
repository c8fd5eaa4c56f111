"""What bears under the head: the ring between the bearing face and the hole."""

from dataclasses import dataclass
from functools import cache
from math import isfinite, pi
from types import MappingProxyType

from stores.errors import BadValue, NotFound
from stores.handbook.table import table
from stores.handbook.thread import Series, Thread

__all__ = ["HEADS", "HOLES", "Bearing", "bearing"]

HEADS = ("hex", "socket cap", "nut")
HOLES = ("fine", "medium", "coarse")
_FACE_OF_FLATS = 0.9
_HOLE_OF_D = 1.1


@dataclass(frozen=True, slots=True)
class Bearing:
    """The face that turns on the part: outside ``face_mm``, inside ``hole_mm``."""

    face_mm: float
    hole_mm: float
    assumptions: tuple[str, ...] = ()
    sources: tuple[str, ...] = ()

    @property
    def mean_mm(self) -> float:
        """Mean friction diameter, mm: D_Km = (d_w + d_h)/2 of VDI 2230."""
        return (self.face_mm + self.hole_mm) / 2

    @property
    def area_mm2(self) -> float:
        """Area that carries the preload, mm2."""
        return pi / 4 * (self.face_mm**2 - self.hole_mm**2)


@cache
def _rows() -> dict[str, MappingProxyType[str, str]]:
    return {row["thread"]: row for row in table("torque_heads")}


def bearing(
    thread: Thread,
    head: str = "hex",
    *,
    flats_mm: float | None = None,
    face_mm: float | None = None,
    hole_mm: float | None = None,
    hole: str = "medium",
) -> Bearing:
    """Give the bearing face of a head or nut on its hole.

    ``face_mm`` (washer or flange) and ``hole_mm`` are taken as measured. Else a metric hexagon or
    socket cap head has the face of ISO 4014 or ISO 4762 and the hole of ISO 273; ``flats_mm`` says
    that the flats differ (older DIN heads). Other heads are taken from their flats: those given,
    or the largest hexagon on record for the thread. A nut's face is that of the hexagon.

    Raises `BadValue` for a head or hole unknown, a face no larger than its hole, and
    `NotFound` when nothing on record gives the face.
    """
    if head not in HEADS:
        raise BadValue(f"no head {head!r}: known are {', '.join(HEADS)}; or give the face in mm")
    if hole not in HOLES:
        raise BadValue(f"no hole {hole!r}: ISO 273 has {', '.join(HOLES)}; or give it in mm")
    for what, value in (("flats", flats_mm), ("face", face_mm), ("hole", hole_mm)):
        if value is not None and not (isfinite(value) and 0 < value <= 10 * thread.major_mm):
            raise BadValue(
                f"{what} {value:g} mm: expected above 0, up to {10 * thread.major_mm:g} on {thread}"
            )
    told: list[str] = []
    keys: list[str] = []
    row = _rows().get(thread.size) if thread.series is Series.METRIC else None
    face = face_mm if face_mm is not None else _face(thread, head, flats_mm, row, told, keys)
    if face_mm is not None or hole_mm is not None:
        keys.append("given")
    if hole_mm is None:
        if row:
            hole_mm = float(row[f"hole_{hole}_mm"])
            told.append(f"hole {hole_mm:g} mm, ISO 273 {hole}")
            keys.append("iso273")
        else:
            hole_mm = _HOLE_OF_D * thread.major_mm
            told.append(f"hole {hole_mm:.3g} mm: {_HOLE_OF_D:g} of the diameter")
            keys.append("hole-rule")
    if hole_mm < 0.95 * thread.major_mm:
        raise BadValue(f"hole {hole_mm:g} mm: {thread} does not go through it")
    if face <= hole_mm:
        raise BadValue(f"face {face:.4g} mm on a hole of {hole_mm:.4g} mm: nothing bears")
    return Bearing(face, hole_mm, tuple(told), tuple(dict.fromkeys(keys)))


def _face(
    thread: Thread,
    head: str,
    flats_mm: float | None,
    row: MappingProxyType[str, str] | None,
    told: list[str],
    keys: list[str],
) -> float:
    column = "dw_socket_mm" if head == "socket cap" else "dw_hex_mm"
    usual = row and (flats_mm is None or abs(flats_mm - float(row["flats_mm"])) < 0.01)
    if row and usual and row[column]:
        name = "ISO 4762" if head == "socket cap" else "ISO 4014"
        told.append(f"bearing face {row[column]} mm, the smallest of {name}")
        keys.append("iso4014")
        return float(row[column])
    if flats_mm is None:
        flats = [s.af_mm for s in thread.spanners if s.part in ("hexagon", "hexagon head")]
        if head == "socket cap" or not flats:
            raise NotFound(f"no bearing face on record for a {head} head on {thread}: give it")
        flats_mm = max(flats)
    told.append(f"bearing face {_FACE_OF_FLATS * flats_mm:.4g} mm: 0.9 of flats {flats_mm:.4g} mm")
    keys.append("flats-rule")
    return _FACE_OF_FLATS * flats_mm
