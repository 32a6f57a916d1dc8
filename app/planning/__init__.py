"""Heat plans found by a constraint solver, in a process of their own."""
