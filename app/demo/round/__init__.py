"""A small round in the demo: six invented gyms, two divisions, films of the drawn figure. It begins when a visitor asks for it.

Everything goes the way of a real round: a kit that is opened with slips, hand-ins that follow from marks, receipts, a draw. Only
the days are made up: what took three of them is written down with their times at once, and appeals end after minutes.
"""
