"""What commands are called: the words of the overview, and what is under each noun.

A command is registered under one short name, which is all that the code knows it by. Most are typed
under a noun, ``stores plan before 3 2``; the short name alone, as it was before there were nouns,
still works and is shown nowhere.
"""

__all__ = ["JOB", "LINES", "MEANT", "NOUNS", "OPTIONS", "registered", "spelling"]

JOB: dict[str, tuple[str, ...]] = {
    "Take apart": ("machine", "strip", "labels", "photo", "snag", "piece", "place"),
    "Find": ("find", "stock"),
    "Inspect": ("inspect",),
    "Send out": ("outwork",),
    "Buy": ("shopping", "order", "buy"),
    "Put back": ("rebuild", "refit", "plan"),
    "Figures": ("figure", "reckon"),
    "The record": ("undo", "history", "correct", "record", "serve", "demo"),
}
"""The words at the top, by the part of the job."""

NOUNS: dict[str, dict[str, str]] = {
    "machine": {"survey": "survey", "costs": "budget", "close": "close", "book": "book"},
    "snag": {"record": "snag", "list": "snags", "clear": "clear", "picture": "evidence"},
    "piece": {
        "move": "move",
        "came-off": "came-off",
        "left-on": "left-on",
        "broke": "broke",
        "loose": "loose",
        "assign": "assign",
        "specify": "specify",
        "renew": "renew",
        "mix": "mix",
        "mixed": "mixed",
        "sort": "sort",
        "lose": "lose",
        "recover": "recover",
        "keep": "keep",
        "scrap": "scrap",
    },
    "place": {"list": "places", "stow": "stow", "count": "count"},
    "stock": {
        "list": "stock",
        "enter": "enter",
        "pack": "pack",
        "least": "least",
        "reserve": "reserve",
        "use": "use",
        "left": "left",
        "inventory": "inventory",
    },
    "outwork": {"send": "send", "back": "back", "batch": "batch"},
    "order": {"price": "price", "spares": "spares", "parts-list": "parts"},
    "refit": {"pieces": "refit", "tighten": "tighten", "apply": "apply", "sign": "sign"},
    "plan": {
        "show": "plan",
        "today": "today",
        "progress": "progress",
        "before": "before",
        "free": "free",
        "access": "access",
        "takes": "takes",
    },
    "figure": {
        "torque": "torque",
        "joint": "joint",
        "sump": "sump",
        "reading": "reading",
        "clearance": "clearance",
    },
    "reckon": {"thread": "thread", "hardware": "hardware"},
    "record": {
        "audit": "audit",
        "queries": "queries",
        "handover": "handover",
        "copy": "copy",
        "export": "export",
        "reload": "replay",
        "units": "units",
        "printer": "printer",
    },
}
"""What is typed under a noun: each member with the short name that it is registered under."""

LINES = {
    "snag": "a fault to clear before things are closed up",
    "piece": "pieces: move, lose, keep, scrap, sort; what is still on",
    "place": "boxes and shelves: stow bags, count, list",
    "stock": "what the workshop has: sizes, consumables, what is low",
    "outwork": "send pieces out, in batches or by themselves, and count them back",
    "order": "orders with suppliers: place, receive, send back; prices, spares",
    "refit": "tick off what is back on the machine; tighten, apply, sign",
    "plan": "when it may be finished; today, progress, what goes on before what",
    "figure": "the maker's figures: torques, joints, sumps, readings, clearances",
    "reckon": "calculators: threads, torque, bearings and seals, oil, mixture",
    "machine": "add a machine, survey it, keep one for parts, costs, close it out",
    "record": "audit, hand over, copy and export the record; units, printers",
}
"""Lines of the overview that say what a noun has."""

OPTIONS = {"--strict": "--plain-reverse", "--out": "--pdf", "--output": "--pdf"}
"""Options by their former spelling: it works where the command has the other and not this one."""

MEANT = {
    "backup": "copy", "bag": "strip", "change": "correct", "check": "audit", "cost": "budget",
    "delete": "undo", "edit": "correct", "fit": "refit", "fix": "correct", "import": "replay",
    "install": "refit", "list": "places", "log": "history", "missing": "shopping",
    "next": "today", "oil": "sump", "phone": "serve", "print": "labels", "receive": "order",
    "remove": "strip", "rename": "correct", "save": "copy", "search": "find", "status": "progress",
    "take": "strip", "todo": "today", "verify": "audit", "web": "serve", "where": "find",
}  # fmt: skip
"""Words that people type for a command of another name, with the short name of that."""

_PATHS = {
    name: f"{noun} {member}" for noun, members in NOUNS.items() for member, name in members.items()
}


def spelling(name: str) -> str:
    """Return how a command is typed: ``plan before`` for ``before``, ``plan`` for ``plan``."""
    if any(name in words for words in JOB.values()):
        return name
    return _PATHS.get(name, name)


def registered(words: list[str]) -> list[str]:
    """Return what was typed with the short name in the place of noun and member.

    >>> registered(["plan", "before", "3", "2"]), registered(["plan", "--card"])
    (['before', '3', '2'], ['plan', '--card'])
    """
    if len(words) > 1 and words[1] in NOUNS.get(words[0], {}):
        return [NOUNS[words[0]][words[1]], *words[2:]]
    return words
