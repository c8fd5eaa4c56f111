"""What is always renewed."""

from stores.usecases.renewals import Renewals
from stores.web.forms import Deed, Field, Inquiry, Words
from stores.wording import Said
from stores.wording.renewals import listing

_WHAT = Field("what", "Kind or item", hint="As circlip, or 7.2")


def _rules(reply: Renewals) -> Words:
    words = listing(reply)
    return [words.rules, Said((*words.dropped, *words.items), (words.maker,))]


DEEDS = (
    Deed(
        "renew",
        "Always renew",
        "Record it",
        "renewals:always_renew",
        "renewals:AlwaysRenew",
        "renewals:decided",
        _WHAT,
        Field("why", "Why", hint="As this manual renews them all"),
        line="A kind of part, or one item",
    ),
    Deed(
        "renew-no-longer",
        "No longer renew",
        "Record it",
        "renewals:drop_renewal",
        "renewals:DropRenewal",
        "renewals:decided",
        _WHAT,
        Field("why", "Why", hint="As solid copper, annealed"),
        line="A kind of part; or one item is used again if sound",
    ),
    Deed(
        "renew-by-rule",
        "By the rule again",
        "Record it",
        "renewals:by_the_rule",
        "renewals:ByTheRule",
        "renewals:decided",
        Field("item", "Item", hint="As 7.2"),
        line="Take back what was decided of one item",
    ),
)
INQUIRIES = (
    Inquiry("renewals", "What is always renewed", "Show", "renewals:renewals", "", _rules),
)
