"""Who comes in: pairing, letting in, logins, trust. Decides who a browser is, never what it may score.

SECURITY.md beside this file says what threatens a hall, what stops it, and how far a public standard is met.

- Whoever takes an invitation waits, and becomes a device only when the desk has said yes: until then there is no session that
  any other code would have to know of. The word is for comparing and no secret; the old pairing ends in the transaction in
  which the new begins.
- Sessions are opaque and stored as hashes; signed, time-stamped tokens were decided against, because a stepped clock would
  log everybody out. They have another cookie name over HTTPS (`__Host-`): cookies know no port, so the plain door could
  overwrite them.
- Passwords are hashed one at a time (64 MiB and every core each); the review's door compares with two. A browser that has
  logged in before holds a cookie (`ll_known`, stored as a hash, opens nothing).
"""
