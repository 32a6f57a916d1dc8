"""The round at headquarters: its book as a folder that anybody can recount. What counts and why is told by rules/round.

A hall that never hears of a round carries nothing of it: no page, no table, no module that a server loads.
"""
