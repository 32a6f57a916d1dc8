"""What is alive while the server runs: standings that follow the marks, and who is told of them."""
