"""Single values and how they are written: loads, lengths, texts, ids. Stands on nothing."""
