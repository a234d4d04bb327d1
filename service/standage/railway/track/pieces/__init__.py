"""Pieces of track: what each kind has for figures, its faults, and its shape.

``pieces`` is what all have in common, ``shapes`` what a piece comes to: strands of
track between ends and knots, with a place where the piece has one. ``forks`` lays out
legs that part. Then a file for each sort of piece; ``piece_kinds`` is the one list.

Words. A *strand* is track without a choice, from an *end* to an end or to a *knot*:
blades, a crossing, a stop's face. A *leg* is a way out of points that positions count
along. *Rivals* are two legs that part from each other.

Decisions, and the tests that hold them:

- A piece is laid out where it has a radius, else measured: one struct for both, so that
  a builder who measures first keeps the name. tests/railway/track/test_plan_document.py.
- Whatever ends at the blades counts from the blades, the toe too.
  tests/railway/track/test_roads.py: every position comes back.
- What is wrong between a piece's figures is told by ``amiss`` and not by ``rules``: a
  draft is a plan. tests/railway/track/test_plan_faults.py.
"""
