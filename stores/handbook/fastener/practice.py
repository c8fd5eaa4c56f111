"""What workshop practice says of a kind of fastener: renew it, or take care with it.

Common practice of workshop manuals. The maker's own manual stands above it.
"""

from stores.handbook.fastener.model import Fastener, Kind

__all__ = ["RENEWED", "caution", "renew_always"]

_RENEW = {
    Kind.GASKET: "gasket: it has taken the shape of the old joint",
    Kind.O_RING: "O-ring: it has taken a set and seals once",
    Kind.SEAL: "seal: its lip is worn to the old shaft and is damaged coming out",
    Kind.TAB_WASHER: "tab washer: a tab bent twice cracks",
    Kind.SPRING_WASHER: "spring washer: it loses its spring",
    Kind.TOOTHED_WASHER: "toothed washer: the teeth bite once",
    Kind.SPLIT_PIN: "split pin: a leg bent twice breaks",
    Kind.ROLL_PIN: "roll pin: it loses its grip once driven out",
    Kind.SEALING_WASHER: "sealing washer: it seals by being crushed, once",
}
_SELF_LOCKING = "self-locking nut: its grip is used up once undone"
_GUDGEON_CLIP = "gudgeon-pin circlip: one that lets go wrecks the bore"
RENEWED = (*_RENEW.values(), _SELF_LOCKING, _GUDGEON_CLIP)
"""Every reason to fit new as a rule, as ``kind: why``."""

_GUDGEON = ("gudgeon", "piston pin", "wrist pin")
_LIFE = (
    "brake",
    "caliper",
    "calliper",
    "disc",
    "fork",
    "steering",
    "stem",
    "yoke",
    "wishbone",
    "spindle",
)
_STRONG = ("10.9", "12.9", "14.9", "45H", "Grade 8")
_PLATED = ("zinc", "BZP", "yellow zinc", "black zinc", "cadmium", "nickel", "chrome", "galvanised")


def renew_always(item: Fastener) -> str | None:
    """Give the reason when this is fitted new as a rule, else None.

    Common practice of workshop manuals; circlips only at gudgeon pins.
    """
    if item.kind is Kind.NUT and item.form.startswith("self-locking"):
        return _SELF_LOCKING
    if item.kind is Kind.WASHER and item.material == "copper":
        return _RENEW[Kind.SEALING_WASHER]
    if item.kind is Kind.CIRCLIP and any(word in item.name.lower() for word in _GUDGEON):
        return _GUDGEON_CLIP
    return _RENEW.get(item.kind)


def caution(item: Fastener) -> str | None:
    """Give the usual caution for a fastener that people's safety or its strength hangs on.

    Brake, fork and steering fasteners, and plating of property class 10.9 and above (hydrogen
    embrittlement: ISO 4042).
    """
    if item.kind is Kind.PART:
        return None
    said = []
    if set(item.name.lower().replace(",", " ").split()) & set(_LIFE):
        said.append(
            "brakes, fork or steering: use the maker's part and torque, renew if the maker says so"
        )
    if item.property_class in _STRONG:
        said.append(
            "high strength: electroplating and acid can make it brittle; ask the plater to bake it,"
            " or fit new"
            if not item.finish or item.finish in _PLATED
            else "high strength: replace only with the same class"
        )
    return "; ".join(said) or None
