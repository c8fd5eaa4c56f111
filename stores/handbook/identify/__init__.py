"""Which thread is this? From what a caliper, a thread gauge and a spanner say.

::

    >>> found = identify(Measurement.read(outside="5.9", pitch="1.0", angle="47.5"))
    >>> found.best.thread.designation
    '0BA'

Every thread of the tables is weighed by Bayes' rule; `assumptions` lists what is taken for granted.

Identification has no prior of its own: `identify()` takes every thread as likely as any other. The
command line gives the trade's, or what the machine has on record.
"""

from stores.handbook.identify.advice import (
    Advice,
    Contradiction,
    Option,
    Twins,
    advise,
    contradiction,
    entropy_bits,
    expected_bits,
    mutual_bits,
)
from stores.handbook.identify.model import Identification, Match, Measurement
from stores.handbook.identify.weighing import TRADE, identify

__all__ = [
    "TRADE",
    "Advice",
    "Contradiction",
    "Identification",
    "Match",
    "Measurement",
    "Option",
    "Twins",
    "advise",
    "contradiction",
    "entropy_bits",
    "expected_bits",
    "identify",
    "mutual_bits",
]
