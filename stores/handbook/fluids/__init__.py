"""Oil: how much, of which grade, to what level, and what to buy.

Capacity from geometry (`shapes`, `level`), fork legs (`forks`), grades of SAE J300, SAE J306 and
ISO 3448 (`grades`), API service designations (`service`), whole containers (`buying`). The maker's
figure always comes first; these are for machines whose book is gone.
"""

from stores.handbook.fluids.capacity import (
    Box,
    Cone,
    Lying,
    Shape,
    Stack,
    Upright,
    capacity,
    compare_legs,
    correct_level,
    depth_of,
    fill_to_plug,
    level_of,
    level_without_spacer,
    oil_for_level,
)
from stores.handbook.fluids.oils import (
    Advice,
    Grade,
    Limits,
    Need,
    Purchase,
    Scale,
    ShoppingOil,
    Sump,
    Verdict,
    across,
    alike,
    buy,
    gear_oil_advice,
    limits,
    need_of,
    read_grade,
)

__all__ = [
    "Advice",
    "Box",
    "Cone",
    "Grade",
    "Limits",
    "Lying",
    "Need",
    "Purchase",
    "Scale",
    "Shape",
    "ShoppingOil",
    "Stack",
    "Sump",
    "Upright",
    "Verdict",
    "across",
    "alike",
    "buy",
    "capacity",
    "compare_legs",
    "correct_level",
    "depth_of",
    "fill_to_plug",
    "gear_oil_advice",
    "level_of",
    "level_without_spacer",
    "limits",
    "need_of",
    "oil_for_level",
    "read_grade",
]
