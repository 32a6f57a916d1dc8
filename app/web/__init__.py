"""The frame that all pages share: doors, roles, static files, streams, the record of what was done. Knows no job."""
