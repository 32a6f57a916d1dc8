"""An event printed as a text that the reader reads back; what the text cannot say is found by reading it, and named under it."""
