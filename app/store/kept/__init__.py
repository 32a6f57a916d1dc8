"""What is kept beside the ledger so that a start is short. All of it can be made again from the marks, by which it is judged."""
