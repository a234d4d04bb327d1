"""Pieces of track: what each kind has for figures, its faults, and its shape.

``pieces`` is what all have in common, ``shapes`` what a piece comes to: strands of
track between ends and knots, with a place where the piece has one. ``forks`` lays out
legs that part. Then a file for each sort of piece; ``piece_kinds`` is the one list.

Decisions, and the tests in tests/railway/track that hold them:

- A piece is laid out where it has a radius, else measured: one struct for both, so that
  a builder who measures first keeps the name. ``test_plan_document``.
- Whatever ends at the blades counts from the blades, the toe too. ``test_roads``: every
  position comes back.
- What is wrong between a piece's figures is told by ``amiss`` and not by ``rules``: a
  draft is a plan. ``test_plan_faults``.
"""
