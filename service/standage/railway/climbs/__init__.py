"""Gradients, and what an engine hauls up them.

Reading order: ``gradients`` (a climb with its ends eased, what a train feels of it, the
room in a helix), ``haulage`` (how many vehicles go up).

Words. The *run* is the length of a climb, its *vertical curves* included, which ease
its foot and its top; a train *feels* the difference in height of its two ends; the
*band* is what an engine hauls from the worst case to the best; *drag* is what a curve
adds, as a gradient.

Decisions, each with the test that holds it:

- The steepest gradient counts and not the mean, and for a train what it feels over all
  its positions: tests/laws/test_gradient_laws.py.
- A vertical curve is a parabola, and is part of the run:
  tests/railway/climbs/test_gradients.py.
- Haulage is a band and never one number: from n on the level without the engine's own
  weight, or from a measured pull with it. Its worse end is free-running stock for a
  number on the level (0.8 %), stiff stock for a pull (2.0 %):
  tests/laws/test_haulage_laws.py.
- Nothing above 4 % is advised. Advice is rounded to the safe side and asked again:
  tests/laws/test_haulage_advice_laws.py, tests/laws/test_gradient_advice_laws.py.
- A band finds what practice finds, 30 of 100 vehicles left at 1 in 50:
  tests/published/test_climbs_published.py.
"""
