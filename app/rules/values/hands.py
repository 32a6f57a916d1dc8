"""How fast hands mark: what no person does is neither counted nor taken without end. Common practice, no source."""

PER_SECOND = 6  # marks of one pair of hands, at most: they make some four for a minute, with the fastest rope
OVER_A_HEAT = 0.5  # of that they make over a whole heat
BESIDE = 300  # marks of a sheet that are made before GO and after the last bell, at most
