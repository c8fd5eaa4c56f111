"""Words of which there is a fixed choice, in a module that loads nothing: the Tab key has them."""

__all__ = ["NOTED", "SIDES", "SORTS", "STOCK", "SURFACES", "TOOLS"]

NOTED = "noted"
"""The sort of what is only put on record and needs no clearing."""

SORTS = {
    "missing": "a part is not there",
    "damaged": "bent, cracked, stripped, broken",
    "worn": "worn past use, or loose",
    "not original": "another part, or an earlier owner's repair",
    "leak": "oil, fuel, air, water",
    "electrical": "wiring, joints, lights that come and go",
    "seized": "does not move",
    "noise": "knocks, whines, grates",
    "fault": "anything else to put right",
    NOTED: "for the record; nothing to clear",
}
"""What sort of fault, and what it covers."""

STOCK = {
    "bag": "a4-21-63.5x38.1",
    "box": "a4-14-99.1x38.1",
    "place": "a4-14-99.1x38.1",
    "pack": "a4-21-63.5x38.1",
    "tag": "tag-79x159",
    "condition": "a4-14-99.1x38.1",
    "batch": "a4-14-99.1x38.1",
    "flag": "a4-21-63.5x38.1",
}
"""The kinds of label, and the stock of each if none is named."""

SIDES = (
    "left",
    "right",
    "front",
    "rear",
    "upper",
    "lower",
    "inner",
    "outer",
    "nearside",
    "offside",
)
"""The sides of a machine that a snag can be on."""

TOOLS = ("caliper", "micrometer", "rule")
"""What a thread's diameter is measured with."""

SURFACES = ("painted", "rusty", "bare")
"""What is on a thread where it is measured."""
