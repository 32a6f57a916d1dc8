"""The round at headquarters and in its gyms, by command: kit and slips, a gym's key, the records' file, the book as a folder.

What counts and why is told by rules/round. A hall that never hears of a round carries nothing of it: no page, no table, no module
that a server loads (import-linter holds that). Keys lie beside the store and in no backup: who moves a headquarters to another
laptop carries them there by hand, and a stick with backups that gets lost gives nobody a key.
"""
