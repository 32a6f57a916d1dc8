"""The rule book: pure functions from values to values. No I/O, no clock, no randomness, no framework.

Whatever a rule needs of the world (the time, chance, a file that was read) is handed in. Arrows inside: values carry
everything; on them stand workout, then records, then count, day and result; agree looks at counts, beginning makes a competition
of texts. A rule's function has the rule as its first docstring line, with its units and its source, or "common practice, no
source".

A rule has a twin in static/js/rules only where a lane must show it offline, and both are held to the same
tests/vectors/*.json.
"""
