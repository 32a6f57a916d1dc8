"""From one lane's marks to its tally: clock, placing, lifts, sheets, lights. Touches records; knows no score and no place."""
