"""HTTP only: parse, call an action, render. One module for each person's pages."""
