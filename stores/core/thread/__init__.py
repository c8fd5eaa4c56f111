"""Screw threads: ISO metric, Whitworth (BSW, BSF, G), cycle, BA and Unified.

Their sizes are tables in ``stores/data``; their dimensions follow from the standards' formulas::

    >>> thread = get("1/4 bsf")
    >>> thread.designation, thread.tpi, round(thread.minor_in, 4)
    ('1/4 BSF', 26.0, 0.2007)
"""

from stores.core.thread.catalogue import all_threads, custom, find, get, near
from stores.core.thread.form import Form, Series
from stores.core.thread.model import Limits, Thread
from stores.core.thread.notation import Reading, read, series_of
from stores.core.thread.spanners import Spanner

__all__ = [
    "Form",
    "Limits",
    "Reading",
    "Series",
    "Spanner",
    "Thread",
    "all_threads",
    "custom",
    "find",
    "get",
    "near",
    "read",
    "series_of",
]
