"""What happens on the floor: GO and holds, lanes, judging, calls, practice, paper. The only job that writes marks and runs."""
