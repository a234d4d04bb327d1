"""Points and what is laid with them: marks, ladders, crossovers, and the roads of a
turntable.

Reading order: ``parting`` (two straight roads that part), ``marks`` (where either is
clear of the other), ``crossovers``, ``ladders``, ``turntables``.

Words. The *crossing of the lines* is where the centre lines of both roads meet, the
*nose* where their near rails do; the *through* leg is straight, the *branch* may *come
back* to parallel. *Abreast* is square across from a line. A *pitch* is what lies between
two sets of points of a ladder; the *lead* is the road that a ladder leaves. The *rim* is
where the roads of a turntable begin.

Decisions, each with the test that holds it:

- **A branch that comes back to parallel is clear farther out than a straight one**, and
  the farther of its two legs counts. What is squared across from one leg alone lies too
  near. tests/railway/pointwork/test_marks.py lays lines and arcs in the plane and walks
  along them; a plan's own fouling point agrees
  (tests/railway/pointwork/test_marks_on_plans.py).
- **A curve back begins beyond the nose**: before it, the points would not have their
  angle where their number is measured. tests/railway/pointwork/test_marks.py.
- **Near rails are another pair of lines, not a wider spacing**: they meet at the nose,
  curve sharper by half the gauge and are measured along the rail:
  tests/railway/pointwork/test_marks.py, and tests/published/test_pointwork_published.py
  for a permanent-way engineer's example.
- **Curves take up R tan(α ÷ 2) on both sides of where the lines cross**: they begin at
  the tips. tests/railway/pointwork/test_crossovers_and_ladders.py lays them.
- **A ladder's least spacing is the greatest of what its points, its two curves and its
  longest vehicle need**: the same.
- **A train on a turntable's road goes on over the table in its line**, so that roads
  opposite each other are never clear:
  tests/railway/pointwork/test_turntables.py.
"""
