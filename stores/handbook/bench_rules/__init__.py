"""The rules of the bench: castle nuts, oil on a dry figure, plugs, renewing, plating, studs.

Figures are `stores.handbook.answer.Answer`, rules in words `Rule`; both carry their sources::

    >>> from stores.handbook.bench_rules.rules import renewals, to_next_slot
    >>> round(to_next_slot("M12", 40).value)
    20
    >>> renewals("split pin")[0].text
    'split pin: always a new one'
"""
