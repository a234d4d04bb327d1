"""Fouling points: where two ways that part are far enough apart.

``spacings`` is how far that is. ``parting`` finds on two rows of arcs the first place
that is so far from the other, ``beside`` where a way runs beside another; ``ways_on``
lays ways out of points, ``ways_apart`` pairs them, ``noses`` finds crossing noses;
``fouling`` is the points of a whole plan.

Decisions, and the tests in tests/railway/track/test_fouling_points.py that hold them:

- The first place is proved by a bound of how fast a distance can change, never sampled.
- Where the spacing raised by throws is never reached but the bare one is, the limit is
  where both roads are straight: ordinary loops with tracks at 46 to 51 mm would have no
  usable length at all.
  ``test_a_loop_too_near_for_curves_is_clear_where_both_roads_are_straight``.
- Ways on beyond ``MOST_WAYS`` are told to be unknown, never left out.
"""
