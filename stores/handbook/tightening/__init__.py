"""In what order and in which passes the bolts of a joint are tightened.

::

    >>> from stores.handbook.tightening.order import plan_joint
    >>> from stores.handbook.tightening.reading import read_joint
    >>> plan = plan_joint(read_joint("8 on 120"), 24)
    >>> plan.order.holes
    (1, 5, 3, 7, 2, 6, 4, 8)
    >>> [stage.torque for stage in plan.stages]
    ['', '7 N m', '14 N m', '24 N m', '24 N m']

The maker's own order and torque always win. `picture.picture` draws the joint on the screen.
"""
