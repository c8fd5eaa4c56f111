"""Finding by words, and by measurement."""

from stores.usecases.find import FindMeasured
from stores.web.deeds.measuring import HEAD, MEASUREMENTS, measured
from stores.web.forms import Deed, Field, Inquiry

_LENGTH = Field(
    "length", "Length", hint="Under the head; overall if countersunk. As 25, 3/4 in",
    option="--length",
)  # fmt: skip

DEEDS: tuple[Deed, ...] = ()
INQUIRIES = (
    Inquiry(
        "find",
        "Find",
        "Find",
        "find:find",
        "find:Find",
        "find:found",
        Field("text", "Bag code, bolt, or words", hint="As A001N, M6x25 hex, clutch cover"),
        Field("thread", "Thread", hint="As M6, 1/4 BSF", option="--thread"),
        _LENGTH,
        HEAD,
        at_once=False,
        line="Where it came from, where it is now",
    ),
    Inquiry(
        "measured",
        "Find by measurement",
        "Find",
        "find:find_measured",
        "find:FindMeasured",
        "find:by_measure",
        *MEASUREMENTS,
        _LENGTH,
        HEAD,
        make=lambda visit: FindMeasured(
            measured(visit), visit.word("length").strip(), visit.word("head").strip()
        ),
        at_once=False,
        line="Which joint a bolt or nut without a bag is of",
    ),
)
