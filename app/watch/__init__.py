"""What the public looks at while it happens: the board and the hall's clock. Reads everything, changes nothing."""
