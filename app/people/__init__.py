"""Who competes and who judges: entries, import, check-in, judges, openers. Never touches a heat or a mark."""
