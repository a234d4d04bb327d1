"""The document of a track plan, everything that is wrong with one, and a plan of
modules made flat.

Reading order: ``plan`` (the document), ``flat`` (one list of pieces and joins, those of
modules included), ``parts`` (what holds together), ``near_names`` (which name was
meant), ``plan_faults`` and ``module_joins`` (what is wrong with a plan, and with joins
of modules).

Words. A *join* names the two ends that meet. A *module* is a plan within the plan,
which other plans share; its pieces are named by it and a stroke.

Decisions, each with the test that holds it:

- What is no plan is refused with every fault; a plan with faults is a plan:
  tests/railway/track/test_plan_document.py, tests/railway/track/test_plan_faults.py.
- Nothing hangs on the order of pieces or of a join's ends:
  tests/laws/test_plan_laws.py.
"""
