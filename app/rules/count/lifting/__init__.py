"""The parts of a lift window's fold: the bars, what stands at each, and what a lifter's next declaration is for.

A declaration that the event's rules do not allow stands nowhere, and is flagged (next_attempt.py). What only all sheets of a
platform show, the weight that its bar does not go below, is told in bar_floor.py. static/js/rules/lifting/ has the twins.
"""
