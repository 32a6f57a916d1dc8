"""What a lifting meet asks of declarations: when a load is due, how often and until when it may be changed.

The fields stand in declaring.py; their published values in the sport's two ways, with where each was read, in published.py.
"""
