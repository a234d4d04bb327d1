"""Modules: boards with track that members bring, whether their ends join, and what a
club's own standard asks of them.

Reading order: ``boards`` and ``outlines`` (what is on record), ``opposite`` (which track
meets which), ``joining`` and ``wiring`` (whether two ends go together);
``standard_rules`` (the rules and waivers), ``shortfalls`` (what is found out, and what
waivers make of it), ``standard_ends`` (rules about one end), ``standards`` (all rules);
by itself ``board_room`` (how large a loop a board takes).

Words. An *end* is where a module is put against another; right and left at it are as
seen looking out. A *standard* is the club's own rules, a *waiver* lets one module or
train off one of them, and says why. A *shortfall* is one thing that falls short of a
rule, or that is not known and so may; a *look* is what one rule finds out. *Tolerances*
are what passes at a joint.

Decisions, each with the test that holds it:

- All is symmetric: which end is called one and which the other changes no verdict and
  no amount: tests/laws/test_module_laws.py.
- As many tracks as can are paired, never crosswise, so that they miss least in sum: the
  same, by trying every way.
- A club's standard says what passes at a joint (``joints``) beside its rules: a rule
  holds one module to something, a joint has two. A question names the standard; what it
  says itself comes first: tests/api/test_modules_over_http.py.
- Left and right on a connector are never judged: they change places with the module one
  looks from, so pins named that way join with care at best:
  tests/railway/modules/test_wiring.py.
- Nothing that is no low voltage joins: the same.
- A standard's places for tracks are a set, nearest first: the same rule holds for ends
  of one track and of two, and an end seen from the other side. An end off its place is
  pointed out; the joint may hold all the same:
  tests/railway/modules/test_standard_ends.py.
- Of no ends written down nobody can tell, and each rule about ends says so in one way:
  tests/railway/modules/test_standards.py.
- A rule that both meanings of a wire's name keep, or neither, is judged; else it is a
  question. How much room a half circle has is not asked of a radius: nobody says it
  beside one: tests/railway/modules/test_standards.py.
- A diagonal is the oval whose half circles lie in opposite corners: no two half circles
  of that radius on the board lie farther apart. The edge counts inside a loop too:
  tests/railway/modules/test_board_room.py.
- A waiver needs no date and changes no figure: the failure is told as it is, and the
  reason beside it. It also covers what is not known: tests/laws/test_module_laws.py,
  tests/questions/test_standard_report.py.
"""
