"""A whole hall imitated: simulated tablets that judge against a real server, for the rehearsal, the drill, tests and benches."""
