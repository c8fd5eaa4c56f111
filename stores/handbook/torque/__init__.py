"""Tightening torque: from thread, strength and friction by VDI 2230, with what limits it.

A computed torque is a general figure; the maker's own always wins (`compare`)::

    >>> from stores.handbook.thread import get
    >>> answer = tighten(get("M8"), "8.8", 0.12)
    >>> round(answer.value, 1), round(answer.preload_n.nominal, -2), answer.limiting
    (24.6, 18600.0, 'bolt at 90 % of its yield')
"""

from importlib import import_module

TYPE_CHECKING = False  # mypy takes it as true; typing's own costs three times the rest of this
if TYPE_CHECKING:
    from stores.handbook.answer import cite
    from stores.handbook.torque.answer import Limit, Range, Tightening
    from stores.handbook.torque.formulas import Method
    from stores.handbook.torque.grades import Grade, find_grade, known_grades
    from stores.handbook.torque.heads import Bearing, bearing
    from stores.handbook.torque.joint import tighten
    from stores.handbook.torque.maker import Comparison, MakerFigure, compare
    from stores.handbook.torque.metals import Material, material, materials, nut_proof_n
    from stores.handbook.torque.shear import Stripping, stripping
    from stores.handbook.torque.simple import (
        change_state,
        nut_factor,
        preload_of_proof,
        short_rule_nm,
        wrench_setting,
    )
    from stores.handbook.torque.spread import (
        least_preload_n,
        scatter,
        scatter_methods,
        tightening_factor,
    )
    from stores.handbook.torque.surfaces import Friction, friction, states

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
    "least_preload_n",
    "material",
    "materials",
    "nut_factor",
    "nut_proof_n",
    "preload_of_proof",
    "scatter",
    "scatter_methods",
    "short_rule_nm",
    "states",
    "stripping",
    "tighten",
    "tightening_factor",
    "wrench_setting",
]

# Loaded at first use: naming the package must cost nothing at the bench. No module has the name of
# a function here: once loaded it would hide the function.
_HOMES = {
    "..answer": ("cite",),
    ".answer": ("Limit", "Range", "Tightening"),
    ".formulas": ("Method",),
    ".surfaces": ("Friction", "friction", "states"),
    ".grades": ("Grade", "find_grade", "known_grades"),
    ".heads": ("Bearing", "bearing"),
    ".joint": ("tighten",),
    ".maker": ("Comparison", "MakerFigure", "compare"),
    ".metals": ("Material", "material", "materials", "nut_proof_n"),
    ".spread": ("least_preload_n", "scatter", "scatter_methods", "tightening_factor"),
    ".simple": (
        "change_state", "nut_factor", "preload_of_proof", "short_rule_nm", "wrench_setting",
    ),
    ".shear": ("Stripping", "stripping"),
}  # fmt: skip


def __getattr__(name: str) -> object:
    for home, names in _HOMES.items():
        if name in names:
            value: object = getattr(import_module(home, __name__), name)
            globals()[name] = value
            return value
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
