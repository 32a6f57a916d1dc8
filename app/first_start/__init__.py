"""The first start on a bare Python: which Python will do, a place for the packages, what can go wrong on the way.

Only the standard library is used here, and only syntax that Python 3.6 can read, so that an old Python is told what is wrong in a
sentence instead of a traceback. The annotations are quoted for the same reason.

What Lane Ledger is built on is offered ready-made for some versions of Python and some kinds of computer. A person is told that
before anything is fetched, and from what Python says of itself; what an installer says when it finds nothing looks much like a
network that is away. That the table here is right is held against the names of the locked files (`tests/first_start/`).
"""
