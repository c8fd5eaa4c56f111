"""In what order and in which passes the bolts of a joint are tightened.

::

    >>> plan = plan_joint(read_joint("8 on 120"), 24)
    >>> plan.order.holes
    (1, 5, 3, 7, 2, 6, 4, 8)
    >>> [stage.torque for stage in plan.stages]
    ['', '7 N m', '14 N m', '24 N m', '24 N m']

The maker's own order and torque always win. `picture.picture` draws the joint on the screen.
"""

from importlib import import_module
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from stores.handbook.tightening.model import Form, Hole, Joint
    from stores.handbook.tightening.order import Order, Shape, tightening_order
    from stores.handbook.tightening.pattern import cross_pattern
    from stores.handbook.tightening.picture import order_list
    from stores.handbook.tightening.plan import Plan, cite, plan_joint
    from stores.handbook.tightening.reading import read_joint, read_order
    from stores.handbook.tightening.stages import Procedure, Stage, procedure

__all__ = [
    "Form",
    "Hole",
    "Joint",
    "Order",
    "Plan",
    "Procedure",
    "Shape",
    "Stage",
    "cite",
    "cross_pattern",
    "order_list",
    "plan_joint",
    "procedure",
    "read_joint",
    "read_order",
    "tightening_order",
]

# Loaded at first use: naming the package must cost nothing at the bench.
_HOMES = {
    "model": ("Form", "Hole", "Joint"),
    "order": ("Order", "Shape", "tightening_order"),
    "pattern": ("cross_pattern",),
    "picture": ("order_list",),
    "plan": ("Plan", "cite", "plan_joint"),
    "reading": ("read_joint", "read_order"),
    "stages": ("Procedure", "Stage", "procedure"),
}


def __getattr__(name: str) -> object:
    for home, names in _HOMES.items():
        if name in names:
            value: object = getattr(import_module(f"{__name__}.{home}"), name)
            globals()[name] = value
            return value
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
