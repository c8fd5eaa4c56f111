"""The screens that are more than one form, each in a module with its `PAGES`."""

from dataclasses import dataclass

from stores.web.visit import Handler

__all__ = ["PAGES", "Page"]


@dataclass(frozen=True, slots=True)
class Page:
    """An address, and what answers it."""

    path: str
    handler: Handler
    method: str = "GET"


def _all() -> tuple[Page, ...]:
    from stores.web.pages import bag, bench, inspecting, taking_off

    return tuple(page for module in (bag, bench, inspecting, taking_off) for page in module.PAGES)


PAGES = _all()
