"""Screw threads: ISO metric, Whitworth (BSW, BSF, G), cycle, BA and Unified.

Their sizes are tables in the handbook; their dimensions follow from the standards' formulas::

    >>> thread = get("1/4 bsf")
    >>> thread.designation, thread.tpi, round(thread.minor_in, 4)
    ('1/4 BSF', 26.0, 0.2007)
"""

from stores.handbook.thread.catalogue import (
    Reading,
    all_threads,
    custom,
    find,
    get,
    named,
    near,
    read,
    series_of,
)
from stores.handbook.thread.model import Form, Limits, Series, Spanner, Thread

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
    "named",
    "near",
    "read",
    "series_of",
]
