"""Who comes in: pairing, letting in, logins, trust. Decides who a browser is, never what it may score."""
