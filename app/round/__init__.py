"""The round at headquarters and in its gyms: kit and slips, keys, hand-ins and their receipts, looks, the book as a folder.

What counts and why is told by rules/round. A hall that never hears of a round carries nothing of it: no row of its tables, and no
module that a server loads before somebody asks for a page of it (import-linter holds that). Keys lie beside the store and in no
backup: who moves a headquarters to another laptop carries them there by hand, and a stick with backups that gets lost gives
nobody a key. A receipt is stored in the one transaction with what it is for, so none is given for what was not kept.

A look is given out on a page behind the reviewer's own link, or as a sheet in a file, since reviewers sit at home. What makes
either is handed the rule, the kit, the film's address and no state of a line, so it can't tell the claim. Who has the key of
headquarters can make any reviewer's code: the book says what was sealed, and not that headquarters was honest about it.
"""
