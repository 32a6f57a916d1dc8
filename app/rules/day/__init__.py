"""The day as numbers: heats, lateness, whether a plan holds, calendars. Touches records; knows no score."""
