"""The screens that are more than one form, each in a module with its `PAGES`."""

from dataclasses import dataclass
from importlib import import_module

from stores.web.visit import Handler

__all__ = ["PAGES", "SCREENS", "Page"]


@dataclass(frozen=True, slots=True)
class Page:
    """An address, and what answers it; ``long`` says that it may take seconds: sheets, pictures."""

    path: str
    handler: Handler
    method: str = "GET"
    long: bool = False


SCREENS = (
    "all_jobs",
    "arrived",
    "bag",
    "bench",
    "counting",
    "desk",
    "devices",
    "inspecting",
    "keeping",
    "label_sheets",
    "machine",
    "next_step",
    "paper",
    "pictures",
    "questions",
    "reckon",
    "scan",
    "take_along",
    "taking_off",
)
"""The modules of this room."""


def _all() -> tuple[Page, ...]:
    modules = [import_module(f"stores.web.pages.{name}") for name in SCREENS]
    return tuple(page for module in modules for page in module.PAGES)


PAGES = _all()
