"""The words that people read: all of them printed by page (`python3 -m tests.words`), and what holds for them."""
