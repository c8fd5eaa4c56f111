"""What is bought by a number or a range: roller chains, hose clips, blind rivets.

::

    >>> [row["number"] for row in SUNDRIES[0].rows() if row["also"].startswith("1/2 x 5/16")]
    ['08B', '428']
"""

import re
from dataclasses import replace
from functools import partial

from stores.errors import BadValue, NotFound
from stores.handbook.hardware.match import piece
from stores.handbook.hardware.model import Dim, Kind, Piece, Row, column, constant, shown
from stores.handbook.table import table

__all__ = ["SUNDRIES", "gudgeon_clip", "rivet_with_length"]

_WORN = 1.02
"""A chain is worn out when it is 2 % longer (common practice; makers give 1 to 3 %)."""

_PITCHES = 20


def _chain_notes(row: Row) -> tuple[str, ...]:
    new = _PITCHES * float(row["pitch_mm"])
    return (
        row["also"],
        f"{_PITCHES} pitches are {new:.1f} mm new; at {new * _WORN:.1f} (2 % longer) renew it with "
        "its sprockets (common practice; the maker's limit first)",
        "the closed end of a spring link's clip leads, the way the chain runs",
    )


def _chain_standard(row: Row) -> str:
    return row["standard"] if row["also"].endswith("mm") else f"{row['standard']} (inch pitch)"


CHAIN = Kind(
    "roller chain",
    ("chain", "drive chain", "primary chain", "final drive chain", "timing chain", "cycle chain"),
    partial(table, "hardware_chains"),
    (
        Dim("p", "pitch", column("pitch_mm"), constant(-0.02, 0.25)),
        Dim("d1", "roller", column("roller_d1_max_mm"), constant(-0.15)),
        Dim("b1", "width between the inner plates", column("inner_width_b1_min_mm"),
            constant(-0.2, 0.3)),
        Dim("d2", "pin", column("pin_d2_max_mm"), constant(-0.15)),
    ),
    lambda row: f"chain {row['number']}",
    _chain_standard,
    lambda row: (row["number"],),
    trade=(("p", "b1"), ("p", "d1", "b1")),
    typed="its number (as 428, 08B); or pitch, inner width; or pitch, roller, inner width",
    notes=_chain_notes,
    advice=(
        "measure the pitch over many links: a worn chain is longer",
        "chains of one pitch and width differ in the roller: 08A and 08B do not share sprockets",
    ),
)  # fmt: skip


def _range(row: Row, value: float) -> tuple[float, float]:
    return (float(row["from_mm"]) - value, 0.0)


CLIP = Kind(
    "hose clip",
    ("hose clamp", "worm drive clip", "worm drive hose clip"),
    partial(table, "hardware_hose_clips"),
    (
        Dim("D", "outside of the hose on its pipe", column("to_mm"), _range, ranged=True),
        Dim("D_min", "least outside of the hose", column("from_mm")),
    ),
    lambda row: f"hose clip {row['name']}",
    lambda row: row["standard"],
    lambda row: (row["name"],),
    trade=(("D",),),
    notes=lambda row: (f"for a hose {row['from_mm']} to {row['to_mm']} mm outside",),
    advice=(
        "a hose is sold by its bore, a clip goes by the outside: measure the hose on its pipe",
        "thin fuel hose: a clip for fuel hose closes evenly all round, a worm drive does not",
    ),
)  # fmt: skip


RIVET = Kind(
    "blind rivet",
    ("rivet blind", "hollow rivet with mandrel"),
    partial(table, "hardware_blind_rivets"),
    (
        Dim("d", "body", column("body_mm"), constant(-0.15, 0.08)),
        Dim("hole", "hole to drill", column("hole_mm"), constant(0.0, 0.1)),
        Dim("dk", "head diameter", column("head_dia_max_mm"), constant(-0.7)),
        Dim("k", "head height", column("head_height_max_mm"), constant(-0.4)),
    ),
    lambda row: f"blind rivet {row['body_mm']}",
    lambda row: row["standard"] + (f" ({row['inch']} inch)" if row["inch"] else ""),
    lambda row: (row["body_mm"], row["inch"]) if row["inch"] else (row["body_mm"],),
    trade=(("d",), ("d", "dk", "k")),
    typed="body (then length)",
    notes=lambda row: (f"drill {row['hole_mm']} mm",),
    advice=(
        "length: the grip and about one and a half bodies more (common practice; the range on the "
        "packet first)",
        "not where a maker had solid rivets: brakes, clutch, frame",
    ),
)  # fmt: skip

SUNDRIES = (CHAIN, CLIP, RIVET)

_RIVET = (
    r"(?i)(?:blind rivets? )?(\d+(?:\.\d+)?)(?: *x *| )(\d+(?:\.\d+)?)(?: *mm)?(?: blind rivets?)?"
)


def rivet_with_length(text: str) -> tuple[Piece, ...]:
    """Read "blind rivet 3.2 x 8": the rivet, and about what it clamps; empty for other text.

    Raises `BadValue` where the length leaves nothing to clamp, `NotFound` for no body of the list.
    """
    if "rivet" not in text.lower() or not (read := re.fullmatch(_RIVET, text)):
        return ()
    body, length = float(read[1]), float(read[2])
    grip = length - 1.5 * body
    if grip <= 0:
        raise BadValue(f"a {body:g} mm blind rivet {length:g} long has nothing left to clamp with")
    found = tuple(
        replace(
            one,
            designation=f"{one.designation} x {shown(length)}",
            notes=(
                f"clamps about {grip:.1f} mm (length less 1.5 bodies, common practice; the range "
                "on the packet first)",
                *one.notes,
            ),
        )
        for row in RIVET.rows()
        if float(row["body_mm"]) == body
        for one in [piece(RIVET, row)]
    )
    if not found:
        known = ", ".join(row["body_mm"] for row in RIVET.rows())
        raise NotFound(f"no blind rivet of {body:g} mm in the list; there are {known} mm")
    return found


def gudgeon_clip(text: str) -> None:
    """Refuse "gudgeon pin circlip 20" with what to order it by; nothing for other text.

    No list of wire clips is known well enough to print: the pin does not give the wire.
    Raises `NotFound`.
    """
    if re.search(r"(?i)\b(?:gudgeon|(?:piston|wrist)[ -]?pin)", text) and re.search(
        r"(?i)\b(?:circlips?|clips?|wire|rings?)\b", text
    ):
        raise NotFound(
            "a gudgeon pin's wire clip goes by the piston: order it by the pin's diameter and the "
            "wire's thickness (measure the wire and the groove). Always new ones, never a flat "
            "circlip in a round groove; for a flat one ask for an internal circlip"
        )
