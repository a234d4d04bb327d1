"""Where the pieces of a plan lie: walked from join to join, nothing moved to close.

``placing`` walks, ``fitting`` lays track between two ends, ``circuits`` tells how
nearly each circuit closes, ``footprint`` how much room the whole takes.

Decisions, and the tests in tests/railway/track/test_placing.py that hold them:

- A module is placed whole, as a rigid body; where two of its tracks do not meet the
  neighbour's, both are named.
- Track of the layout that is joined to a module's moves the module, not the piece.
- The first joins between modules close no circuit; the next ones do, each line's its
  own, and the gaps along it add up.
- Fitted track closes no circuit: it has whatever length is missing.
"""
