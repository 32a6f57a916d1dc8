"""The local network: addresses of this machine, its .local name, its certificate. Sends nothing out of the hall.

- HTTPS by an authority of the laptop's own: browsers give a service worker and a wake lock only to a page that they trust.
  The authority may vouch for private addresses, our nine .local names, this machine's name and a chosen one (critical name
  constraints), for servers only, no authority below it, 30 days (LANE_LEDGER_CERTIFICATE_DAYS). OpenSSL and Chromium refuse
  whatever else its key signs.
- The authority's key is kept, readable by the owner only (on Windows as far as the folder is the user's). Destroying it would
  leave nothing to steal, but a laptop that gets another address in mid-event would lose every tablet. It is in no backup: a
  laptop that takes over makes its own authority, and tablets are walked through trusting that one.
- The clock decides nothing after the first start: a server certificate carries its authority's dates. A clock stepped ahead
  makes a second authority, one stepped back finds the first again, one before 2026 makes none. An authority begins two days
  before it was made.
- One name and one port for an event, because IndexedDB belongs to an origin. The name survives a new lease, a new router and
  a new laptop; it is numbered only if another one in the network has it. The https port is the one after `--port` and is
  never chosen by itself: if it is taken, the server does not start.
- Tests put the authority into Chromium's own store with certutil (Debian: libnss3-tools) and are skipped without it; flags
  that ignore certificate errors would prove nothing.
"""
