"""Words as HTML: what the command line would have typed becomes a link on a page."""

from markupsafe import Markup, escape

from stores.wording.marks import plain

__all__ = ["spoken"]


def spoken(text: str) -> Markup:
    """Return a sentence as HTML, safe whatever names are in it."""
    return escape(plain(text))
