"""Who comes in: pairing, letting in, logins, trust. Decides who a browser is, never what it may score.

SECURITY.md beside this file says what threatens a hall, what stops it, and how far a public standard is met.

- Whoever takes an invitation waits, and becomes a device only when the desk has said yes: until then there is no session that
  any other code would have to know of. The word is for comparing and no secret; the old pairing ends in the transaction in
  which the new begins.
- A browser that is paired anew shows the key that it had: from then on it speaks for that pairing (`before`), in its seat, at its
  place, for the runs that had begun. A key that the desk has ended proves nothing, whatever became of its pairing later: what was
  marked under it, or under a pairing whose key is gone, the desk takes in at Tablets or not at all; of one that this ledger does
  not know only from the tablet's file, because a yes to no known seat would be a yes to every lane. A key of its own, in reach of
  scripts, was decided against: the session's cookie is shown at the only moment when it is needed.
- Sessions are opaque and stored as hashes; signed, time-stamped tokens were decided against, because a stepped clock would
  log everybody out. They have another cookie name over HTTPS (`__Host-`): cookies know no port, so the plain door could
  overwrite them.
- Passwords are hashed one at a time (64 MiB and every core each); the review's door compares with two. A browser that has
  logged in before holds a cookie (`ll_known`, stored as a hash, opens nothing).
"""
