"""Scenes of what is declared for a lift, beside those of the lifts themselves."""
