"""What an organiser does at the desk before the day, with the clock running."""
