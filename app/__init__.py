"""Lane Ledger: judge, count, score and publish a competition in a hall without internet."""

__version__ = "0.1.0"
