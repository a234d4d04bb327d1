"""Where the pieces of a plan lie: walked from join to join, nothing moved to close.

Reading order: ``placing`` (the walk), ``fitting`` (track laid between two ends),
``circuits`` (how nearly each circuit closes), ``footprint`` (how much room the whole
takes).

Words. A *spot* is a point and a direction there; a *frame* is a spot in which others
are counted. A *circuit* is a way round that comes back to its start, a *gap* what is
left open there. *Fitted* track has whatever length is missing.

Decisions, each with the test that holds it:

- A module is placed whole, as a rigid body; where two of its tracks do not meet the
  neighbour's, both are named: tests/railway/track/test_placing.py.
- Track of the layout that is joined to a module's moves the module, not the piece: the
  same.
- The first joins between modules close no circuit; the next ones do, each line's its
  own, and the gaps along it add up: the same.
- Fitted track closes no circuit, since it takes up what is missing: the same.
"""
