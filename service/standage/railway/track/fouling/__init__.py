"""Fouling points: where two ways that part are far enough apart.

By spacing, read in this order: ``spacings`` (how far apart tracks are to be),
``parting`` (the first place on one row of arcs that is so far from another), ``beside``
(on which side another way runs), ``ways_on`` (ways laid out of points as far as they
are needed), ``ways_apart`` (those in pairs), ``noses`` (where a crossing's rails meet),
``fouling`` (the points of a whole plan).

By stock: ``stock_bodies`` (what stands and what moves), ``ways_out`` (whole ways, up to
where two come together again), ``sweeps`` (what a body sweeps, and what comes near it),
``clearing`` (the last place in the way, closed in on), ``by_stock`` (the limit on one
leg).

Words. A *way* leads out of points over joints and later points; *own* is the one that a
limit is looked for on, *other* the one that it has to be clear of. A *reach* is a limit
on one way on. A *throw* is what stock swings out on a curve. A *passage* is the whole
way of what moves: in over the blades, and out along another leg. *Places* of a sweep
are 2 mm apart or less.

Decisions, and the tests that hold them:

- The first place is proved by a bound of how fast a distance can change, never sampled.
  tests/railway/track/test_fouling_points.py walks with shapely's distances beside it.
- Where the spacing raised by throws is never reached but the bare one is, the limit is
  where both roads are straight: ordinary loops with tracks at 46 to 51 mm would have no
  usable length at all.
  ``test_a_loop_too_near_for_curves_is_clear_where_both_roads_are_straight`` there.
- Ways on beyond ``MOST_WAYS`` are told to be unknown, never left out.
  ``test_every_way_on_over_later_points_is_followed`` there.
- Ways are cut where a search ends: like sets of points are reckoned once, whatever they
  lead to (tests/benchmarks/track_plans.py tells what that is worth).
- **Each rule by spacing, one by one**: tests/railway/track/test_fouling_rules.py. A
  limit that only comes within a hundredth of a mm is told to be good to some mm.
- **By stock, bodies are placed and tried, not reckoned from throws**: all places of the
  one against all of the other, and the worst closed in on.
  tests/railway/track/test_fouling_by_stock.py places the same bodies by sampling.
- **Where two ways come together again, what is in the way there without a gap is left
  out**: that is the far points' own limit. Round a balloon each way counts as far as
  the middle of the round (the same file; so for loops, ovals and balloons).
- **Track that ends goes straight on, and ways beyond a piece without shape are taken to
  stay apart where they are apart before it**: both are told as assumed. Where they are
  not apart yet, nobody can tell (the same file).
- **A vehicle runs on no curve of less than half of what its wheels span**: its way ends
  there, as ``passing`` has it too.
- Of several bodies each is tried by itself, less how far it lies from the vehicle's end
  on straight track: on curves that is on the safe side.
- **The through leg of ordinary points is fouled farther out than the branch, mirrored
  points are alike, and more margin or width lies farther out**:
  tests/laws/test_stock_fouling_laws.py.
"""
