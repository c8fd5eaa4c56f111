"""Tightening torque: from thread, strength and friction by VDI 2230, with what limits it.

A computed torque is a general figure; the maker's own always wins (`compare`)::

    >>> from stores.core.thread import get
    >>> answer = tighten(get("M8"), "8.8", 0.12)
    >>> round(answer.value, 1), round(answer.preload_n.nominal, -2), answer.limiting
    (24.6, 18600.0, 'bolt at 90 % of its yield')
"""

from importlib import import_module
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from stores.core.torque.answer import Limit, Range, Tightening
    from stores.core.torque.formulas import Method
    from stores.core.torque.friction import Friction, friction, states
    from stores.core.torque.grades import Grade, find_grade, known_grades
    from stores.core.torque.heads import Bearing, bearing
    from stores.core.torque.joint import tighten
    from stores.core.torque.maker import Comparison, MakerFigure, compare
    from stores.core.torque.materials import Material, material, materials, nut_proof_n
    from stores.core.torque.simple import (
        change_state,
        nut_factor,
        preload_of_proof,
        short_rule_nm,
        wrench_setting,
    )
    from stores.core.torque.sources import cite
    from stores.core.torque.stripping import Stripping, stripping

__all__ = [
    "Bearing",
    "Comparison",
    "Friction",
    "Grade",
    "Limit",
    "MakerFigure",
    "Material",
    "Method",
    "Range",
    "Stripping",
    "Tightening",
    "bearing",
    "change_state",
    "cite",
    "compare",
    "find_grade",
    "friction",
    "known_grades",
    "material",
    "materials",
    "nut_factor",
    "nut_proof_n",
    "preload_of_proof",
    "short_rule_nm",
    "states",
    "stripping",
    "tighten",
    "wrench_setting",
]

# Loaded at first use: naming the package must cost nothing at the bench.
_HOMES = {
    "answer": ("Limit", "Range", "Tightening"),
    "formulas": ("Method",),
    "friction": ("Friction", "friction", "states"),
    "grades": ("Grade", "find_grade", "known_grades"),
    "heads": ("Bearing", "bearing"),
    "joint": ("tighten",),
    "maker": ("Comparison", "MakerFigure", "compare"),
    "materials": ("Material", "material", "materials", "nut_proof_n"),
    "simple": (
        "change_state", "nut_factor", "preload_of_proof", "short_rule_nm", "wrench_setting",
    ),
    "sources": ("cite",),
    "stripping": ("Stripping", "stripping"),
}  # fmt: skip


def __getattr__(name: str) -> object:
    for home, names in _HOMES.items():
        if name in names:
            value: object = getattr(import_module(f"{__name__}.{home}"), name)
            # A function may share its module's name: the function is what the package offers.
            globals()[name] = value
            return value
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
