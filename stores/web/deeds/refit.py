"""Refitting."""

from stores.web.forms import Deed

DEEDS: tuple[Deed, ...] = ()
INQUIRIES = ()
