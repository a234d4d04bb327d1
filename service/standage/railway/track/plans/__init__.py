"""The document of a track plan, everything that is wrong with one, and a plan of
modules made flat.

``plan`` is the document, ``plan_faults`` what is wrong with it, ``module_joins`` what
is wrong with joins of modules, ``parts`` what holds together, ``near_names`` which name
was meant; ``flat`` is one list of pieces and joins, those of modules included.

Decisions, and the tests in tests/railway/track that hold them:

- What is no plan is refused with every fault; a plan with faults is a plan.
  ``test_plan_document`` and ``test_plan_faults``.
- Nothing hangs on the order of pieces or of a join's ends (tests/laws/test_plan_laws).
"""
