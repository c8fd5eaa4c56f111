"""Which word is the thing: "clutch cover bolt" is a bolt, "bearing cover" is not a bearing.

English puts the noun last ("driveshaft washer"), parts books put it first ("WASHER, SPRING") and
both are met. A text whose noun stays open is left a part, with a question, never guessed.
"""

from stores.handbook.fastener.draft import TWO_THINGS, Draft
from stores.handbook.fastener.model import Kind
from stores.handbook.fastener.tokens import Mark
from stores.handbook.fastener.words import BASE, Match, standards

__all__ = ["read_kind"]

_SEATS = frozenset(
    [
        "retainer", "spacer", "housing", "carrier", "holder", "cage", "race", "plate", "bracket",
        "support", "sleeve",
    ]
)  # fmt: skip
_FIXINGS = frozenset(
    (
        Kind.BOLT, Kind.SCREW, Kind.NUT, Kind.STUD, Kind.WASHER, Kind.SPRING_WASHER,
        Kind.TAB_WASHER, Kind.TOOTHED_WASHER, Kind.SEALING_WASHER, Kind.SETSCREW, Kind.GASKET,
        Kind.CIRCLIP, Kind.SPLIT_PIN, Kind.ROLL_PIN, Kind.RIVET, Kind.O_RING, Kind.DOWEL,
        Kind.CLEVIS_PIN, Kind.TAPER_PIN, Kind.E_CLIP, Kind.WOODRUFF_KEY, Kind.GREASE_NIPPLE,
        Kind.STUDDING, Kind.STANDOFF, Kind.INSERT,
    )
)  # fmt: skip
# Nouns that stand before another noun more often than for themselves: "bearing cover".
_TRAPS = frozenset(
    (Kind.BEARING, Kind.SEAL, Kind.WASHER, Kind.PLUG, Kind.CLIP, Kind.O_RING, Kind.SPACER)
)
_THREADS = (Mark.METRIC, Mark.BA, Mark.GAUGE)


class _Solid:
    """A word that can be the thing: a noun, a plain part, or a word not in the vocabulary."""

    __slots__ = ("at", "end", "kind", "match", "part", "segment")

    def __init__(self, at: int, end: int, segment: int) -> None:
        self.at, self.end, self.segment = at, end, segment
        self.kind: Kind | None = None
        self.match: Match | None = None
        self.part = False


def read_kind(draft: Draft) -> None:
    """Decide the kind and note its noun."""
    solids = _solids(draft)
    chosen = _choose(draft, solids)
    if chosen is not None:
        assert chosen.kind is not None
        draft.kind, draft.noun = chosen.kind, chosen.match
        draft.use(chosen.at, chosen.end)
        _turned(draft)
        return
    if _is_ball(draft, solids):
        draft.kind, draft.noun = Kind.BALL, solids[0].match
        draft.use(solids[0].at)
        return
    loose = bool(solids) and draft.word(solids[-1].at).rstrip("s") in ("clip", "clamp")
    if loose or (any(s.kind for s in solids) and not draft.settled):
        draft.twofold = True
    _implied(draft, solids)


def _turned(draft: Draft) -> None:
    """Read the capitals of a parts book, thing first: "BEARING BALL IMPELLER" is no loose ball."""
    turned = draft.noun.phrase.get("capitals") if draft.noun and draft.text.isupper() else None
    if turned is not None:
        form, _, kind = turned.partition(" ")
        draft.kind = Kind(kind)
        draft.put("form", form)


def _is_ball(draft: Draft, solids: list[_Solid]) -> bool:
    """Tell "24 1/4 in balls", a ball with a size and nothing else, from a ball joint."""
    return (
        len(solids) == 1
        and draft.says(solids[0].at, "weak") == "ball"
        and any(token.mark is Mark.NUMBER for token in draft.tokens)
    )


def _implied(draft: Draft, solids: list[_Solid]) -> None:
    """Take the kind from a standard's number, or from a head that says screw or nut."""
    known = standards().get(draft.standard)
    if known is not None and not any(s.part for s in solids):
        draft.kind, draft.twofold = Kind(known.kind), False
        return
    sized = has_thread(draft)
    for at, found in draft.matches.items():
        implied = found.phrase.get("implies")
        if implied and (sized or not solids) and at not in draft.other:
            draft.kind, draft.twofold = Kind(implied), False
            return


def standard_name(text: str) -> str:
    """Give the canonical name of a standard: ``DIN EN ISO 4762:2004`` is ``ISO 4762``."""
    name = text.upper().split(":")[0].strip()
    letters = name.rstrip("0123456789.-").rstrip(" :-") if name[-1].isdigit() else name
    number = name[len(letters) :].lstrip(" :-")
    words = letters.split()
    if letters.endswith("ISO"):
        return f"ISO {number}"
    if len(words) > 1 and len(words[-1]) == 1:  # "ASME B18.3", "JIS B1176"
        return f"{' '.join(words[:-1])} {words[-1]}{number}"
    return f"{' '.join(words)} {number}"


def has_thread(draft: Draft) -> bool:
    """Tell whether the text names a thread: M6, 2BA, #10-32, 1/4-20, or a size with a series."""
    if any(t.mark in _THREADS and not u for t, u in zip(draft.tokens, draft.used, strict=True)):
        return True
    if draft.series or any(found.phrase.get("series") for found in draft.matches.values()):
        return any(t.mark is Mark.NUMBER for t in draft.tokens)
    return any(
        a.mark is Mark.NUMBER
        and b.mark is Mark.DASH
        and c.mark is Mark.NUMBER
        and (a.value or 99) <= 24
        and 4 <= (c.value or 0) <= 80
        for a, b, c in zip(draft.tokens, draft.tokens[1:], draft.tokens[2:], strict=False)
    )


def _solids(draft: Draft) -> list[_Solid]:
    """List the words of the text's own noun phrase that can be the thing."""
    solids: list[_Solid] = []
    segment, at = 0, 0
    count = len(draft.tokens)
    nouns = _nouns_near(draft)
    while at < count:
        token, found = draft.tokens[at], draft.matches.get(at)
        if draft.depth[at] or draft.used[at]:
            at += 1
            continue
        if token.mark is Mark.COMMA:
            segment += bool(solids)
        if token.mark is not Mark.WORD:
            at += 1
            continue
        end = found.last if found else at + 1
        if found is not None and (found.phrase.get("prep") or found.phrase.get("with")):
            named = any(s.kind for s in solids)
            if found.phrase.get("prep") and (not solids or (not named and has_thread(draft))):
                at = end  # "carb to head studs M8x40": the noun is still to come
                continue
            draft.after_with = at
            draft.other = _other(draft, at, found)
            if draft.other and found.phrase.get("with"):
                draft.ask(TWO_THINGS)
            break
        solid = _solid(draft, at, end, segment, found, nouns)
        if solid is not None:
            solids.append(solid)
        at = end
    return solids


def _other(draft: Draft, at: int, link: Match) -> range:
    """Give the tokens after a link that do not speak of the thing itself."""
    end = link.last
    if link.phrase.get("with"):
        while end < len(draft.tokens) and draft.mark(end) is not Mark.COMMA:
            found = draft.matches.get(end)
            if found is not None and (found.phrase.get("noun") or found.phrase.get("implies")):
                return range(at, found.last)
            end += 1
        return range(0)
    while draft.mark(end) in (Mark.WORD, Mark.DASH):
        end += 1
    return range(at, end)


def _nouns_near(draft: Draft) -> set[str]:
    """The nouns in the text, by the word their modifiers stand beside."""
    near = set()
    for found in draft.matches.values():
        noun = found.phrase.get("noun") or found.phrase.get("weak")
        if noun:
            near.add(BASE.get(noun, noun))
            if found.phrase.get("weak") == "circlip":
                near.add("ring")
    return near


def _solid(
    draft: Draft, at: int, end: int, segment: int, found: Match | None, nouns: set[str]
) -> _Solid | None:
    solid = _Solid(at, end, segment)
    if found is None:
        return solid if _is_name(draft, at) else None
    phrase = found.phrase
    noun, weak = phrase.get("noun"), phrase.get("weak")
    if noun or weak:
        solid.kind = Kind(noun) if noun else _qualified(draft, str(weak))
        solid.match, solid.part = found, solid.kind is None
        return solid
    counted = draft.mark(at - 1) is Mark.NUMBER  # "20 gauge", "3 pin"
    attribute = phrase.get("attr") is not None
    if attribute and counted and phrase.get("role"):
        return None
    solid.part = phrase.get("part") is not None
    attribute = attribute and not counted
    beside = any(n in nouns for n, _, _ in phrase.beside)
    return solid if not beside and (solid.part or attribute or not phrase.plain) else None


def _is_name(draft: Draft, at: int) -> bool:
    """Leave codes such as A2, S01 and 2RS out of the noun phrase."""
    text = draft.tokens[at].text
    return (
        any(c.isalpha() for c in text)
        and not any(c.isdigit() for c in text)
        and not (len(text) == 1 and text.isascii())
    )


def _qualified(draft: Draft, weak: str) -> Kind | None:
    """Settle a pin, ring, key, plug, clip, ball, clamp or insert by the words beside it."""
    noun = "ring" if weak == "circlip" else weak
    for at, other in draft.matches.items():
        if draft.depth[at]:
            continue
        for beside, name, value in other.phrase.beside:
            if beside == noun and name == "kind":
                if noun == "ring":
                    draft.use(at, other.last)
                return Kind(value)
    if weak == "spacer":
        return Kind.SPACER
    named = any(hit.phrase.get("series") for hit in draft.matches.values())
    if weak in ("plug", "insert") and (named or has_thread(draft)):
        return Kind(weak)
    known = standards().get(draft.standard)
    return Kind(known.kind) if known is not None else None


def _choose(draft: Draft, solids: list[_Solid]) -> _Solid | None:
    """Pick the noun, or None when the text has none or leaves it open."""
    main = _segment(draft, solids) if any(s.kind for s in solids) else []
    nouns = [s for s in main if s.kind is not None]
    if not nouns:
        return None
    if main[-1].kind is not None:
        return _last(draft, main)
    after = main[main.index(nouns[-1]) + 1 :]
    only = nouns[0] if len({s.kind for s in nouns}) == 1 else nouns[-1]
    fixing = _sized(draft) and only.kind in _FIXINGS
    if after[0].part and only.kind in _TRAPS:
        draft.settled = not (fixing and _touches(draft, only))
        return None if draft.settled else only
    if fixing or (only is main[0] and _leads(draft, only, solids)):
        return only
    draft.settled = main[-1].part and only is not main[0] and not _sized(draft)
    return None


def _leads(draft: Draft, only: _Solid, solids: list[_Solid]) -> bool:
    """Tell "KEY WOODRUFF SHAFT TO GEAR", "Screw Lens to lamp" (noun first) from "bolt cutters"."""
    return (
        draft.after_with < len(draft.tokens)
        or draft.text.isupper()
        or solids[-1].segment > solids[0].segment
        or (only.end - only.at > 1 and not solids[-1].part)
        or only.kind is Kind.GASKET
        or (_touches(draft, only) and any(t.mark is Mark.BY for t in draft.tokens))
    )


def _segment(draft: Draft, solids: list[_Solid]) -> list[_Solid]:
    """Give the words between commas that hold the noun; the first such, as parts books write."""
    first = [s for s in solids if s.segment == solids[0].segment]
    if any(s.kind for s in first):
        return first
    if first[-1].part or not _sized(draft):
        draft.settled = first[-1].part
        return []
    noun = next(s for s in solids if s.kind)
    return [s for s in solids if s.segment == noun.segment]


def _last(draft: Draft, main: list[_Solid]) -> _Solid | None:
    first, last = main[0], main[-1]
    if first is last:
        return last
    if {first.kind, last.kind} == {Kind.WASHER, Kind.GASKET}:
        first.kind = Kind.WASHER
        return first
    if first.kind is Kind.SEAL and last.kind is Kind.O_RING:
        return last
    if last.kind not in _FIXINGS and draft.word(first.at) in _SEATS:
        draft.settled = True
        return None
    return last


def _sized(draft: Draft) -> bool:
    return has_thread(draft)


def _touches(draft: Draft, solid: _Solid) -> bool:
    """Tell whether a size stands right before or after the noun: "M6 x 20 bolt cover plate"."""
    return draft.mark(solid.at - 1) in (Mark.NUMBER, *_THREADS) or draft.mark(solid.end) in (
        Mark.NUMBER, *_THREADS, Mark.DASH,
    )  # fmt: skip
