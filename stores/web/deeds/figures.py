"""A machine's figures: sumps, readings, makers' torques, and where a joint's holes are."""

from stores.web.deeds.fields import ITEM
from stores.web.forms import Deed, Field, Inquiry
from stores.web.visit import Link

_STEP = Field("what", "Which step", hint="As 7, or a bag")
_SOURCE = Field("source", "Where it is printed", hint="As book p. 41", option="--from")

DEEDS = (
    Deed(
        "sump", "What a sump holds", "Record it",
        "figures:set_sump", "figures:SetSump", "figures:sump_recorded",
        Field("name", "Sump", hint="As Gearbox, Fork leg"),
        Field("oil", "Oil, as the book has it", hint="As SAE 90 GL-4", option="--oil"),
        Field("dry", "First fill after a strip-down", hint="As 1.4 l", option="--dry"),
        Field("refill", "After a drain", hint="As 1.2 l: oil clings, so it is less",
              option="--refill"),
        Field("number", "How many alike", "number", "As 2 fork legs", option="--number",
              more=True),
        Field("drain", "Where it is drained", option="--drain", more=True),
        Field("filler", "Where it is filled", option="--filler", more=True),
        Field("level", "Where its level is read", option="--level", more=True),
        Field("note", "Note", option="--note", more=True),
        Field("source", "Where it is printed", option="--from", more=True),
        intro="What is left empty stays as it was.",
        next=lambda _reply: [Link("The sumps", "/ask/sumps")],
    ),
    Deed(
        "sump-none", "There is no such sump", "Record it",
        "figures:drop_sump", "figures:DropSump", "figures:sump_dropped",
        Field("name", "Sump"),
        next=lambda _reply: [Link("The sumps", "/ask/sumps")],
    ),
    Deed(
        "reading", "A reading of the machine", "Record it",
        "figures:take_readings", "figures:TakeReadings", "figures:readings_taken",
        Field("subject", "What was measured", hint="As compression, charging voltage"),
        Field("values", "Readings", "lines", "One a line, by cylinder or place: 88psi"),
        Field("wet", "Compression, oil in the bore", hint="As 92,90; - where not done",
              option="--wet", more=True),
        Field("after", "After the work; else before", "tick", option="--after"),
        Field("unit", "Unit of bare readings", hint="Of compression: psi, unless said",
              option="--unit", more=True),
        Field("barometer", "The day's pressure", hint="hPa, as 1005", option="--barometer",
              more=True),
        Field("note", "Note", hint="As warm, throttle open", option="--note", more=True),
        next=lambda _reply: [Link("The readings", "/ask/readings")],
        line="Before the work and after",
    ),
    Deed(
        "torque", "The maker's torque", "Record it",
        "figures:set_torque", "figures:SetTorque", "figures:torque_recorded",
        ITEM,
        Field("figure", "The maker's figure", hint="As 25 N m, 18 to 20 lbf ft"),
        Field("state", "What the book says", hint="As dry, oiled"),
        _SOURCE,
        next=lambda reply: [Link("What is known of it", f"/ask/torque-of?what={reply.item}")],
        line="Of a joint: it always wins",
    ),
    Deed(
        "joint", "Where a joint's holes are", "Record it",
        "figures:set_joint", "figures:SetJoint", "figures:joint_recorded",
        _STEP,
        Field("holes", "Holes", hint="As 8 on 120, 2 x 5 at 80 x 45, 12 2 4 6:30 9"),
        Field("order", "The maker's own order", hint="As 3 1 4 2", option="--order"),
        _SOURCE,
        next=lambda reply: [Link("How it is tightened", f"/ask/joint-of?what={reply.step}")],
    ),
)  # fmt: skip
INQUIRIES = (
    Inquiry("sumps", "The sumps", "Show", "figures:sumps", "", "figures:sump_table"),
    Inquiry("readings", "The readings", "Show", "figures:readings", "", "figures:reading_table",
            line="Before and after, side by side"),
    Inquiry(
        "torque-of", "What is known of a joint's torque", "Show",
        "figures:torque_of", "", "figures:torque_known", ITEM,
        call=lambda visit, known: known(visit.context(), visit.word("what")), at_once=False,
    ),
    Inquiry(
        "joint-of", "How a joint is tightened", "Show",
        "figures:joint_of", "", "figures:joint_known", _STEP,
        call=lambda visit, known: known(visit.context(), visit.word("what")), at_once=False,
        line="Its holes, the order, the passes",
    ),
)  # fmt: skip
