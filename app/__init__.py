"""Lane Ledger: judge, count, score and publish a competition in a hall without internet."""

from app.rules.values.words import hand_in
from app.wording import catalogue

__version__ = "0.1.0"

# Whatever part of the app is loaded first, its words are there: the rule book itself opens no file.
hand_in(catalogue())
