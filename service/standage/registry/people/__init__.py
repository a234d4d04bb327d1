"""Who may get in, and how.

``credentials`` makes secrets and finds who holds one; ``first_tokens``
and ``clubs`` begin a club; ``hashing``, ``attempts``, ``sessions`` and ``invitations``
are for members who sign in; ``rights_left`` is for a restore.

Words: a *principal* is who asks, a *bearer* by what: token, session or link; a *way in*
is a token by which a steward can mend what is wrong.

Decisions, each with what holds it:

- The right to write is looked at twice: in a snapshot, and again in the write's own
  transaction, where the member and then the credential are held to its end. What was
  taken back before the write is refused, and what is taken back meanwhile waits for the
  write. Changes of members, tokens, rakes and the club take their turn in the club
  before that, lest two wait for each other. (tests/api/test_revoked_meanwhile.py)
- Passphrases are argon2id hashes (19 MiB, two passes, one lane; argon2-cffi, since the
  standard library has only scrypt), hashed two at a time off the loop, 20 waiting, one
  more is ``busy``. A sign-in is three steps: a transaction that counts the attempt, the
  hash, a transaction that looks again and begins the session. A name that nobody bears
  costs a hash too, against one that nothing has. (tests/api/test_passphrases.py,
  tests/api/test_sign_in.py)
- Attempts to sign in are counted in the database, for 15 minutes: 10 for a name of a
  club, 50 from an address (an IPv6 /64), by hashes. Whoever gets in begins anew.
  Somebody may so keep another out for a quarter of an hour; a steward is not locked out
  of the club, since tokens are not touched. (tests/api/test_sign_in.py)
- A sign-in name is not the member's name: members may share names, and a name on a list
  is half of what a guesser needs. (tests/registry/test_sign_ins.py)
- Who is signed in is no record: sessions and passphrases have tables of their own by
  ``member_id``, no history and no undo (``passphrases.forget_sign_ins`` deletes all of
  a member's). Invitations and share links are records without change.
  (tests/registry/test_sign_ins.py)
- A token sets no first passphrase: what it makes would let its holder in after it is
  taken back, and with all that the member may do. The way to a first passphrase is an
  invitation; changing one takes the present one, whoever asks.
  (tests/api/test_passphrases.py)
- A first token is issued to the steward who then has done it: founding, restoring and
  arriving do it alike. (tests/registry/test_credentials.py)
"""
