"""Prints all that a person can read: `python3 -m tests.words [NAME …] [--missing]`.

A NAME keeps the pages or rooms that begin with it (`floor/lane`, `rules/count`); `--missing` keeps what has no German.
"""

import sys

from tests.words.readable import all_texts, printed

if __name__ == "__main__":
    asked = [one for one in sys.argv[1:] if not one.startswith("--")]
    print("\n".join(printed(all_texts(), asked, "--missing" in sys.argv)))
