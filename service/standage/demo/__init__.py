"""The tour: a club that is not real, registered over HTTP, and the questions that a
club asks of its stock, its roads and its modules.

Reading order: ``layouts``, ``track_plans``, ``stock`` and ``makings`` (what the club
owns), ``caller`` (how it is recorded and asked about), ``questions`` (what is asked),
``headlines``, ``pictures``, ``remedies`` and ``telling`` (how an answer is told),
``spreadsheet``, ``tour``.

Words. A *headline* is a verdict with the figure behind it, a *picture* a train over the
length that decides, a *remedy* what helps.

Decisions, each with the test that holds it:

- The tour asks eight questions, as over HTTP anybody could, and fits two screens; what
  was assumed is shown once: tests/api/test_demo.py.
- A reader can check every sum that is told: the same.
"""
