"""Which thread is this? From what a caliper, a thread gauge and a spanner say.

::

    >>> found = identify(Measurement.read(outside="6.28", pitch="26 tpi"))
    >>> found.best.thread.designation
    '1/4 BSF'

Every thread of the tables is weighed by Bayes' rule; `assumptions` lists what is taken for granted.
"""


from stores.core.identify.model import Identification, Match, Measurement
from stores.core.identify.weighing import identify

__all__ = [

    "Identification",
    "Match",
    "Measurement",



    "identify",
]
