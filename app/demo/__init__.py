"""The demo: an invented competition, part way through, whose judges are simulated. Touches any job, as a person would."""
