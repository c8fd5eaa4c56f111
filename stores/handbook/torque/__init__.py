"""Tightening torque: from thread, strength and friction by VDI 2230, with what limits it.

A computed torque is a general figure; the maker's own always wins (`compare`)::

    >>> from stores.handbook.thread import get
    >>> from stores.handbook.torque.joint import tighten
    >>> answer = tighten(get("M8"), "8.8", 0.12)
    >>> round(answer.value, 1), round(answer.preload_n.nominal, -2), answer.limiting
    (24.6, 18600.0, 'bolt at 90 % of its yield')
"""
