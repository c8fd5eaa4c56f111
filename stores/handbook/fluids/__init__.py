"""Oil: how much, of which grade, to what level, and what to buy.

Capacity from geometry (`shapes`, `level`), fork legs (`forks`), grades of SAE J300, SAE J306 and
ISO 3448 (`grades`), API service designations (`service`), whole containers (`buying`). The maker's
figure always comes first; these are for machines whose book is gone.
"""

from stores.handbook.fluids.buying import Need, Purchase, ShoppingOil, Sump, buy, need_of
from stores.handbook.fluids.forks import compare_legs, level_without_spacer, oil_for_level
from stores.handbook.fluids.grades import Grade, Limits, Scale, alike, hths_cp, limits, read_grade
from stores.handbook.fluids.level import capacity, correct_level, expansion, fill_to_plug, level_of
from stores.handbook.fluids.service import Advice, Verdict, gear_oil_advice
from stores.handbook.fluids.shapes import Box, Cone, Lying, Shape, Stack, Upright, depth_of

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
    "alike",
    "buy",
    "capacity",
    "compare_legs",
    "correct_level",
    "depth_of",
    "expansion",
    "fill_to_plug",
    "gear_oil_advice",
    "hths_cp",
    "level_of",
    "level_without_spacer",
    "limits",
    "need_of",
    "oil_for_level",
    "read_grade",
]
