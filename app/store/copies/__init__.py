"""Copies of the whole store: backups made beside the running writer, proven, restored; a store carried into another kind."""
