"""Retaining rings DIN 471, 472 and 6799, from the shaft, the bore, the ring or the groove."""

from dataclasses import replace
from functools import partial

from stores.handbook.hardware.match import piece
from stores.handbook.hardware.model import Dim, Kind, Piece, Row, column, constant
from stores.handbook.table import number, table

__all__ = ["KINDS", "e_clips_for_shaft"]


def _band(minus: str, plus: str, row: Row, _: float) -> tuple[float, float]:
    return (number(row[minus]) or 0.0, number(row[plus]) or 0.0)


_FREE = partial(_band, "free_tol_minus_mm", "free_tol_plus_mm")
_GROOVE = partial(_band, "groove_tol_minus_mm", "groove_tol_plus_mm")


def _dims(where: str) -> tuple[Dim, ...]:
    free = "free inside diameter" if where == "shaft" else "free outside diameter"
    return (
        Dim("d1", where, column("nominal_d1_mm"), constant(-0.1, 0.1)),
        Dim("s", "thickness", column("thickness_s_mm"), constant(-0.1)),
        Dim("d3", free, column("free_dia_d3_mm"), _FREE),
        Dim("d2", "groove diameter", column("groove_dia_d2_mm"), _GROOVE),
        Dim("m", "groove width", column("groove_width_m_min_mm"), constant(0.0, 0.14)),
        Dim("t", "groove depth", column("groove_depth_t_mm"), constant(-0.1, 0.1)),
        Dim("a", "greatest lug height", column("lug_height_a_max_mm"), constant(-0.8)),
    )


def _order(kind: Kind, name: str, called: str, words: tuple[str, ...], *first: str) -> Kind:
    """Give the same kind with other sizes asked first."""
    by_name = {dim.name: dim for dim in kind.dims}
    rest = tuple(dim for dim in kind.dims if dim.name not in first)
    dims = (*(by_name[dim] for dim in first), *rest)
    return replace(kind, name=name, words=words, dims=dims, trade=(first,), called=called, typed="")


_ADVICE = (
    "a ring once spread further than fitting needs is renewed; gudgeon-pin clips always",
    "up to 1.2 mm several sizes share a thickness: use the groove and the free diameter together",
)

_SHAFT = Kind(
    "external retaining ring",
    ("external circlip", "circlip shaft", "shaft circlip", "din 471"),
    partial(table, "hardware_retaining_rings_shaft"),
    _dims("shaft"),
    lambda row: f"DIN 471 - {row['nominal_d1_mm']} x {row['thickness_s_mm']}",
    lambda _: "DIN 471",
    lambda row: (row["nominal_d1_mm"],),
    follow=("s",),
    trade=(("d1", "s", "d3"), ("d1", "d2", "m")),
    called="external circlip (retaining ring)",
    typed="shaft, thickness",
    advice=_ADVICE,
)
_BORE = replace(
    _SHAFT,
    name="internal retaining ring",
    called="internal circlip (retaining ring)",
    typed="bore, thickness",
    words=("internal circlip", "circlip bore", "bore circlip", "din 472"),
    rows=partial(table, "hardware_retaining_rings_bore"),
    dims=_dims("bore"),
    designate=lambda row: f"DIN 472 - {row['nominal_d1_mm']} x {row['thickness_s_mm']}",
    standard=lambda _: "DIN 472",
)
_CLIP = Kind(
    "e-clip",
    ("e clip", "retaining washer", "din 6799"),
    partial(table, "hardware_e_clips"),
    (
        Dim("d2", "groove diameter", column("groove_dia_d2_mm"), constant(-0.1)),
        Dim("s", "thickness", column("thickness_s_mm"), constant(-0.05, 0.05)),
        Dim(
            "d3", "outside diameter when fitted", column("outside_dia_fitted_d3_mm"), constant(-0.4)
        ),
        Dim("a", "gape", column("gape_a_mm"), constant(-0.3, 0.1)),
        Dim("shaft_from", "smallest shaft", column("shaft_from_mm")),
        Dim("shaft_to", "largest shaft", column("shaft_to_mm")),
        Dim("m", "groove width", column("groove_width_m_min_mm"), constant(0.0, 0.1)),
    ),
    lambda row: f"DIN 6799 - {row['groove_dia_d2_mm']}",
    lambda _: "DIN 6799",
    lambda row: (row["groove_dia_d2_mm"],),
    typed="groove diameter, thickness",
    trade=(("d2", "s", "d3"),),
    advice=("named by the groove diameter, not by the shaft",),
    notes=lambda row: (f"for shafts {row['shaft_from_mm']} to {row['shaft_to_mm']} mm",),
)

KINDS = (
    _SHAFT,
    _BORE,
    _CLIP,
    _order(
        _SHAFT,
        "external ring groove",
        "groove for an external circlip",
        ("shaft groove", "external circlip groove", "groove on a shaft", "external groove"),
        "d2",
        "m",
    ),
    _order(
        _BORE,
        "internal ring groove",
        "groove for an internal circlip",
        ("bore groove", "internal circlip groove", "groove in a bore", "internal groove"),
        "d2",
        "m",
    ),
    _order(
        _SHAFT,
        "loose external ring",
        "external circlip in hand",
        ("free external ring", "loose external circlip", "external circlip in hand"),
        "d3",
        "s",
    ),
    _order(
        _BORE,
        "loose internal ring",
        "internal circlip in hand",
        ("free internal ring", "loose internal circlip", "internal circlip in hand"),
        "d3",
        "s",
    ),
)


def e_clips_for_shaft(shaft_mm: float) -> tuple[Piece, ...]:
    """Give the DIN 6799 clips whose shaft range holds that diameter in mm, smallest first.

    Several fit a shaft; the groove decides. Source: DIN 6799.
    """
    return tuple(
        piece(_CLIP, row)
        for row in _CLIP.rows()
        if float(row["shaft_from_mm"]) <= shaft_mm <= float(row["shaft_to_mm"])
    )
