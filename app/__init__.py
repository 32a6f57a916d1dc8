"""Lane Ledger: judge, count, score and publish a competition in a hall without internet."""

import sys

__version__ = "0.1.0"

# Whatever part of the app is loaded first, its words and tables are there: the rule book itself opens no file. A Python too old
# for any of it comes as far as __main__.py, which says so.
if sys.version_info >= (3, 11):  # noqa: UP036
    from app.library import Tables
    from app.rules.values.tables import hand_in_tables
    from app.rules.values.words import hand_in
    from app.wording import catalogue

    hand_in(catalogue())
    hand_in_tables(Tables())
