"""Show a thread that is no bolt thread: taper pipe, trapezoidal, conduit, brass, ME."""

from dataclasses import asdict

from stores.cli import show
from stores.handbook.thread.special import SpecialThread

__all__ = ["show_special"]


def show_special(known: SpecialThread, json: bool) -> None:
    """Print its figures and what to know of it, or the same as JSON."""
    if json:
        show.as_json(
            {
                "thread": known.designation,
                "family_name": known.name,
                **asdict(known),
                "tapered": known.tapered,
                "note": known.note,
            }
        )
        return
    tpi = "" if known.tpi is None else f" ({known.tpi:g} tpi)"
    outside = "outside, of the pipe" if known.family == "NPT" else "outside diameter"
    rows = [
        (outside, f"{known.major_mm:.3f} mm, {known.major_mm / 25.4:.4f} in"),
        ("pitch", f"{known.pitch_mm:.4g} mm{tpi}, {known.flank_angle_deg:g} degrees"),
        ("effective diameter", f"{known.pitch_diameter_mm:.3f} mm"),
        ("bore of the nut", f"{known.minor_mm:.3f} mm"),
        ("root of the bolt", f"{known.root_mm:.3f} mm"),
    ]
    if known.gauge_mm is not None:
        rows.append(("together by hand", f"about {known.gauge_mm:.1f} mm"))
    if known.tapping_drill_mm is not None:
        hole = "bore before the tap" if known.family == "Tr" else "tapping drill"
        rows.append((hole, f"{known.tapping_drill_mm:g} mm"))
    show.say(f"{known.designation}, {known.name}")
    for label, text in rows:
        show.paragraph(text, first=f"  {label:<22}", rest=" " * 24)
    show.paragraph(f"note: {known.note}", first="  ", rest="  ")
    show.paragraph(f"source: {known.source}", first="  ", rest="  ")
