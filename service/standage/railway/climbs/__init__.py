"""Gradients, and what an engine hauls up them.

Reading order: ``gradients`` (a climb with its ends eased, what a train feels of it, the
room in a helix), ``winding`` (a helix out of some of its figures), ``haulage`` (how
many vehicles go up), ``profile`` (what a train feels of a whole way) and ``hardest``
(where on it engines haul the fewest).

Words. The *run* is the length of a climb, its *vertical curves* included, which ease
its foot and its top; a train *feels* the difference in height of its two ends; the
*band* is what an engine hauls from the worst case to the best; *drag* is what a curve
adds, as a gradient.

Decisions, each with the test that holds it:

- The steepest gradient counts and not the mean, and for a train what it feels over all
  its positions: tests/laws/test_gradient_laws.py.
- A vertical curve is a parabola, and is part of the run:
  tests/railway/climbs/test_gradients.py.
- A helix is found by rules, each figure from those before it, so that any figures that
  give it give the same. Its per cent is the gradient between the vertical curves and its
  rise a turn the least from one turn to the next: tests/questions/test_helix.py.
- Haulage is a band and never one number: from n on the level without the engine's own
  weight, or from a measured pull with it. Its worse end is free-running stock for a
  number on the level (0.8 %), stiff stock for a pull (2.0 %):
  tests/laws/test_haulage_laws.py.
- From a trial elsewhere n(g₂) = n(g₁)(r + g₁ + c₁)/(r + g₂ + c₂) with one r on both
  sides: on its own way a trial gives itself. It is by as many engines as are asked for,
  unless it says; so more of them are advised only where it does:
  tests/questions/test_haulage_trials.py.
- A mass is hauled as vehicles of one gram are, where nobody knows what one weighs: the
  same.
- Nothing above 4 % is advised. Advice is rounded to the safe side and asked again:
  tests/laws/test_haulage_advice_laws.py, tests/laws/test_gradient_advice_laws.py.
- What a train feels of a way only rises or only falls between the places where its head
  or its tail comes to a change of slope, and where the slopes under both are alike: no
  steps are taken. Curves drag like a rise, so that both are felt at once:
  tests/railway/climbs/test_profile.py, against a walk by the millimetre.
- A shorter train may feel less: one that stands on two rises and the level between feels
  both. It feels no less where it is a whole part of the longer, or the climb is one: the
  same.
- A band finds what practice finds, 30 of 100 vehicles left at 1 in 50:
  tests/published/test_climbs_published.py.
"""
