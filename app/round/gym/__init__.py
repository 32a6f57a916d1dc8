"""A gym's side of a round, on its own laptop: the kit opened, the slip, what is handed in, headquarters' receipts.

All of it works without a network: what goes to headquarters is a file, or letters that are read out. Where its server can be
reached, by the address in the kit or one that was typed, a press sends the same files; nothing is sent by itself.

Page and command do the same by the same functions. What a gym has of a round lies in the folder `round` beside its store and in
no row of it: the kit as it came, the gym's key, the opening word, where films are, what was ticked off of them and their prints,
each hand-in as it was made, and receipts whose signature and round were checked before they were kept. So a hall that leaves that
folder away has no round.

A kit opens without its slip, so that the event can be set up before the paper comes; who signed it is then compared by a person,
by the eight letters that end a slip. With the slip's code it is compared here. Without it nothing can be handed in.
"""
