"""The local network: addresses of this machine, its .local name, its certificate."""
