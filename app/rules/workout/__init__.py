"""How an event runs and what it is done with: formats, tasks, movements, plates, written work. Touches values alone."""
