"""The longest train for a place, made up behind given engines from a pool of vehicles.

Reading order: ``cars`` (what each vehicle adds to a train), ``families`` (which may
come into one train), ``room`` (the most that any length of room takes), ``search``,
``choice`` (the question and its answer), ``replay`` (an answer looked at afresh).

Words. A *pool* is what may be chosen from, the *front* the engines. A *car* is like
vehicles of the pool, each a *copy*; a *piece* is what one adds to a train, and its
*weight* that length and its ± together. A *role* is where it stands: first, last or
within. *Worth* is the one figure by which trains are compared.

Decisions, each with the test that holds it:

- The train is weighed before it is coupled. A table over cells of length bounds what
  any choice of the pool comes to (weights rounded down); what meets the bound and can
  be coupled is proved best, and branch and bound closes the rest within its budget. On
  the grid that people measure on, 60 vehicles take about 20 ms; off it the bound is
  told (``at_most_mm``): tests/laws/test_longest_laws.py tries every train there is.
- Where a train must be stood to know whether it stands, on a turntable or along a
  face, trains are tried one by one: tests/railway/longest/test_longest_train.py.
- Pool vehicles stand the way round they are given, and one of which a figure is missing
  is left out and named: the same.
- Neighbours that would stand inside each other by their figures are never coupled, and
  told: tests/laws/test_reach_laws.py.
- Couplings that nobody has named count as the longest that may be meant; where a train
  stands with the shortest only, they are asked for:
  tests/railway/standing/test_unnamed_couplings.py.
"""
