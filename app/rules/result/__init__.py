"""From tallies to places, and why: scores, ties, standings, overall, explanations, seals, halls. Reads no clock."""
