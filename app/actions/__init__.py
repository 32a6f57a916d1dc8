"""One function for each thing a person does. Pages, the command line and the tests all come in by these."""
